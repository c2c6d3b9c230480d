"""The pitch of a thread by the stripes that it draws on a shank in a photo, as a likelihood."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, log, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.camera import Camera
from runningfit.core.photos.items import Estimate
from runningfit.core.photos.pitch_likelihood import ANY_PITCH, LEAST_MM, MOST_MM, PitchLikelihood, PitchPeak
from runningfit.core.photos.pose import Pose, camera_of
from runningfit.core.photos.straightening import Shank, Unrolled, directions, in_camera_sense, unroll
from runningfit.core.photos.stripes import Fit, Zone, fit, search, zones

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# All of these were fitted on rendered photos. Light on metal is not the noise of the model, whose logarithm
# of likelihood is so many times too sure of a pitch near by, and so many times of one pitch against another.
_TOO_SURE_NEARBY, _TOO_SURE_APART = 10.0, 15.0
# A gain at which a pitch is as probably right as not, and in what steps it becomes surer; never quite sure.
_EVEN_GAIN, _GAIN_STEP = -5.0, 8.0
_SUREST = 0.995
# Overtones count for no more than so many times what the pitch itself shows: twice the pitch of a thread
# shows nothing but overtones.
_OVERTONES = 4.0
# Glare that wanders along a thread shifts its stripes by so much of a turn over the whole of it; what the
# camera's model leaves.
_WANDER_TURNS, _U_MODEL = 0.02, 0.001
_PEAKS, _NEW_PEAK = 6, 0.04
_LEAST_WEIGHT = 1e-4
# A second pitch, as of a stud with a coarse and a fine end, is believed from this gain on, and where it
# differs by so much, as a logarithm, from the first, its half and its double.
_SECOND_GAIN, _SECOND_APART = 30.0, 0.05
# With fewer pixels no stripe can be told from grain.
_CLEAR_PX = 5.5


@dataclass(frozen=True, slots=True)
class OtherEnd:
    """Another part of the same piece with another pitch, as studs have.

    Parameters
    ----------
    pitch : Estimate
        Its pitch.
    likelihood : PitchLikelihood
        The same, to name its thread by.
    threaded : tuple of Zone
        Where it lies along the axis.
    """

    pitch: Estimate
    likelihood: PitchLikelihood
    threaded: tuple[Zone, ...]


@dataclass(frozen=True, slots=True)
class PitchRead:
    """A pitch read off a photo.

    Parameters
    ----------
    pitch : Estimate
        The likeliest.
    probability : float
        That it is this one, within its uncertainty, before it is known which threads there are.
    likelihood : PitchLikelihood
        What else it may be.
    threaded : tuple of Zone
        Which parts of the axis are threaded, as far as stripes are seen; a stud may have two.
    turns : float
        How many turns were seen.
    px_per_pitch : float
        Pixels of the photo for each turn.
    other_end : OtherEnd or None
        A part with another pitch; None where there is none.
    """

    pitch: Estimate
    probability: float
    likelihood: PitchLikelihood
    threaded: tuple[Zone, ...]
    turns: float
    px_per_pitch: float
    other_end: OtherEnd | None = None


@dataclass(frozen=True, slots=True)
class PitchUnread:
    """No pitch could be told from a photo.

    Parameters
    ----------
    reason : str
        A sentence that says what was seen, with its numbers.
    remedy : str
        A sentence that says what to do.
    likelihood : PitchLikelihood
        What little was seen.
    """

    reason: str
    remedy: str
    likelihood: PitchLikelihood = ANY_PITCH


def read_pitch(
    pixels: NDArray[np.uint8], pose: Pose, shank: Shank, *, u_print_scale: float = 0.001
) -> PitchRead | PitchUnread:
    """Read the pitch of a thread off a photo.

    Parameters
    ----------
    pixels : array of uint8, height x width x 3
        The photo itself, upright, sRGB.
    pose : Pose
        The camera over the mat.
    shank : Shank
        The axis of the piece, good to half a radius and some degrees.
    u_print_scale : float
        Standard uncertainty of the print scale: 0.2 mm on a ruler of 200 mm is 0.001.

    Returns
    -------
    PitchRead or PitchUnread
        The pitch, or why none can be told.

    Raises
    ------
    InvalidInput
        The uncertainty of the print scale is not from 0 to 0.1.
    """
    if not 0 <= u_print_scale <= 0.1:
        raise InvalidInput(
            "uncertainty of the print scale", needs="a share from 0 to 0.1", came=u_print_scale
        )
    seen = unroll(pixels, pose.camera, shank)
    if seen is None:
        return PitchUnread(
            "Part of the shank lies outside the picture.", "Take the whole piece into the picture."
        )
    found = search(seen, shank.major_mm)
    if found is None:
        return _too_coarse(seen, shank)
    fits = []
    for place in found.peaks()[:_PEAKS]:
        where = zones(seen, found.shares[place], float(found.pitches_mm[place]))
        if where:
            fits.append(fit(seen, where, float(found.pitches_mm[place])))
    if not fits:
        return _no_stripes(seen, shank, ANY_PITCH)
    fits = _with_half_and_double(seen, fits)
    best = fits[0]
    u_scale = hypot(_u_of_pose(pose, shank), _u_of_rise(pose.camera, shank), u_print_scale, _U_MODEL)
    likelihood = PitchLikelihood(_weighed(fits, u_scale))
    if not likelihood.peaks or likelihood.peaks[0].weight < 0.5:
        return _no_stripes(seen, shank, likelihood)
    top = likelihood.peaks[0]
    turns = sum(zone.to_mm - zone.from_mm for zone in best.zones) / top.pitch_mm
    return PitchRead(
        Estimate(top.pitch_mm, top.pitch_mm * top.u_share),
        top.weight,
        likelihood,
        best.zones,
        turns,
        top.pitch_mm * seen.px_per_mm,
        _other_end(seen, fits, u_scale),
    )


def _other_end(seen: Unrolled, fits: list[Fit], u_scale: float) -> OtherEnd | None:
    """The best of the other pitches where the first has no stripes."""
    first = fits[0]
    at_mm = float(first.pitches_mm[first.best])
    best: Fit | None = None
    for one in fits[1:]:
        pitch_mm = float(one.pitches_mm[one.best])
        apart = min(abs(log(times * pitch_mm / at_mm)) for times in (0.5, 1.0, 2.0))
        where = tuple(zone for zone in one.zones if all(_beside(zone, taken) for taken in first.zones))
        if apart > _SECOND_APART and where:
            again = fit(seen, where, pitch_mm)
            if _gain(again) > (_SECOND_GAIN if best is None else _gain(best)):
                best = again
    if best is None:
        return None
    likelihood = PitchLikelihood(_weighed([best], u_scale))
    top = likelihood.peaks[0]
    return OtherEnd(Estimate(top.pitch_mm, top.pitch_mm * top.u_share), likelihood, best.zones)


def _beside(zone: Zone, taken: Zone) -> bool:
    """Whether two parts overlap by less than a quarter of the first."""
    shared_mm = min(zone.to_mm, taken.to_mm) - max(zone.from_mm, taken.from_mm)
    return shared_mm < 0.25 * (zone.to_mm - zone.from_mm)


def _with_half_and_double(seen: Unrolled, fits: list[Fit]) -> list[Fit]:
    """The fits, best first, with half and twice the pitch of the best, wherever its stripes lie."""
    best = max(fits, key=_gain)
    known = [float(one.pitches_mm[one.best]) for one in fits]
    tried = list(fits)
    for times in (0.5, 2.0):
        pitch_mm = times * float(best.pitches_mm[best.best])
        if LEAST_MM <= pitch_mm <= MOST_MM and all(abs(log(pitch_mm / one)) > _NEW_PEAK for one in known):
            tried.append(fit(seen, best.zones, pitch_mm))
    return sorted(tried, key=_gain, reverse=True)


def _gain(one: Fit) -> float:
    return min(float(one.gains[one.best]), _OVERTONES * float(one.first_gains.max()))


def _weighed(fits: list[Fit], u_scale: float) -> tuple[PitchPeak, ...]:
    gains = [_gain(one) for one in fits]
    some = _SUREST / (1 + exp(min(-(gains[0] - _EVEN_GAIN) / _GAIN_STEP, 500.0)))
    shares = [exp((gain - gains[0]) / _TOO_SURE_APART) for gain in gains]
    peaks = []
    for one, share in zip(fits, shares, strict=True):
        weight = some * share / sum(shares)
        if weight >= _LEAST_WEIGHT:
            pitch_mm, u_share = _top(one)
            peaks.append(PitchPeak(pitch_mm, hypot(u_share, u_scale), weight))
    return tuple(peaks)


def _top(one: Fit) -> tuple[float, float]:
    """The best pitch of a fit [mm], and its standard uncertainty as a share."""
    import numpy

    at = numpy.log(one.pitches_mm)
    step = float(at[1] - at[0])
    place = min(max(one.best, 1), len(at) - 2)
    before, middle, after = (float(gain) for gain in one.gains[place - 1 : place + 2])
    bend = before - 2 * middle + after
    shift = 0.5 * (before - after) / bend if bend < 0 else 0.0
    top = float(at[place]) + step * min(max(shift, -1.0), 1.0)
    weights = numpy.exp((one.gains - one.gains.max()) / _TOO_SURE_NEARBY)
    mean = float((weights * at).sum() / weights.sum())
    spread = float(numpy.sqrt((weights * (at - mean) ** 2).sum() / weights.sum()))
    longest = max(zone.to_mm - zone.from_mm for zone in one.zones)
    return exp(top), hypot(spread, _WANDER_TURNS * exp(top) / longest)


def _u_of_pose(pose: Pose, shank: Shank) -> float:
    """What the camera's covariance leaves open of the scale along a shank, as a share."""
    import numpy

    ends = numpy.stack(in_camera_sense(shank))
    heights = (shank.start_mm[2], shank.end_mm[2])
    seen = pose.camera.to_px(ends)

    def length(camera: Camera) -> float:
        start, end = (
            camera.to_mat_mm(seen[at : at + 1], height_mm=height)[0] for at, height in enumerate(heights)
        )
        return hypot(*(float(value) for value in end - start), heights[1] - heights[0])

    steps = [float(value) for value in numpy.sqrt(numpy.diag(pose.covariance))]
    slopes = numpy.zeros(len(steps))
    for at, step in enumerate(steps):
        if step > 0:
            moved = pose.values.copy()
            moved[at] += step
            slopes[at] = (length(camera_of(moved)) / shank.length_mm - 1) / step
    return sqrt(max(float(slopes @ pose.covariance @ slopes), 0.0))


def _u_of_rise(camera: Camera, shank: Shank) -> float:
    """What the tilt of a piece leaves open of the scale along it, as a share; from straight above nothing."""
    import numpy

    start, end = in_camera_sense(shank)
    along, _, toward = directions(camera, shank)
    sight = camera.stand_mm() - (start + end) / 2
    slant = abs(float(sight @ along)) / max(float(sight @ toward), 1e-6)
    return float(numpy.arctan2(shank.u_rise_mm, shank.length_mm)) * slant


def _no_stripes(seen: Unrolled, shank: Shank, likelihood: PitchLikelihood) -> PitchUnread:
    # Common practice, no source: a usual coarse thread has a pitch of about a seventh of its diameter.
    usual_px = shank.major_mm / 7 * seen.px_per_mm
    if usual_px < _CLEAR_PX:
        return _too_coarse(seen, shank, likelihood)
    return PitchUnread(
        f"No even stripes can be seen along {shank.length_mm:.0f} mm of this piece, where a usual thread of "
        f"{shank.major_mm:.3g} mm would have one every {usual_px:.0f} pixels.",
        "If it is threaded, brush it clean, turn it so that light falls across the thread, and photograph it "
        "again, or try a pitch gauge.",
        likelihood,
    )


def _too_coarse(seen: Unrolled, shank: Shank, likelihood: PitchLikelihood = ANY_PITCH) -> PitchUnread:
    return PitchUnread(
        f"A pixel covers {1 / seen.px_per_mm:.2f} mm here: a usual thread of {shank.major_mm:.3g} mm would "
        f"have {shank.major_mm / 7 * seen.px_per_mm:.1f} pixels to a turn, and {_CLEAR_PX:g} are needed.",
        "Photograph it from nearer, or try a pitch gauge.",
        likelihood,
    )
