"""The pieces on the mat told apart, each with its outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.large_things import large_things, too_large
from runningfit.core.photos.light import shades
from runningfit.core.photos.mats import Box
from runningfit.core.photos.networks import FLAT_MM, find
from runningfit.core.photos.parting import WHOLE, Meets, Part, parts_of
from runningfit.core.photos.rectifying import rectify

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.checking import Plane

# Smaller than the head of the smallest screw, a speck is no piece [mm^2].
_LEAST_MM2 = 5.0
# The edge of the ground, where its ink and the paper of the border blend, is left out [mm]; what is left of
# it and no wider than a strip is no piece.
_RIM_MM, _STRIP_MM = 1.0, 1.5
# The finding network is surer than this of some pixel of every piece, as a logarithm of odds: of 420 pieces
# in 17 rendered photos the surest pixel came to 8.7 or more, of six places where nothing lay to 3.2 at most.
_SURE = 4.5
# What lies by so much within a large thing is part of it. Of a large thing that falls into more parts than
# these, none of them whole, the parts are none: a cable, a chain.
_PART_OF_IT, _MANY = 0.3, 3


@dataclass(frozen=True, slots=True)
class Found:
    """A piece found on the flattened mat.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat, in true millimetres from the upper left corner of the paper.
    mask : array of bool, height x width
        Its pixels within its window, `FLAT_MM` a pixel.
    left_mm, top_mm : float
        The corner of that window [mm].
    over_edge : bool
        Whether it reaches over the edge of the work area.
    meets : Meets
        Whether it lies alone, and if not, whether it could be told apart from what it touches.
    large : bool
        Whether it is too large for hardware, or something else that reaches in over the edge.
    """

    outline_mm: NDArray[np.float64]
    mask: NDArray[np.bool_]
    left_mm: float
    top_mm: float
    over_edge: bool
    meets: Meets
    large: bool


def seek(plane: Plane) -> tuple[Found, ...]:
    """Find the pieces on the mat, row by row.

    Parameters
    ----------
    plane : Plane
        The photo, its camera and its light.
    """
    import cv2
    import numpy

    scale = plane.pose.print_scale
    whole = plane.mat.work_area
    area = Box(
        whole.left_mm + _RIM_MM,
        whole.top_mm + _RIM_MM,
        whole.right_mm - _RIM_MM,
        whole.bottom_mm - _RIM_MM,
    )
    fine = rectify(plane.photo, plane.pose, area, mm_per_px=FLAT_MM / 2 / scale)
    height, width = fine.pixels.shape[0] // 2, fine.pixels.shape[1] // 2
    pixels = cv2.resize(fine.pixels[: 2 * height, : 2 * width], (width, height), interpolation=cv2.INTER_AREA)
    x = area.left_mm + (numpy.arange(width) + 0.5) * FLAT_MM / scale
    y = area.top_mm + (numpy.arange(height) + 0.5) * FLAT_MM / scale
    flat = shades(numpy.asarray(pixels, dtype=numpy.uint8), *numpy.meshgrid(x, y), plane.light, plane.mat)
    seen = find(flat)
    on = seen.piece > 0
    things = large_things(flat, on)
    corner = numpy.array([area.left_mm, area.top_mm]) * scale
    pieces = [
        _found(things.labels == at, corner, Meets.ALONE, large=True) for at in range(1, things.count + 1)
    ]
    count, labels, stats, _ = cv2.connectedComponentsWithStats(on.astype(numpy.uint8), connectivity=4)
    for at in range(1, count):
        left, top, wide, high, pixels_in = (int(one) for one in stats[at])
        if pixels_in * FLAT_MM**2 < _LEAST_MM2:
            continue
        part_of = slice(top, top + high), slice(left, left + wide)
        window = labels[part_of] == at
        if (things.labels[part_of][window] > 0).mean() >= _PART_OF_IT:
            continue
        from_rim = min(left, top, width - left - wide, height - top - high)
        ends = from_rim <= 0
        if from_rim * FLAT_MM <= _RIM_MM and min(wide, high) * FLAT_MM < _STRIP_MM:
            continue
        maps = seen.piece[part_of], seen.border[part_of], seen.way_mm[:, *part_of]
        parts = _sure_parts(window, *maps)
        start = corner + numpy.array([left, top]) * FLAT_MM
        if len(parts) > _MANY and parts[0].meets not in WHOLE and too_large(window, FLAT_MM):
            pieces.append(_found(window, start, Meets.UNCLEAR, over_edge=ends, large=True))
            continue
        pieces.extend(_found(part.mask, start, part.meets, over_edge=ends) for part in parts)
    return _in_rows([one for one in pieces if one is not None])


def _sure_parts(
    window: NDArray[np.bool_],
    piece: NDArray[np.floating],
    border: NDArray[np.floating],
    way_mm: NDArray[np.floating],
) -> tuple[Part, ...]:
    """The parts of a connected thing without those of which no pixel is surely one of a piece."""
    parts = parts_of(window, border, way_mm)
    sure = [part for part in parts if piece[part.mask].max() >= _SURE]
    if len(sure) == 1 < len(parts):
        return parts_of(sure[0].mask, border, way_mm)
    return tuple(sure)


def _found(
    mask: NDArray[np.bool_],
    corner_mm: NDArray[np.float64],
    meets: Meets,
    *,
    over_edge: bool = False,
    large: bool = False,
) -> Found | None:
    """A piece by its mask in a window with that corner; nothing where it has no outline."""
    outline = _outline(mask)
    if outline is None:
        return None
    left_mm, top_mm = (float(one) for one in corner_mm)
    return Found((outline + 0.5) * FLAT_MM + corner_mm, mask, left_mm, top_mm, over_edge, meets, large)


def _outline(part: NDArray[np.bool_]) -> NDArray[np.float64] | None:
    import cv2
    import numpy

    lines, _ = cv2.findContours(part.astype(numpy.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    longest = max(lines, key=len, default=None)
    if longest is None or len(longest) < 8:
        return None
    return numpy.asarray(longest[:, 0, :], dtype=float)


def _in_rows(pieces: list[Found]) -> tuple[Found, ...]:
    """The pieces as one reads a page: rows of about a thumb's height, each from the left."""
    row_mm = 25.0

    def place(one: Found) -> tuple[int, float]:
        middle = one.outline_mm.mean(axis=0)
        return int(middle[1] // row_mm), float(middle[0])

    return tuple(sorted(pieces, key=place))
