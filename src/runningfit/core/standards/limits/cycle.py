"""Limits of cycle threads (C.E.I., B.S.C.): those of BS 811 were not seen, so those of BS 84 stand in."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.standards.limits import whitworth
from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.threads import Thread

EXTERNAL = whitworth.EXTERNAL
INTERNAL = whitworth.INTERNAL

_STATUS = "STAND-IN; the tolerances of BS 811 were not seen"
_SOURCE = (
    "the formula of BS 84:2007 annex B on the diameter and pitch of BS 811:1950; common practice, no source"
)


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a cycle-thread bolt, reckoned as BS 84 would.

    Parameters
    ----------
    thread : Thread
        A thread of the cycle series.
    thread_class : str
        One of `EXTERNAL`.

    Returns
    -------
    ExternalLimits
        Marked as stand-ins.
    """
    return replace(whitworth.external(thread, thread_class), status=_STATUS, source=_SOURCE)


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a cycle-thread nut, reckoned as BS 84 would.

    Parameters
    ----------
    thread : Thread
        A thread of the cycle series.
    thread_class : str
        One of `INTERNAL`.

    Returns
    -------
    InternalLimits
        Marked as stand-ins.
    """
    return replace(whitworth.internal(thread, thread_class), status=_STATUS, source=_SOURCE)
