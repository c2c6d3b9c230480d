"""The screws that a washer goes with, by its hole."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from runningfit.core.standards import ThreadSeries, all_threads

# The sizes of screws that washers are made for (common practice, no source); how large they are the standards
# say.
_USUAL = (
    *("6BA", "4BA", "2BA", "0BA"),
    *("3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "3/4", "7/8", "1"),
    *("M3", "M4", "M5", "M6", "M7", "M8", "M10", "M12", "M14", "M16", "M18", "M20", "M22", "M24"),
)
# How much wider than the screw the hole of a washer is (common practice, no source).
LEAST_ROOM_MM, MOST_ROOM_MM = 0.1, 1.6


def screws_through(hole_mm: float, u_mm: float) -> tuple[str, ...]:
    """Return the sizes of the screws that a washer goes with.

    Parameters
    ----------
    hole_mm : float
        The diameter of its hole [mm].
    u_mm : float
        The standard uncertainty of that [mm].

    Returns
    -------
    tuple of str
        Such as `5/16` and `M8`, the largest first; none where no usual screw is of such a size.
    """
    least = hole_mm - 1.96 * u_mm - MOST_ROOM_MM
    most = hole_mm + 1.96 * u_mm - LEAST_ROOM_MM
    nominal_mm = _nominal_mm()
    fitting = [name for name in _USUAL if least <= nominal_mm[name] <= most]
    return tuple(sorted(fitting, key=lambda name: -nominal_mm[name]))


@cache
def _nominal_mm() -> Mapping[str, float]:
    """The nominal diameter of each size; B.A. sizes are called by their designation."""
    return {
        one.designation if one.series is ThreadSeries.BA else one.size: one.major_mm
        for one in all_threads()
        if not one.pipe
    }
