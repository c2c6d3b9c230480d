"""Errors that values share, against the propagation of correlated inputs (JCGM 100:2008, 5.2.2)."""

from __future__ import annotations

from math import hypot, inf, isclose, sqrt
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.together import (
    OneOfMany,
    ReadOfSet,
    all_conform,
    set_conforms,
)
from runningfit.core.measurements.uncertainty.columns import OwnError
from runningfit.core.measurements.uncertainty.inputs import Budget, Correlation, Input, Part
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.propagation import propagate
from runningfit.core.measurements.uncertainty.shared import SharedPart, u_in_common, u_of_sum

RING, DRIFT, OWN = SharedPart("ring", 0.002), SharedPart("drift", 0.0015), SharedPart("setting", 0.001)
AMOUNTS = st.floats(1e-4, 1e-1)


def test_what_bore_and_piston_share_cancels_between_them() -> None:
    assert u_of_sum([(1, [RING, DRIFT, OWN]), (-1, [RING, DRIFT])]) == 0.001
    assert isclose(u_in_common([RING, DRIFT, OWN], [RING, DRIFT]), hypot(0.002, 0.0015))


def test_what_two_shells_share_counts_twice() -> None:
    assert u_of_sum([(1, [RING]), (1, [RING])]) == 0.004


def test_errors_apart_add_as_squares() -> None:
    assert isclose(u_of_sum([(1, [RING]), (-1, [DRIFT])]), 0.0025)
    assert u_in_common([RING], [DRIFT]) == 0.0


def test_values_that_err_against_each_other_have_nothing_to_cancel() -> None:
    assert u_in_common([SharedPart("thermometer", 0.001)], [SharedPart("thermometer", -0.002)]) == 0.0


@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_it_agrees_with_the_propagation_of_correlated_inputs(a: float, b: float, c: float, d: float) -> None:
    """JCGM 100:2008, 5.2.2: u² = Σ u² + 2 Σ c c u u r, reckoned by the budget with its correlation."""
    first = [SharedPart("one", a), SharedPart("two", b)]
    second = [SharedPart("one", c), SharedPart("three", d)]
    u_first, u_second = hypot(a, b), hypot(c, d)
    budget = Budget(
        "first - second",
        (Input("first", 80.0, (Part(u_first),)), Input("second", 79.9, (Part(u_second),))),
        (Correlation("first", "second", a * c / (u_first * u_second)),),
    )
    found = u_of_sum([(1, first), (-1, second)])
    assert isclose(found, propagate(budget).measured.u, rel_tol=1e-9)
    assert isclose(found, sqrt(u_first**2 + u_second**2 - 2 * u_in_common(first, second) ** 2), rel_tol=1e-9)


def test_a_set_conforms_as_the_integral_over_its_shared_error_has_it() -> None:
    """Against `all_conform`, which integrates over one error that all share; here some share a second one."""
    values = (30.004, 30.009, 30.002)
    bounds = Bounds(30.0, 30.02)
    by_integral = all_conform([OneOfMany(Measured(one, 0.003), bounds) for one in values], 0.004)
    ring = (SharedPart("ring", 0.004),)
    by_draws = set_conforms([ReadOfSet(one, OwnError(0.003, inf), ring, bounds) for one in values])
    assert isclose(by_draws.together, by_integral.together, abs_tol=0.015)
    assert isclose(by_draws.as_if_apart, by_integral.as_if_apart, abs_tol=0.015)
    two = (SharedPart("ring", 0.004), SharedPart("drift", 0.003))
    mixed = set_conforms(
        [ReadOfSet(30.004, OwnError(1e-6, inf), shared, Bounds(lower=30.0)) for shared in (two, two)]
    )
    assert isclose(mixed.together, NormalDist().cdf(0.004 / 0.005), abs_tol=0.01)


def test_a_set_of_nothing_or_without_any_uncertainty_is_refused() -> None:
    with pytest.raises(InvalidInput, match="values needs at least one"):
        set_conforms([])
    with pytest.raises(InvalidInput, match="uncertainty needs more than nothing"):
        set_conforms([ReadOfSet(30.0, OwnError(0.0, inf), (), Bounds(29.0, 31.0))])
