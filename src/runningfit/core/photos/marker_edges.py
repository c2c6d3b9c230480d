"""The corners of markers to a small part of a pixel: lines laid to their edges, and how sharp these are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Where along an edge it is looked at, as shares of its length; the corners themselves are rounded by blur.
_FIRST, _LAST, _PLACES = 0.1, 0.9, 40
_STEP_PX = 0.25
# The first look across an edge reaches this share of a module, at most so many pixels; later ones reach this
# many blurs, since what lies beyond adds noise and nothing else.
_REACH, _LEAST_PX, _MOST_PX = 0.75, 1.5, 8.0
_BLURS = 2.5
_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Edges:
    """Corners found by the edges of markers.

    Parameters
    ----------
    corners_px : array, marker x 4 x 2
        The corners [px], pixel centres at whole numbers.
    scatter_px : float
        How the edges scatter about their lines [px].
    blur_px : array, marker
        The standard deviation of the blur across the edges of each marker [px].
    """

    corners_px: Array
    scatter_px: float
    blur_px: Array


def refine_corners(brightness: NDArray[np.float32], corners_px: Array, *, modules: int) -> Edges:
    """Lay lines to the four edges of each marker, and let them meet in its corners.

    Parameters
    ----------
    brightness : array of float32, height x width
        The photo in linear light.
    corners_px : array, marker x 4 x 2
        The corners to within a module [px].
    modules : int
        How many modules a marker has along its side, its border included.

    Returns
    -------
    Edges
        An edge is where the light between black and white is half, by the area under its profile, which a
        symmetrical blur does not move.
    """
    import numpy

    corners = numpy.asarray(corners_px, dtype=float)
    scatter = numpy.zeros(len(corners))
    blur = numpy.zeros(len(corners))
    for _ in range(_ROUNDS):
        for at, quad in enumerate(corners):
            corners[at], scatter[at], blur[at] = _one_marker(brightness, quad, modules, blur[at])
    return Edges(corners, float(numpy.median(scatter)) if len(corners) else 0.0, blur)


def _one_marker(
    brightness: NDArray[np.float32], quad: Array, modules: int, blur_px: float
) -> tuple[Array, float, float]:
    import cv2
    import numpy

    start, end = quad, numpy.roll(quad, -1, axis=0)
    length = numpy.linalg.norm(end - start, axis=1)
    along = (end - start) / length[:, None]
    outward = numpy.stack([along[:, 1], -along[:, 0]], axis=1)
    middle = quad.mean(axis=0)
    outward *= numpy.sign(((start + end) / 2 - middle) @ outward.T).diagonal()[:, None]
    widest = float(numpy.clip(_REACH * length.min() / modules, _LEAST_PX, _MOST_PX))
    reach = widest if blur_px == 0 else float(numpy.clip(_BLURS * blur_px, _LEAST_PX, widest))
    across = numpy.arange(-reach, reach + _STEP_PX / 2, _STEP_PX)
    share = numpy.linspace(_FIRST, _LAST, _PLACES)
    foot = start[:, None] + share[None, :, None] * (end - start)[:, None]
    spots = foot[:, :, None] + across[None, None, :, None] * outward[:, None, None]
    flat = spots.reshape(4 * _PLACES, len(across), 2).astype(numpy.float32)
    light = cv2.remap(
        brightness, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    ).reshape(4, _PLACES, len(across))
    ends = max(2, len(across) // 8)
    black = numpy.median(light[..., :ends], axis=(1, 2), keepdims=True)
    white = numpy.median(light[..., -ends:], axis=(1, 2), keepdims=True)
    contrast = numpy.maximum(white - black, 1e-6)
    share_white = (light - black) / contrast
    area = (share_white.sum(axis=2) - (share_white[..., 0] + share_white[..., -1]) / 2) * _STEP_PX
    offset = across[-1] - area
    lines = [_line(share * length[at], offset[at]) for at in range(4)]
    points = [start[at] + lines[at][0] * outward[at] for at in range(4)]
    slopes = [along[at] + lines[at][1] * outward[at] for at in range(4)]
    found = numpy.stack([_meeting(points[at - 1], slopes[at - 1], points[at], slopes[at]) for at in range(4)])
    moved = numpy.linalg.norm(found - quad, axis=1).max()
    if not numpy.isfinite(moved) or moved > 2 * widest:
        found = quad
    return found, float(numpy.median([one[2] for one in lines])), _blur(share_white, offset, across)


def _line(distance: Array, offset: Array) -> tuple[float, float, float]:
    """A straight line through the offsets along an edge, those far off left out: height, slope, scatter."""
    import numpy

    use = numpy.abs(offset - numpy.median(offset)) < _MOST_PX / 2
    height = slope = 0.0
    scatter = 1.0
    for _ in range(3):
        if use.sum() < 6:
            break
        slope, height = numpy.polyfit(distance[use], offset[use], 1)
        rest = offset - (height + slope * distance)
        scatter = max(float(1.4826 * numpy.median(numpy.abs(rest[use]))), 0.01)
        use = numpy.abs(rest) < 3 * scatter
    return float(height), float(slope), scatter


def _meeting(first: Array, first_along: Array, second: Array, second_along: Array) -> Array:
    import numpy

    cross = first_along[0] * second_along[1] - first_along[1] * second_along[0]
    apart = second - first
    reach = (apart[0] * second_along[1] - apart[1] * second_along[0]) / cross
    return numpy.asarray(first + reach * first_along)


def _blur(share_white: Array, offset: Array, across: Array) -> float:
    """The blur as the standard deviation that makes a step rise from 16 to 84 per cent in two of it [px]."""
    import numpy

    centred = numpy.stack(
        [
            numpy.interp(across, across - one_offset, one)
            for edge, offsets in zip(share_white, offset, strict=True)
            for one, one_offset in zip(edge, offsets, strict=True)
        ]
    )
    mean = numpy.maximum.accumulate(numpy.median(centred, axis=0))
    low, high = (float(numpy.interp(level, mean, across)) for level in (0.16, 0.84))
    return (high - low) / 2
