"""The basic profile of each thread form as points to draw: flats, rounded crests and roots, tapers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, cos, pi, radians, sin, tan

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.threads import Thread, ThreadForm

# Steps in which a quarter turn of a rounded crest or root is drawn; finer cannot be seen at bench size.
_ARC_STEPS = 5
# ASME B1.20.1 and ISO 7-1: 1 in 16 on the diameter, half of it on the radius.
TAPER_ON_RADIUS = 1 / 32
MOST_PITCHES = 40
_NO_STEP = 1e-9


@dataclass(frozen=True, slots=True)
class _Shape:
    """One form on one side, in pitches: what is cut off the sharp V outside and inside, and the roundings."""

    angle_deg: float
    cut_outside: float
    cut_inside: float
    radius_outside: float = 0.0
    radius_inside: float = 0.0

    @property
    def sharp(self) -> float:
        """Return the height of the sharp V."""
        return 0.5 / tan(radians(self.angle_deg / 2))


# H = 0.866025 P. Outside H/8 is cut off the crest, and the root is rounded into the flanks: over H/6 by
# ISO 68-1's design profile, over 3/16 H by ASME B1.1's UNR (its minor diameter is d - 1.19078 P). Inside, H/4
# is cut off the crest.
_H60 = 0.5 / tan(pi / 6)
_METRIC = _Shape(60.0, _H60 / 8, _H60 / 6, radius_inside=_H60 / 6)
_UNIFIED = _Shape(60.0, _H60 / 8, _H60 * 3 / 16, radius_inside=_H60 * 3 / 16)
_INSIDE_60 = _Shape(60.0, _H60 / 8, _H60 / 4)
# BS 84: a sixth of H = 0.960491 P rounded off at both ends, r = 0.137329 P.
_WHITWORTH = _Shape(55.0, 0.960491 / 6, 0.960491 / 6, 0.137329, 0.137329)
# BS 93: s = 0.26817 P, r = 0.18083 P.
_BA = _Shape(47.5, 0.26817, 0.26817, 0.18083, 0.18083)
# BS 811: r = P/6, which at 60 degrees cuts P/6 off the sharp V.
_CEI = _Shape(60.0, 1 / 6, 1 / 6, 1 / 6, 1 / 6)
# ASME B1.20.1: 0.033 P off at both ends, flat; h = 0.8 P.
_NPT = _Shape(60.0, 0.033, 0.033)
_EXTERNAL: Mapping[ThreadForm, _Shape] = {
    ThreadForm.UNIFIED60: _UNIFIED,
    ThreadForm.METRIC60: _METRIC,
    ThreadForm.WHITWORTH55: _WHITWORTH,
    ThreadForm.BA47_5: _BA,
    ThreadForm.CEI60: _CEI,
    ThreadForm.NPT60: _NPT,
}
_INTERNAL: Mapping[ThreadForm, _Shape] = {
    **_EXTERNAL,
    ThreadForm.UNIFIED60: _INSIDE_60,
    ThreadForm.METRIC60: _INSIDE_60,
}


@dataclass(frozen=True, slots=True)
class ProfilePoint:
    """One point of a profile.

    Parameters
    ----------
    along_mm : float
        Along the axis, from the middle of the first crest [mm].
    radius_mm : float
        Off the axis [mm].
    """

    along_mm: float
    radius_mm: float


@dataclass(frozen=True, slots=True)
class Profile:
    """The basic profile of a thread over some pitches.

    Parameters
    ----------
    designation : str
        Which thread.
    points : tuple of ProfilePoint
        From the middle of one outside crest to that of another, in order along the axis.
    pitch_mm, depth_mm : float
        The pitch, and the depth from crest to root [mm].
    angle_deg : float
        The included angle [°].
    rounded : bool
        Whether crest and root are both rounded, as drawn here.
    """

    designation: str
    points: tuple[ProfilePoint, ...]
    pitch_mm: float
    depth_mm: float
    angle_deg: float
    rounded: bool


def included_angle_deg(form: ThreadForm) -> float:
    """Give the included angle of a form.

    Parameters
    ----------
    form : ThreadForm
        The form.

    Returns
    -------
    float
        The angle between the flanks [°].
    """
    return _EXTERNAL[form].angle_deg


def profile(thread: Thread, *, pitches: float = 3, internal: bool = False) -> Profile:
    """Draw the basic profile of a thread, without tolerance.

    Parameters
    ----------
    thread : Thread
        The thread.
    pitches : float
        Over how many pitches [-], more than 0 and at most 40.
    internal : bool
        True for the hole. The unified and metric holes are cut off further inside; other forms are alike.

    Returns
    -------
    Profile
        Begins at the middle of a crest, so that two profiles laid over each other start together and drift
        apart where their pitches differ. Tapers grow thinner along the axis, 1 in 16 on the diameter.

    Raises
    ------
    InvalidInput
        Too many pitches, or none.

    References
    ----------
    ISO 68-1 and ASME B1.1 (external root rounded, as UNR has it), BS 84, BS 93, BS 811,
    ASME B1.20.1, ISO 7-1.
    """
    if not 0 < pitches <= MOST_PITCHES:
        raise InvalidInput("pitches", needs=f"more than 0 and at most {MOST_PITCHES}", came=pitches)
    shape = (_INTERNAL if internal else _EXTERNAL)[thread.form]
    pitch_mm = thread.pitch_mm
    # The flanks of every form cross the pitch line halfway up the sharp V.
    apex_mm = thread.pitch_diameter_mm / 2 + shape.sharp * pitch_mm / 2
    slope = TAPER_ON_RADIUS if thread.taper else 0.0
    points: list[ProfilePoint] = []
    for along, below in _walk(shape, pitches):
        along_mm = along * pitch_mm
        points.append(ProfilePoint(along_mm, apex_mm - below * pitch_mm - slope * along_mm))
    return Profile(
        designation=thread.designation,
        points=tuple(points),
        pitch_mm=pitch_mm,
        depth_mm=(shape.sharp - shape.cut_outside - shape.cut_inside) * pitch_mm,
        angle_deg=shape.angle_deg,
        rounded=bool(shape.radius_outside and shape.radius_inside),
    )


def drift_mm(one: Thread, other: Thread, *, turns: float = 10) -> float:
    """Reckon how far two threads that start together are apart after some turns.

    Parameters
    ----------
    one, other : Thread
        The two threads.
    turns : float
        After how many turns [-].

    Returns
    -------
    float
        The distance along the axis [mm].
    """
    return abs(one.pitch_mm - other.pitch_mm) * turns


def _walk(shape: _Shape, pitches: float) -> Iterator[tuple[float, float]]:
    """Walk from crest to crest; yields along and below the sharp apex, in pitches, cut off at the end."""
    half = tuple(_half_pitch(shape))
    back = tuple((1 - along, below) for along, below in reversed(half))
    last = (0.0, shape.cut_outside)
    yield last
    for turn in range(ceil(pitches)):
        for along, below in half + back:
            at = (along + turn, below)
            if at[0] >= pitches - _NO_STEP:
                share = (pitches - last[0]) / (at[0] - last[0])
                yield pitches, last[1] + share * (at[1] - last[1])
                return
            if at[0] > last[0] + _NO_STEP:
                yield at
                last = at


def _half_pitch(shape: _Shape) -> Iterator[tuple[float, float]]:
    """Walk from the middle of a crest down the flank to the middle of the root."""
    half_angle = radians(shape.angle_deg / 2)
    yield from _end(shape.cut_outside, shape.radius_outside, half_angle)
    for along, above in reversed(tuple(_end(shape.cut_inside, shape.radius_inside, half_angle))):
        yield 0.5 - along, shape.sharp - above


def _end(cut: float, radius: float, half_angle: float) -> Iterator[tuple[float, float]]:
    """Walk from the middle of a crest to its flank: distance from the middle, distance below the apex."""
    if not radius:
        yield 0.0, cut
        yield cut * tan(half_angle), cut
        return
    # The arc touches the flank where its normal does: a quarter turn less the half angle from the middle.
    for step in range(_ARC_STEPS + 1):
        turned = (pi / 2 - half_angle) * step / _ARC_STEPS
        yield radius * sin(turned), cut + radius * (1 - cos(turned))
