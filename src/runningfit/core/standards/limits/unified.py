"""Limits of Unified threads by the formulas of ASME B1.1:2019, clause 5, with its order of rounding.

The formulas are from memory; the order of rounding was fitted to printed limits of classes 2A and 2B
(tests/published), and every row seen agrees to its last digit. The fit: a bolt's least pitch diameter is the
largest, already rounded, less the tolerance not rounded (1-8, 2 1/2-6); a hole's largest is the basic one
plus the multiple of the tolerance rounded to six decimals (1/4-20); halves go up.
"""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.threads import Thread, ThreadSeries
from runningfit.core.units import MM_PER_INCH

EXTERNAL = ("2A", "1A", "3A")
INTERNAL = ("2B", "1B", "3B")

# Tolerance of the pitch diameter as a multiple of that of class 2A.
_MULTIPLE: Mapping[str, float] = {"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975}
_SOURCE = (
    "ASME B1.1:2019 clause 5, by formula: Td2 = 0.0015 d^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3) in; "
    "before plating"
)
_STATUS = {
    "2A": "RECOMPUTED; formula agrees with every printed row seen",
    "2B": "RECOMPUTED; formula agrees with every printed row seen",
}
_OTHER_STATUS = "RECOMPUTED; multiples of class 2A from memory, remembered rows agree"
# The least size in inches that is not a numbered one, from which the simpler rule for minor diameters holds.
_QUARTER_IN = 0.25
# Below it minor diameters of holes are printed to 0.0001 in (from memory).
_NUMBER_SIX_IN = 0.138


def _engagement_in(thread: Thread, major_in: float, pitch_in: float) -> float:
    """Length of engagement behind the tolerance: the diameter for coarse, fine and 4 to 8UN, else 9 P."""
    coarse = thread.series in {ThreadSeries.UNC, ThreadSeries.UNF}
    few = thread.series is ThreadSeries.UN and (thread.tpi or 0) <= 8
    return major_in if coarse or few else 9 * pitch_in


def _basis(thread: Thread) -> tuple[float, float, float]:
    """Major diameter, pitch, and pitch-diameter tolerance of class 2A, not rounded [in]."""
    major_in = round(thread.major_mm / MM_PER_INCH, 6)
    pitch_in = 1 / (thread.tpi or 1)
    engagement = _engagement_in(thread, major_in, pitch_in)
    tolerance = 0.0015 * major_in ** (1 / 3) + 0.0015 * engagement**0.5 + 0.015 * pitch_in ** (2 / 3)
    return major_in, pitch_in, tolerance


def _pitch_diameter_in(major_in: float, pitch_in: float) -> float:
    return half_up(major_in - 0.64951905 * pitch_in, 4)


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a Unified external thread of class 1A, 2A or 3A.

    Parameters
    ----------
    thread : Thread
        A Unified thread.
    thread_class : str
        One of `EXTERNAL`.

    Returns
    -------
    ExternalLimits
        The minor diameter is that of the flat root; a rounded (UNR) root lies 0.108 P deeper.

    Notes
    -----
    es = 0.300 Td2(2A) for 1A and 2A; Td = 0.060 P^(2/3), 0.090 P^(2/3) for 1A.
    """
    major_in, pitch_in, tolerance = _basis(thread)
    allowance = 0.0 if thread_class == "3A" else half_up(0.3 * half_up(tolerance, 6), 4)
    major_tolerance = half_up((0.09 if thread_class == "1A" else 0.06) * pitch_in ** (2 / 3), 4)
    major_max = half_up(major_in - allowance, 4)
    pitch_max = half_up(_pitch_diameter_in(major_in, pitch_in) - allowance, 4)
    minor_max = half_up(major_in - 1.08253175 * pitch_in - allowance, 4)
    pitch_min = half_up(pitch_max - _MULTIPLE[thread_class] * tolerance, 4)
    return ExternalLimits(
        thread_class=thread_class,
        major_max_mm=major_max * MM_PER_INCH,
        major_min_mm=half_up(major_max - major_tolerance, 4) * MM_PER_INCH,
        pitch_diameter_max_mm=pitch_max * MM_PER_INCH,
        pitch_diameter_min_mm=pitch_min * MM_PER_INCH,
        minor_max_mm=minor_max * MM_PER_INCH,
        minor_min_mm=half_up(pitch_min - 0.64951905 * pitch_in, 4) * MM_PER_INCH,
        status=_STATUS.get(thread_class, _OTHER_STATUS),
        source=_SOURCE,
    )


def _minor_tolerance_in(thread_class: str, major_in: float, pitch_in: float) -> float:
    """Tolerance of the internal minor diameter [in], clause 5.8.2."""
    tpi = round(1 / pitch_in, 6)
    small: float = 0.05 * pitch_in ** (2 / 3) + 0.03 * pitch_in / major_in - 0.002
    largest = 0.394 * pitch_in
    if thread_class == "3B":
        least = 0.23 * pitch_in - 1.5 * pitch_in**2 if tpi >= 13 else 0.12 * pitch_in
        return max(min(small, largest), least)
    if major_in < _QUARTER_IN:
        return max(min(small, largest), 0.25 * pitch_in - 0.4 * pitch_in**2)
    return 0.25 * pitch_in - 0.4 * pitch_in**2 if tpi >= 4 else 0.15 * pitch_in


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a Unified internal thread of class 1B, 2B or 3B.

    Parameters
    ----------
    thread : Thread
        A Unified thread.
    thread_class : str
        One of `INTERNAL`.

    Returns
    -------
    InternalLimits
        The minor diameter to 0.001 in for 1B and 2B from No. 6 on, else to 0.0001 in, as the standard rounds.
    """
    major_in, pitch_in, tolerance = _basis(thread)
    minor = major_in - 1.08253175 * pitch_in
    tolerance_of_minor = _minor_tolerance_in(thread_class, major_in, pitch_in)
    places = 4 if major_in < _NUMBER_SIX_IN else 3
    if thread_class == "3B" or places == 4:
        minor_max = half_up(half_up(minor, 4) + half_up(tolerance_of_minor, 4), 4)
    else:
        minor_max = half_up(minor + tolerance_of_minor, places)
    pitch_min = _pitch_diameter_in(major_in, pitch_in)
    pitch_max = half_up(pitch_min + _MULTIPLE[thread_class] * half_up(tolerance, 6), 4)
    return InternalLimits(
        thread_class=thread_class,
        major_min_mm=thread.major_mm,
        pitch_diameter_min_mm=pitch_min * MM_PER_INCH,
        pitch_diameter_max_mm=pitch_max * MM_PER_INCH,
        minor_min_mm=half_up(minor, places) * MM_PER_INCH,
        minor_max_mm=minor_max * MM_PER_INCH,
        status=_STATUS.get(thread_class, _OTHER_STATUS),
        source=_SOURCE,
    )
