"""Propagation of whole distributions by draws, as the cross-check of the GUM's formula (JCGM 101)."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, isfinite, log10, pi, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.expression import read_expression
from runningfit.core.measurements.uncertainty.inputs import Budget, Input, Part, Shape
from runningfit.core.measurements.uncertainty.propagation import (
    Propagated,
    check_inputs,
    correlation_matrix,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

_BLOCK = 10_000
_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Interval:
    """A coverage interval.

    Parameters
    ----------
    low, high : float
        Its ends, in the unit of the result.
    """

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """The result of a budget by draws.

    Parameters
    ----------
    value : float
        The mean of the draws.
    u : float
        Their standard deviation.
    symmetric : Interval
        The interval with as much left out below as above.
    shortest : Interval
        The shortest interval of that coverage.
    trials : int
        How many draws were made.
    settled : bool
        Whether all figures hold to two digits of the uncertainty, by their scatter from block to block.
    """

    value: float
    u: float
    symmetric: Interval
    shortest: Interval
    trials: int
    settled: bool


def draw(budget: Budget, *, seed: int = 1, most_trials: int = 2_000_000) -> Drawn:
    """Propagate the distributions of the inputs by draws, until the answer is settled.

    Parameters
    ----------
    budget : Budget
        The model and its inputs.
    seed : int
        Where the generator starts; the same seed gives the same draws.
    most_trials : int
        After how many draws to end in any case.

    Returns
    -------
    Drawn
        Value, standard uncertainty and both coverage intervals.

    Raises
    ------
    InvalidInput
        Inputs that do not suit the model, correlated inputs that are not normal, a part with so few degrees
        of freedom that its draws have no standard deviation, or a model without a value for some draw.

    Notes
    -----
    The adaptive procedure of JCGM 101:2008, 7.9, with two significant digits and blocks of 10 000: it ends
    when twice the standard deviation of the mean over the blocks is below the numerical tolerance for the
    value, u and both ends of the symmetric interval. Shapes by 6.4 (clause numbers from
    memory); correlated inputs are drawn as a multivariate normal, or as a multivariate t where they have
    finite degrees of freedom.
    """
    import numpy

    model = read_expression(budget.model)
    inputs = check_inputs(budget, model.names)
    known = [inputs[name] for name in model.names]
    generator = numpy.random.default_rng(seed)
    blocks: list[NDArray[np.float64]] = []
    figures: list[tuple[float, float, float, float]] = []
    settled = False
    while not settled and (len(blocks) + 1) * _BLOCK <= max(most_trials, 2 * _BLOCK):
        columns = _columns(known, budget, generator)
        drawn = numpy.sort(model.many(columns))
        blocks.append(drawn)
        ends = _symmetric(drawn, budget.coverage)
        figures.append((float(drawn.mean()), float(drawn.std(ddof=1)), ends.low, ends.high))
        settled = _is_settled(numpy.asarray(figures))
    every = numpy.sort(numpy.concatenate(blocks))
    return Drawn(
        float(every.mean()),
        float(every.std(ddof=1)),
        _symmetric(every, budget.coverage),
        _shortest(every, budget.coverage),
        len(every),
        settled,
    )


def _columns(
    known: Sequence[Input], budget: Budget, generator: np.random.Generator
) -> dict[str, NDArray[np.float64]]:
    """One block of draws of each input."""
    import numpy

    together = {name for one in budget.correlations for name in (one.first, one.second)}
    columns = {
        one.name: one.value + sum((_part(part, generator) for part in one.parts), numpy.zeros(_BLOCK))
        for one in known
        if one.name not in together
    }
    group = [one for one in known if one.name in together]
    if group:
        if any(part.shape is not Shape.NORMAL for one in group for part in one.parts):
            raise InvalidInput(
                "correlated inputs",
                needs="a normal shape to be drawn together",
                came="another shape",
                remedy="Leave the draws out, or put what they share into the model as an input of its own.",
            )
        matrix = numpy.asarray(correlation_matrix([one.name for one in group], budget.correlations))
        values, vectors = numpy.linalg.eigh(matrix)
        root = vectors * numpy.sqrt(numpy.maximum(values, 0.0))
        normal = generator.standard_normal((_BLOCK, len(group))) @ root.T
        least = min(one.measured.dof for one in group)
        if isfinite(least):
            _check_drawable(least)
            normal *= numpy.sqrt(least / generator.chisquare(least, _BLOCK))[:, None]
        for index, one in enumerate(group):
            columns[one.name] = one.value + one.measured.u * normal[:, index]
    return columns


def _check_drawable(dof: float) -> None:
    if dof <= 2:
        raise InvalidInput(
            "degrees of freedom",
            needs="more than 2 in a normal part that is drawn",
            came=f"{dof:g}",
            remedy="Read it at least four times, or give the part a shape and a half-width.",
        )


def _part(part: Part, generator: np.random.Generator) -> NDArray[np.float64]:
    """Draws of one part around nought."""
    import numpy

    match part.shape:
        case Shape.NORMAL if isfinite(part.dof):
            _check_drawable(part.dof)
            return part.u * generator.standard_t(part.dof, _BLOCK)
        case Shape.NORMAL:
            return part.u * generator.standard_normal(_BLOCK)
        case Shape.RECTANGULAR:
            return part.u * sqrt(3) * generator.uniform(-1, 1, _BLOCK)
        case Shape.TRIANGULAR:
            return part.u * sqrt(6) * (generator.random(_BLOCK) - generator.random(_BLOCK))
        case Shape.U_SHAPED:
            return part.u * sqrt(2) * numpy.cos(pi * generator.random(_BLOCK))
        case Shape.TRAPEZOIDAL:
            # The sum of two rectangles (JCGM 101:2008, 6.4.4, from memory).
            half = part.u * sqrt(6 / (1 + part.top**2))
            wide, narrow = half * (1 + part.top) / 2, half * (1 - part.top) / 2
            return wide * generator.uniform(-1, 1, _BLOCK) + narrow * generator.uniform(-1, 1, _BLOCK)


def tolerance(u: float) -> float:
    """Give half a unit in the second significant digit of an uncertainty.

    Parameters
    ----------
    u : float
        The standard uncertainty.

    Returns
    -------
    float
        The numerical tolerance, in the same unit.

    Notes
    -----
    δ = ½ 10^l where u = c 10^l with a whole c of two digits (JCGM 101:2008, 7.9.2, from
    memory).
    """
    return 0.5 * 10.0 ** (floor(log10(u)) - _DIGITS + 1) if u > 0 else 0.0


def _is_settled(figures: NDArray[np.float64]) -> bool:
    if len(figures) < 2:
        return False
    scatter = figures.std(axis=0, ddof=1) / sqrt(len(figures))
    return bool((2 * scatter <= tolerance(float(figures[:, 1].mean()))).all())


def _ranks(count: int, coverage: float) -> int:
    return min(count - 1, floor(coverage * count + 0.5))


def _symmetric(drawn: NDArray[np.float64], coverage: float) -> Interval:
    inside = _ranks(len(drawn), coverage)
    low = (len(drawn) - inside) // 2
    return Interval(float(drawn[low]), float(drawn[min(low + inside, len(drawn) - 1)]))


def _shortest(drawn: NDArray[np.float64], coverage: float) -> Interval:
    inside = _ranks(len(drawn), coverage)
    low = int((drawn[inside:] - drawn[: len(drawn) - inside]).argmin())
    return Interval(float(drawn[low]), float(drawn[low + inside]))


def agrees(propagated: Propagated, drawn: Drawn) -> bool:
    """Say whether the formula's interval and that of the draws are the same to two digits.

    Parameters
    ----------
    propagated : Propagated
        The result by the formula.
    drawn : Drawn
        The result by draws.

    Returns
    -------
    bool
        Whether both ends differ by no more than the numerical tolerance.

    Notes
    -----
    JCGM 101:2008, 8.1 and 8.2 (clause numbers from memory).
    """
    measured, half = propagated.measured, propagated.expanded_u
    most = tolerance(measured.u)
    return (
        abs(measured.value - half - drawn.symmetric.low) <= most
        and abs(measured.value + half - drawn.symmetric.high) <= most
    )
