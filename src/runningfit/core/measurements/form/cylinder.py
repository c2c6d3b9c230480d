"""The least-squares cylinder of points over a bore or journal: axis, size, and how far the points stray."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.points import MOST_POINTS, Height

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FEWEST = 6


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder laid to points by least squares.

    Parameters
    ----------
    on_axis : Height
        The point of the axis beside the middle of the points [mm].
    along_x, along_y, along_z : float
        The direction of the axis, of length one, towards greater z.
    radius_mm : float
        Its radius [mm].
    cylindricity_mm : float
        The largest distance of a point from the axis less the smallest [mm].
    """

    on_axis: Height
    along_x: float
    along_y: float
    along_z: float
    radius_mm: float
    cylindricity_mm: float


def fit_cylinder(surface: Sequence[Height]) -> Cylinder:
    """Lay a cylinder to points of a bore or journal by least squares.

    Parameters
    ----------
    surface : sequence of Height
        At least six points, around it and along it.

    Returns
    -------
    Cylinder
        The cylinder with the least sum of squares.

    Raises
    ------
    InvalidInput
        Too few or too many points, one that is no number, or points that tell no single cylinder.

    Notes
    -----
    Five unknowns: the axis in a frame turned until it lies along z, and the radius. The three directions in
    which the points spread are tried to begin with, and the best end is kept.
    """
    import numpy
    from scipy.optimize import least_squares

    if not all(isfinite(value) for one in surface for value in (one.x_mm, one.y_mm, one.z_mm)):
        raise InvalidInput("points", needs="finite numbers", came="one that is not")
    count = len(set(surface))
    if not _FEWEST <= count <= MOST_POINTS:
        raise InvalidInput(
            "points", needs=f"{_FEWEST} to {MOST_POINTS} different ones", came=f"{count}",
            remedy="Read at two depths at least, around the whole of it.",
        )  # fmt: skip
    points = numpy.array([(one.x_mm, one.y_mm, one.z_mm) for one in surface])
    middle = points.mean(axis=0)
    centred = points - middle
    spreads, directions = numpy.linalg.svd(centred, full_matrices=False)[1:]
    size = float(spreads[0]) / sqrt(len(points))
    if spreads[2] <= 1e-9 * spreads[0]:
        raise _no_cylinder("points that all lie in one plane")
    best, found = numpy.inf, None
    for direction in directions:
        frame = _frame(direction)
        turned = centred @ frame / size

        def misses(told: NDArray[np.float64], turned: NDArray[np.float64] = turned) -> NDArray[np.float64]:
            missed: NDArray[np.float64] = _away(turned, told) - told[4]
            return missed

        start = numpy.array([0.0, 0.0, 0.0, 0.0, float(numpy.hypot(turned[:, 0], turned[:, 1]).mean())])
        tried = least_squares(misses, start, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        if tried.cost < best:
            best, found = tried.cost, (frame, tried.x, tried.jac)
    if found is None:
        raise _no_cylinder("points of another shape")
    frame, told, slopes = found
    steepness = numpy.linalg.svd(numpy.asarray(slopes, dtype=float), compute_uv=False)
    if steepness[-1] <= 1e-6 * steepness[0] or abs(told[4]) > 1e3:
        raise _no_cylinder("points that leave its axis open")
    axis = frame @ numpy.array([told[0], told[1], 1.0])
    axis /= numpy.linalg.norm(axis)
    axis = axis if axis[2] >= 0 else -axis
    at = frame @ numpy.array([told[2], told[3], 0.0]) * size
    at = at - (at @ axis) * axis + middle
    away = numpy.linalg.norm(numpy.cross(points - at, axis), axis=1)
    return Cylinder(
        Height(float(at[0]), float(at[1]), float(at[2])),
        float(axis[0]),
        float(axis[1]),
        float(axis[2]),
        float(away.mean()),
        float(numpy.ptp(away)),
    )


def _away(points: NDArray[np.float64], told: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distances from an axis through (x, y, 0) along (a, b, 1)."""
    import numpy

    axis = numpy.array([told[0], told[1], 1.0])
    across = numpy.cross(points - numpy.array([told[2], told[3], 0.0]), axis)
    away: NDArray[np.float64] = numpy.linalg.norm(across, axis=1) / numpy.linalg.norm(axis)
    return away


def _frame(direction: NDArray[np.float64]) -> NDArray[np.float64]:
    """Three axes as columns, the last of them the direction."""
    import numpy

    aside = numpy.eye(3)[numpy.abs(direction).argmin()]
    first = numpy.cross(direction, aside)
    first /= numpy.linalg.norm(first)
    return numpy.column_stack([first, numpy.cross(direction, first), direction])


def _no_cylinder(came: str) -> InvalidInput:
    return InvalidInput(
        "points",
        needs="to tell one cylinder",
        came=came,
        remedy="Read all around it, at two depths at least.",
    )
