"""Shells by grade: the nearest to the middle of all pairs, with the probability that draws have."""

from __future__ import annotations

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.shells import (
    ShellGrade,
    ShellPlace,
    SizeBand,
    choose_shells,
)
from runningfit.core.measurements.conformity.bounds import Bounds

LIMITS = Bounds(0.020, 0.050)
GRADES = [
    ShellGrade(name, low, low + 0.004)
    for name, low in (("red", 1.976), ("blue", 1.980), ("green", 1.984), ("brown", 1.988))
]


def measured(mm: float, u_mm: float = 0.002) -> SizeBand:
    return SizeBand(mm, mm, u_mm)


PLACE = ShellPlace("main 1", measured(58.012), measured(54.009))


@given(
    st.lists(st.tuples(st.floats(57.99, 58.03), st.floats(53.99, 54.02)), min_size=1, max_size=5),
    st.booleans(),
)
def test_no_other_pair_leaves_a_clearance_nearer_to_the_middle(
    sizes: list[tuple[float, float]], mixed: bool
) -> None:
    places = [
        ShellPlace(f"main {number}", measured(housing), measured(journal))
        for number, (housing, journal) in enumerate(sizes, 1)
    ]
    plan = choose_shells(places, GRADES, LIMITS, mixed=mixed)
    for place, choice, second in zip(places, plan.choices, plan.second_best, strict=True):
        off = {
            (upper.name, lower.name): abs(
                place.housing.middle_mm
                - place.journal.middle_mm
                - (upper.low_mm + upper.high_mm) / 2
                - (lower.low_mm + lower.high_mm) / 2
                - 0.035
            )
            for i, upper in enumerate(GRADES)
            for j, lower in enumerate(GRADES)
            if i == j or (mixed and j == i + 1)
        }
        assert off[(choice.upper, choice.lower)] <= min(off.values()) + 2e-7
        assert second is not None
        assert off[(second.upper, second.lower)] == pytest.approx(sorted(off.values())[1], abs=2e-7)
        assert (place.name in plan.impossible) == (not 0.020 <= choice.clearance_mm <= 0.050)


@pytest.mark.parametrize("by_code", [False, True])
def test_the_probability_is_that_of_draws(by_code: bool) -> None:
    place = (
        ShellPlace("main 1", SizeBand(58.000, 58.018), SizeBand(54.000, 54.008))
        if by_code
        else ShellPlace("main 1", measured(58.020, 0.004), measured(54.009, 0.005), 0.003)
    )
    draws = numpy.random.default_rng(2)
    count = 400_000
    if by_code:
        room = draws.uniform(58.000, 58.018, count) - draws.uniform(54.000, 54.008, count)
    else:
        shared = draws.normal(0, 0.003, count)
        housing = 58.020 + shared + draws.normal(0, (0.004**2 - 0.003**2) ** 0.5, count)
        room = housing - (54.009 + shared + draws.normal(0, 0.004, count))
    for grade in GRADES:
        choice = choose_shells([place], [grade], LIMITS).choices[0]
        shells = draws.uniform(grade.low_mm, grade.high_mm, (2, count)).sum(0)
        clearance = room - shells
        inside = ((clearance >= 0.020) & (clearance <= 0.050)).mean()
        assert choice.probability_within == pytest.approx(inside, abs=0.003)
        assert choice.clearance_mm == pytest.approx(clearance.mean(), abs=1e-4)


def test_a_thicker_shell_closes_and_the_worst_ends_are_shown() -> None:
    plan = choose_shells([PLACE], GRADES, LIMITS)
    choice = plan.choices[0]
    assert (choice.upper, choice.lower) == ("blue", "blue")
    assert choice.clearance_mm == pytest.approx(58.012 - 54.009 - 2 * 1.982)
    assert choice.high_mm - choice.low_mm == pytest.approx(2 * (2 * 0.002 + 3 * numpy.hypot(0.002, 0.002)))
    assert plan.impossible == ()


def test_where_no_grade_suits_it_says_so_and_shows_the_nearest() -> None:
    worn = ShellPlace("main 2", measured(58.012), measured(53.9))
    plan = choose_shells([PLACE, worn], GRADES, LIMITS)
    assert plan.impossible == ("main 2",)
    assert plan.choices[1].upper == "brown"
    assert plan.choices[1].probability_within < 1e-6


def test_one_grade_has_no_second_best() -> None:
    assert choose_shells([PLACE], GRADES[:1], LIMITS).second_best == (None,)


@pytest.mark.parametrize(
    ("build", "why"),
    [
        (lambda: choose_shells([], GRADES, LIMITS), "at least one"),
        (lambda: choose_shells([PLACE], [], LIMITS), "at least one"),
        (lambda: choose_shells([PLACE, PLACE], GRADES, LIMITS), "each name once"),
        (lambda: choose_shells([PLACE], GRADES, Bounds(lower=0.02)), "one of them"),
        (lambda: ShellGrade("red", 197.6, 198.0), "decimal point"),
        (lambda: measured(58.0, 0.0), "No gauge is exact"),
        (lambda: SizeBand(58.1, 58.0), "least before the largest"),
        (lambda: ShellPlace("main 1", measured(58.0), measured(54.0), 0.01), "the smaller one"),
        (
            lambda: choose_shells([ShellPlace("m", measured(54.0), measured(58.0))], GRADES, LIMITS),
            "which is which",
        ),
    ],
)
def test_what_cannot_be_is_refused(build: object, why: str) -> None:
    assert callable(build)
    with pytest.raises(InvalidInput, match=why):
        build()
