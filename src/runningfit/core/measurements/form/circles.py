"""Circles of a measured section: least squares, minimum zone, smallest around, largest within."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.diagrams import Disc, centres_of, distances
from runningfit.core.measurements.form.points import Point, check_points

# Within this share of the radius a point counts as touching a circle.
_TOUCHES = 1e-9


class Method(StrEnum):
    """How a circle is laid to points (ISO 12181-1:2011, 3.3, reference circles; wording from memory)."""

    LEAST_SQUARES = "lsc"
    MINIMUM_ZONE = "mzc"
    MINIMUM_CIRCUMSCRIBED = "mcc"
    MAXIMUM_INSCRIBED = "mic"


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle laid to points, and how far these stray from it.

    Parameters
    ----------
    method : Method
        How it was laid.
    centre : Point
        Its centre [mm].
    radius_mm : float
        Its radius [mm]; of the minimum zone, half way between both circles.
    inner_mm, outer_mm : float
        The least and the largest distance of a point from the centre [mm].
    contacts : tuple of int
        Which points hold the circle or the zone, counted from 0; none for least squares.
    """

    method: Method
    centre: Point
    radius_mm: float
    inner_mm: float
    outer_mm: float
    contacts: tuple[int, ...]

    @property
    def out_of_round_mm(self) -> float:
        """The largest distance from the centre less the smallest [mm]."""
        return self.outer_mm - self.inner_mm


def fit_circle(points: Sequence[Point], method: Method) -> Circle:
    """Lay a circle to measured points.

    Parameters
    ----------
    points : sequence of Point
        At least three, not on one line; for the minimum zone and the inscribed circle they go all around.
    method : Method
        Which circle.

    Returns
    -------
    Circle
        The best one of all, not of a neighbourhood, for the three extreme circles.

    Raises
    ------
    InvalidInput
        Points that are no section, or that leave the circle open.

    Notes
    -----
    Least squares of the distances, by Gauss-Newton steps from the algebraic circle. The smallest circle
    around them by Welzl's exchange of contacts. The largest circle within and the narrowest ring have their
    centre on a corner of the diagram of nearest points, on a corner of that of farthest points, or where an
    edge of the one crosses an edge of the other; all of these are tried, so the best is proven the best.
    """
    distinct = check_points(points)
    shift, scale = _frame(distinct)
    framed = [_in_frame(one, shift, scale) for one in distinct]
    match method:
        case Method.LEAST_SQUARES:
            # A point that was measured twice counts twice here, and once for the extreme circles.
            centre = _least_squares([_in_frame(one, shift, scale) for one in points])
        case Method.MINIMUM_CIRCUMSCRIBED:
            centre = _smallest_around(framed)
        case Method.MAXIMUM_INSCRIBED | Method.MINIMUM_ZONE:
            centre = _extreme_centre(framed, method)
    middle = Point(shift.x_mm + scale * centre[0], shift.y_mm + scale * centre[1])
    away = [hypot(one.x_mm - middle.x_mm, one.y_mm - middle.y_mm) for one in points]
    inner, outer = min(away), max(away)
    radius = {
        Method.LEAST_SQUARES: sum(away) / len(away),
        Method.MINIMUM_ZONE: (inner + outer) / 2,
        Method.MINIMUM_CIRCUMSCRIBED: outer,
        Method.MAXIMUM_INSCRIBED: inner,
    }[method]
    touched = {
        Method.LEAST_SQUARES: (),
        Method.MINIMUM_ZONE: (inner, outer),
        Method.MINIMUM_CIRCUMSCRIBED: (outer,),
        Method.MAXIMUM_INSCRIBED: (inner,),
    }[method]
    contacts = tuple(
        index
        for index, distance in enumerate(away)
        if any(abs(distance - one) <= _TOUCHES * max(outer, scale) for one in touched)
    )
    return Circle(method, middle, radius, inner, outer, contacts)


def _frame(points: Sequence[Point]) -> tuple[Point, float]:
    """A middle and a size of the points, so that the arithmetic keeps its digits wherever they lie."""
    low_x, high_x = min(one.x_mm for one in points), max(one.x_mm for one in points)
    low_y, high_y = min(one.y_mm for one in points), max(one.y_mm for one in points)
    return Point((low_x + high_x) / 2, (low_y + high_y) / 2), max(high_x - low_x, high_y - low_y) / 2


_Pair = tuple[float, float]


def _in_frame(point: Point, shift: Point, scale: float) -> _Pair:
    return (point.x_mm - shift.x_mm) / scale, (point.y_mm - shift.y_mm) / scale


def _least_squares(points: Sequence[_Pair]) -> _Pair:
    """Gauss-Newton with damping on the centre, from the algebraic circle."""
    x, y = _algebraic(points)
    damping, squares = 1e-6, _squares(points, (x, y))
    for _ in range(500):
        step = _step(points, (x, y), damping)
        found = _squares(points, (x + step[0], y + step[1]))
        if found < squares:
            x, y, squares, damping = x + step[0], y + step[1], found, damping / 10
        elif damping < 1e9:
            damping = max(10 * damping, 1e-9)
        else:
            break
    if hypot(x, y) > 1e4:
        raise _nearly_straight()
    # The sum of squares is level to half the digits around its least; the steps themselves find the rest.
    before = 1e-6
    for _ in range(100):
        step = _step(points, (x, y), 0.0)
        if not hypot(*step) < 0.9 * before:
            break
        x, y, before = x + step[0], y + step[1], hypot(*step)
    return x, y


def _step(points: Sequence[_Pair], centre: _Pair, damping: float) -> _Pair:
    """One step towards the least squares; the radius is the mean distance, whatever the centre."""
    x, y = centre
    # On a point itself the direction to it is any: a breath beside it will do.
    away = [hypot(px - x, py - y) or 1e-300 for px, py in points]
    radius = sum(away) / len(points)
    slopes = [((x - px) / d, (y - py) / d) for (px, py), d in zip(points, away, strict=True)]
    mean_x = sum(one[0] for one in slopes) / len(points)
    mean_y = sum(one[1] for one in slopes) / len(points)
    a = b = c = d_x = d_y = 0.0
    for (s_x, s_y), distance in zip(slopes, away, strict=True):
        u, v, miss = s_x - mean_x, s_y - mean_y, distance - radius
        a, b, c = a + u * u, b + u * v, c + v * v
        d_x, d_y = d_x - u * miss, d_y - v * miss
    p, r = a * (1 + damping), c * (1 + damping)
    whole = p * r - b * b
    return ((r * d_x - b * d_y) / whole, (p * d_y - b * d_x) / whole) if whole > 0 else (0.0, 0.0)


def _squares(points: Sequence[_Pair], centre: _Pair) -> float:
    away = [hypot(px - centre[0], py - centre[1]) for px, py in points]
    radius = sum(away) / len(away)
    return sum((one - radius) ** 2 for one in away)


def _algebraic(points: Sequence[_Pair]) -> _Pair:
    """The centre that solves x² + y² + ax + by + c = 0 with the least squares; where the steps begin."""
    count = len(points)
    mean_x, mean_y = sum(one[0] for one in points) / count, sum(one[1] for one in points) / count
    xx = xy = yy = xz = yz = 0.0
    for px, py in points:
        u, v = px - mean_x, py - mean_y
        z = u * u + v * v
        xx, xy, yy, xz, yz = xx + u * u, xy + u * v, yy + v * v, xz + u * z, yz + v * z
    whole = 2 * (xx * yy - xy * xy)
    if whole <= 0:
        raise _nearly_straight()
    return mean_x + (yy * xz - xy * yz) / whole, mean_y + (xx * yz - xy * xz) / whole


def _smallest_around(points: Sequence[_Pair]) -> _Pair:
    """Welzl's algorithm without recursion: a point outside must lie on the circle of those before it."""
    # A fixed order that does not follow the section keeps the steps few.
    order = sorted(points, key=lambda one: (one[0] * 12.9898 + one[1] * 78.233) % 0.0137)
    centre, radius = order[0], 0.0
    for i, first in enumerate(order):
        if _is_in(first, centre, radius):
            continue
        centre, radius = first, 0.0
        for j, second in enumerate(order[:i]):
            if _is_in(second, centre, radius):
                continue
            centre = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
            radius = hypot(first[0] - second[0], first[1] - second[1]) / 2
            for third in order[:j]:
                if not _is_in(third, centre, radius):
                    centre = _through(first, second, third)
                    radius = hypot(first[0] - centre[0], first[1] - centre[1])
    return centre


def _is_in(point: _Pair, centre: _Pair, radius: float) -> bool:
    return hypot(point[0] - centre[0], point[1] - centre[1]) <= radius * (1 + 1e-13) + 1e-15


def _through(first: _Pair, second: _Pair, third: _Pair) -> _Pair:
    """The centre of the circle through three points."""
    bx, by = second[0] - first[0], second[1] - first[1]
    cx, cy = third[0] - first[0], third[1] - first[1]
    whole = 2 * (bx * cy - by * cx)
    b, c = bx * bx + by * by, cx * cx + cy * cy
    return first[0] + (cy * b - by * c) / whole, first[1] + (bx * c - cx * b) / whole


def _extreme_centre(points: Sequence[_Pair], method: Method) -> _Pair:
    """The centre, within the outline of the points, of the largest circle within or the narrowest ring."""
    import numpy

    if len(points) == 3:
        corner = _through(points[0], points[1], points[2])
        if any(_is_blunt(points, index) for index in range(3)):
            raise _open()
        return corner
    array = numpy.asarray(points)
    is_ring = method is Method.MINIMUM_ZONE
    centres = centres_of(array, disc=_ring_disc(points) if is_ring else None)
    near_radii, _ = distances(array, centres.nearest)
    open_radii, _ = distances(array, centres.openings)
    # Where the largest empty circle sits on the outline, the points leave a side open.
    if not len(near_radii) or open_radii.max(initial=0.0) > near_radii.max() * (1 + 1e-9):
        raise _open()
    if not is_ring:
        best = centres.nearest[near_radii.argmax()]
        return float(best[0]), float(best[1])
    places = numpy.concatenate([centres.nearest, centres.farthest, centres.crossings])
    inner, outer = distances(array, places)
    best = places[(outer - inner).argmin()]
    return float(best[0]), float(best[1])


def _ring_disc(points: Sequence[_Pair]) -> Disc:
    """Where the centre of the narrowest ring must lie, seen from that of least squares.

    With d to a better centre and g half of the widest gap between points, some point behind is farther than
    r + d cos g and some point ahead nearer than R - d cos g + (d sin g)²/2(R - d cos g); the ring around d is
    wider than their difference. That bound is concave in d, so where it rules out both ends it rules out all.
    """
    x, y = _least_squares(points)
    away = [hypot(px - x, py - y) for px, py in points]
    inner, outer = min(away), max(away)
    angles = sorted(atan2(py - y, px - x) for px, py in points)
    gap = max((two - one for one, two in pairwise(angles)), default=0.0)
    half = max(gap, angles[0] - angles[-1] + 2 * pi) / 2
    ahead, aside = cos(half), sin(half)

    def ring(d: float) -> float:
        return inner - outer + 2 * d * ahead - (d * aside) ** 2 / (2 * (outer - d * ahead))

    widest = outer - inner
    # No point of the outline is farther off than the outermost point.
    if half < pi / 2 and inner > 0 and ahead < 1 and ring(outer) > widest:
        low, high = 0.0, outer
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if ring(middle) > widest else (middle, high)
        return Disc(x, y, high * (1 + 1e-9) + 1e-12)
    return Disc(x, y, 4.0)


def _is_blunt(points: Sequence[_Pair], index: int) -> bool:
    """Whether the triangle has its blunt or right corner there, so that its circle's centre is not inside."""
    at, one, two = points[index], points[index - 1], points[index - 2]
    return (one[0] - at[0]) * (two[0] - at[0]) + (one[1] - at[1]) * (two[1] - at[1]) <= 0


def _nearly_straight() -> InvalidInput:
    return InvalidInput(
        "points",
        needs="enough of an arc to tell its radius",
        came="a nearly straight one",
        remedy="Measure further around.",
    )


def _open() -> InvalidInput:
    return InvalidInput(
        "points",
        needs="to go all around for this circle",
        came="an arc, with a gap on one side",
        remedy="Measure the missing side, or take the least-squares circle (lsc).",
    )
