"""The mat seen straight from above: a photo turned into a picture of known millimetres per pixel."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.mats import Box

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.decoding import Photo
    from runningfit.core.photos.pose import Pose

# Where pixels come from is reckoned at every so many and drawn straight between; the bend left out is below a
# hundredth of a pixel.
_EVERY_PX = 16
_MOST_PX = 60_000_000


@dataclass(frozen=True, slots=True)
class Rectified:
    """A part of the mat from straight above.

    Parameters
    ----------
    pixels : array of uint8, height x width x 3
        sRGB; black where the photo does not reach.
    box : Box
        Which part of the mat it is, in millimetres as designed.
    mm_per_px : float
        Millimetres as designed for each pixel; the middle of the first pixel lies half of it within the box.
    """

    pixels: NDArray[np.uint8]
    box: Box
    mm_per_px: float


def rectify(photo: Photo, pose: Pose, box: Box, *, mm_per_px: float, height_mm: float = 0.0) -> Rectified:
    """Turn a part of the mat so that it is seen from straight above.

    Parameters
    ----------
    photo : Photo
        The photo.
    pose : Pose
        The camera over the mat.
    box : Box
        Which part, in millimetres as designed.
    mm_per_px : float
        Millimetres as designed for each pixel.
    height_mm : float
        The plane that is shown, above the mat [mm].

    Raises
    ------
    InvalidInput
        So fine a picture would be too large.
    """
    import cv2
    import numpy

    width = ceil((box.right_mm - box.left_mm) / mm_per_px)
    height = ceil((box.bottom_mm - box.top_mm) / mm_per_px)
    if width * height > _MOST_PX:
        raise InvalidInput(
            "mm_per_px", needs=f"a picture of at most {_MOST_PX // 10**6} megapixels", came=mm_per_px
        )
    # One more beyond each side, since resizing draws no lines outside the outer ones.
    columns = numpy.arange(-1, width // _EVERY_PX + 2) * _EVERY_PX + _EVERY_PX / 2
    rows = numpy.arange(-1, height // _EVERY_PX + 2) * _EVERY_PX + _EVERY_PX / 2
    x, y = numpy.meshgrid(box.left_mm + columns * mm_per_px, box.top_mm + rows * mm_per_px)
    points = numpy.stack([x.ravel(), y.ravel(), numpy.zeros(x.size)], axis=1) * pose.print_scale
    points[:, 2] = -height_mm
    coarse = pose.camera.to_px(points).reshape(len(rows), len(columns), 2).astype(numpy.float32)
    whole = cv2.resize(coarse, None, fx=_EVERY_PX, fy=_EVERY_PX, interpolation=cv2.INTER_LINEAR)
    fine = whole[_EVERY_PX : _EVERY_PX + height, _EVERY_PX : _EVERY_PX + width]
    x_px, y_px = (numpy.ascontiguousarray(fine[..., at]) for at in (0, 1))
    pixels = cv2.remap(photo.pixels, x_px, y_px, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
    return Rectified(numpy.asarray(pixels, dtype=numpy.uint8), box, mm_per_px)
