"""The edges of the paper as a check of the print: a mat printed smaller leaves more paper around it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.mats import Mat

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.decoding import Photo
    from runningfit.core.photos.pose import Pose

    Array = NDArray[np.float64]

_BEYOND_MM = 25.0
_STEP_MM = 0.1
_PLACES = 60
# An edge is where the light has left that of the paper by this share; most places of a side have to agree.
_CHANGE = 0.2
_AGREE_MM, _AGREE_SHARE = 1.0, 0.6
_INNER_MM = 1.5


@dataclass(frozen=True, slots=True)
class PaperSize:
    """The print's scale as the paper's edges tell it, along both sides.

    Parameters
    ----------
    across, down : float
        Millimetres of the print for each millimetre as designed, if the paper has its standard size.
    """

    across: float
    down: float

    @property
    def mean(self) -> float:
        """The mean of both."""
        return (self.across + self.down) / 2


def paper_size(photo: Photo, pose: Pose, mat: Mat) -> PaperSize | None:
    """Find the edges of the paper, and what they say of the print scale.

    Parameters
    ----------
    photo : Photo
        The photo.
    pose : Pose
        The camera over the mat.
    mat : Mat
        The mat as designed, whose size is that of its paper.

    Returns
    -------
    PaperSize or None
        None where an edge cannot be seen, as on a white table.
    """
    spots = [spot for one in mat.markers for spot in one.corners]
    left, right = min(one.x_mm for one in spots), max(one.x_mm for one in spots)
    top, bottom = min(one.y_mm for one in spots), max(one.y_mm for one in spots)
    places = [
        _edge_mm(photo, pose, ((left, top), (left, bottom)), (-1, 0)),
        _edge_mm(photo, pose, ((right, top), (right, bottom)), (1, 0)),
        _edge_mm(photo, pose, ((left, top), (right, top)), (0, -1)),
        _edge_mm(photo, pose, ((left, bottom), (right, bottom)), (0, 1)),
    ]
    if any(one is None for one in places):
        return None
    west, east, north, south = (one or 0.0 for one in places)
    return PaperSize(
        mat.width_mm / (right - left + west + east), mat.height_mm / (bottom - top + north + south)
    )


def _edge_mm(
    photo: Photo, pose: Pose, side: tuple[tuple[float, float], tuple[float, float]], out: tuple[int, int]
) -> float | None:
    """How far outside the outermost markers the paper ends [mm as designed], or None."""
    import numpy

    along = numpy.linspace(side[0], side[1], _PLACES)
    reach = numpy.arange(_INNER_MM, _BEYOND_MM, _STEP_MM)
    points = along[:, None, :] + reach[None, :, None] * numpy.array(out, dtype=float)
    flat = numpy.concatenate([points.reshape(-1, 2), numpy.zeros((along.shape[0] * len(reach), 1))], axis=1)
    place = numpy.rint(pose.camera.to_px(flat * pose.print_scale)).astype(int)
    inside = ((place >= 0) & (place < (photo.width_px, photo.height_px))).all(axis=1)
    place[~inside] = 0
    colours = photo.pixels[place[:, 1], place[:, 0]].astype(float).reshape(_PLACES, len(reach), 3)
    inside = inside.reshape(_PLACES, len(reach))
    first = int(1.5 / _STEP_MM)
    paper = numpy.median(colours[:, :first], axis=1, keepdims=True)
    changed = (numpy.abs(colours - paper) > _CHANGE * numpy.maximum(paper, 20)).any(axis=2) & inside
    # A change that lasts, so that neither grain nor a hair counts.
    lasts = numpy.lib.stride_tricks.sliding_window_view(changed, 10, axis=1).mean(axis=2) > 0.8
    found = numpy.where(lasts.any(axis=1), reach[lasts.argmax(axis=1)], numpy.nan)
    if numpy.isnan(found).mean() > 1 - _AGREE_SHARE:
        return None
    middle = float(numpy.nanmedian(found))
    near = numpy.abs(found - middle) < _AGREE_MM
    return float(found[near].mean()) if near.mean() >= _AGREE_SHARE else None
