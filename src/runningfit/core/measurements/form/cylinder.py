"""Cylinders laid to points: least squares, narrowest zone, smallest around, largest within."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.circles import Method
from runningfit.core.measurements.form.extreme_axis import Axis, away_from, extreme_axis, frame_of
from runningfit.core.measurements.form.points import MOST_POINTS, Height

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_FEWEST = 6
# Within this share of the radius a point counts as touching a cylinder.
_TOUCHES = 1e-8
# Eight corners of a box fit three cylinders, which scatter alone tells apart: up to this factor of the least
# sum of squares another one may be the true one.
_AS_GOOD = 1000.0
# Two axes are different ones beyond this cosine, and an axis lies along z within it (26 degrees).
_APART = 0.9


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder laid to points.

    Parameters
    ----------
    method : Method
        How it was laid.
    on_axis : Height
        The point of the axis beside the middle of the points [mm].
    along_x, along_y, along_z : float
        The direction of the axis, of length one, towards greater z.
    radius_mm : float
        Its radius [mm]; of the minimum zone, half way between both cylinders.
    inner_mm, outer_mm : float
        The least and the largest distance of a point from the axis [mm].
    contacts : tuple of int
        Which points hold the cylinder or the zone, counted from 0; none for least squares.
    """

    method: Method
    on_axis: Height
    along_x: float
    along_y: float
    along_z: float
    radius_mm: float
    inner_mm: float
    outer_mm: float
    contacts: tuple[int, ...]

    @property
    def cylindricity_mm(self) -> float:
        """The largest distance of a point from the axis less the smallest [mm]."""
        return self.outer_mm - self.inner_mm


def fit_cylinder(surface: Sequence[Height], method: Method = Method.LEAST_SQUARES) -> Cylinder:
    """Lay a cylinder to points of a bore or journal.

    Parameters
    ----------
    surface : sequence of Height
        At least six points, around it and along it; for the minimum zone and the inscribed cylinder they go
        all around.
    method : Method
        Which cylinder.

    Returns
    -------
    Cylinder
        By least squares that of the least sum; else the best of what nine tilts about that one lead to, at
        which no small shift or tilt is better.

    Raises
    ------
    InvalidInput
        Too few or too many points, one that is no number, or points that tell no single cylinder.

    Notes
    -----
    Five unknowns: the axis in a frame turned until it lies along z, and the radius. The three directions in
    which the points spread are tried to begin with, and the best end is kept; of two that fit as well, as of
    four angles at two depths, the one along z. Names of the cylinders after ISO 12180-1:2011 (wording from
    memory).
    """
    import numpy

    points = _checked(surface)
    axis = _least_squares(points)
    if method is not Method.LEAST_SQUARES:
        axis = extreme_axis(points, axis, method)
    along = axis.along if axis.along[2] >= 0 else -axis.along
    middle = points.mean(axis=0)
    at = axis.at + ((middle - axis.at) @ along) * along
    away = away_from(points, axis)
    inner, outer = float(away.min()), float(away.max())
    radius, ends = {
        Method.LEAST_SQUARES: (float(away.mean()), ()),
        Method.MINIMUM_ZONE: ((inner + outer) / 2, (inner, outer)),
        Method.MINIMUM_CIRCUMSCRIBED: (outer, (outer,)),
        Method.MAXIMUM_INSCRIBED: (inner, (inner,)),
    }[method]
    touching = [numpy.abs(away - end) <= _TOUCHES * outer for end in ends]
    contacts = numpy.flatnonzero(numpy.any(touching, axis=0)) if touching else ()
    return Cylinder(
        method,
        Height(*map(float, at)),
        float(along[0]),
        float(along[1]),
        float(along[2]),
        radius,
        inner,
        outer,
        tuple(map(int, contacts)),
    )


def _checked(surface: Sequence[Height]) -> Array:
    import numpy

    if not all(isfinite(value) for one in surface for value in (one.x_mm, one.y_mm, one.z_mm)):
        raise InvalidInput("points", needs="finite numbers", came="one that is not")
    count = len(set(surface))
    if not _FEWEST <= count <= MOST_POINTS:
        raise InvalidInput(
            "points", needs=f"{_FEWEST} to {MOST_POINTS} different ones", came=f"{count}",
            remedy="Read at two depths at least, around the whole of it.",
        )  # fmt: skip
    return numpy.array([(one.x_mm, one.y_mm, one.z_mm) for one in surface])


def _least_squares(points: Array) -> Axis:
    """The axis with the least sum of squares, from each direction in which the points spread."""
    import numpy
    from scipy.optimize import least_squares

    middle = points.mean(axis=0)
    centred = points - middle
    spreads, directions = numpy.linalg.svd(centred, full_matrices=False)[1:]
    size = float(spreads[0]) / len(points) ** 0.5
    if spreads[2] <= 1e-9 * spreads[0]:
        raise _no_cylinder("points that all lie in one plane")
    ends: list[tuple[float, Axis, bool]] = []
    for direction in directions:
        turn = frame_of(direction)
        turned = centred @ turn / size

        def misses(told: Array, turned: Array = turned) -> Array:
            missed: Array = _away(turned, told) - told[4]
            return missed

        start = numpy.array([0.0, 0.0, 0.0, 0.0, float(numpy.hypot(turned[:, 0], turned[:, 1]).mean())])
        tried = least_squares(misses, start, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        steepness = numpy.linalg.svd(numpy.asarray(tried.jac, dtype=float), compute_uv=False)
        told = tried.x
        along = turn @ numpy.array([told[0], told[1], 1.0])
        axis = Axis(
            middle + turn @ numpy.array([told[2], told[3], 0.0]) * size, along / numpy.linalg.norm(along)
        )
        is_open = bool(steepness[-1] <= 1e-6 * steepness[0] or abs(told[4]) > 1e3)
        ends.append((float(tried.cost), axis, is_open))
    ends.sort(key=lambda one: one[0])
    least, best, is_open = ends[0]
    if is_open:
        raise _no_cylinder("points that leave its axis open")
    # Below this cost is the rounding of a perfect cylinder.
    near = [one[1] for one in ends if one[0] <= max(_AS_GOOD * least, 1e-24 * len(points))]
    if all(abs(float(one.along @ best.along)) > _APART for one in near):
        return best
    upright = [one for one in near if abs(float(one.along[2])) > _APART]
    if not upright:
        raise _no_cylinder("points that two cylinders fit as well")
    return upright[0]


def _away(points: Array, told: Array) -> Array:
    """Distances from an axis through (x, y, 0) along (a, b, 1)."""
    import numpy

    axis = numpy.array([told[0], told[1], 1.0])
    across = numpy.cross(points - numpy.array([told[2], told[3], 0.0]), axis)
    away: Array = numpy.linalg.norm(across, axis=1) / numpy.linalg.norm(axis)
    return away


def _no_cylinder(came: str) -> InvalidInput:
    return InvalidInput(
        "points",
        needs="to tell one cylinder",
        came=came,
        remedy="Read all around it, at more angles or depths; let z run along the bore.",
    )
