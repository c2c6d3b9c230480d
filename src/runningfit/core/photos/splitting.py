"""An outline parted among the pieces that it turned out to be, so that each has its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

# So many points inside an outline stand for its area, and so often the middles of the parts are moved.
_POINTS, _ROUNDS = 900, 40
# A corner of an outline: x, y in the photo [px], then x, y on the mat [mm].
_Corner = tuple[float, float, float, float]
_Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of an outline.

    Parameters
    ----------
    outline_px, outline_mm : list of list of float
        Its outline in the photo and on the mat, as a piece keeps them.
    shift_mm : tuple of float
        From the middle of the whole outline to that of the part, x right and y down [mm].
    """

    outline_px: list[list[float]]
    outline_mm: list[list[float]]
    shift_mm: tuple[float, float]


def parted(
    outline_px: Sequence[Sequence[float]], outline_mm: Sequence[Sequence[float]], count: int
) -> list[Part] | None:
    """Part an outline among so many pieces, of about equal area, each round a middle of its own.

    Parameters
    ----------
    outline_px, outline_mm : sequence of (x, y)
        The corners of the whole in the photo [px] and on the mat [mm], the same ones in the same order.
    count : int
        How many pieces it is.

    Returns
    -------
    list of Part or None
        From the left to the right, or from above; None where the outline is none that can be parted.
    """
    if len(outline_px) < 3 or len(outline_px) != len(outline_mm):
        return None
    corners = [
        (float(a), float(b), float(c), float(d))
        for (a, b), (c, d) in zip(outline_px, outline_mm, strict=True)
    ]
    inside = _inside([(corner[2], corner[3]) for corner in corners])
    if len(inside) < 4 * count:
        return None
    middles = _middles(inside, count)
    whole = _mean(inside)
    parts = []
    for own in middles:
        cut = corners
        for other in middles:
            if other != own and cut:
                cut = _nearer(cut, own, other)
        if len(cut) < 3:
            return None
        parts.append(
            Part(
                [[round(x, 1), round(y, 1)] for x, y, _, _ in cut],
                [[round(x, 2), round(y, 2)] for _, _, x, y in cut],
                (own[0] - whole[0], own[1] - whole[1]),
            )
        )
    return parts


def _inside(polygon: Sequence[_Point]) -> list[_Point]:
    """Points of a grid that lie in a polygon."""
    xs, ys = [x for x, _ in polygon], [y for _, y in polygon]
    left, top, wide, high = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    if wide <= 0 or high <= 0:
        return []
    step = (wide * high / _POINTS) ** 0.5
    across, down = ceil(wide / step), ceil(high / step)
    grid = ((left + (i + 0.5) * step, top + (j + 0.5) * step) for j in range(down) for i in range(across))
    return [point for point in grid if _holds(polygon, point)]


def _holds(polygon: Sequence[_Point], point: _Point) -> bool:
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            odd = not odd
    return odd


def _middles(points: Sequence[_Point], count: int) -> list[_Point]:
    """The middles of so many parts: far apart at first, then each moved to the middle of what is nearest."""
    x, y = _mean(points)
    first = max(points, key=lambda one: _apart(one, (x, y)))
    middles = [first]
    while len(middles) < count:
        middles.append(max(points, key=lambda one: min(_apart(one, other) for other in middles)))
    for _ in range(_ROUNDS):
        nearest: list[list[_Point]] = [[] for _ in middles]
        for point in points:
            nearest[min(range(count), key=lambda at: _apart(point, middles[at]))].append(point)
        moved = [_mean(own) if own else middles[at] for at, own in enumerate(nearest)]
        if moved == middles:
            break
        middles = moved
    return sorted(middles)


def _nearer(corners: Sequence[_Corner], own: _Point, other: _Point) -> list[_Corner]:
    """What of a polygon is nearer to its own middle than to another."""

    def side(corner: _Corner) -> float:
        return _apart((corner[2], corner[3]), other) - _apart((corner[2], corner[3]), own)

    kept: list[_Corner] = []
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        a, b = side(start), side(end)
        if a >= 0:
            kept.append(start)
        if (a >= 0) != (b >= 0):
            share = a / (a - b)
            x, y, u, v = (one + share * (two - one) for one, two in zip(start, end, strict=True))
            kept.append((x, y, u, v))
    return kept


def _mean(points: Sequence[_Point]) -> _Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _apart(one: _Point, other: _Point) -> float:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2
