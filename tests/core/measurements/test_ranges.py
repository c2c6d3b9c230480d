"""A normal value with even ranges added to it is spread as draws of it are."""

from __future__ import annotations

from itertools import pairwise

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below, normal_once
from runningfit.core.measurements.ranges import NormalAndRanges

SPREADS = [
    (1.0, (1.0, 2.0)),
    (0.01, (1.0, 2.0, 3.0)),
    (0.0, (1.0, 1.0)),
    (0.0, (1.0,)),
    (0.02, (1.0, 0.04, 2.0, 0.031)),
    (0.001, (1.0, 0.04, 0.04, 0.04)),
    (0.5, (0.0, 0.001, 0.3, 0.3, 0.3, 0.3)),
    (1.0, ()),
]


@pytest.mark.parametrize(("u", "halves"), SPREADS)
def test_its_shares_are_those_of_draws(u: float, halves: tuple[float, ...]) -> None:
    draws = numpy.random.default_rng(4)
    drawn = 5 + draws.normal(0, 1, 400_000) * u + sum(draws.uniform(-a, a, 400_000) for a in halves)
    spread = NormalAndRanges(5.0, u, halves)
    for at in (2.0, 4.0, 4.6, 5.0, 5.3, 6.1, 7.5):
        assert spread.below(at) == pytest.approx((drawn < at).mean(), abs=0.003)


def test_one_range_is_the_difference_of_the_integral_of_the_normal_distribution() -> None:
    assert NormalAndRanges(0.0, 1.0, (2.0,)).below(0.7) == pytest.approx(
        (normal_once(2.7) - normal_once(-1.3)) / 4, abs=1e-12
    )
    assert NormalAndRanges(0.0, 2.0).below(1.0) == normal_below(0.5)


@given(
    st.floats(-3, 3),
    st.floats(0, 2),
    st.lists(st.floats(0, 3), max_size=6),
    st.lists(st.floats(-30, 30), min_size=2, max_size=6, unique=True),
)
def test_it_only_rises_from_nothing_to_all_and_is_even_about_its_middle(
    middle: float, u: float, halves: list[float], places: list[float]
) -> None:
    spread = NormalAndRanges(middle, u, tuple(halves))
    shares = [spread.below(at) for at in sorted(places)]
    assert all(0 <= low <= high + 1e-9 <= 1 + 1e-9 for low, high in pairwise(shares))
    reach = 10 * u + sum(halves) + 0.1
    # Differences of powers lose the last places; the line below allows as much.
    assert (spread.below(middle - reach), spread.below(middle + reach)) == pytest.approx((0, 1), abs=1e-7)
    assert spread.below(middle - 0.3) == pytest.approx(1 - spread.below(middle + 0.3), abs=1e-7)


@pytest.mark.parametrize(
    ("middle", "u", "halves", "why"),
    [
        (0.0, -1.0, (), "none of them negative"),
        (0.0, 1.0, (-0.1,), "none of them negative"),
        (float("nan"), 1.0, (), "finite"),
        (0.0, 1.0, (0.1,) * 9, "at most 8"),
    ],
)
def test_what_cannot_be_is_refused(middle: float, u: float, halves: tuple[float, ...], why: str) -> None:
    with pytest.raises(InvalidInput, match=why):
        NormalAndRanges(middle, u, halves)
