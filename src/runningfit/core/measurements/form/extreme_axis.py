"""The axis of an extreme cylinder: from the best circle at each of some tilts, by linear programs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.circles import Method, fit_circle
from runningfit.core.measurements.form.points import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_MOST_STEPS = 80
# Steps below this share of the radius change nothing that a gauge could show.
_SMALLEST = 1e-11
_TILTS = 8


@dataclass(frozen=True, slots=True)
class Axis:
    """A line in space.

    Parameters
    ----------
    at : array of float, shape (3,)
        A point of it [mm].
    along : array of float, shape (3,)
        Its direction, of length one.
    """

    at: Array
    along: Array


def frame_of(direction: Array) -> Array:
    """Give three axes square to each other, the last of them the direction.

    Parameters
    ----------
    direction : array of float, shape (3,)
        Of length one.

    Returns
    -------
    array of float, shape (3, 3)
        The axes as columns.
    """
    import numpy

    aside = numpy.eye(3)[numpy.abs(direction).argmin()]
    first = numpy.cross(direction, aside)
    first /= numpy.linalg.norm(first)
    return numpy.column_stack([first, numpy.cross(direction, first), direction])


def away_from(points: Array, axis: Axis) -> Array:
    """Give the distance of each point from an axis.

    Parameters
    ----------
    points : array of float, shape (points, 3)
        The points [mm].
    axis : Axis
        The axis.

    Returns
    -------
    array of float, shape (points,)
        The distances [mm].
    """
    import numpy

    away: Array = numpy.linalg.norm(numpy.cross(points - axis.at, axis.along), axis=1)
    return away


def extreme_axis(points: Array, start: Axis, method: Method) -> Axis:
    """Give the axis of the narrowest zone, the smallest cylinder around or the largest within.

    Parameters
    ----------
    points : array of float, shape (points, 3)
        The points [mm].
    start : Axis
        The axis by least squares.
    method : Method
        Which cylinder; not least squares.

    Returns
    -------
    Axis
        The best of what nine tilts about the start lead to.

    Raises
    ------
    InvalidInput
        Points that do not go all around, where the method asks for that.

    Notes
    -----
    At each tilt the best circle of the points seen along the axis is exact (`fit_circle`). From there the
    distances, linear in shift and tilt, make a linear program within a step that shrinks where it promises
    too much; it ends where no shift and no tilt promises a better cylinder, which is the condition of
    Chebyshev for the best nearby.
    """
    import numpy

    spread = float(numpy.ptp(away_from(points, start)))
    turn = frame_of(start.along)
    half = float(numpy.abs((points - start.at) @ start.along).max())
    best, least = start, numpy.inf
    refused: InvalidInput | None = None
    for number in range(_TILTS + 1):
        angle = 2 * numpy.pi * number / _TILTS
        lean = 0.0 if number == _TILTS else spread / half
        along = turn @ numpy.array([lean * numpy.cos(angle), lean * numpy.sin(angle), 1.0])
        tilted = Axis(start.at, along / numpy.linalg.norm(along))
        try:
            found = _settled(points, _best_circle(points, tilted, method), method)
        except InvalidInput as error:
            refused = error
            continue
        goal = _goal(away_from(points, found), method)
        if goal < least:
            best, least = found, goal
    if refused is not None and not numpy.isfinite(least):
        raise refused
    return best


def _goal(away: Array, method: Method) -> float:
    """What the method makes as small as can be [mm]."""
    if method is Method.MINIMUM_ZONE:
        return float(away.max() - away.min())
    return float(away.max()) if method is Method.MINIMUM_CIRCUMSCRIBED else -float(away.min())


def _best_circle(points: Array, axis: Axis, method: Method) -> Axis:
    """The parallel axis through the centre of the best circle seen along this one."""
    turn = frame_of(axis.along)
    seen = (points - axis.at) @ turn
    circle = fit_circle([Point(float(x), float(y)) for x, y, _ in seen], method)
    return Axis(axis.at + turn[:, :2] @ [circle.centre.x_mm, circle.centre.y_mm], axis.along)


def _settled(points: Array, axis: Axis, method: Method) -> Axis:
    """The best axis nearby: a linear program within a step, again and again."""
    import numpy

    away = away_from(points, axis)
    size = float(away.mean())
    reach = max(float(numpy.ptp(away)), 1e-6 * size)
    for _ in range(_MOST_STEPS):
        if reach <= _SMALLEST * size:
            break
        turn = frame_of(axis.along)
        seen = (points - axis.at) @ turn
        middle = (seen[:, 2].max() + seen[:, 2].min()) / 2
        half = float(numpy.ptp(seen[:, 2])) / 2
        away = numpy.hypot(seen[:, 0], seen[:, 1])
        towards = -seen[:, :2] / away[:, None]
        # Shift of the axis beside the middle of the points, and of its ends: four lengths of one size.
        slopes = numpy.column_stack([towards, towards * ((seen[:, 2] - middle) / half)[:, None]])
        step = _step(away, slopes, reach, method)
        now = _goal(away, method)
        promised = now - _goal(away + slopes @ step, method)
        if promised <= 1e-9 * reach:
            reach /= 16
            continue
        along = turn @ numpy.array([step[2] / half, step[3] / half, 1.0])
        at = axis.at + turn @ numpy.array([step[0], step[1], middle])
        tried = Axis(at, along / numpy.linalg.norm(along))
        gained = now - _goal(away_from(points, tried), method)
        if gained > 0:
            axis = tried
        if gained < 0.25 * promised:
            reach /= 4
        elif gained > 0.75 * promised:
            reach *= 2
    return axis


def _step(away: Array, slopes: Array, reach: float, method: Method) -> Array:
    """The step, none of its four lengths over the reach, that is best as far as distances are linear."""
    import numpy
    from scipy.optimize import linprog

    # No point moves by more than four reaches, so what lies further from both ends than that cannot matter.
    far = 8.1 * reach
    outer, inner = away >= away.max() - far, away <= away.min() + far
    over, under = slopes[outer], slopes[inner]
    rows, right = [], []
    if method is not Method.MAXIMUM_INSCRIBED:
        rows.append(numpy.column_stack([over, -numpy.ones(len(over)), numpy.zeros(len(over))]))
        right.append((away.max() - away[outer]) / reach)
    if method is not Method.MINIMUM_CIRCUMSCRIBED:
        rows.append(numpy.column_stack([-under, numpy.zeros(len(under)), numpy.ones(len(under))]))
        right.append((away[inner] - away.min()) / reach)
    costs = {
        Method.MINIMUM_ZONE: (1.0, -1.0),
        Method.MINIMUM_CIRCUMSCRIBED: (1.0, 0.0),
        Method.MAXIMUM_INSCRIBED: (0.0, -1.0),
    }[method]
    # In units of the reach; the last two unknowns are by how much both ends move.
    limits = [(-1.0, 1.0)] * 4 + [(-9.0, 9.0)] * 2
    found = linprog(
        [0, 0, 0, 0, *costs], A_ub=numpy.concatenate(rows), b_ub=numpy.concatenate(right), bounds=limits
    )
    if found.x is None:
        raise ArithmeticError(f"the best step of the axis was not found: {found.message}")
    step: Array = found.x[:4] * reach
    return step
