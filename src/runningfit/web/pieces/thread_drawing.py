"""Thread profiles drawn with a pen: one thread, and two laid over each other at the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.standards import Thread, ThreadForm
from runningfit.core.standards.profiles import Profile, drift_mm, included_angle_deg, profile

# As wide as a phone's page, so that on a phone nothing is shrunk.
WIDTH = 360.0
TURNS_CLOSE = 3.0
TURNS_FAR = 10.0
_TOP = 26.0
_GROUND = 14.0
# Nobody sees or measures less than this over ten turns of a worn thread.
_SEEN_MM = 0.005
_CREST_WORDS = {True: "rounded crests and roots", False: "flat crests"}
FORM_NAMES = {
    ThreadForm.UNIFIED60: "unified, 60°",
    ThreadForm.METRIC60: "ISO metric, 60°",
    ThreadForm.WHITWORTH55: "Whitworth, 55°",
    ThreadForm.BA47_5: "B.A., 47½°",
    ThreadForm.CEI60: "cycle, 60°",
    ThreadForm.NPT60: "American taper pipe, 60°",
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One strip of paper with up to two profiles on it, in the units of the drawing.

    Parameters
    ----------
    lines : tuple of str
        The path of each profile.
    metal : str
        The outline of the metal below the first one.
    height, ground : float
        How high the strip is, and where its lower edge of metal runs.
    """

    lines: tuple[str, ...]
    metal: str
    height: float
    ground: float


@dataclass(frozen=True, slots=True)
class OneThread:
    """A thread alone, with its pitch, depth and angle."""

    sheet: Sheet
    crests: tuple[float, float]
    crest_y: float
    root_y: float
    root_x: float
    pitch_said: str
    depth_said: str
    angle_said: str
    said: str


@dataclass(frozen=True, slots=True)
class TwoThreads:
    """Two threads over each other: close, and over ten turns where their pitches differ."""

    names: tuple[str, str]
    close: Sheet
    far: Sheet | None
    ends: tuple[float, float]
    drift_said: str
    differences: tuple[str, ...]
    said: str


def one_thread(thread: Thread) -> OneThread:
    """Draw the outside thread alone over three and a half turns."""
    drawn = profile(thread, pitches=3.5)
    sheet, scale, top_mm = _sheet([drawn], 3.5 * thread.pitch_mm)
    crest_y = _TOP
    pitch = f"{thread.pitch_mm:.4g} mm" + (f" ({thread.tpi:g} to the inch)" if thread.tpi else "")
    lowest = min(drawn.points, key=lambda point: (round(point.radius_mm, 6), point.along_mm))
    angle = f"{included_angle_deg(thread.form):g}°"
    return OneThread(
        sheet=sheet,
        crests=(thread.pitch_mm * scale, 2 * thread.pitch_mm * scale),
        crest_y=crest_y,
        root_y=_TOP + (top_mm - lowest.radius_mm) * scale,
        root_x=2.5 * thread.pitch_mm * scale,
        pitch_said=pitch,
        depth_said=f"{drawn.depth_mm:.3g} mm deep",
        angle_said=angle,
        said=f"The outside profile of {thread.designation}: {FORM_NAMES[thread.form]}, "
        f"{_crests(drawn)}, pitch {pitch}, {drawn.depth_mm:.3g} mm deep"
        + (", tapering 1 in 16." if thread.taper else "."),
    )


def two_threads(one: Thread, other: Thread) -> TwoThreads:
    """Lay two threads over each other from the same crest, close and over ten turns."""
    widest = max(one.pitch_mm, other.pitch_mm)
    close, _scale, _top = _sheet(_pair(one, other, TURNS_CLOSE * widest), TURNS_CLOSE * widest)
    drift = drift_mm(one, other, turns=TURNS_FAR)
    far, ends = None, (0.0, 0.0)
    if drift >= _SEEN_MM:
        far, scale, _top = _sheet(_pair(one, other, TURNS_FAR * widest), TURNS_FAR * widest, deep=False)
        ends = (TURNS_FAR * one.pitch_mm * scale, TURNS_FAR * other.pitch_mm * scale)
    differences = tuple(_differences(one, other, drift))
    return TwoThreads(
        names=(one.designation, other.designation),
        close=close,
        far=far,
        ends=ends,
        drift_said=f"{drift:.2f} mm apart after ten turns",
        differences=differences,
        said=f"{one.designation} and {other.designation} laid over each other at the same scale. "
        + " ".join(differences),
    )


def _pair(one: Thread, other: Thread, length_mm: float) -> list[Profile]:
    return [profile(thread, pitches=length_mm / thread.pitch_mm) for thread in (one, other)]


def _sheet(profiles: Sequence[Profile], length_mm: float, *, deep: bool = True) -> tuple[Sheet, float, float]:
    """Scale profiles into the width of the paper; returns the strip, the scale and the radius at its top."""
    scale = WIDTH / length_mm
    top_mm = max(point.radius_mm for drawn in profiles for point in drawn.points)
    low_mm = min(point.radius_mm for drawn in profiles for point in drawn.points)
    top = _TOP if deep else 8.0
    ground = top + (top_mm - low_mm) * scale + _GROUND
    lines = tuple(_path(drawn, scale, top_mm, top) for drawn in profiles)
    last = profiles[0].points[-1].along_mm * scale
    metal = f"{lines[0]}V{ground:.1f}H0Z" if last else ""
    return Sheet(lines, metal, ground + 2, ground), scale, top_mm


def _path(drawn: Profile, scale: float, top_mm: float, top: float) -> str:
    steps = [
        f"{point.along_mm * scale:.1f} {top + (top_mm - point.radius_mm) * scale:.1f}"
        for point in drawn.points
    ]
    return "M" + "L".join(steps)


def _crests(drawn: Profile) -> str:
    return _CREST_WORDS[drawn.rounded]


def _differences(one: Thread, other: Thread, drift: float) -> list[str]:
    """Say what differs, the plainest to see first."""
    said: list[str] = []
    if drift >= _SEEN_MM:
        finer = one if one.pitch_mm < other.pitch_mm else other
        said.append(f"{finer.designation} is the finer: ten turns of it are {drift:.2f} mm shorter.")
    else:
        said.append("The pitch is the same.")
    angles = included_angle_deg(one.form), included_angle_deg(other.form)
    if angles[0] != angles[1]:
        said.append(f"The flanks stand at {angles[0]:g}° against {angles[1]:g}°.")
    shapes = _crests(profile(one, pitches=1)), _crests(profile(other, pitches=1))
    if shapes[0] != shapes[1]:
        said.append(f"{one.designation} has {shapes[0]}, {other.designation} {shapes[1]}.")
    apart = abs(one.major_mm - other.major_mm)
    if apart >= _SEEN_MM:
        larger = one if one.major_mm > other.major_mm else other
        said.append(f"{larger.designation} is {apart:.3f} mm larger outside.")
    else:
        said.append("The outside diameter is the same.")
    if one.taper != other.taper:
        said.append(f"{(one if one.taper else other).designation} tapers.")
    return said
