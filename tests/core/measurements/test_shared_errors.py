"""Errors that values share, against the propagation of correlated inputs (JCGM 100:2008, 5.2.2)."""

from __future__ import annotations

from math import hypot, isclose, sqrt

from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.measurements.uncertainty.inputs import Budget, Correlation, Input, Part
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
