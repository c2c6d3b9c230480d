"""Limits of Whitworth threads (BSW and BSF) by the tolerances of BS 84:2007, annex B.

By the formula, for the printed tables were not seen. Where somebody held the formula against them, the
effective tolerances agreed throughout and four major diameters differed by 0.0001 in (which is not told);
there the table governs. Later editions call the widest class of nuts normal; here it is named free.
"""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.threads import Thread
from runningfit.core.units import MM_PER_INCH

EXTERNAL = ("medium", "close", "free")
INTERNAL = ("medium", "close", "free")

_MULTIPLE: Mapping[str, float] = {"close": 2 / 3, "medium": 1.0, "free": 1.5}
_SOURCE = (
    "BS 84:2007 annex B, by formula: T = 0.002 d^(1/3) + 0.003 L^(1/2) + 0.005 P^(1/2) in with L = d; "
    "major + 0.01 P^(1/2)"
)
_STATUS = "RECOMPUTED; tolerances SECONDARY, length of engagement, minor tolerance and allowance from memory"
# From memory: bolts of the free and medium classes up to this size are made smaller, by 0.3 T of the class
# medium; those below a quarter of an inch by the amount of the quarter-inch size.
_ALLOWANCE_UP_TO_IN = 0.75
_ALLOWANCE_FROM_IN = 0.25


def _effective_tolerance_in(major_in: float, pitch_in: float) -> float:
    """Tolerance T of the effective diameter of class medium [in], not rounded."""
    tolerance: float = 0.002 * major_in ** (1 / 3) + 0.003 * major_in**0.5 + 0.005 * pitch_in**0.5
    return tolerance


def _in(thread: Thread) -> tuple[float, float]:
    return round(thread.major_mm / MM_PER_INCH, 6), 1 / (thread.tpi or 1)


def _allowance_in(thread: Thread, thread_class: str) -> float:
    major_in, pitch_in = _in(thread)
    if thread_class == "close" or major_in > _ALLOWANCE_UP_TO_IN:
        return 0.0
    if major_in < _ALLOWANCE_FROM_IN:
        quarter_pitch_in = 1 / 20 if str(thread.series) == "BSW" else 1 / 26
        return half_up(0.3 * _effective_tolerance_in(_ALLOWANCE_FROM_IN, quarter_pitch_in), 4)
    return half_up(0.3 * _effective_tolerance_in(major_in, pitch_in), 4)


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a Whitworth bolt, close, medium or free.

    Parameters
    ----------
    thread : Thread
        A thread of BSW or BSF, or one whose limits are reckoned as theirs.
    thread_class : str
        One of `EXTERNAL`.

    Returns
    -------
    ExternalLimits
        Before plating.
    """
    major_in, pitch_in = _in(thread)
    allowance = _allowance_in(thread, thread_class)
    tolerance = _MULTIPLE[thread_class] * _effective_tolerance_in(major_in, pitch_in)
    major_tolerance = tolerance + 0.01 * pitch_in**0.5
    minor_tolerance = tolerance + (0.013 if thread_class == "close" else 0.02) * pitch_in**0.5
    major_max = major_in - allowance
    pitch_max = thread.pitch_diameter_mm / MM_PER_INCH - allowance
    minor_max = thread.minor_internal_mm / MM_PER_INCH - allowance
    return ExternalLimits(
        thread_class=thread_class,
        major_max_mm=half_up(major_max, 4) * MM_PER_INCH,
        major_min_mm=half_up(major_max - half_up(major_tolerance, 4), 4) * MM_PER_INCH,
        pitch_diameter_max_mm=half_up(pitch_max, 4) * MM_PER_INCH,
        pitch_diameter_min_mm=half_up(pitch_max - half_up(tolerance, 4), 4) * MM_PER_INCH,
        minor_max_mm=half_up(minor_max, 4) * MM_PER_INCH,
        minor_min_mm=half_up(minor_max - half_up(minor_tolerance, 4), 4) * MM_PER_INCH,
        status=_STATUS,
        source=_SOURCE,
    )


def _minor_tolerance_in(pitch_in: float) -> float:
    """Tolerance of the minor diameter of a nut: 0.2 P + 0.004, 0.005 or 0.007 in."""
    tpi = round(1 / pitch_in, 6)
    return 0.2 * pitch_in + (0.004 if tpi >= 26 else 0.005 if tpi >= 22 else 0.007)


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a Whitworth nut or hole, close, medium or free (in later editions called normal).

    Parameters
    ----------
    thread : Thread
        A thread of BSW or BSF, or one whose limits are reckoned as theirs.
    thread_class : str
        One of `INTERNAL`.

    Returns
    -------
    InternalLimits
        Before plating.
    """
    major_in, pitch_in = _in(thread)
    tolerance = half_up(_MULTIPLE[thread_class] * _effective_tolerance_in(major_in, pitch_in), 4)
    pitch_min = half_up(thread.pitch_diameter_mm / MM_PER_INCH, 4)
    minor_min = half_up(thread.minor_internal_mm / MM_PER_INCH, 4)
    return InternalLimits(
        thread_class=thread_class,
        major_min_mm=thread.major_mm,
        pitch_diameter_min_mm=pitch_min * MM_PER_INCH,
        pitch_diameter_max_mm=half_up(pitch_min + tolerance, 4) * MM_PER_INCH,
        minor_min_mm=minor_min * MM_PER_INCH,
        minor_max_mm=half_up(minor_min + half_up(_minor_tolerance_in(pitch_in), 4), 4) * MM_PER_INCH,
        status=_STATUS,
        source=_SOURCE,
    )
