"""A shank lying on the mat, unrolled: the photo sampled along lines of its cylinder, in true millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, hypot, isfinite, sin
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.camera import Camera

    Array = NDArray[np.float64]

# Samples for each pixel along the axis; lines around the part that is seen, the outermost of which see the
# flanks; how far in from the crests the stripes are taken to lie, as a share of the radius.
_SAMPLES_A_PX = 2.0
_MOST_SAMPLES = 4096
_LINES, _SPAN_DEG = 17, 78.0
_STRIPES_AT = 0.93
_FLANKS_AT = (0.97, 1.05)
# Added to a value of 0 to 255 before its logarithm: dark grain counts no more than light grain.
_DARKEST = 20.0
_SHORTEST_DIAMETERS = 0.3
# Common practice, no source: the thread begins so many diameters behind the tip, and rests there.
_POINT_DIAMETERS = 0.1
_TILT_ROUNDS = 4
# Grains and grime under an end that lies flat; how the point of a bolt that tilts is made (common practice,
# no source; standard uncertainties) [mm].
U_FLAT_MM = 0.05
_U_POINT_MM = 0.2


@dataclass(frozen=True, slots=True)
class Shank:
    """The axis of a shank that lies on the mat.

    Parameters
    ----------
    start_mm, end_mm : tuple of float
        x, y and height above the mat of both ends of the axis, the tip last [true mm].
    major_mm : float
        Diameter over the crests [mm].
    u_rise_mm : float
        Standard uncertainty of how much higher one end lies than the other [mm].

    Raises
    ------
    InvalidInput
        A value is no number, the diameter is not above 0, or the ends are too near each other.
    """

    start_mm: tuple[float, float, float]
    end_mm: tuple[float, float, float]
    major_mm: float
    u_rise_mm: float = U_FLAT_MM

    def __post_init__(self) -> None:
        """Refuse what is no shank."""
        if not all(isfinite(value) for value in (*self.start_mm, *self.end_mm)):
            raise InvalidInput("axis", needs="numbers of mm", came=f"{self.start_mm} to {self.end_mm}")
        if not (isfinite(self.major_mm) and self.major_mm > 0):
            raise InvalidInput("major diameter", needs="a number of mm above 0", came=self.major_mm)
        if self.length_mm < _SHORTEST_DIAMETERS * self.major_mm:
            raise InvalidInput(
                "axis",
                needs=f"a length of at least {_SHORTEST_DIAMETERS * self.major_mm:.2g} mm",
                came=f"{self.length_mm:.2g} mm",
            )

    @property
    def length_mm(self) -> float:
        """The length of the axis [mm]."""
        pairs = zip(self.start_mm, self.end_mm, strict=True)
        return float(sum((end - start) ** 2 for start, end in pairs) ** 0.5)


@dataclass(frozen=True, slots=True)
class Unrolled:
    """What a photo shows of a shank, line by line along its axis.

    Parameters
    ----------
    along_mm : array, sample
        Distance from the start of the axis [mm].
    around_rad : array, line
        Where each line lies around the axis, from what faces the camera [rad]; beyond a quarter of a turn
        stand the two lines along each flank.
    light : array, line x sample
        Logarithm of the light.
    px_per_mm : float
        Pixels of the photo for each millimetre along the axis.
    radius_px : float
        The radius, as it is seen [px].
    """

    along_mm: Array
    around_rad: Array
    light: Array
    px_per_mm: float
    radius_px: float

    @property
    def step_mm(self) -> float:
        """The distance between two samples [mm]."""
        return float(self.along_mm[1] - self.along_mm[0])


def lifted_mm(
    camera: Camera, seen_on_mat_mm: tuple[float, float], height_mm: float
) -> tuple[float, float, float]:
    """Lift a point off the plane of the mat along the ray by which it is seen.

    Parameters
    ----------
    camera : Camera
        The camera.
    seen_on_mat_mm : tuple of float
        Where the point is seen on the plane of the mat [true mm].
    height_mm : float
        How high above the mat it is [mm].

    Returns
    -------
    tuple of float
        x, y and height above the mat [mm].
    """
    stand = camera.stand_mm()
    share = height_mm / -float(stand[2])
    x, y = (
        seen + share * (float(there) - seen) for seen, there in zip(seen_on_mat_mm, stand[:2], strict=True)
    )
    return x, y, height_mm


def lying_shank(
    camera: Camera,
    start_on_mat_mm: tuple[float, float],
    end_on_mat_mm: tuple[float, float],
    *,
    major_mm: float,
    head_across_flats_mm: float | None = None,
    head_height_mm: float = 0.0,
    u_major_mm: float = 0.15,
    u_head_across_flats_mm: float = 0.2,
) -> Shank:
    """Give the axis of a lying piece whose ends are seen on the plane of the mat.

    Parameters
    ----------
    camera : Camera
        The camera.
    start_on_mat_mm, end_on_mat_mm : tuple of float
        Where the middle of one end and of the tip are seen on the plane of the mat, heights not allowed for
        [true mm].
    major_mm : float
        Diameter over the crests [mm].
    head_across_flats_mm : float or None
        Width of a hexagon on which the start rests, so that the piece tilts; None where it lies flat [mm].
    head_height_mm : float
        How much of a head lies between the start and the edge on which the piece rests: 0 where the start is
        the middle under the head [mm].
    u_major_mm, u_head_across_flats_mm : float
        Standard uncertainty of each [mm].
    """
    radius_mm = major_mm / 2
    rise_mm = head_across_flats_mm / 2 - radius_mm if head_across_flats_mm else 0.0
    u_rise_mm = U_FLAT_MM if rise_mm <= 0 else hypot(u_major_mm / 2, u_head_across_flats_mm / 2, _U_POINT_MM)
    start_height_mm, end_height_mm = radius_mm + max(rise_mm, 0.0), radius_mm
    for _ in range(_TILT_ROUNDS):
        shank = Shank(
            lifted_mm(camera, start_on_mat_mm, start_height_mm),
            lifted_mm(camera, end_on_mat_mm, end_height_mm),
            major_mm,
            u_rise_mm,
        )
        if rise_mm <= 0:
            break
        point_mm = _POINT_DIAMETERS * major_mm
        tilt = atan2(rise_mm, max(shank.length_mm - head_height_mm - point_mm, radius_mm))
        start_height_mm = (radius_mm + rise_mm) * cos(tilt) + head_height_mm * sin(tilt)
        end_height_mm = max(start_height_mm - shank.length_mm * sin(tilt), 0.0)
    return shank


def directions(camera: Camera, shank: Shank) -> Array:
    """The axis of a shank, what lies across it, and what faces the camera: three rows of unit length.

    Parameters
    ----------
    camera : Camera
        The camera.
    shank : Shank
        The shank.
    """
    import numpy

    start, end = in_camera_sense(shank)
    along = (end - start) / shank.length_mm
    across = numpy.cross(camera.stand_mm() - (start + end) / 2, along)
    across /= numpy.linalg.norm(across)
    return numpy.stack([along, across, numpy.cross(along, across)])


def in_camera_sense(shank: Shank) -> tuple[Array, Array]:
    """The ends of the axis with z into the table, as the camera has it [mm]."""
    import numpy

    turn = numpy.array([1.0, 1.0, -1.0])
    return numpy.array(shank.start_mm) * turn, numpy.array(shank.end_mm) * turn


def unroll(pixels: NDArray[np.uint8], camera: Camera, shank: Shank) -> Unrolled | None:
    """Sample a photo along lines of the cylinder of a shank.

    Parameters
    ----------
    pixels : array of uint8, height x width x 3
        The photo itself, sRGB.
    camera : Camera
        The camera.
    shank : Shank
        The shank.

    Returns
    -------
    Unrolled or None
        None where the shank is not wholly in the picture.
    """
    import cv2
    import numpy

    start, end = in_camera_sense(shank)
    along, across, toward = directions(camera, shank)
    radius = shank.major_mm / 2
    spots = numpy.stack([start, end, (start + end) / 2, (start + end) / 2 + radius * across])
    ends_px = camera.to_px(spots)
    length_px = float(numpy.linalg.norm(ends_px[1] - ends_px[0]))
    count = int(min(max(_SAMPLES_A_PX * length_px, 16), _MOST_SAMPLES))
    along_mm = numpy.linspace(0.0, shank.length_mm, count)
    around = numpy.radians(numpy.linspace(-_SPAN_DEG, _SPAN_DEG, _LINES))
    aside = numpy.concatenate([_STRIPES_AT * numpy.sin(around), [-1.0 * at for at in _FLANKS_AT], _FLANKS_AT])
    above = numpy.concatenate([_STRIPES_AT * numpy.cos(around), numpy.zeros(2 * len(_FLANKS_AT))])
    rims = radius * (aside[:, None] * across + above[:, None] * toward)
    points = start + along_mm[None, :, None] * along + rims[:, None, :]
    places = camera.to_px(points.reshape(-1, 3)).reshape(len(aside), count, 2)
    height, width = pixels.shape[:2]
    if places.min() < 1 or places[..., 0].max() > width - 2 or places[..., 1].max() > height - 2:
        return None
    # Only the part of the photo that is looked at, since remap takes no picture wider than 32767.
    left, top = (int(value) for value in numpy.floor(places.min(axis=(0, 1))) - 1)
    right, bottom = (int(value) for value in numpy.ceil(places.max(axis=(0, 1))) + 3)
    part = numpy.ascontiguousarray(pixels[max(top, 0) : bottom, max(left, 0) : right])
    x, y = ((places[..., at] - max((left, top)[at], 0)).astype(numpy.float32) for at in (0, 1))
    seen = cv2.remap(part, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    light = numpy.log(_DARKEST + numpy.asarray(seen, dtype=float) @ (0.3, 0.6, 0.1))
    quarter = numpy.pi / 2
    turns = numpy.concatenate([around, [-quarter] * len(_FLANKS_AT), [quarter] * len(_FLANKS_AT)])
    return Unrolled(
        along_mm,
        turns,
        light,
        length_px / shank.length_mm,
        float(numpy.linalg.norm(ends_px[3] - ends_px[2])),
    )
