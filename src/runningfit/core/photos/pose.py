"""The camera fitted to the corners of a mat's markers: robust, with covariance, the print scale as told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.camera import Camera
from runningfit.core.photos.finding import Found
from runningfit.core.photos.mats import Mat

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.decoding import Photo

    Array = NDArray[np.float64]

# What is known beforehand of phone cameras, each as a mean with a standard deviation (common practice, no
# source): focal length as a share of the picture's longer side, told by the camera or not; where the axis
# meets the picture, as a share of that side; radial distortion; how far edges are drawn into the black [px].
_FOCAL_SHARE, _FOCAL_SPREAD, _FOCAL_TOLD_SPREAD = 0.75, 0.3, 0.05
_MIDDLE_SPREAD = 0.006
_BEND_2_SPREAD, _BEND_4_SPREAD = 0.06, 0.06
_INSET_SPREAD_PX = 1.0
# Corners are never trusted further than this, and those beyond so many standard deviations count less [px].
_LEAST_SCATTER_PX = 0.03
_ROBUST = 2.5
_ROUNDS = 3
# Steps of the fit where nothing is known beforehand: turn, the corner's place [px] and depth; and how many
# spreads beyond what is known nothing is looked for.
_STEPS = (1.0,) * 5 + (0.05,) * 3 + (50.0, 50.0, 0.05, 1.0)
_FAR = 5.0


@dataclass(frozen=True, slots=True)
class Pose:
    """A camera fitted to a mat.

    Parameters
    ----------
    camera : Camera
        The camera.
    values : array, 12
        What was fitted: log focal length, middle x and y [px], both bends, turn (3), where the paper's corner
        is seen from the middle (2) [px], log of its depth over the focal length, and inset [px]. So chosen, a
        focal length that the mat hardly tells moves nothing else.
    covariance : array, 12 x 12
        The covariance of these values.
    inset_px : float
        How far the edges of markers were drawn into the black, fitted as one number [px].
    residuals_px : array, corner x 2
        Seen less fitted [px].
    rms_px : float
        Root mean square of their lengths, over the square root of two [px]: per axis.
    scatter_px : float
        The scatter that the covariance rests on, per axis [px].
    print_scale : float
        Millimetres of the print for each millimetre as designed.
    """

    camera: Camera
    values: Array
    covariance: Array
    inset_px: float
    residuals_px: Array
    rms_px: float
    scatter_px: float
    print_scale: float


def corners_mm(mat: Mat, numbers: tuple[int, ...], *, print_scale: float) -> Array:
    """The corners of some markers of a mat, in true millimetres: marker x 4 x 3.

    Parameters
    ----------
    mat : Mat
        The mat as designed.
    numbers : tuple of int
        Which markers.
    print_scale : float
        Millimetres of the print for each millimetre as designed.
    """
    import numpy

    by_number = {one.number: one for one in mat.markers}
    drawn = [[(spot.x_mm, spot.y_mm, 0.0) for spot in by_number[one].corners] for one in numbers]
    return numpy.array(drawn).reshape(-1, 4, 3) * print_scale


def fit_pose(photo: Photo, mat: Mat, found: Found, *, print_scale: float = 1.0) -> Pose:
    """Fit the camera to the corners that were found.

    Parameters
    ----------
    photo : Photo
        The photo, for its size and what the camera told of its lens.
    mat : Mat
        The mat as designed.
    found : Found
        Markers, at least two.
    print_scale : float
        Millimetres of the print for each millimetre as designed; never fitted, for no photo tells it.
    """
    import numpy
    from scipy.optimize import least_squares

    drawn = corners_mm(mat, found.numbers, print_scale=print_scale).reshape(-1, 3)
    seen = found.edges.corners_px.reshape(-1, 2)
    longer = max(photo.width_px, photo.height_px)
    focal = photo.focal_px or _FOCAL_SHARE * longer
    told = _FOCAL_TOLD_SPREAD if photo.focal_px else _FOCAL_SPREAD
    middle = (photo.width_px - 1) / 2, (photo.height_px - 1) / 2
    before = numpy.array([numpy.log(focal), *middle, 0.0, 0.0, *[0.0] * 6, 0.0])
    spread = numpy.array(
        [told, _MIDDLE_SPREAD * longer, _MIDDLE_SPREAD * longer, _BEND_2_SPREAD, _BEND_4_SPREAD]
        + [numpy.inf] * 6
        + [_INSET_SPREAD_PX]
    )
    steps = numpy.where(numpy.isfinite(spread), spread, _STEPS)
    far = numpy.where(numpy.isfinite(spread), _FAR * spread, numpy.inf)
    scatter = 0.2
    start = _start(before, drawn, seen, told)

    def residuals(values: Array) -> Array:
        rest = (seen - _predicted(values, drawn)).ravel() / scatter
        return numpy.concatenate([rest, (values - before) / spread])

    for _ in range(_ROUNDS):
        fit = least_squares(
            residuals,
            start,
            bounds=(before - far, before + far),
            loss="huber",
            f_scale=_ROBUST,
            x_scale=steps,
            max_nfev=80,
        )
        start = fit.x
        rest = seen - _predicted(fit.x, drawn)
        free = max(rest.size - len(fit.x) + 4, 4)
        robust = 1.4826 * float(numpy.median(numpy.abs(rest))) * (rest.size / free) ** 0.5
        scatter = max(robust, _LEAST_SCATTER_PX)
    slopes = numpy.asarray(fit.jac, dtype=float)
    covariance = numpy.linalg.pinv(slopes.T @ slopes)
    return Pose(
        camera_of(fit.x),
        fit.x,
        covariance,
        float(fit.x[-1]),
        rest,
        float(numpy.sqrt((rest**2).mean())),
        scatter,
        print_scale,
    )


def camera_of(values: Array) -> Camera:
    """The camera of fitted values.

    Parameters
    ----------
    values : array, 12
        As in a pose.
    """
    import numpy

    focal = float(numpy.exp(values[0]))
    depth = focal * float(numpy.exp(values[10]))
    middle_x, middle_y, bend_2, bend_4 = (float(one) for one in values[1:5])
    shift = numpy.array([values[8] * depth / focal, values[9] * depth / focal, depth])
    return Camera(focal, middle_x, middle_y, bend_2, bend_4, values[5:8].copy(), shift)


def _predicted(values: Array, drawn: Array) -> Array:
    """Where the corners are seen, each drawn into the black of its marker by the inset."""
    import numpy

    there = camera_of(values).to_px(drawn).reshape(-1, 4, 2)
    inward = there.mean(axis=1, keepdims=True) - there
    inward /= numpy.linalg.norm(inward, axis=2, keepdims=True)
    return numpy.asarray((there + values[-1] * inward).reshape(-1, 2))


def _start(before: Array, drawn: Array, seen: Array, told_spread: float) -> Array:
    """Where the fit begins: the best of some focal lengths, each with the pose of a flat mat."""
    import cv2
    import numpy

    best, least = before, numpy.inf
    for share in (1.0, 0.7, 1.5):
        values = before.copy()
        values[0] += numpy.log(share) * (told_spread / _FOCAL_SPREAD)
        focal = float(numpy.exp(values[0]))
        lens = numpy.array([[focal, 0, before[1]], [0, focal, before[2]], [0, 0, 1]])
        done, turn, shift = cv2.solvePnP(drawn, seen, lens, None, flags=cv2.SOLVEPNP_IPPE)
        if not done:
            continue
        depth = float(shift[2, 0])
        values[5:8] = turn.ravel()
        values[8:11] = *(focal * shift[:2, 0] / depth), numpy.log(depth / focal)
        off = float(numpy.median(numpy.linalg.norm(seen - _predicted(values, drawn), axis=1)))
        if off < least:
            best, least = values, off
    return best
