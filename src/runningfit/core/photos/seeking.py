"""The pieces on the mat told apart, each with its outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.light import shades
from runningfit.core.photos.mats import Box
from runningfit.core.photos.networks import FLAT_MM, find
from runningfit.core.photos.rectifying import rectify

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.checking import Plane

# Smaller than the head of the smallest screw, a speck is no piece [mm^2].
_LEAST_MM2 = 5.0
# The pixels of one piece point to one middle. They point to two where both groups are large, lie far apart
# and each keeps together: how far apart, by what share of the length, each with what share of the pixels,
# strayed by what share of the gap.
_APART_MM, _APART, _LEAST_SHARE, _TOGETHER = 5.0, 0.12, 0.2, 0.12
# The edge of the ground, where its ink and the paper of the border blend, is left out [mm]; what is left of
# it and no wider than a strip is no piece.
_RIM_MM, _STRIP_MM = 1.0, 1.5


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
    touches : bool
        Whether it seems to be two pieces that touch.
    """

    outline_mm: NDArray[np.float64]
    mask: NDArray[np.bool_]
    left_mm: float
    top_mm: float
    over_edge: bool
    touches: bool


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
    on = (seen.piece > 0).astype(numpy.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(on, connectivity=4)
    pieces = []
    for at in range(1, count):
        left, top, wide, high, pixels_in = (int(one) for one in stats[at])
        if pixels_in * FLAT_MM**2 < _LEAST_MM2:
            continue
        window = labels[top : top + high, left : left + wide] == at
        way = seen.way_mm[:, top : top + high, left : left + wide]
        ends = left == 0 or top == 0 or left + wide >= width or top + high >= height
        if ends and min(wide, high) * FLAT_MM < _STRIP_MM:
            continue
        for part, touches in _parts(window, way):
            outline = _outline(part)
            if outline is None:
                continue
            corner = numpy.array([left, top])
            pieces.append(
                Found(
                    (outline + corner + 0.5) * FLAT_MM + numpy.array([area.left_mm, area.top_mm]) * scale,
                    part,
                    left * FLAT_MM + area.left_mm * scale,
                    top * FLAT_MM + area.top_mm * scale,
                    ends,
                    touches,
                )
            )
    return _in_rows(pieces)


def _parts(window: NDArray[np.bool_], way_mm: NDArray[np.float32]) -> list[tuple[NDArray[np.bool_], bool]]:
    """A window's pixels as one piece, or as two where they point to two middles far apart."""
    import numpy

    rows, columns = numpy.nonzero(window)
    ends = numpy.stack([columns * FLAT_MM + way_mm[0][window], rows * FLAT_MM + way_mm[1][window]], axis=1)
    places = numpy.stack([columns, rows], axis=1) * FLAT_MM
    length = float(numpy.hypot(*numpy.ptp(places, axis=0)))
    centred = ends - numpy.median(ends, axis=0)
    _, _, axes = numpy.linalg.svd(centred[:: max(1, len(centred) // 2000)], full_matrices=False)
    along = centred @ axes[0]
    cut = _two_groups(along)
    if cut is None:
        return [(window, False)]
    first = along < cut
    near, far = float(numpy.median(along[first])), float(numpy.median(along[~first]))
    strayed = float(numpy.median(numpy.abs(along - numpy.where(first, near, far))))
    least = min(first.mean(), 1 - first.mean())
    if (
        far - near < max(_APART_MM, _APART * length)
        or least < _LEAST_SHARE
        or strayed > _TOGETHER * (far - near)
    ):
        return [(window, False)]
    parts = []
    for group in (first, ~first):
        part = numpy.zeros_like(window)
        part[rows[group], columns[group]] = True
        parts.append((part, True))
    return parts


def _two_groups(values: NDArray[np.float64]) -> float | None:
    """The value that parts two groups with least spread within them, or None for too few."""
    import numpy

    if len(values) < 50:
        return None
    ordered = numpy.sort(values)
    count = numpy.arange(1, len(ordered))
    sums = numpy.cumsum(ordered)
    below, above = sums[:-1] / count, (sums[-1] - sums[:-1]) / (len(ordered) - count)
    between = count * (len(ordered) - count) * (above - below) ** 2
    at = int(between.argmax())
    return float((ordered[at] + ordered[at + 1]) / 2)


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
