"""Taper threads have no limits of diameter: a plug or ring gauge shows how far they screw in."""

from __future__ import annotations

from runningfit.core.standards.threads import Thread, ThreadSeries

_STANDARDS = {
    ThreadSeries.R: "ISO 7-1:1994 limits the gauge length",
    ThreadSeries.NPT: "ASME B1.20.1:2013 allows one turn either way at the gauge notch",
}


def why_no_limits(thread: Thread) -> str:
    """Say why a taper thread has no limits of diameter, and what stands in their place.

    Parameters
    ----------
    thread : Thread
        A taper thread.

    Returns
    -------
    str
        One clause, without a full stop.
    """
    return (
        f"a taper thread has no limits of diameter: {_STANDARDS[thread.series]}, "
        "so it is checked with a taper plug or ring gauge"
    )
