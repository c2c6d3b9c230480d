"""Bodies as a camera over the mat sees them, and how far an outline strays from such a silhouette.

All is reckoned on the plane of the mat: a point above it is taken where its ray meets the mat. Straight lines
stay straight in that, so that the silhouette of a convex body is the hull of its corners and rings.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# A point of an outline is known to this, independently of others a millimetre away; an outline runs through
# the pixels of the edge, so far within the body (measured on drawn pieces that are dull) [mm].
_EDGE_MM, _WITHIN_MM = 0.2, 0.06
# So far strays the outline of a dull piece, typically (measured on 17 drawn photos, two renderers) [mm].
_DULL_MM = 0.08
_MOST_POINTS, _EVERY_MM = 90, 0.6
_ROUNDS = 60
_NEAREST = 0.9
CORNERS = 14


@dataclass(frozen=True, slots=True, eq=False)
class Viewpoint:
    """Where the camera stands over the mat.

    Parameters
    ----------
    below_mm : array, 2
        The point of the mat below it [mm].
    height_mm : float
        Its height over the mat [mm].
    """

    below_mm: Array
    height_mm: float

    def shadow_mm(self, points_mm: Array, height_mm: float | Array) -> Array:
        """Where points above the mat are seen on it.

        Parameters
        ----------
        points_mm : array, point x 2
            x and y [mm].
        height_mm : float or array, point
            How far above the mat they are [mm].
        """
        reach = self.reach(height_mm)
        return self.below_mm + (points_mm - self.below_mm) * (
            reach if isinstance(reach, float) else reach[:, None]
        )

    def reach(self, height_mm: float | Array) -> float | Array:
        """How many times as far from below the camera points of a height are seen as they are.

        Parameters
        ----------
        height_mm : float or array, point
            How far above the mat they are [mm]; beyond the camera they count as just below it.
        """
        import numpy

        below = numpy.minimum(height_mm, _NEAREST * self.height_mm)
        reach = self.height_mm / (self.height_mm - below)
        return float(reach) if numpy.ndim(reach) == 0 else numpy.asarray(reach)

    def foot_mm(self, middle_mm: Array, height_mm: float) -> Array:
        """Where a body stands whose foot and top are seen about a middle, for it lies half-way between both.

        Parameters
        ----------
        middle_mm : array, 2
            The middle of its outline on the mat [mm].
        height_mm : float
            How high it is [mm].
        """
        foot: Array = self.below_mm + (middle_mm - self.below_mm) * 2 / (1 + self.reach(height_mm))
        return foot

    def gain(self, foot_mm: Array, height_mm: float) -> float:
        """How many millimetres of height one millimetre of shadow stands for.

        Parameters
        ----------
        foot_mm : array, 2
            Where the body stands [mm].
        height_mm : float
            How high it is [mm].
        """
        away = max(hypot(*(foot_mm - self.below_mm)), 1.0)
        return (self.height_mm - height_mm) ** 2 / (self.height_mm * away)


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """Where a body came to rest on its outline.

    Parameters
    ----------
    at : array, number
        What was sought.
    spread : array, number x number
        Its covariance.
    typical_mm, rms_mm : float
        How far the outline strays from the silhouette: 1.48 times the median, and the root mean square.
    """

    at: Array
    spread: Array
    typical_mm: float
    rms_mm: float

    def u(self, weights: Sequence[float]) -> float:
        """The standard uncertainty of a sum of what was sought, each times its weight."""
        import numpy

        by = numpy.asarray(weights, dtype=float)
        return sqrt(max(float(by @ self.spread @ by), 0.0))

    def u_of(self, place: int) -> float:
        """The standard uncertainty of one of the numbers that were sought."""
        return sqrt(max(float(self.spread[place, place]), 0.0))

    @property
    def torn_mm(self) -> float:
        """How much farther the outline strays typically than that of a dull piece, which is not torn [mm]."""
        return max(self.typical_mm - _DULL_MM, 0.0)


def settle(
    outline_mm: Array,
    hulls: Callable[[Array], Sequence[Array]],
    beside: Callable[[Array], Array],
    starts: Sequence[Array],
    steps: Sequence[float],
) -> Settled:
    """Move and stretch a body until its silhouette lies on an outline.

    Parameters
    ----------
    outline_mm : array, point x 2
        The outline on the plane of the mat [mm].
    hulls : callable
        The convex hulls whose union is the silhouette, from what is sought.
    beside : callable
        What else is known of what is sought, each in its own standard uncertainties.
    starts : sequence of array
        Where to begin: the one whose silhouette is nearest is taken.
    steps : sequence of float
        By how much each number that is sought may be expected to be off.

    Returns
    -------
    Settled
        The likeliest; far strays count little, as with a Cauchy density.
    """
    import numpy
    from scipy.optimize import least_squares

    edge, every_mm = _resampled(outline_mm)

    def strays(at: Array, of: Array) -> Array:
        nearest: Array = numpy.minimum.reduce([outside(one, of) for one in hulls(at)])
        return nearest + _WITHIN_MM

    def misses(at: Array) -> Array:
        errors = strays(at, edge) / (_EDGE_MM * sqrt(max(1.0 / every_mm, 1.0)))
        return numpy.concatenate([numpy.sign(errors) * numpy.sqrt(numpy.log1p(errors**2)), beside(at)])

    few = edge[::3]
    first = (
        min(starts, key=lambda one: float(numpy.abs(strays(one, few)).mean())) if starts[1:] else starts[0]
    )
    found = least_squares(
        misses, first, method="lm", x_scale=steps, diff_step=[1e-5], ftol=1e-4, xtol=1e-5,
        max_nfev=_ROUNDS * (len(first) + 1),
    )  # fmt: skip
    left = strays(found.x, edge)
    slopes = numpy.asarray(found.jac)
    return Settled(
        found.x,
        numpy.linalg.pinv(slopes.T @ slopes),
        1.48 * float(numpy.median(numpy.abs(left))),
        float(numpy.sqrt((left**2).mean())),
    )


def ring(corners: int, turn: float = 0.0) -> Array:
    """Corners around the origin at a distance of one, x and y.

    Parameters
    ----------
    corners : int
        How many.
    turn : float
        In which direction the first lies [rad].
    """
    import numpy

    around = turn + numpy.arange(corners) * 2 * pi / corners
    return numpy.stack([numpy.cos(around), numpy.sin(around)], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """An axis over the mat, along which rings are set.

    Parameters
    ----------
    begin_mm : array, 3
        x, y and height of its beginning [mm].
    turn_rad : float
        In which direction it runs [rad].
    rises : float
        By how much it rises for each millimetre of its length, -1 to 1.
    """

    begin_mm: Array
    turn_rad: float
    rises: float

    def point_mm(self, along_mm: float) -> Array:
        """The point so far along it: x, y and height [mm]."""
        import numpy

        flat = sqrt(1 - self.rises**2)
        way = numpy.array([flat * cos(self.turn_rad), flat * sin(self.turn_rad), self.rises])
        return numpy.asarray(self.begin_mm + along_mm * way)

    def ring_mm(self, view: Viewpoint, along_mm: float, radius_mm: float, corners: Array) -> Array:
        """Corners around the axis as they are seen on the mat.

        Parameters
        ----------
        view : Viewpoint
            Where the camera stands.
        along_mm : float
            How far along the axis [mm].
        radius_mm : float
            How far from it [mm].
        corners : array, corner x 2
            Their directions, sideways and up.
        """
        middle, flat = self.point_mm(along_mm), sqrt(1 - self.rises**2)
        beside, up = corners[:, 0] * radius_mm, corners[:, 1] * radius_mm
        # Sideways is level; up stands square to the axis and to it.
        across = (-sin(self.turn_rad), cos(self.turn_rad))
        lean = (-self.rises * cos(self.turn_rad), -self.rises * sin(self.turn_rad))
        import numpy

        x = middle[0] + beside * across[0] + up * lean[0]
        y = middle[1] + beside * across[1] + up * lean[1]
        return view.shadow_mm(numpy.stack([x, y], axis=1), middle[2] + up * flat)


def hull(parts: Sequence[Array]) -> Array:
    """The convex hull of points, its corners in their order."""
    import cv2
    import numpy

    points = numpy.concatenate(parts)
    # OpenCV reckons in 32 bits: only the order of the corners is taken from it, near the origin.
    order = cv2.convexHull((points - points.mean(axis=0)).astype(numpy.float32), returnPoints=False)
    return numpy.asarray(points[order[:, 0]])


def outside(polygon: Array, points: Array) -> Array:
    """How far points lie outside a convex polygon, less than nothing inside [mm].

    Parameters
    ----------
    polygon : array, corner x 2
        Its corners in their order [mm].
    points : array, point x 2
        The points [mm].
    """
    import numpy

    side = numpy.roll(polygon, -1, axis=0) - polygon
    away_x = points[:, :1] - polygon[:, 0]
    away_y = points[:, 1:] - polygon[:, 1]
    square = numpy.maximum((side**2).sum(axis=1), 1e-12)
    along = numpy.clip((away_x * side[:, 0] + away_y * side[:, 1]) / square, 0, 1)
    far = numpy.sqrt(((away_x - along * side[:, 0]) ** 2 + (away_y - along * side[:, 1]) ** 2).min(axis=1))
    turn = side[:, 0] * away_y - side[:, 1] * away_x
    within = (turn >= 0).all(axis=1) | (turn <= 0).all(axis=1)
    return numpy.asarray(numpy.where(within, -far, far))


def _resampled(outline_mm: Array) -> tuple[Array, float]:
    """The outline at even steps, and how long they are [mm]."""
    import numpy

    closed = numpy.concatenate([outline_mm, outline_mm[:1]])
    run = numpy.concatenate([[0.0], numpy.cumsum(numpy.hypot(*numpy.diff(closed, axis=0).T))])
    count = int(min(max(24, run[-1] / _EVERY_MM), _MOST_POINTS))
    at = numpy.linspace(0, run[-1], count, endpoint=False)
    even = numpy.stack([numpy.interp(at, run, closed[:, 0]), numpy.interp(at, run, closed[:, 1])], axis=1)
    return even, float(run[-1]) / count
