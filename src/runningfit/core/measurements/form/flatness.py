"""Flatness of a face from heights over a grid: by least squares, and the narrowest pair of planes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from runningfit.core.measurements.form.points import Height, check_heights

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MOST_TURNS = 40


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane z = a + b x + c y.

    Parameters
    ----------
    at_origin_mm : float
        Its height at x = y = 0 [mm].
    slope_x, slope_y : float
        How it rises along x and y [mm/mm].
    """

    at_origin_mm: float
    slope_x: float
    slope_y: float


@dataclass(frozen=True, slots=True)
class Flatness:
    """How flat a face is.

    Parameters
    ----------
    least_squares_mm : float
        The distance between the highest and the lowest point, square to the least-squares plane [mm].
    minimum_zone_mm : float
        The distance between the narrowest pair of parallel planes that holds all points [mm].
    least_squares_plane : Plane
        The plane of the first.
    zone_plane : Plane
        The plane half way between the pair.
    highest, lowest : tuple of int
        Which points touch the upper and the lower plane of the pair, counted from 0.
    """

    least_squares_mm: float
    minimum_zone_mm: float
    least_squares_plane: Plane
    zone_plane: Plane
    highest: tuple[int, ...]
    lowest: tuple[int, ...]


def flatness(heights: Sequence[Height]) -> Flatness:
    """Give the flatness of a face by least squares and by the minimum zone.

    Parameters
    ----------
    heights : sequence of Height
        At least four points that are not on one line; their heights are small beside the face.

    Returns
    -------
    Flatness
        Both, with their planes and the points that touch.

    Raises
    ------
    InvalidInput
        Points that are no face.

    Notes
    -----
    Distances are square to the plane (ISO 12781-1:2011, 3.1 and 3.3, from memory). The minimum zone is a
    linear program in a frame that is turned until its plane lies level in it; the program's optimum is proven
    by its dual, so no plane near the face has a narrower zone.
    """
    import numpy

    check_heights(heights)
    points = numpy.array([(one.x_mm, one.y_mm, one.z_mm) for one in heights])
    middle = points.mean(axis=0)
    centred = points - middle
    # The plane of least squares is square to the direction in which the points spread least.
    square = _upwards(numpy.linalg.svd(centred, full_matrices=False)[2][2])
    along = centred @ square
    normal = square
    for _ in range(_MOST_TURNS):
        turn = _frame(normal)
        slopes = _narrowest_slopes(centred @ turn)
        next_normal = turn @ (numpy.array([-slopes[0], -slopes[1], 1.0]) / sqrt(1 + slopes @ slopes))
        settled = bool(numpy.ptp(centred @ next_normal) >= numpy.ptp(centred @ normal) * (1 - 1e-14))
        if numpy.ptp(centred @ next_normal) <= numpy.ptp(centred @ normal):
            normal = next_normal
        if settled:
            break
    normal = _upwards(normal)
    heights_over = centred @ normal
    top, bottom = float(heights_over.max()), float(heights_over.min())
    touch = 1e-9 * max(float(numpy.abs(centred).max()), top - bottom)
    return Flatness(
        float(numpy.ptp(along)),
        top - bottom,
        _plane(middle, square),
        _plane(middle + normal * (top + bottom) / 2, normal),
        tuple(int(index) for index in numpy.nonzero(heights_over >= top - touch)[0]),
        tuple(int(index) for index in numpy.nonzero(heights_over <= bottom + touch)[0]),
    )


def _upwards(normal: NDArray[np.float64]) -> NDArray[np.float64]:
    return normal if normal[2] > 0 else -normal


def _plane(through: NDArray[np.float64], normal: NDArray[np.float64]) -> Plane:
    slope_x, slope_y = -normal[0] / normal[2], -normal[1] / normal[2]
    return Plane(
        float(through[2] - slope_x * through[0] - slope_y * through[1]), float(slope_x), float(slope_y)
    )


def _frame(normal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Three axes as columns, the last of them the normal."""
    import numpy

    aside = numpy.array([1.0, 0.0, 0.0]) if abs(normal[0]) < 0.9 else numpy.array([0.0, 1.0, 0.0])
    first = numpy.cross(normal, aside)
    first /= numpy.linalg.norm(first)
    return numpy.column_stack([first, numpy.cross(normal, first), normal])


def _narrowest_slopes(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The slopes of the pair of planes that is narrowest along z: a linear program of four unknowns."""
    import numpy
    from scipy.optimize import linprog

    size = numpy.abs(points[:, :2]).max()
    rise = max(float(numpy.ptp(points[:, 2])), 1e-300)
    # In units of the face and of its own rise, for the solver's tolerances.
    flat, high = points[:, :2] / size, points[:, 2] / rise
    one = numpy.ones(len(points))
    nought = numpy.zeros(len(points))
    rows = numpy.concatenate(
        [numpy.column_stack([-flat, -one, nought]), numpy.column_stack([flat, nought, one])]
    )
    # Unknown are both slopes, the upper plane (which no point is above) and the lower one.
    found = linprog([0, 0, 1, -1], A_ub=rows, b_ub=numpy.concatenate([-high, high]), bounds=(None, None))
    if found.x is None:
        raise ArithmeticError(f"the narrowest pair of planes was not found: {found.message}")
    slopes: NDArray[np.float64] = found.x[:2] * rise / size
    return slopes
