"""The light on the mat, from its grey patches and its ground: white balance, tone and how it falls off."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from runningfit.core.photos.mats import Box, Mat, linear_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.decoding import Photo
    from runningfit.core.photos.pose import Pose
    from runningfit.core.photos.rectifying import Rectified

    Array = NDArray[np.float64]

# The middle of a patch is looked at, for its rim mixes with the paper: this share of its sides, so many rows.
_INNER, _POINTS = 0.6, 7
_GROUND_EVERY_MM = 5.0
# From this value of a pixel on, its light may have been more than the file can say.
FULL = 253
_LEAST_LIGHT = 1e-4
# What differs from the rest by so much in the logarithm (3 per cent) counts less: pieces, shadows, shine.
_SOFT = 0.03
_ROUNDS = 12
_FEW_FULL = 0.1
_FEWEST_PATCHES = 6
# The paper is looked at outside a marker's corners, so much further out than they are.
_OUTSIDE = 1.15


@dataclass(frozen=True, slots=True)
class Light:
    """How light comes back from the mat.

    The linear light of a colour with reflectance r at a place of the mat is
    gain x r^tone x exp(fall), where fall is a polynomial of second degree of the place.

    Parameters
    ----------
    gains : array, 3
        Gain of red, green and blue in the middle of the mat; linear light of the file for reflectance one.
    tone : float
        The exponent that the camera's tone curve comes to; one where the file is linear.
    fall : array, 5
        Coefficients of u, v, u^2, uv and v^2, where u and v run from -1 to 1 over the paper.
    paper_level : float
        Light of the paper in the middle, of the greenest kind, 0 to 1.
    full_share : float
        The share of the lightest patches' pixels that are as bright as the file can say.
    spread : float
        How far patches lie from this model, as a share.
    """

    gains: Array
    tone: float
    fall: Array
    paper_level: float
    full_share: float
    spread: float


def fit_light(photo: Photo, pose: Pose, mat: Mat) -> Light | None:
    """Fit the light on the mat, or None where too few patches can be seen.

    Parameters
    ----------
    photo : Photo
        The photo.
    pose : Pose
        The camera over the mat.
    mat : Mat
        The mat, with its patches.
    """
    import numpy

    table = _linear_levels()
    raws = [_pixels_at(photo, pose, _within(one.box)) for one in mat.patches]
    fulls = numpy.array([(raw >= FULL).any(axis=1).mean() if len(raw) else 1.0 for raw in raws])
    lightest = max(one.linear for one in mat.patches)
    brightest = [
        full
        for one, raw, full in zip(mat.patches, raws, fulls, strict=True)
        if one.linear == lightest and len(raw)
    ]
    use = [at for at in range(len(raws)) if len(raws[at]) and fulls[at] < _FEW_FULL]
    if len(use) < _FEWEST_PATCHES and not brightest:
        return None
    paper = table[_pixels_at(photo, pose, _paper_spots(mat))]
    paper_level = float(numpy.median(paper[:, 1])) if len(paper) else 0.0
    full_share = float(numpy.mean(brightest)) if brightest else 0.0
    if len({mat.patches[at].linear for at in use}) < 3 or len(use) < _FEWEST_PATCHES:
        return Light(numpy.ones(3), 1.0, numpy.zeros(5), paper_level, full_share, 1.0)
    seen = numpy.array([table[raws[at]].mean(axis=0) for at in use])
    middles = [mat.patches[at].box.middle for at in use]
    spots = _ground_spots(mat)
    ground = table[_pixels_at(photo, pose, spots, keep_all=True)]
    rows, values = _equations(
        [(one.x_mm, one.y_mm) for one in middles],
        numpy.log([mat.patches[at].linear for at in use]),
        seen,
        mat,
    )
    ground_rows, ground_values = _equations([(x, y) for x, y in spots], None, ground, mat)
    solution = _robust(numpy.concatenate([rows, ground_rows]), numpy.concatenate([values, ground_values]))
    rest = numpy.abs(values - rows @ solution)
    return Light(
        numpy.exp(solution[:3]),
        float(solution[3]),
        solution[4:9],
        paper_level,
        full_share,
        float(1.4826 * numpy.median(rest)),
    )


def reflectance(rectified: Rectified, light: Light, mat: Mat) -> NDArray[np.float32]:
    """The share of light that each pixel's surface would give back were it flat and matt like the patches.

    Parameters
    ----------
    rectified : Rectified
        A part of the mat from straight above.
    light : Light
        The light on the mat.
    mat : Mat
        The mat.

    Returns
    -------
    array of float32, height x width x 3
        Red, green and blue; bright metal goes above one.
    """
    import numpy

    height, width = rectified.pixels.shape[:2]
    x = rectified.box.left_mm + (numpy.arange(width) + 0.5) * rectified.mm_per_px
    y = rectified.box.top_mm + (numpy.arange(height) + 0.5) * rectified.mm_per_px
    u, v = 2 * x[None, :] / mat.width_mm - 1, 2 * y[:, None] / mat.height_mm - 1
    one, two, three, four, five = light.fall
    fall = numpy.exp(-(one * u + two * v + three * u * u + four * u * v + five * v * v) / light.tone)
    found = numpy.empty(rectified.pixels.shape, dtype=numpy.float32)
    for colour in range(3):
        table = _linear_levels() / light.gains[colour]
        balanced = (table ** (1 / light.tone)).astype(numpy.float32)
        found[..., colour] = balanced[rectified.pixels[..., colour]] * fall.astype(numpy.float32)
    return found


def _within(box: Box) -> Array:
    """Points of the middle of a patch [mm as designed]."""
    import numpy

    share = numpy.linspace(0.5 - _INNER / 2, 0.5 + _INNER / 2, _POINTS)
    x, y = numpy.meshgrid(
        box.left_mm + share * (box.right_mm - box.left_mm), box.top_mm + share * (box.bottom_mm - box.top_mm)
    )
    return numpy.stack([x.ravel(), y.ravel()], axis=1)


def _paper_spots(mat: Mat) -> Array:
    """Points of bare paper, just outside the corners of the markers [mm as designed]."""
    import numpy

    quads = numpy.array([[(spot.x_mm, spot.y_mm) for spot in one.corners] for one in mat.markers])
    middle = quads.mean(axis=1, keepdims=True)
    return numpy.asarray((middle + _OUTSIDE * (quads - middle)).reshape(-1, 2))


def _ground_spots(mat: Mat) -> Array:
    import numpy

    area = mat.work_area
    x, y = numpy.meshgrid(
        numpy.arange(area.left_mm + 2, area.right_mm - 1, _GROUND_EVERY_MM),
        numpy.arange(area.top_mm + 2, area.bottom_mm - 1, _GROUND_EVERY_MM),
    )
    return numpy.stack([x.ravel(), y.ravel()], axis=1)


def _pixels_at(photo: Photo, pose: Pose, spots: Array, *, keep_all: bool = False) -> NDArray[np.uint8]:
    """The pixels at points of the mat; those outside the photo are left out, or black where all are kept."""
    import numpy

    flat = numpy.concatenate([spots, numpy.zeros((len(spots), 1))], axis=1) * pose.print_scale
    place = numpy.rint(pose.camera.to_px(flat)).astype(int)
    size = numpy.array([photo.width_px, photo.height_px])
    inside = numpy.asarray(((place >= 0) & (place < size)).all(axis=1))
    place[~inside] = 0
    pixels = photo.pixels[place[:, 1], place[:, 0]]
    if keep_all:
        return numpy.where(inside[:, None], pixels, 0).astype(numpy.uint8)
    return numpy.asarray(pixels[inside])


def _equations(
    places: list[tuple[float, float]], known: Array | None, seen: Array, mat: Mat
) -> tuple[Array, Array]:
    """Rows of the linear model in logarithms: 3 gains, tone, 5 of the fall, 3 colours of the ground."""
    import numpy

    u = numpy.array([2 * x / mat.width_mm - 1 for x, _ in places])
    v = numpy.array([2 * y / mat.height_mm - 1 for _, y in places])
    rows = numpy.zeros((len(places), 3, 12))
    for colour in range(3):
        rows[:, colour, colour if known is not None else 9 + colour] = 1
    if known is not None:
        rows[:, :, 3] = known[:, None]
    rows[:, :, 4:9] = numpy.stack([u, v, u * u, u * v, v * v], axis=1)[:, None, :]
    return rows.reshape(-1, 12), numpy.log(numpy.maximum(seen, _LEAST_LIGHT)).ravel()


def _robust(rows: Array, values: Array) -> Array:
    """Least squares in which what lies far off counts less and less (Cauchy's weights)."""
    import numpy

    solution = numpy.linalg.lstsq(rows, values, rcond=None)[0]
    for _ in range(_ROUNDS):
        rest = values - rows @ solution
        weight = 1 / numpy.sqrt(1 + (rest / _SOFT) ** 2)
        solution = numpy.linalg.lstsq(rows * weight[:, None], values * weight, rcond=None)[0]
    return numpy.asarray(solution)


@cache
def _linear_levels() -> Array:
    """The linear light of each of the 256 levels of a pixel."""
    import numpy

    return numpy.array([linear_of(level) for level in range(256)])


# The networks were trained on light over that of paper of this reflectance, by its root.
_PAPER, _PAPER_SHADE, _MOST_SHADE = 0.9, 0.85, 3.0


def shades(
    pixels: NDArray[np.uint8], x_mm: NDArray[np.floating], y_mm: NDArray[np.floating], light: Light, mat: Mat
) -> NDArray[np.float32]:
    """The light of pixels over that of white paper at their place, by its root.

    Parameters
    ----------
    pixels : array of uint8, height x width x 3
        sRGB.
    x_mm, y_mm : array, height x width
        Where on the mat they lie, in millimetres as designed.
    light : Light
        The light on the mat.
    mat : Mat
        The mat.

    Returns
    -------
    array of float32, height x width x 3
        About 0.92 on white paper.
    """
    import cv2
    import numpy

    u = (2 * x_mm / mat.width_mm - 1).astype(numpy.float32)
    v = (2 * y_mm / mat.height_mm - 1).astype(numpy.float32)
    one, two, three, four, five = (float(value) for value in light.fall)
    less = numpy.exp(-(one * u + two * v + three * u * u + four * u * v + five * v * v) / 2)
    paper = light.gains * _PAPER**light.tone
    tables = numpy.sqrt(_linear_levels()[:, None] / paper * _PAPER_SHADE).astype(numpy.float32)
    found = cv2.LUT(pixels, tables[None]) * less[..., None]
    return numpy.asarray(numpy.minimum(found, _MOST_SHADE**0.5), dtype=numpy.float32)
