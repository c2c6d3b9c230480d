"""Uncertainty: Student's distribution, formulas, derivatives, propagation and draws."""

from __future__ import annotations

from dataclasses import replace
from math import cos, exp, inf, isinf, log, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.expression import read_expression
from runningfit.core.measurements.uncertainty.inputs import (
    Budget,
    Correlation,
    Input,
    Part,
    Shape,
    dof_of_doubt,
    effective_dof,
    half_width_u,
)
from runningfit.core.measurements.uncertainty.measured import (
    Measured,
    correlation_of_readings,
    coverage_factor,
    mean_of_readings,
)
from runningfit.core.measurements.uncertainty.monte_carlo import agrees, draw, tolerance
from runningfit.core.measurements.uncertainty.propagation import propagate
from runningfit.core.measurements.uncertainty.student import (
    student_below,
    student_density,
    student_quantile,
)


def normal(name: str, value: float, u: float, dof: float = inf) -> Input:
    return Input(name, value, (Part(u, dof),))


@pytest.mark.parametrize("dof", [1, 2, 3.5, 9, 50, 1e6, inf])
@pytest.mark.parametrize("x", [-30.0, -4.0, -1.0, -1e-3, 0.0, 0.5, 2.0, 8.0])
def test_students_distribution_is_that_of_scipy(x: float, dof: float) -> None:
    theirs = stats.norm if isinf(dof) else stats.t(dof)
    assert student_below(x, dof) == pytest.approx(float(theirs.cdf(x)), rel=1e-8, abs=1e-300)
    assert student_density(x, dof) == pytest.approx(float(theirs.pdf(x)), rel=1e-8)


@pytest.mark.parametrize("dof", [1, 2, 3.5, 9, 50, 1e6, inf])
@pytest.mark.parametrize("share", [1e-6, 0.025, 0.3, 0.5, 0.975, 0.9999])
def test_students_quantile_is_that_of_scipy(share: float, dof: float) -> None:
    theirs = stats.norm if isinf(dof) else stats.t(dof)
    assert student_quantile(share, dof) == pytest.approx(float(theirs.ppf(share)), rel=1e-8, abs=1e-12)


def test_a_coverage_factor_cuts_degrees_of_freedom_down() -> None:
    assert coverage_factor(0.95, 16.99) == coverage_factor(0.95, 16)
    # What a float makes of a whole number of degrees of freedom stays that number.
    assert coverage_factor(0.95, 9 - 1e-14) == coverage_factor(0.95, 9)


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (lambda: student_below(0, 0.5), "degrees of freedom needs one or more; '0.5' came"),
        (lambda: student_quantile(1, 5), "probability needs more than 0 and less than 1; '1' came"),
        (lambda: coverage_factor(95, 5), "coverage needs .*0.95; '95' came.*Write 0.95 for 95 %"),
        (lambda: Measured(1, -0.1), "uncertainty needs a finite number, not negative; '-0.1' came"),
        (lambda: Measured(inf, 0.1), "value needs a finite number; 'inf' came"),
        (
            lambda: mean_of_readings([3.0]),
            "readings needs at least two of the same thing; 'one reading' came",
        ),
        (lambda: correlation_of_readings([1, 1], [1, 2]), "readings that differ; .*all equal"),
        (
            lambda: correlation_of_readings([1, 2, 3], [1, 2]),
            "as many of the one as of the other.*'3 and 2' came",
        ),
        (lambda: half_width_u(1, Shape.NORMAL), "half-width needs a shape that has a width"),
        (lambda: half_width_u(-1, Shape.TRIANGULAR), "half-width needs a finite number, not negative"),
        (lambda: half_width_u(1, Shape.TRAPEZOIDAL, 1.5), "top needs .*0 to 1; '1.5' came"),
        (lambda: dof_of_doubt(10), "doubt needs more than 0 and at most 0.7, .*; '10' came"),
    ],
)
def test_what_cannot_be_is_refused(asked: object, text: str) -> None:
    assert callable(asked)
    with pytest.raises(InvalidInput, match=text):
        asked()


def test_repeats_give_the_mean_and_its_uncertainty() -> None:
    found = mean_of_readings([79.412, 79.415, 79.413, 79.414])
    assert found.value == pytest.approx(79.4135)
    assert found.u == pytest.approx(float(np.std([12, 15, 13, 14], ddof=1)) * 1e-3 / 2)
    assert found.dof == 3


@pytest.mark.parametrize(
    ("shape", "top", "divisor"),
    [
        (Shape.RECTANGULAR, 0.0, sqrt(3)),
        (Shape.TRIANGULAR, 0.0, sqrt(6)),
        (Shape.U_SHAPED, 0.0, sqrt(2)),
        (Shape.TRAPEZOIDAL, 0.0, sqrt(6)),
        (Shape.TRAPEZOIDAL, 1.0, sqrt(3)),
    ],
)
def test_a_half_width_becomes_a_standard_uncertainty(shape: Shape, top: float, divisor: float) -> None:
    assert half_width_u(6.0, shape, top) == pytest.approx(6.0 / divisor)


def test_degrees_of_freedom_hold_for_the_smallest_units() -> None:
    parts = [Part(3e-100, 5), Part(4e-100, 8)]
    assert effective_dof(parts) == pytest.approx(effective_dof([Part(3, 5), Part(4, 8)]))
    assert effective_dof(parts) == pytest.approx(25**2 / (81 / 5 + 256 / 8))


FORMULAS = [
    ("a * b - a / b", lambda a, b: a * b - a / b),
    ("sqrt(a) * exp(-b) + log(a)", lambda a, b: sqrt(a) * exp(-b) + log(a)),
    ("sin(a) ** 3 + cos(b) * tan(a)", lambda a, b: sin(a) ** 3 + cos(b) * np.tan(a)),
    (
        "asin(a / 9) + acos(b / 9) - atan(a * b)",
        lambda a, b: np.arcsin(a / 9) + np.arccos(b / 9) - np.arctan(a * b),
    ),
    ("a ** b + 2 ** -a + log10(b)", lambda a, b: a**b + 2**-a + np.log10(b)),
]


@pytest.mark.parametrize(("text", "plain"), FORMULAS)
def test_derivatives_along_a_line_are_those_of_a_polynomial_through_it(text: str, plain: object) -> None:
    assert callable(plain)
    values, direction = {"a": 0.7, "b": 1.3}, {"a": 0.6, "b": -0.4}
    model = read_expression(text)
    found = model.along(values, direction)
    t = np.linspace(-0.12, 0.12, 41)
    along = [float(plain(0.7 + 0.6 * x, 1.3 - 0.4 * x)) for x in t]
    series = np.polynomial.Polynomial.fit(t, along, 14).convert().coef
    assert [found.at, found.first, found.second, found.third] == pytest.approx(series[:4], rel=1e-5, abs=1e-7)
    assert model.at(values) == pytest.approx(along[20], rel=1e-14)
    columns = {"a": 0.7 + 0.6 * t, "b": 1.3 - 0.4 * t}
    assert model.many(columns) == pytest.approx(along, rel=1e-13)


def test_a_whole_power_has_its_derivatives_at_nought() -> None:
    found = read_expression("x ** 2 + 3 * x").along({"x": 0.0}, {"x": 1.0})
    assert (found.at, found.first, found.second, found.third) == (0.0, 3.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "nothing"),
        ("a +", r"Write it as a formula"),
        ("__import__('os').system('x')", "is none of these"),
        ("a.b", "'a.b' is none of these"),
        ("a[0]", "is none of these"),
        ("(lambda: 1)()", "is none of these"),
        ("a if b else c", "is none of these"),
        ("a < b", "is none of these"),
        ("'text'", "is none of these"),
        ("True", "True and False are no numbers"),
        ("1j * a", "is none of these"),
        ("1e400", "is none of these"),
        ("a ^ 2", r"Write \*\* for a power"),
        ("sqrt", "sqrt is a function"),
        ("sqrt(a, b)", "is none of these"),
        ("erf(a)", r"'erf\(a\)' is none of these"),
        ("(" * 300 + "a" + ")" * 300, "Write it as a formula"),
        ("-" * 200 + "a", "nested too deeply"),
        ("a" * 3000, "1 to 2000 characters"),
    ],
)
def test_only_a_formula_is_a_formula(text: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        read_expression(text)


@pytest.mark.parametrize(
    "text", ["1 / a", "log(a)", "sqrt(a - 1)", "(a - 1) ** 0.5", "9 ** 9 ** 9 ** 9 * (a + 1)"]
)
def test_a_formula_without_a_value_says_where(text: str) -> None:
    model = read_expression(text)
    with pytest.raises(InvalidInput, match=r"a finite value at its inputs; .* came. It has none at a = "):
        model.at({"a": 0.0})
    with pytest.raises(InvalidInput, match=r"a finite value|a value for all"):
        model.many({"a": np.zeros(3)})


def test_a_missing_input_is_named() -> None:
    with pytest.raises(InvalidInput, match=r"model needs a value for b; 'a \* b' came"):
        read_expression("a * b").at({"a": 1.0})


sizes = st.floats(0.1, 10)


@given(sizes, sizes, st.floats(0.01, 0.99))
def test_a_sum_of_correlated_inputs_has_the_variance_of_a_sum(u1: float, u2: float, r: float) -> None:
    told = Budget("2 * a - b", (normal("a", 1, u1), normal("b", 2, u2)), (Correlation("a", "b", r),))
    found = propagate(told)
    assert found.measured.u == pytest.approx(sqrt(4 * u1**2 + u2**2 - 4 * r * u1 * u2), rel=1e-9)
    assert found.second_order_u is None


@given(st.floats(-3, 3), sizes)
def test_the_square_of_a_normal_value_has_its_exact_spread(mean: float, u: float) -> None:
    found = propagate(Budget("a ** 2", (normal("a", mean, u),)))
    # The square of a normal value has the variance 4 m² u² + 2 u⁴: the terms of second order are exact.
    assert found.second_order_u == pytest.approx(sqrt(4 * mean**2 * u**2 + 2 * u**4), rel=1e-9)
    assert found.measured.u == pytest.approx(2 * abs(mean) * u)


@given(sizes, sizes, sizes, sizes)
def test_the_product_of_two_normal_values_has_its_exact_spread(
    a: float, b: float, ua: float, ub: float
) -> None:
    found = propagate(Budget("a * b", (normal("a", a, ua), normal("b", b, ub))))
    assert found.second_order_u == pytest.approx(sqrt(b**2 * ua**2 + a**2 * ub**2 + ua**2 * ub**2), rel=1e-9)


def test_the_terms_of_third_derivatives_count() -> None:
    # f = x y²: f_x f_xyy u_x² u_y² and its like do not vanish; by hand, all terms of the note to 5.1.2.
    x, y, ux, uy = 2.0, 3.0, 0.1, 0.2
    found = propagate(Budget("x * y ** 2", (normal("x", x, ux), normal("y", y, uy))))
    first = y**4 * ux**2 + (2 * x * y * uy) ** 2
    second = 0.5 * (2 * x) ** 2 * uy**4 + (2 * y) ** 2 * ux**2 * uy**2 + y**2 * 2 * ux**2 * uy**2
    assert found.second_order_u == pytest.approx(sqrt(first + second), rel=1e-12)


def test_contributions_are_listed_with_the_largest_first() -> None:
    found = propagate(Budget("a + 5 * b + c", (normal("a", 0, 3), normal("b", 0, 1, 4), Input("c", 2.0))))
    assert [(one.name, one.u) for one in found.contributions] == [("b", 5.0), ("a", 3.0), ("c", 0.0)]
    assert found.measured.dof == pytest.approx((25 + 9) ** 2 / (625 / 4))


def test_degrees_of_freedom_are_those_of_what_is_left_where_errors_cancel() -> None:
    # a and b cancel all but 0.02 of their variance of 2, so c with 3 degrees of freedom is most of the whole.
    told = Budget(
        "a + b + c",
        (normal("a", 1, 1), normal("b", 1, 1), normal("c", 1, 0.2, 3)),
        (Correlation("a", "b", -0.99),),
    )
    found = propagate(told).measured
    assert found.u == pytest.approx(sqrt(0.02 + 0.04))
    assert found.dof == pytest.approx(0.06**2 / (0.04**2 / 3))
    # The same by draws of what an estimate of the variance is worth: 2 / (relative variance of u^2).
    variances = 0.02 + 0.04 * stats.chi2(3).rvs(200_000, random_state=7) / 3
    assert found.dof == pytest.approx(2 * np.mean(variances) ** 2 / np.var(variances), rel=0.03)


def test_correlated_inputs_keep_the_fewest_degrees_of_freedom() -> None:
    told = Budget(
        "a + b + c",
        (normal("a", 0, 1, 4), normal("b", 0, 1, 9), normal("c", 0, 1)),
        (Correlation("a", "b", 0.5),),
    )
    assert propagate(told).measured.dof == 4
    assert "least known" in propagate(told).reasons[0].text


A, B, C = normal("a", 1, 1), normal("b", 1, 1), normal("c", 1, 1)


@pytest.mark.parametrize(
    ("told", "text"),
    [
        (Budget("a + b", (A,)), "inputs needs an entry for b; 'a' came"),
        (Budget("a", (A, B)), "only what the model uses; 'b' came"),
        (Budget("a + b", (A, B, A)), "each name once"),
        (Budget("a + b", (A, B), (Correlation("a", "b", 1.5),)), "coefficient from -1 to 1; '1.5' came"),
        (Budget("a + b", (A, B), (Correlation("a", "a", 0.5),)), "two different inputs"),
        (
            Budget("a + b", (A, B), (Correlation("a", "b", 0.5), Correlation("b", "a", 0.5))),
            "each pair once",
        ),
        (
            Budget(
                "a + b + c",
                (A, B, C),
                (Correlation("a", "b", 0.9), Correlation("b", "c", 0.9), Correlation("a", "c", -0.9)),
            ),
            "can hold together; .*Two inputs that both follow a third",
        ),
    ],
)
def test_a_budget_that_does_not_hold_together_is_refused(told: Budget, text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        propagate(told)


@pytest.mark.parametrize(
    "part",
    [
        Part(2.0),
        Part(2.0, 12),
        Part(2.0, shape=Shape.RECTANGULAR),
        Part(2.0, shape=Shape.TRIANGULAR),
        Part(2.0, shape=Shape.U_SHAPED),
        Part(2.0, shape=Shape.TRAPEZOIDAL, top=0.4),
    ],
    ids=lambda part: f"{part.shape} {part.dof}",
)
def test_draws_have_the_spread_of_their_shape(part: Part) -> None:
    drawn = draw(Budget("a", (Input("a", 5.0, (part,)),)), seed=3)
    # Student's distribution of ν degrees of freedom is wider by √(ν / (ν - 2)).
    wider = sqrt(part.dof / (part.dof - 2)) if part.dof < inf else 1.0
    assert drawn.settled
    assert drawn.value == pytest.approx(5.0, abs=0.03)
    assert drawn.u == pytest.approx(2.0 * wider, rel=0.01)
    assert drawn.symmetric.low < drawn.value < drawn.symmetric.high
    assert drawn.shortest.high - drawn.shortest.low <= drawn.symmetric.high - drawn.symmetric.low


def test_draws_of_a_lopsided_result_have_a_shorter_interval() -> None:
    drawn = draw(Budget("exp(a)", (normal("a", 0, 1),)), seed=3)
    assert drawn.symmetric.low == pytest.approx(exp(-1.96), rel=0.05)
    assert drawn.symmetric.high == pytest.approx(exp(1.96), rel=0.05)
    # The shortest interval of a lognormal leaves nearly all of the 5 % out above.
    assert drawn.shortest.low < 0.6 * drawn.symmetric.low
    assert drawn.shortest.high < 0.85 * drawn.symmetric.high


def test_draws_follow_the_correlation_and_agree_with_the_formula() -> None:
    told = Budget("a - b", (normal("a", 1, 1), normal("b", 0, 1)), (Correlation("a", "b", 0.8),))
    drawn, formula = draw(told, seed=5), propagate(told)
    assert drawn.u == pytest.approx(sqrt(0.4), rel=0.01)
    assert agrees(formula, drawn)
    assert not agrees(replace(formula, k=3.0), drawn)


def test_the_same_seed_gives_the_same_draws() -> None:
    told = Budget("a", (normal("a", 1, 1),))
    assert draw(told, seed=5) == draw(told, seed=5)
    assert draw(told, seed=5) != draw(told, seed=6)


def test_draws_that_do_not_settle_say_so() -> None:
    told = Budget("1 / a", (normal("a", 0.0, 1.0),))
    drawn = draw(told, seed=1, most_trials=50_000)
    assert (drawn.settled, drawn.trials) == (False, 50_000)


@pytest.mark.parametrize(
    ("told", "text"),
    [
        (Budget("a", (normal("a", 0, 1, 2),)), "more than 2 in a normal part.*at least four times"),
        (Budget("sqrt(a)", (normal("a", 1, 1),)), "a value for all that its inputs can be"),
        (
            Budget(
                "a + b",
                (A, Input("b", 0, (Part(1, shape=Shape.RECTANGULAR),))),
                (Correlation("a", "b", 0.5),),
            ),
            "correlated inputs needs a normal shape",
        ),
    ],
)
def test_what_cannot_be_drawn_is_refused(told: Budget, text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        draw(told)


def test_the_numerical_tolerance_is_half_of_the_second_digit() -> None:
    assert [tolerance(u) for u in (0.0754, 2.0, 10.1, 0.0)] == pytest.approx([0.0005, 0.05, 0.5, 0.0])
