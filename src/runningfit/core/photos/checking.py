"""A photo of a mat judged for measuring: the plane to measure on, or which fault it has and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.decoding import Photo, decode
from runningfit.core.photos.finding import Found, Sightings, find_markers, sightings
from runningfit.core.photos.light import Light, fit_light
from runningfit.core.photos.mats import Mat
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.paper_edges import PaperSize, paper_size
from runningfit.core.photos.pose import Pose, corners_mm, fit_pose
from runningfit.core.photos.unseen_mat import why_no_mat

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Print scales that a printer can have come to; beyond, the figure itself is wrong.
LEAST_SCALE, MOST_SCALE = 0.9, 1.1
# Beyond the first a pitch of 1 mm can no longer be read, beyond the second hardly any.
FINE_GSD_MM, COARSEST_GSD_MM = 0.15, 0.20
# Blur as a standard deviation on the mat: a thread of 1 mm pitch keeps a third of its contrast at 0.24 mm.
FINE_BLUR_MM, MOST_BLUR_MM = 0.20, 0.30
# Scatter of the corners about a flat mat: 0.02 mm on rendered photos.
FLAT_MM, MOST_CURL_MM, OTHER_MAT_MM = 0.06, 0.15, 2.0
# Light of the paper, the whole range of the file being one; and how much of the lightest patches may be full.
DARK_PAPER, MOST_FULL = 0.05, 0.3
# Two edges of the paper that say so are believed beyond this: papers are cut to 0.7 per cent (ISO 216, from
# memory), and both sides have to say the same.
SCALE_OFF, SIDES_AGREE = 0.012, 0.006
# Of the pitch of a thread, on rendered photos: below so many pixels it could not be read.
_PITCH_PX = 5.5
_FEWEST, _LEAST_SHARE, _LEAST_AREA = 4, 0.6, 0.75


@dataclass(frozen=True, slots=True)
class Plane:
    """A photo that can be measured, and what it is measured by.

    Parameters
    ----------
    photo : Photo
        The decoded photo.
    mat : Mat
        The mat that it shows, as designed.
    found : Found
        The markers that were found.
    pose : Pose
        The camera over the mat, with its covariance.
    light : Light
        The light on the mat.
    gsd_mm : float
        What a pixel covers in the middle of the work area [mm].
    blur_mm : float
        The standard deviation of the blur on the mat [mm].
    residual_mm : float
        Scatter of the markers' corners about a flat mat, per axis [mm].
    paper : PaperSize or None
        What the edges of the paper say of the print scale.
    print_scale_told : bool
        Whether a person measured the rulers, or the scale is taken as one.
    cautions : tuple of str
        What to mind, a sentence each.
    """

    photo: Photo
    mat: Mat
    found: Found
    pose: Pose
    light: Light
    gsd_mm: float
    blur_mm: float
    residual_mm: float
    paper: PaperSize | None
    print_scale_told: bool
    cautions: tuple[str, ...]


def check_photo(
    data: bytes, *, mat: Mat | None = None, print_scale: float | None = None, filename: str = "photo"
) -> Plane | CouldNotMeasure:
    """Judge whether a photo of a mat can be measured.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG, WebP or HEIC file.
    mat : Mat or None
        The mat, or None for one of the project's own, which tells itself by its markers.
    print_scale : float or None
        Millimetres of the print for each millimetre as designed, by a steel rule on its rulers; None where
        nobody measured, which is taken as one and cautioned of.
    filename : str
        What the person's device calls the file, for the message.

    Returns
    -------
    Plane or CouldNotMeasure
        The plane to measure on, or the fault, why, and what to do.

    Raises
    ------
    InvalidInput
        The print scale is none that a printer can come to.
    """
    if print_scale is not None and not LEAST_SCALE <= print_scale <= MOST_SCALE:
        raise InvalidInput(
            "print scale",
            needs=f"measured over designed length of a ruler, {LEAST_SCALE} to {MOST_SCALE}",
            came=f"{print_scale:g}",
            remedy="Measure the printed ruler with a steel rule: 194 mm of 200 mm is 0.970.",
        )
    photo = decode(data, filename=filename)
    if isinstance(photo, CouldNotMeasure):
        return photo
    mats = (mat,) if mat else tuple(own_mat(paper) for paper in Paper)
    seen = sightings(photo, mats[0].dictionary)
    shown = max(mats, key=lambda one: sum(marker.number in seen.places for marker in one.markers))
    return _measured(photo, shown, seen, print_scale)


def _measured(photo: Photo, mat: Mat, seen: Sightings, print_scale: float | None) -> Plane | CouldNotMeasure:
    import numpy

    found = find_markers(photo, mat, seen)
    unseen = _too_little(photo, mat, found)
    if unseen:
        return unseen
    scale = 1.0 if print_scale is None else print_scale
    pose = fit_pose(photo, mat, found, print_scale=scale)
    middle = mat.work_area.middle
    gsd_mm = float(pose.camera.ground_sample_mm(numpy.array([(middle.x_mm, middle.y_mm)]) * scale)[0])
    blur_mm = float(numpy.median(found.edges.blur_px)) * gsd_mm
    residual_mm = pose.rms_px * gsd_mm
    light = fit_light(photo, pose, mat)
    there = _markers_px(mat, pose)
    fault = _other_mat(residual_mm) or _cut_off(photo, there)
    if fault:
        return fault
    if light is None:
        return CouldNotMeasure(
            Fault.COVERED_MAT,
            "The grey patches of the mat cannot be seen.",
            "Take hands and pieces off the border of the mat.",
        )
    fault = (
        _light_fault(light)
        or _not_sharp(photo, blur_mm, gsd_mm)
        or _covered(mat, found, there)
        or _not_flat(residual_mm)
    )
    if fault:
        return fault
    paper = paper_size(photo, pose, mat)
    off = _scale_off(paper, scale)
    if off is not None and print_scale is None:
        return CouldNotMeasure(
            Fault.PRINT_SCALE,
            f"The edges of the paper say that the mat was printed at {100 * off:.1f} % of its size.",
            "Measure the printed ruler with a steel rule and give the print scale, or print the mat anew at "
            "100 %, without fitting it to the page.",
        )
    cautions = _cautions(gsd_mm, blur_mm, residual_mm, print_scale, off, found)
    return Plane(
        photo, mat, found, pose, light, gsd_mm, blur_mm, residual_mm, paper, print_scale is not None, cautions
    )


def _too_little(photo: Photo, mat: Mat, found: Found) -> CouldNotMeasure | None:
    """The fault where too few markers, or those of two mats, were found."""
    if len(found.repeated) + len(found.foreign) >= 3 and found.numbers:
        return CouldNotMeasure(
            Fault.TWO_MATS,
            "The picture shows markers of a second mat.",
            "Photograph one mat at a time, with no other mat or screen in the picture.",
        )
    if len(found.numbers) >= _FEWEST:
        return None
    return why_no_mat(photo, found, len(mat.markers))


def _other_mat(residual_mm: float) -> CouldNotMeasure | None:
    if residual_mm <= OTHER_MAT_MM:
        return None
    return CouldNotMeasure(
        Fault.CURLED_MAT,
        f"The markers lie {residual_mm:.1f} mm from where a flat mat of this design has them.",
        "Check that the mat file belongs to this mat, and lay it flat.",
    )


def _not_flat(residual_mm: float) -> CouldNotMeasure | None:
    if residual_mm <= MOST_CURL_MM:
        return None
    return CouldNotMeasure(
        Fault.CURLED_MAT,
        f"The mat is not flat: its markers lie {residual_mm:.2f} mm off; {MOST_CURL_MM:g} mm is allowed.",
        "Weigh its corners down or tape it to a board, photograph it again, and send the photo uncropped.",
    )


def _markers_px(mat: Mat, pose: Pose) -> NDArray[np.float64]:
    """Where all markers of the mat would be seen: marker x 4 x 2 [px]."""
    drawn = corners_mm(mat, tuple(one.number for one in mat.markers), print_scale=pose.print_scale)
    return pose.camera.to_px(drawn.reshape(-1, 3)).reshape(-1, 4, 2)


def _cut_off(photo: Photo, there: NDArray[np.float64]) -> CouldNotMeasure | None:
    """The fault where part of the mat is outside the picture."""
    inside = ((there > 0) & (there < (photo.width_px - 1, photo.height_px - 1))).all(axis=(1, 2))
    out = int((~inside).sum())
    if not out:
        return None
    return CouldNotMeasure(
        Fault.HALF_A_MAT,
        f"{out} of the mat's {len(there)} markers {'lies' if out == 1 else 'lie'} outside the picture"
        f"{_where(there[~inside], photo)}.",
        ("Turn the phone on its side and take" if photo.height_px > photo.width_px else "Take")
        + " the whole mat into the picture, with a little table all round.",
    )


def _covered(mat: Mat, found: Found, there: NDArray[np.float64]) -> CouldNotMeasure | None:
    """The fault where too much of the border is hidden."""
    import cv2
    import numpy

    use = [one.number in found.numbers for one in mat.markers]
    hull, whole = (
        cv2.contourArea(cv2.convexHull(part.reshape(-1, 2).astype(numpy.float32)))
        for part in (there[use], there)
    )
    if len(found.numbers) >= _LEAST_SHARE * len(there) and hull >= _LEAST_AREA * whole:
        return None
    return CouldNotMeasure(
        Fault.COVERED_MAT,
        f"Only {len(found.numbers)} of the mat's {len(there)} markers can be seen.",
        "Take hands and pieces off the border of the mat, and keep lamps from shining back from it.",
    )


def _where(there: NDArray[np.float64], photo: Photo) -> str:
    middle = there.reshape(-1, 2).mean(axis=0) / (photo.width_px, photo.height_px) - 0.5
    if abs(middle).max() < 0.25:
        return ""
    if abs(middle[0]) > abs(middle[1]):
        return ", on the left" if middle[0] < 0 else ", on the right"
    return ", at the top" if middle[1] < 0 else ", at the bottom"


def _light_fault(light: Light) -> CouldNotMeasure | None:
    if light.paper_level < DARK_PAPER:
        return CouldNotMeasure(
            Fault.DARK,
            f"The photo is too dark: the white paper has {100 * light.paper_level:.1f} % of full light, "
            f"{100 * DARK_PAPER:.0f} % is the least.",
            "Turn on a lamp or go to a window, and photograph it again.",
        )
    if light.full_share > MOST_FULL:
        return CouldNotMeasure(
            Fault.BURNT_OUT,
            f"The photo is burnt out: {100 * light.full_share:.0f} % of the light grey patches is as bright "
            "as a photo can be.",
            "Tap the mat on the phone's screen so that it exposes for it, or take the lamp further away.",
        )
    return None


def _not_sharp(photo: Photo, blur_mm: float, gsd_mm: float) -> CouldNotMeasure | None:
    if gsd_mm > COARSEST_GSD_MM:
        turned = photo.height_px > photo.width_px
        return CouldNotMeasure(
            Fault.TOO_FAR,
            f"A pixel covers {gsd_mm:.3f} mm of the mat; {COARSEST_GSD_MM:.2f} mm is the most, "
            f"{FINE_GSD_MM:.2f} mm is good.",
            (
                "Turn the phone so that the mat fills the picture, "
                if turned
                else "Go closer until the mat fills the picture, "
            )
            + "choose the camera's full size, and send the photo itself, not a screenshot or a message.",
        )
    if blur_mm > MOST_BLUR_MM:
        return CouldNotMeasure(
            Fault.BLURRED,
            f"The photo is blurred over {blur_mm:.2f} mm; {MOST_BLUR_MM:.2f} mm is the most.",
            "Hold still, tap the mat to focus on it, and give it more light.",
        )
    return None


def _scale_off(paper: PaperSize | None, scale: float) -> float | None:
    """The print scale that the paper tells where it differs from what is taken."""
    if paper is None or abs(paper.across / paper.down - 1) > SIDES_AGREE:
        return None
    return paper.mean if abs(paper.mean / scale - 1) > SCALE_OFF else None


def _cautions(
    gsd_mm: float, blur_mm: float, residual_mm: float, told: float | None, off: float | None, found: Found
) -> tuple[str, ...]:
    said = []
    if told is None:
        said.append(
            "Nobody has measured the print's rulers: every length is off by as much as the print is. "
            "Hold a steel rule against them once and give the print scale."
        )
    elif off is not None:
        said.append(
            f"The print scale told is {told:.3f}, the paper's edges say {off:.3f}: measure the ruler again."
        )
    if gsd_mm > FINE_GSD_MM:
        said.append(
            f"A pixel covers {gsd_mm:.2f} mm: threads finer than {_PITCH_PX * gsd_mm:.1f} mm of pitch cannot "
            "be read. Go closer, or use a smaller mat."
        )
    if blur_mm > FINE_BLUR_MM:
        said.append(f"The photo is blurred over {blur_mm:.2f} mm, which hides fine threads. Hold still.")
    if residual_mm > FLAT_MM:
        said.append(f"The mat is not quite flat: its markers lie {residual_mm:.2f} mm off.")
    if found.repeated or found.foreign:
        said.append("A pattern that is no marker of this mat looks like one; it was left out.")
    return tuple(said)
