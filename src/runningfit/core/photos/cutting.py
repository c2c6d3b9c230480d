"""Cut-outs of pieces, turned along their axis, as the reading network takes them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from runningfit.core.photos.light import shades
from runningfit.core.photos.networks import CUT_MM, FLAT_MM, MULTIPLE_PX

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.checking import Plane
    from runningfit.core.photos.seeking import Found

    Array = NDArray[np.float64]

# Ground left and right of a piece, and above and below it [mm].
_BESIDE_MM = 4.0
_WIDTHS, _HEIGHTS = (384, 512, 640, 768, 896), (256, 320)
# Small pieces can be read from less, in half the time; what the reader says of their sizes is off by more
# then (of 150 washers on one drawn photo by 0.45 mm).
_HASTY_PX, HASTY_U_MM = 192, 0.45
_EVERY_PX = 8


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a cut-out lies on the mat.

    Parameters
    ----------
    middle_mm : array, 2
        Its middle on the mat, in true millimetres.
    along : array, 2
        Unit vector of its x; its y is a quarter turn clockwise from that, as y runs down on the mat.
    width_px, height_px : int
        Its size.
    """

    middle_mm: Array
    along: Array
    width_px: int
    height_px: int

    @property
    def hasty(self) -> bool:
        """Whether it is a small one, from which sizes are read worse."""
        return self.width_px == _HASTY_PX

    def to_mat_mm(self, points_mm: Array) -> Array:
        """Points given along and across from the middle, on the mat [mm]."""
        import numpy

        across = numpy.array([-self.along[1], self.along[0]])
        return numpy.asarray(self.middle_mm + points_mm[..., :1] * self.along + points_mm[..., 1:] * across)

    def from_mat_mm(self, points_mm: Array) -> Array:
        """Points of the mat, along and across from the middle [mm]."""
        import numpy

        across = numpy.array([-self.along[1], self.along[0]])
        off = points_mm - self.middle_mm
        return numpy.stack([off @ self.along, off @ across], axis=-1)


def frame_of(found: Found, *, hasty: bool = False) -> Frame | None:
    """The frame of a piece along the longest axis of its outline, or None where it is too large for one.

    Parameters
    ----------
    found : Found
        The piece.
    hasty : bool
        Whether a small piece gets a small frame, from which it is read faster and worse.
    """
    import cv2
    import numpy

    outline = found.outline_mm
    (_, _), (one, other), _ = cv2.minAreaRect(outline.astype(numpy.float32))
    corners = cv2.boxPoints(cv2.minAreaRect(outline.astype(numpy.float32)))
    sides = corners[1] - corners[0], corners[2] - corners[1]
    along = max(sides, key=lambda side: float(numpy.hypot(*side)))
    along = along / max(float(numpy.hypot(*along)), 1e-6)
    if max(one, other) < 1.25 * min(one, other):
        # Of a compact piece the long side says nothing: the mask's own axis is the better guess.
        centred = outline - outline.mean(axis=0)
        along = numpy.linalg.svd(centred, full_matrices=False)[2][0]
    frame = framed(outline, numpy.asarray(along, dtype=float))
    if not hasty or frame is None or max(one, other) + 2 * _BESIDE_MM > _HASTY_PX * CUT_MM:
        return frame
    return replace(frame, width_px=_HASTY_PX, height_px=_HASTY_PX)


def framed(outline_mm: Array, along: Array) -> Frame | None:
    """The frame of a piece along a given axis, or None where it is too large for one.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the mat [mm].
    along : array, 2
        Unit vector.
    """
    import numpy

    across = numpy.array([-along[1], along[0]])
    places = numpy.stack([outline_mm @ along, outline_mm @ across], axis=1)
    low, high = places.min(axis=0), places.max(axis=0)
    long_mm, wide_mm = high - low
    width = _least(_WIDTHS, ceil((long_mm + 2 * _BESIDE_MM) / CUT_MM))
    height = _least(_HEIGHTS, ceil((wide_mm + 2 * _BESIDE_MM) / CUT_MM))
    if width is None or height is None:
        return None
    middle = (low + high) / 2
    return Frame(middle[0] * along + middle[1] * across, along, width, height)


def cut_out(plane: Plane, found: Found, frame: Frame) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Cut a piece out of the photo: its four layers, and how the camera stands to it.

    Parameters
    ----------
    plane : Plane
        The photo, its camera and its light.
    found : Found
        The piece.
    frame : Frame
        Where the cut-out lies.

    Returns
    -------
    tuple of array
        4 x height x width as the reader takes it, and its view, 3.
    """
    import cv2
    import numpy

    width, height = frame.width_px, frame.height_px
    # Reckoned at every few pixels, drawn straight between: the bend left out is far below a pixel.
    columns = numpy.arange(-_EVERY_PX / 2, width + _EVERY_PX, _EVERY_PX)
    rows = numpy.arange(-_EVERY_PX / 2, height + _EVERY_PX, _EVERY_PX)
    x, y = numpy.meshgrid((columns + 0.5 - width / 2) * CUT_MM, (rows + 0.5 - height / 2) * CUT_MM)
    on_mat = frame.to_mat_mm(numpy.stack([x, y], axis=-1)).reshape(-1, 2)
    flat = numpy.concatenate([on_mat, numpy.zeros((len(on_mat), 1))], axis=1)
    coarse = plane.pose.camera.to_px(flat).reshape(len(rows), len(columns), 2)
    stacked = numpy.concatenate([coarse, on_mat.reshape(len(rows), len(columns), 2)], axis=2)
    # Pixel i of the whole lies at i / every + 1/2 of the coarse grid.
    at_x, at_y = numpy.meshgrid(
        (numpy.arange(width) / _EVERY_PX + 0.5).astype(numpy.float32),
        (numpy.arange(height) / _EVERY_PX + 0.5).astype(numpy.float32),
    )
    fine = cv2.remap(stacked.astype(numpy.float32), at_x, at_y, cv2.INTER_LINEAR)
    pixels = cv2.remap(
        plane.photo.pixels,
        numpy.ascontiguousarray(fine[..., 0]),
        numpy.ascontiguousarray(fine[..., 1]),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    scale = plane.pose.print_scale
    shade = shades(
        numpy.asarray(pixels, dtype=numpy.uint8),
        numpy.asarray(fine[..., 2] / scale, dtype=float),
        numpy.asarray(fine[..., 3] / scale, dtype=float),
        plane.light,
        plane.mat,
    )
    mask_x = (fine[..., 2] - found.left_mm) / FLAT_MM - 0.5
    mask_y = (fine[..., 3] - found.top_mm) / FLAT_MM - 0.5
    mask = cv2.remap(
        found.mask.astype(numpy.float32),
        numpy.ascontiguousarray(mask_x.astype(numpy.float32)),
        numpy.ascontiguousarray(mask_y.astype(numpy.float32)),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
    )
    stand = plane.pose.camera.stand_mm()
    off = stand[:2] - frame.middle_mm
    across = numpy.array([-frame.along[1], frame.along[0]])
    high = -stand[2]
    view = numpy.array([off @ frame.along / high, off @ across / high, 100 / high], dtype=numpy.float32)
    layers = numpy.concatenate([shade.transpose(2, 0, 1), mask[None]]).astype(numpy.float32)
    return numpy.ascontiguousarray(layers), view


def _least(sizes: tuple[int, ...], needed: int) -> int | None:
    return next((one for one in sizes if one >= needed and one % MULTIPLE_PX == 0), None)
