"""Limits of B.A. threads by the tolerances of BS 93:1951: bolts close and normal, nuts of one class."""

from __future__ import annotations

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.threads import Thread

EXTERNAL = ("normal", "close")
INTERNAL = ("normal",)

_SOURCE = "BS 93:1951 tolerances, Machinery's Handbook 31 page 2115 (BS 93:2008 annex B the same)"
# Bolts of the normal class up to this number are made smaller by this much, for plating.
_ALLOWANCE_TO_NUMBER = 10
_ALLOWANCE_MM = 0.025
# The tables give the class close up to this number, and tolerances at all up to the next.
_CLOSE_TO_NUMBER = 10
_LAST_NUMBER = 16


def _status(number: int) -> str:
    if number > _LAST_NUMBER:
        return "RECOMPUTED; the tolerances read end at 16BA: those of 11 to 16BA continued"
    return "VERIFIED tolerances; diameters as printed"


def external_classes(thread: Thread) -> tuple[str, ...]:
    """The classes that a B.A. bolt can have: close only up to 10 BA.

    Parameters
    ----------
    thread : Thread
        A B.A. thread.

    Returns
    -------
    tuple of str
        The usual class first.
    """
    return EXTERNAL if int(thread.size) <= _CLOSE_TO_NUMBER else EXTERNAL[:1]


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a B.A. bolt, close or normal.

    Parameters
    ----------
    thread : Thread
        A B.A. thread.
    thread_class : str
        `close` (0 to 10 BA) or `normal`.

    Returns
    -------
    ExternalLimits
        Close: 0.15 P, 0.08 P + 0.02, 0.16 P + 0.04; normal: 0.20 P (0.25 P from 11 BA), 0.10 P + 0.025,
        0.20 P + 0.05 mm on major, effective and minor diameter.

    Raises
    ------
    InvalidInput
        Close from 11 BA on.
    """
    number, pitch = int(thread.size), thread.pitch_mm
    if thread_class == "close":
        if number > _CLOSE_TO_NUMBER:
            raise InvalidInput(
                "class",
                needs=f"normal for {thread.designation}",
                came=thread_class,
                remedy="The class close ends at 10BA.",
            )
        allowance, major, effective, minor = 0.0, 0.15 * pitch, 0.08 * pitch + 0.02, 0.16 * pitch + 0.04
    else:
        allowance = _ALLOWANCE_MM if number <= _ALLOWANCE_TO_NUMBER else 0.0
        major = (0.20 if number <= _ALLOWANCE_TO_NUMBER else 0.25) * pitch
        effective, minor = 0.10 * pitch + 0.025, 0.20 * pitch + 0.05
    core = thread.minor_internal_mm
    return ExternalLimits(
        thread_class=thread_class,
        major_max_mm=half_up(thread.major_mm - allowance, 4),
        major_min_mm=half_up(thread.major_mm - allowance - major, 4),
        pitch_diameter_max_mm=half_up(thread.pitch_diameter_mm - allowance, 4),
        pitch_diameter_min_mm=half_up(thread.pitch_diameter_mm - allowance - effective, 4),
        minor_max_mm=half_up(core - allowance, 4),
        minor_min_mm=half_up(core - allowance - minor, 4),
        status=_status(number),
        source=_SOURCE,
    )


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a B.A. nut.

    Parameters
    ----------
    thread : Thread
        A B.A. thread.
    thread_class : str
        `normal`; there is only one.

    Returns
    -------
    InternalLimits
        Effective diameter + (0.12 P + 0.03), minor + 0.375 P mm.
    """
    pitch = thread.pitch_mm
    return InternalLimits(
        thread_class=thread_class,
        major_min_mm=thread.major_mm,
        pitch_diameter_min_mm=thread.pitch_diameter_mm,
        pitch_diameter_max_mm=half_up(thread.pitch_diameter_mm + 0.12 * pitch + 0.03, 4),
        minor_min_mm=thread.minor_internal_mm,
        minor_max_mm=half_up(thread.minor_internal_mm + 0.375 * pitch, 4),
        status=_status(int(thread.size)),
        source=_SOURCE,
    )
