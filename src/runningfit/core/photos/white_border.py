"""Things on the white border of a mat, where nothing is measured: told, so that none is overlooked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runningfit.core.photos.light import shades
from runningfit.core.photos.marker_patterns import white_modules
from runningfit.core.photos.mats import Box, Mat, Spot, linear_of
from runningfit.core.photos.own_mats import paper_of
from runningfit.core.photos.rectifying import rectify

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.checking import Plane

_STEP_MM = 0.5
# Looked at from two pixels off each printed edge on, so far inside the paper, and not where rulers and words
# are.
_INSIDE_MM, _RULER_STRIP_MM = 4.0, 6.5
# White that is darker than a shadow leaves it, or coloured; black and grey that is lighter by so much.
_DARK, _COLOURED, _LIGHTER, _LIGHTER_BY = 0.45, 1.5, 1.8, 0.15
_BLACK_INK, _WHITE = 0.02, 0.5
_LEAST_MM2 = 8.0


def on_white_border(plane: Plane) -> tuple[Spot, ...]:
    """Find things on the white border, each by its middle; of mats of another origin nothing is known.

    Parameters
    ----------
    plane : Plane
        The photo, its camera and its light.
    """
    import cv2
    import numpy

    mat = plane.mat
    if paper_of(mat) is None:
        return ()
    printed, known = _printed(mat)
    height, width = printed.shape
    whole = Box(0.0, 0.0, mat.width_mm, mat.height_mm)
    fine = rectify(plane.photo, plane.pose, whole, mm_per_px=_STEP_MM / 2)
    pixels = cv2.resize(fine.pixels, (width, height), interpolation=cv2.INTER_AREA)
    x, y = numpy.meshgrid((numpy.arange(width) + 0.5) * _STEP_MM, (numpy.arange(height) + 0.5) * _STEP_MM)
    shade = shades(numpy.asarray(pixels, dtype=numpy.uint8), x, y, plane.light, mat)
    light = cv2.blur(shade, (3, 3)) ** 2
    high, low = light.max(axis=2), light.min(axis=2)
    strange = numpy.where(
        printed > _WHITE,
        (high < _DARK * printed) | (high > _COLOURED * numpy.maximum(low, _BLACK_INK)),
        high > _LIGHTER * printed + _LIGHTER_BY,
    )
    # Where the photo ends, what is seen from above is black.
    beyond = cv2.dilate((pixels.max(axis=2) == 0).astype(numpy.uint8), numpy.ones((5, 5), numpy.uint8)) > 0
    strange &= known & ~beyond
    joined = cv2.morphologyEx(strange.astype(numpy.uint8), cv2.MORPH_CLOSE, numpy.ones((5, 5), numpy.uint8))
    count, things, _, middles = cv2.connectedComponentsWithStats(joined, connectivity=8)
    areas = numpy.bincount(things[strange], minlength=count) * _STEP_MM**2
    return tuple(
        Spot(*(float(one) * _STEP_MM for one in middles[at]))
        for at in range(1, count)
        if areas[at] >= _LEAST_MM2
    )


def _printed(mat: Mat) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """The share of light that the border gives back as printed, and where that is known."""
    import cv2
    import numpy

    size = round(mat.height_mm / _STEP_MM), round(mat.width_mm / _STEP_MM)
    white = linear_of(mat.paper_srgb[0])
    printed = numpy.full(size, white, numpy.float32)

    def fill(box: Box, value: float) -> None:
        left, top, right, bottom = (
            round(one / _STEP_MM) for one in (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)
        )
        printed[top:bottom, left:right] = value

    for marker in mat.markers:
        first, _, last, _ = marker.corners
        fill(Box(first.x_mm, first.y_mm, last.x_mm, last.y_mm), _BLACK_INK)
        for module in white_modules(mat, marker):
            fill(module, white)
    for patch in mat.patches:
        fill(patch.box, patch.linear)
    near_edge = numpy.ones((5, 5), numpy.uint8)
    known = cv2.dilate(printed, near_edge) - cv2.erode(printed, near_edge) < _BLACK_INK
    area = mat.work_area
    strip = Box(0.0, 0.0, area.right_mm + _RULER_STRIP_MM, area.bottom_mm + _RULER_STRIP_MM)
    x, y = numpy.meshgrid((numpy.arange(size[1]) + 0.5) * _STEP_MM, (numpy.arange(size[0]) + 0.5) * _STEP_MM)
    known &= (x > _INSIDE_MM) & (x < mat.width_mm - _INSIDE_MM)
    known &= (y > _INSIDE_MM) & (y < mat.height_mm - _INSIDE_MM)
    ground = (x > area.left_mm - 1) & (x < strip.right_mm) & (y > area.top_mm - 1) & (y < strip.bottom_mm)
    return printed, known & ~ground
