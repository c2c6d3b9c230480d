"""How pitch and angle show: a leaf that seems to fit over several threads, a gauge against the light."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence

from runningfit.core.pieces.identification.arithmetic import Arithmetic, Number
from runningfit.core.pieces.identification.bands import FORM_ANGLE_DEG
from runningfit.core.standards import Thread, ThreadForm, ThreadSeries
from runningfit.core.units import MM_PER_INCH

# Common practice, no source, for all of these. A leaf has some eight teeth, but is no longer than an inch.
LEAF_TEETH = 8
_LEAF_LENGTH_MM = 25.0
# What an eye sees between the last tooth and its groove, a standard deviation.
_SEEN_ALONG_LEAF_MM = 0.05
# A person now and then takes a leaf that shows light: one of some four neighbours, a few per cent off.
_WRONG_LEAF = 0.002
_NEIGHBOURS = 4
_NEIGHBOUR_SPREAD = 0.05
# Who has both gauges says the leaf that fits best, and errs in the system in 2 of 100 cases; one in ten has
# only one gauge, for half of the threads the wrong one.
_ONE_GAUGE, _TAKEN_FOR_THE_OTHER = 0.1, 0.02
OTHER_SYSTEM = 0.5 * _ONE_GAUGE + (1 - _ONE_GAUGE) * _TAKEN_FOR_THE_OTHER
# What an eye sees between a flank and an angle gauge against the light, a standard deviation.
_SEEN_AT_FLANK_MM = 0.015
_ANGLE_GAUGE_RIGHT = 0.97
_FLANK_HEIGHT_PITCHES = 0.6

# The usual leaves of inch and metric gauges, from memory.
LEAVES_TPI: Sequence[float] = (
    4, 4.5, 5, 6, 7, 8, 9, 10, 11, 11.5, 12, 13, 14, 16, 18, 19, 20, 22, 24, 25, 26, 27, 28, 30, 32, 36, 40,
    44, 48, 56, 60, 64, 72, 80,
)  # fmt: skip
LEAVES_MM: Sequence[float] = (
    0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0,
    4.5, 5.0, 5.5, 6.0,
)  # fmt: skip


_ALL_LEAVES_MM = sorted({MM_PER_INCH / tpi for tpi in LEAVES_TPI} | set(LEAVES_MM))


def nearest_leaf_mm(pitch_mm: float) -> float:
    """Find the leaf of the usual gauges that is nearest to a pitch.

    Parameters
    ----------
    pitch_mm : float
        A pitch [mm].

    Returns
    -------
    float
        Pitch of the leaf [mm].
    """
    place = bisect_left(_ALL_LEAVES_MM, pitch_mm)
    return min(_ALL_LEAVES_MM[max(place - 1, 0) : place + 1], key=lambda leaf: abs(leaf - pitch_mm))


def leaf_teeth(leaf_mm: float) -> float:
    """Give over how many threads a leaf is held against a thread.

    Parameters
    ----------
    leaf_mm : float
        Its pitch [mm].

    Returns
    -------
    float
        Eight, or as many as an inch holds.
    """
    return min(float(LEAF_TEETH), _LEAF_LENGTH_MM / leaf_mm)


def leaf_fits(leaf_mm: Number, pitch_mm: float, teeth: Number, arithmetic: Arithmetic[Number]) -> Number:
    """Give the probability that a leaf seems to fit a thread.

    Parameters
    ----------
    leaf_mm : float or array
        Pitch of the leaf [mm].
    pitch_mm : float
        Pitch of the thread [mm].
    teeth : float or array
        Over how many threads it is held.
    arithmetic : Arithmetic
        For one number or for columns.

    Returns
    -------
    float or array
        Probability, 0 to 1: the difference of the pitches adds up along the leaf until an eye sees it.
    """
    off = (leaf_mm - pitch_mm) * teeth / _SEEN_ALONG_LEAF_MM
    beside = (leaf_mm / pitch_mm - 1.0) / _NEIGHBOUR_SPREAD
    return (1 - _WRONG_LEAF) * arithmetic.exp(-0.5 * off * off) + (
        _WRONG_LEAF / _NEIGHBOURS
    ) * arithmetic.exp(-0.5 * beside * beside)


def possible_angles_deg(thread: Thread) -> tuple[float, ...]:
    """Give the included angles that a thread may have.

    Parameters
    ----------
    thread : Thread
        The thread.

    Returns
    -------
    tuple of float
        One angle [°]; 55 and 60 for cycle threads of 20 tpi, which the sources give either way.
    """
    angle = FORM_ANGLE_DEG[thread.form]
    open_angle = thread.series is ThreadSeries.CEI and thread.form is ThreadForm.WHITWORTH55
    return (angle, 60.0) if open_angle else (angle,)


def angle_gauge_fits(gauge_deg: float, angle_deg: float, pitch_mm: float) -> float:
    """Give the probability that a flank angle gauge seems to fit.

    Parameters
    ----------
    gauge_deg : float
        Included angle of the gauge [°].
    angle_deg : float
        Included angle of the thread [°].
    pitch_mm : float
        Its pitch [mm].

    Returns
    -------
    float
        Probability, 0 to 1: on small threads the gap between 55 and 60 degrees is too small to be seen.
    """
    gap_mm = (
        _FLANK_HEIGHT_PITCHES
        * pitch_mm
        * abs(math.tan(math.radians(gauge_deg / 2)) - math.tan(math.radians(angle_deg / 2)))
    )
    seen = gap_mm / _SEEN_AT_FLANK_MM
    return _ANGLE_GAUGE_RIGHT * math.exp(-0.5 * seen * seen) + 0.5 * (1 - _ANGLE_GAUGE_RIGHT)
