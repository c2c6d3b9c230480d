"""The closed forms agree with a plain count of drawn sizes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.treatments.plating import Spread, percentile_mm, probability_below, probability_smaller

DRAWS = 1_000_000
CASES = [
    Spread(5.40, 5.49, 0.0),
    Spread(5.40, 5.49, 0.006),
    Spread(5.45, 5.45, 0.006),
    Spread(5.45, 5.4501, 0.01),
    Spread(5.47, 5.53, 0.03),
]
EDGES = st.floats(5.0, 6.0)
ERRORS = st.floats(0.0, 0.1)


def drawn(size: Spread, seed: int) -> np.ndarray:
    chance = np.random.default_rng(seed)
    return chance.uniform(size.low_mm, size.high_mm, DRAWS) + chance.normal(0, size.u_mm, DRAWS)


@pytest.mark.parametrize("size", CASES)
@pytest.mark.parametrize("limit_mm", [5.42, 5.455, 5.48])
def test_below_a_limit(size: Spread, limit_mm: float) -> None:
    counted = float(np.mean(drawn(size, 1) <= limit_mm))
    assert probability_below(size, limit_mm) == pytest.approx(counted, abs=0.003)


@pytest.mark.parametrize("one", CASES)
@pytest.mark.parametrize("other", CASES)
def test_smaller_than_another(one: Spread, other: Spread) -> None:
    counted = float(np.mean(drawn(one, 2) <= drawn(other, 3)))
    assert probability_smaller(one, other) == pytest.approx(counted, abs=0.003)


@given(low=EDGES, width=st.floats(0, 0.3), u=ERRORS, limit=EDGES)
def test_a_probability_is_one(low: float, width: float, u: float, limit: float) -> None:
    size = Spread(low, low + width, u)
    assert 0 <= probability_below(size, limit) <= 1
    assert 0 <= probability_smaller(size, Spread(limit, limit + width, u)) <= 1


@given(low=EDGES, width=st.floats(0.001, 0.3), u=st.floats(0.0005, 0.05), share=st.floats(0.02, 0.98))
def test_a_percentile_has_its_share_below(low: float, width: float, u: float, share: float) -> None:
    size = Spread(low, low + width, u)
    assert probability_below(size, percentile_mm(size, share)) == pytest.approx(share, abs=0.002)


@given(one=EDGES, other=EDGES, u=st.floats(0.001, 0.05))
def test_one_is_smaller_or_the_other_is(one: float, other: float, u: float) -> None:
    first, second = Spread(one, one + 0.05, u), Spread(other, other + 0.1, u)
    both = probability_smaller(first, second) + probability_smaller(second, first)
    assert both == pytest.approx(1, abs=1e-6)
