"""Tapping drills: by formula for a wanted engagement, and the drills in the rack nearest to that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import chain

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.standards.threads import Thread, ThreadForm
from runningfit.core.units import MM_PER_INCH, inch_fraction

# Common practice, no source: three quarters of the full height hold nearly as much as all of it.
USUAL_ENGAGEMENT = 0.75
# Outside these a nearest drill is none: it leaves hardly a thread, or breaks the tap.
_LEAST, _MOST = 0.4, 1.05
# Full height on both sides, in pitches: from the major diameter to the root of the bolt's thread.
_FULL_DEPTHS: Mapping[ThreadForm, float] = {
    ThreadForm.UNIFIED60: 1.299038,
    ThreadForm.METRIC60: 1.299038,
    ThreadForm.WHITWORTH55: 1.280654,
    ThreadForm.BA47_5: 1.2,
    ThreadForm.CEI60: 1.0654,
}


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill that is made, and the engagement that its hole leaves.

    Parameters
    ----------
    name : str
        As it is marked: `6.8 mm`, `No. 7`, `F`, `13/64 in`.
    diameter_mm : float
        Its diameter [mm].
    engagement : float
        Height of thread left, as a part of the full height.
    status : str
        How sure its diameter is.
    """

    name: str
    diameter_mm: float
    engagement: float
    status: str


@dataclass(frozen=True, slots=True)
class TappingDrills:
    """The hole to drill before tapping.

    Parameters
    ----------
    engagement : float
        The part of the full height that was wanted.
    diameter_mm : float
        The hole that gives just that [mm].
    metric : Drill or None
        The metric drill nearest to it; none where none is near.
    inch : Drill or None
        The nearest numbered, lettered or fractional drill; none where none is near.
    source : str
        The formula.
    """

    engagement: float
    diameter_mm: float
    metric: Drill | None
    inch: Drill | None
    source: str


def _steps(start: int, stop: int, step: int) -> range:
    return range(start, stop, step)


@cache
def _metric_drills() -> tuple[tuple[str, float, str], ...]:
    """Metric drills of ordinary sets; common practice, no source."""
    hundredths = chain(
        _steps(20, 300, 5), _steps(300, 1400, 10), _steps(1400, 3200, 25), _steps(3200, 10001, 50)
    )
    also = (325, 375, 425, 475, 525, 575, 625, 675, 725, 775, 825, 875, 925, 975)
    return tuple((f"{one / 100:g} mm", one / 100, "common practice") for one in sorted({*hundredths, *also}))


@cache
def _inch_drills() -> tuple[tuple[str, float, str], ...]:
    """Numbered and lettered drills of the table, and fractions of an inch; the latter are common practice."""
    fractions = chain(_steps(1, 113, 1), _steps(114, 193, 2), _steps(196, 257, 4))
    fractional = [
        (f"{inch_fraction(one)} in", one / 64 * MM_PER_INCH, "exact; sizes made: common practice")
        for one in fractions
    ]
    marked = [
        (row["size"], float(row["diameter_in"]) * MM_PER_INCH, row["status"])
        for row in rows("asme_b94_11m_1993")
    ]
    return tuple(sorted([*fractional, *marked], key=lambda drill: drill[1]))


def full_depth_mm(thread: Thread) -> float:
    """What 100 % of thread takes off the major diameter.

    Parameters
    ----------
    thread : Thread
        A thread that does not taper.

    Returns
    -------
    float
        Twice the full height [mm]: 1.299 P at 60°, 1.2807 P (Whitworth), 1.2 P (B.A.), 1.0654 P (cycle).

    Raises
    ------
    InvalidInput
        The thread tapers.
    """
    if thread.taper:
        raise InvalidInput(
            "thread",
            needs="a parallel one for a tapping drill by formula",
            came=thread.designation,
            remedy="The hole of a taper thread depends on whether it is reamed: ask the maker of the tap.",
        )
    return _FULL_DEPTHS[thread.form] * thread.pitch_mm


def _nearest(drills: tuple[tuple[str, float, str], ...], wanted_mm: float, thread: Thread) -> Drill | None:
    name, diameter_mm, status = min(drills, key=lambda drill: abs(drill[1] - wanted_mm))
    engagement = (thread.major_mm - diameter_mm) / full_depth_mm(thread)
    if not _LEAST <= engagement <= _MOST:
        return None
    return Drill(name=name, diameter_mm=diameter_mm, engagement=engagement, status=status)


def tapping_drills(thread: Thread, engagement: float = USUAL_ENGAGEMENT) -> TappingDrills:
    """Find the hole to drill before tapping, and the drills nearest to it.

    Parameters
    ----------
    thread : Thread
        A thread that does not taper.
    engagement : float
        The part of the full height of thread that is wanted, 0.4 to 1.

    Returns
    -------
    TappingDrills
        The hole, and which engagement the drills nearest to it leave.

    Raises
    ------
    InvalidInput
        The thread tapers, or so much or little thread is not cut.

    Notes
    -----
    d - engagement times twice the full height; the 75 % rule is common practice, no source.
    """
    if not 0.4 <= engagement <= 1:
        raise InvalidInput(
            "engagement",
            needs="a part of the full height from 0.4 to 1",
            came=engagement,
            remedy="0.75 is common practice.",
        )
    wanted_mm = thread.major_mm - engagement * full_depth_mm(thread)
    factor = _FULL_DEPTHS[thread.form]
    return TappingDrills(
        engagement=engagement,
        diameter_mm=wanted_mm,
        metric=_nearest(_metric_drills(), wanted_mm, thread),
        inch=_nearest(_inch_drills(), wanted_mm, thread),
        source=f"d - {engagement:g} × {factor:g} P; the percentage is common practice, no source",
    )
