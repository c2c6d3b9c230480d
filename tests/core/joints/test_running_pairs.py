"""Pistons in bores: the best of all pairings by counting them out, and the chance by the normal law."""

from __future__ import annotations

from itertools import permutations
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.running_pairs import SizedPart, running_pairs

MICROMETRES = st.lists(st.integers(-30, 30), min_size=2, max_size=5)


def parts(letter: str, around_mm: float, off_um: list[int], u_mm: float = 0.001) -> list[SizedPart]:
    return [SizedPart(f"{letter}{at}", around_mm + off / 1000, u_mm) for at, off in enumerate(off_um)]


@given(MICROMETRES, st.data(), st.booleans())
def test_no_pairing_of_all_is_better_and_only_the_best_is_better_than_the_second(
    bores_um: list[int], data: st.DataObject, bottleneck: bool
) -> None:
    pistons_um = data.draw(st.lists(st.integers(-30, 30), min_size=len(bores_um), max_size=len(bores_um)))
    found = running_pairs(
        parts("B", 80.05, bores_um), parts("P", 80.0, pistons_um),
        least_mm=0.04, most_mm=0.06, bottleneck=bottleneck,
    )  # fmt: skip
    off_um = [
        sorted((abs(bore - piston) for bore, piston in zip(bores_um, order, strict=True)), reverse=True)
        for order in permutations(pistons_um)
    ]
    every = sorted((one[0], sum(one)) if bottleneck else (sum(one), 0) for one in off_um)
    assert round(found.best_cost_mm * 1000) == every[0][0]
    assert found.second_cost_mm is not None
    assert round(found.second_cost_mm * 1000) == every[1][0]


def test_the_chance_within_limits_is_that_of_the_normal_law() -> None:
    holes, shafts = parts("B", 80.05, [4], 0.003), parts("P", 80.0, [0], 0.004)
    (pair,) = running_pairs(holes, shafts, least_mm=0.04, most_mm=0.06).best
    law = NormalDist(0.054, 0.005)
    assert pair.u_mm == pytest.approx(0.005)
    assert pair.probability_within == pytest.approx(law.cdf(0.06) - law.cdf(0.04))


def test_the_chance_that_the_best_is_better_is_that_of_two_readings_in_the_right_order() -> None:
    # Bores 10 µm apart and pistons 10 µm apart: the best is worse exactly where one of both orders is false.
    found = running_pairs(
        parts("B", 80.05, [0, 10], 0.005), parts("P", 80.0, [0, 10], 0.005), least_mm=0.04, most_mm=0.06
    )
    right = NormalDist().cdf(0.010 / (0.005 * 2**0.5))
    assert found.probability_best == pytest.approx(right**2 + (1 - right) ** 2, abs=0.012)
    assert found.changed == ("B0", "B1")


def test_what_all_err_by_together_does_not_make_the_order_unsure() -> None:
    holes, shafts = parts("B", 80.05, [0, 10], 1e-6), parts("P", 80.0, [0, 10], 1e-6)
    found = running_pairs(holes, shafts, least_mm=0.04, most_mm=0.06, shared_u_mm=0.02)
    assert found.probability_best == pytest.approx(1.0)
    assert found.best[0].u_mm == pytest.approx(0.02, rel=1e-3)


def test_a_spare_piston_is_left_over() -> None:
    found = running_pairs(
        parts("B", 80.05, [0, 10]), parts("P", 80.0, [0, 10, 25]), least_mm=0.04, most_mm=0.06
    )
    assert found.left_over == ("P2",)


@pytest.mark.parametrize(
    ("least", "most", "piston", "said"),
    [
        (0.06, 0.04, 80.0, "upside down"),
        (0.04, 0.06, 3.15, "millimetres|inches"),
        (0.04, 0.06, 8.0, "decimal"),
    ],
)
def test_what_cannot_be_is_refused(least: float, most: float, piston: float, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        running_pairs(parts("B", 80.05, [0]), parts("P", piston, [0]), least_mm=least, most_mm=most)
