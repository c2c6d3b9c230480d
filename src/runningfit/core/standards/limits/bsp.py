"""Limits of parallel British pipe threads by the tolerance table of ISO 228-1:2000."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.tables import rows
from runningfit.core.standards.threads import Thread

EXTERNAL = ("A", "B")
# The internal thread has one class, which the standard leaves without a letter.
INTERNAL = ("internal",)

_FOLDER = "iso_228_1_2000"
_SOURCE = "ISO 228-1:2000 tolerances, as carried by bd_warehouse 0.4.0 data/iso_228_1.csv"
_STATUS = "VERIFIED tolerances in one carrier; that class B has twice the tolerance of A: from memory"


@cache
def _tolerances() -> Mapping[str, Mapping[str, str]]:
    return {row["designation"]: row for row in rows(_FOLDER)}


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a G external thread, class A or B.

    Parameters
    ----------
    thread : Thread
        A thread of the G series.
    thread_class : str
        `A` (close) or `B`.

    Returns
    -------
    ExternalLimits
        The minor diameter is not limited but by the form.
    """
    row = _tolerances()[thread.designation]
    flank = float(row["pitch_tolerance_mm"]) * (2 if thread_class == "B" else 1)
    return ExternalLimits(
        thread_class=thread_class,
        major_max_mm=thread.major_mm,
        major_min_mm=half_up(thread.major_mm - float(row["external_major_tolerance_mm"]), 3),
        pitch_diameter_max_mm=thread.pitch_diameter_mm,
        pitch_diameter_min_mm=half_up(thread.pitch_diameter_mm - flank, 3),
        minor_max_mm=None,
        status=_STATUS,
        source=_SOURCE,
    )


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a G internal thread.

    Parameters
    ----------
    thread : Thread
        A thread of the G series.
    thread_class : str
        `internal`; there is only one.

    Returns
    -------
    InternalLimits
        Pitch and minor diameters from basic upwards.
    """
    row = _tolerances()[thread.designation]
    return InternalLimits(
        thread_class=thread_class,
        major_min_mm=thread.major_mm,
        pitch_diameter_min_mm=thread.pitch_diameter_mm,
        pitch_diameter_max_mm=half_up(thread.pitch_diameter_mm + float(row["pitch_tolerance_mm"]), 3),
        minor_min_mm=thread.minor_internal_mm,
        minor_max_mm=half_up(thread.minor_internal_mm + float(row["internal_minor_tolerance_mm"]), 3),
        status="VERIFIED tolerances in one carrier",
        source=_SOURCE,
    )
