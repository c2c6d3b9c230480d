"""Propagation of uncertainty by the GUM: first and second order, correlation, coverage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.expression import Expression, read_expression
from runningfit.core.measurements.uncertainty.inputs import Budget, Correlation, Input, Part, effective_dof
from runningfit.core.measurements.uncertainty.measured import Measured, coverage_factor
from runningfit.core.verdicts import Reason

# The clause numbers are from memory; the figures are held against published ones (tests/published).
GUM = "JCGM 100:2008"
_FROM_MEMORY = ", clause number from memory"
# What a correlation matrix may lack of being possible, by the rounding of typed coefficients.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one input adds to the uncertainty of the result.

    Parameters
    ----------
    name : str
        The input.
    measured : Measured
        Its value and uncertainty.
    sensitivity : float
        By how much the result moves for each unit of it.
    """

    name: str
    measured: Measured
    sensitivity: float

    @property
    def u(self) -> float:
        """What it adds, in the unit of the result."""
        return abs(self.sensitivity) * self.measured.u


@dataclass(frozen=True, slots=True)
class Propagated:
    """The result of a budget.

    Parameters
    ----------
    measured : Measured
        The value with its first-order standard uncertainty and effective degrees of freedom.
    coverage : float
        The probability that the expanded interval shall hold the value [-].
    k : float
        The coverage factor [-].
    second_order_u : float or None
        The standard uncertainty with the terms of second order; none where these hold no answer.
    contributions : tuple of Contribution
        What each input adds, the largest first.
    reasons : tuple of Reason
        How it was reckoned, and what to mind.
    """

    measured: Measured
    coverage: float
    k: float
    second_order_u: float | None
    contributions: tuple[Contribution, ...]
    reasons: tuple[Reason, ...]

    @property
    def expanded_u(self) -> float:
        """The expanded uncertainty, k times the standard one."""
        return self.k * self.measured.u


def check_inputs(budget: Budget, names: Sequence[str]) -> Mapping[str, Input]:
    """Give the inputs of a budget by name, once they suit the names that its model uses.

    Parameters
    ----------
    budget : Budget
        The budget.
    names : sequence of str
        What the model uses.

    Returns
    -------
    mapping of str to Input
        Each input by its name.

    Raises
    ------
    InvalidInput
        An input twice, one that the model lacks or does not use, or correlations that cannot be.
    """
    inputs = {one.name: one for one in budget.inputs}
    if len(inputs) < len(budget.inputs):
        raise InvalidInput("inputs", needs="each name once", came="the same name twice")
    missing = [name for name in names if name not in inputs]
    if missing:
        raise InvalidInput(
            "inputs", needs=f"an entry for {', '.join(missing)}", came=", ".join(inputs) or "none",
            remedy="The model uses it.",
        )  # fmt: skip
    unused = [name for name in inputs if name not in names]
    if unused:
        raise InvalidInput(
            "inputs", needs="only what the model uses", came=", ".join(unused),
            remedy="Take it out, or put it into the model.",
        )  # fmt: skip
    correlation_matrix(tuple(inputs), budget.correlations)
    return inputs


def correlation_matrix(
    names: Sequence[str], correlations: Sequence[Correlation]
) -> tuple[tuple[float, ...], ...]:
    """Give the whole matrix of correlations, once it is a possible one.

    Parameters
    ----------
    names : sequence of str
        The inputs, in the order wanted.
    correlations : sequence of Correlation
        The pairs that err together.

    Returns
    -------
    tuple of tuple of float
        The coefficients [-]; 1 on the diagonal.

    Raises
    ------
    InvalidInput
        An unknown name, a pair told twice, a coefficient beyond 1, or ones that contradict each other.
    """
    place = {name: index for index, name in enumerate(names)}
    matrix = [[float(row == column) for column in range(len(names))] for row in range(len(names))]
    told: set[frozenset[str]] = set()
    for one in correlations:
        pair = frozenset((one.first, one.second))
        if len(pair) < 2 or not pair <= place.keys() or pair in told:
            raise InvalidInput(
                "correlation", needs="two different inputs, each pair once", came=f"{one.first}, {one.second}"
            )
        if not -1 <= one.coefficient <= 1:
            raise InvalidInput("correlation", needs="a coefficient from -1 to 1", came=f"{one.coefficient:g}")
        told.add(pair)
        row, column = place[one.first], place[one.second]
        matrix[row][column] = matrix[column][row] = one.coefficient
    if not _is_possible(matrix):
        raise InvalidInput(
            "correlations",
            needs="coefficients that can hold together",
            came=", ".join(f"{one.coefficient:g}" for one in correlations),
            remedy="Two inputs that both follow a third follow each other: check the signs.",
        )
    return tuple(map(tuple, matrix))


def _is_possible(matrix: Sequence[Sequence[float]]) -> bool:
    """Whether no mix of the inputs gets a variance below nothing: elimination, the largest pivot first."""
    rest = [list(row) for row in matrix]
    while rest:
        pivot = max(range(len(rest)), key=lambda index: rest[index][index])
        top = rest[pivot][pivot]
        if top < -_ROUNDING:
            return False
        if top <= _ROUNDING:
            return all(abs(cell) <= sqrt(_ROUNDING) for row in rest for cell in row)
        kept = [index for index in range(len(rest)) if index != pivot]
        rest = [
            [rest[row][column] - rest[row][pivot] * rest[pivot][column] / top for column in kept]
            for row in kept
        ]
    return True


def propagate(budget: Budget) -> Propagated:
    """Propagate the uncertainty of the inputs of a budget to its result.

    Parameters
    ----------
    budget : Budget
        The model, the inputs, their correlations, the coverage wanted.

    Returns
    -------
    Propagated
        The result with its uncertainty and what each input adds.

    Raises
    ------
    InvalidInput
        Inputs that do not suit the model, or a model that has no value or no slope there.

    Notes
    -----
    u² = Σᵢ Σⱼ cᵢ cⱼ uᵢ uⱼ rᵢⱼ (JCGM 100:2008, 5.2.2, equation (16)); effective degrees of freedom by Welch
    and Satterthwaite (G.4.1), of the parts that do not err together over the whole variance. The second-order
    u adds Σᵢ Σⱼ (½ fᵢⱼ² + fᵢ fᵢⱼⱼ) uᵢ² uⱼ² (note to 5.1.2; clause numbers from memory), which holds for
    independent inputs that lie normally. All derivatives are exact, by series arithmetic to the third order:
    there is no step to choose.
    """
    model = read_expression(budget.model)
    inputs = check_inputs(budget, model.names)
    values = {name: inputs[name].value for name in model.names}
    known = {name: inputs[name].measured for name in model.names}
    moving = [name for name in model.names if known[name].u > 0]
    along = {name: model.along(values, {name: 1.0}) for name in moving}
    slopes = {name: along[name].first for name in moving}
    matrix = correlation_matrix(moving, _among(budget.correlations, moving))
    scaled = [slopes[name] * known[name].u for name in moving]
    variance = sum(
        scaled[row] * scaled[column] * matrix[row][column]
        for row in range(len(moving))
        for column in range(len(moving))
    )
    u = sqrt(max(variance, 0.0))
    correlated = {name for one in budget.correlations if one.coefficient for name in (one.first, one.second)}
    dof, dof_reason = _dof(moving, known, slopes, correlated, variance)
    second, second_reason = (
        (None, "The terms of second order are not reckoned where inputs are correlated.")
        if correlated & set(moving)
        else _second_order(model, values, moving, known, slopes, variance)
    )
    k = coverage_factor(budget.coverage, dof)
    measured = Measured(model.at(values), u, dof)
    contributions = tuple(
        sorted(
            (Contribution(name, known[name], slopes.get(name, 0.0)) for name in model.names),
            key=lambda one: -one.u,
        )
    )
    reasons = [
        Reason(dof_reason, f"{GUM}, G.4.1{_FROM_MEMORY}"),
        Reason(f"k = {k:.4g} covers {budget.coverage * 100:.6g} %.", f"{GUM}, G.3.2{_FROM_MEMORY}"),
        Reason(second_reason, f"{GUM}, note to 5.1.2{_FROM_MEMORY}"),
    ]
    return Propagated(measured, budget.coverage, k, second, contributions, tuple(reasons))


def _among(correlations: Sequence[Correlation], names: Sequence[str]) -> list[Correlation]:
    return [one for one in correlations if one.first in names and one.second in names]


def _dof(
    moving: Sequence[str],
    known: Mapping[str, Measured],
    slopes: Mapping[str, float],
    correlated: set[str],
    variance: float,
) -> tuple[float, str]:
    """Effective degrees of freedom, and how they were found."""
    parts = [Part(abs(slopes[name]) * known[name].u, known[name].dof) for name in moving]
    together = [
        part.dof
        for name, part in zip(moving, parts, strict=True)
        if name in correlated and part.u > 0 and isfinite(part.dof)
    ]
    if together:
        # Welch and Satterthwaite hold for independent parts; no sum knows less than its least known part.
        least = min(part.dof for part in parts if part.u > 0)
        return least, "Inputs that err together: the degrees of freedom are those of the least known input."
    dof = effective_dof(parts)
    if correlated & set(moving) and isfinite(dof):
        # What errs together may cancel: the whole is then less than the sum of its parts, and knows less.
        dof = max(1.0, dof * (variance / sum(part.u**2 for part in parts)) ** 2)
    if not isfinite(dof):
        return dof, "Each uncertainty is taken as exact, so the degrees of freedom are without end."
    return dof, f"{dof:.1f} effective degrees of freedom, cut down to {int(dof * (1 + 1e-12))} for k."


def _second_order(
    model: Expression,
    values: Mapping[str, float],
    moving: Sequence[str],
    known: Mapping[str, Measured],
    slopes: Mapping[str, float],
    variance: float,
) -> tuple[float | None, str]:
    """The standard uncertainty with the terms of second order, and a word on it."""
    # In steps of one standard uncertainty, so that no unit is too small for the arithmetic.
    step = {name: known[name].u for name in moving}
    alone = {name: model.along(values, {name: step[name]}) for name in moving}
    added = 0.0
    for first in moving:
        for second in moving:
            if first == second:
                bend = 2 * alone[first].second
                twist = 6 * alone[first].third
            else:
                plus = model.along(values, {first: step[first], second: step[second]})
                minus = model.along(values, {first: step[first], second: -step[second]})
                bend = (plus.second - minus.second) / 2
                # Of the third derivatives along both diagonals only f_iii and f_ijj stay in the sum.
                twist = (plus.third + minus.third) - 2 * alone[first].third
            added += 0.5 * bend**2 + slopes[first] * step[first] * twist
    whole = variance + added
    if whole < 0:
        return None, "The terms of second order would make it less than nothing: check by Monte Carlo."
    with_terms = sqrt(whole)
    first_order = sqrt(max(variance, 0.0))
    if with_terms > 1.05 * first_order:
        return (
            with_terms,
            f"With the terms of second order u is {with_terms:.4g}, more than the {first_order:.4g}.",
        )
    return with_terms, "The terms of second order change u by less than 5 %."


def covariance_of_results(models: Sequence[str], budget: Budget) -> tuple[tuple[float, ...], ...]:
    """Give the covariances of several results that are made of the same inputs.

    Parameters
    ----------
    models : sequence of str
        The formula of each result; between them they use every input.
    budget : Budget
        The inputs and their correlations; its own model is not looked at.

    Returns
    -------
    tuple of tuple of float
        The covariance of each pair, in the product of their units; variances on the diagonal.

    Raises
    ------
    InvalidInput
        Inputs that do not suit the models.

    Notes
    -----
    u(yₖ, yₗ) = Σᵢ Σⱼ (∂yₖ/∂xᵢ) (∂yₗ/∂xⱼ) u(xᵢ, xⱼ) (JCGM 100:2008, H.2.3, equation (H.9), numbers
    from memory).
    """
    read = [read_expression(model) for model in models]
    names = tuple(dict.fromkeys(name for model in read for name in model.names))
    inputs = check_inputs(budget, names)
    matrix = correlation_matrix(names, budget.correlations)
    values = {name: inputs[name].value for name in names}
    scaled = [
        [model.along(values, {name: 1.0}).first * inputs[name].measured.u for name in names] for model in read
    ]
    return tuple(
        tuple(
            sum(
                one[row] * two[column] * matrix[row][column]
                for row in range(len(names))
                for column in range(len(names))
            )
            for two in scaled
        )
        for one in scaled
    )
