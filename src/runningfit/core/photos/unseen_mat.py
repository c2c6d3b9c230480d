"""Why no mat was found in a picture: dark, burnt out, a screenshot, blurred, cut off, or simply no mat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runningfit.core.photos.answers import CouldNotMeasure, Fault

if TYPE_CHECKING:
    from runningfit.core.photos.decoding import Photo
    from runningfit.core.photos.finding import Found

# Of values 0 to 255: the ninetieth percentile of a picture that is too dark, the tenth of one burnt out.
_DARK, _BURNT = 60, 245
# Squares of eight pixels that are all one colour: drawn pictures have many, photos with their grain none.
_SQUARE, _DRAWN_SHARE = 8, 0.25
# The strongest steps between neighbours in a sharp picture, its grain smoothed, are above this.
_SOFT_STEP = 18
# A blur of this standard deviation hides the modules of markers.
_SOFT_EDGE_PX = 2.5
# A smaller picture cannot show a mat at 0.2 mm a pixel.
_SMALL_PX = 1200


def why_no_mat(photo: Photo, found: Found, marker_count: int) -> CouldNotMeasure:
    """Say why fewer than four markers were found.

    Parameters
    ----------
    photo : Photo
        The photo.
    found : Found
        The few markers that were found.
    marker_count : int
        How many the mat has.
    """
    import cv2
    import numpy

    if max(photo.width_px, photo.height_px) < _SMALL_PX:
        return CouldNotMeasure(
            Fault.TOO_FAR,
            f"The picture has only {photo.width_px} x {photo.height_px} pixels.",
            "Send the photo itself in the camera's full size, not a preview of it.",
        )
    grey = cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY)
    if numpy.percentile(grey[::4, ::4], 90) < _DARK:
        return CouldNotMeasure(
            Fault.DARK,
            "The photo is so dark that the mat cannot be found.",
            "Turn on a lamp or go to a window, and photograph it again.",
        )
    if numpy.percentile(grey[::4, ::4], 10) > _BURNT:
        return CouldNotMeasure(
            Fault.BURNT_OUT,
            "The photo is burnt out: nearly all of it is white.",
            "Tap the mat on the phone's screen so that it exposes for it.",
        )
    if _drawn_share(photo) > _DRAWN_SHARE:
        return CouldNotMeasure(
            Fault.SCREENSHOT,
            "This is a screenshot or a drawn picture, not a photo of a mat.",
            "Send the photo itself, as the camera kept it.",
        )
    smooth = cv2.blur(grey, (3, 3)).astype(numpy.int16)
    steps = numpy.percentile(numpy.abs(numpy.diff(smooth, axis=1)), 99.97)
    if steps < _SOFT_STEP or (found.numbers and numpy.median(found.edges.blur_px) > _SOFT_EDGE_PX):
        return CouldNotMeasure(
            Fault.BLURRED,
            "The photo is so blurred that the mat cannot be found.",
            "Hold still, tap the mat to focus on it, and give it more light.",
        )
    if found.numbers:
        return CouldNotMeasure(
            Fault.HALF_A_MAT,
            f"Only {len(found.numbers)} of the mat's {marker_count} markers can be seen.",
            "Take the whole mat into the picture, free of hands and pieces on its border.",
        )
    return CouldNotMeasure(
        Fault.NO_MAT,
        "No mat can be seen in this picture.",
        "Print a mat (on the page Mats, or by runningfit photo mat), lay the hardware on it, and photograph "
        "it from above with the whole mat in the picture.",
    )


def _drawn_share(photo: Photo) -> float:
    """The share of small squares that are all one colour, the fullest white and black left out."""
    import numpy

    height, width = (size // _SQUARE * _SQUARE for size in photo.pixels.shape[:2])
    if not height or not width:
        return 0.0
    squares = photo.pixels[:height, :width].reshape(height // _SQUARE, _SQUARE, width // _SQUARE, _SQUARE, 3)
    low, high = squares.min(axis=(1, 3)), squares.max(axis=(1, 3))
    plain = (low == high).all(axis=2)
    edge = ((low == 0) | (low == 255)).all(axis=2)
    counted = (~(plain & edge)).sum()
    return float((plain & ~edge).sum() / counted) if counted else float(numpy.mean(plain))
