"""How probable a set of readings is on each standard thread, and on a thread of no standard."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache

from runningfit.core.pieces.identification.arithmetic import ONE, Arithmetic
from runningfit.core.pieces.identification.bands import diameters
from runningfit.core.pieces.identification.densities import Band, band_density, normal_density
from runningfit.core.pieces.identification.heads import any_head_density, hexagon
from runningfit.core.pieces.identification.pitches import (
    OTHER_SYSTEM,
    angle_gauge_fits,
    leaf_fits,
    leaf_teeth,
    nearest_leaf_mm,
    possible_angles_deg,
)
from runningfit.core.pieces.identification.readings import (
    SHARED_U_DIAMETER_MM,
    SHARED_U_FLATS_MM,
    SHARED_U_PITCH_MM,
    USUAL_U_DIAMETER_MM,
    USUAL_U_FLATS_MM,
    USUAL_U_PITCH_MM,
    ThreadReadings,
    whole_u_mm,
)
from runningfit.core.standards import Thread, ThreadSeries

# Common practice, no source: a thread of no standard has any diameter from 1 to 160 mm, on a logarithmic
# scale; its pitch is between a 25th and a third of it; half of them have the pitch of some leaf, of which
# eight would suit the diameter.
_ANY_SIZE_MM = (1.0, 160.0)
_ANY_SIZE_SPAN = math.log(_ANY_SIZE_MM[1] / _ANY_SIZE_MM[0])
_ANY_RATIO = (0.04, 0.35)
_ANY_RATIO_SPAN = math.log(_ANY_RATIO[1] / _ANY_RATIO[0])
_ANY_PITCH_SPAN = math.log(6.5 / 0.15)
_OUTSIDE = 0.01
_LEAVES_THAT_SUIT = 8
_ANY_TAPERS = 0.1
# Common practice, no source: the diameters at both ends of a thread tell a taper of 1 in 16 nearly always.
TAPER_SEEN = 0.98
_METRIC = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})
_SEEN_WIDTH_MM = 0.05 * math.sqrt(2 * math.pi)
# How far from its readings a thread is still weighed: standard uncertainties, and parts of a leaf's pitch.
REACH_U = 7.0
LEAF_REACH = 0.2
# The three diameters of one thread of no standard lie within a third of the largest.
_SECOND_DIAMETER_SPAN = 0.35


class Dimension(Enum):
    """Which of the dimensions that lie in a band was measured."""

    MAJOR = "major diameter"
    PITCH_DIAMETER = "pitch diameter"
    MINOR = "minor diameter"
    FLATS = "width across flats"


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured value with its whole standard uncertainty [mm]."""

    value_mm: float
    u_mm: float


@cache
def band_of(thread: Thread, dimension: Dimension, *, internal: bool) -> Band:
    """Give the band of a dimension of a thread.

    Parameters
    ----------
    thread : Thread
        The thread.
    dimension : Dimension
        Which dimension.
    internal : bool
        Whether of a nut or hole.

    Returns
    -------
    Band
        Where it lies.
    """
    if dimension is Dimension.FLATS:
        return hexagon(thread, internal=internal)
    found = diameters(thread, internal=internal)
    if dimension is Dimension.MAJOR:
        return found.major
    return found.minor if dimension is Dimension.MINOR else found.pitch_diameter


def measured(readings: ThreadReadings) -> dict[Dimension, Reading]:
    """Give the readings of dimensions that lie in a band, with their whole uncertainty.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.

    Returns
    -------
    dict of Dimension to Reading
        Those that were measured.
    """
    asked = (
        (Dimension.MAJOR, readings.major_mm, readings.u_major_mm),
        (Dimension.PITCH_DIAMETER, readings.pitch_diameter_mm, readings.u_pitch_diameter_mm),
        (Dimension.MINOR, readings.minor_mm, readings.u_minor_mm),
        (Dimension.FLATS, readings.across_flats_mm, readings.u_across_flats_mm),
    )
    found = {}
    for dimension, value, u in asked:
        if value is not None:
            flats = dimension is Dimension.FLATS
            usual = USUAL_U_FLATS_MM if flats else USUAL_U_DIAMETER_MM
            shared = SHARED_U_FLATS_MM if flats else SHARED_U_DIAMETER_MM
            found[dimension] = Reading(value, whole_u_mm(u, usual, shared))
    return found


def measured_pitch(readings: ThreadReadings) -> Reading | None:
    """Give the measured pitch with its whole uncertainty.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.

    Returns
    -------
    Reading or None
        None where only a leaf, or nothing, tells the pitch.
    """
    if readings.pitch_mm is None:
        return None
    return Reading(readings.pitch_mm, whole_u_mm(readings.u_pitch_mm, USUAL_U_PITCH_MM, SHARED_U_PITCH_MM))


def likelihood(readings: ThreadReadings, thread: Thread, arithmetic: Arithmetic[float]) -> float:
    """Give how probable the readings are on a standard thread.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    thread : Thread
        The thread.
    arithmetic : Arithmetic
        For one number.

    Returns
    -------
    float
        The product of the densities and probabilities of the readings.
    """
    whole = seen_likelihood(readings, thread)
    pitch, leaf = measured_pitch(readings), readings.leaf_pitch_mm
    if pitch is not None:
        whole *= normal_density(pitch.value_mm - thread.pitch_mm, pitch.u_mm, arithmetic)
    if leaf is not None:
        whole *= leaf_fits(leaf, thread.pitch_mm, leaf_teeth(leaf), arithmetic)
    if whole:
        for dimension, reading in measured(readings).items():
            where = band_of(thread, dimension, internal=readings.internal)
            whole *= band_density(reading.value_mm, reading.u_mm, where, arithmetic)
    return whole


def seen_likelihood(readings: ThreadReadings, thread: Thread) -> float:
    """Give how probable it is that angle, taper and system of the leaf were seen as they were said.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    thread : Thread
        The thread.

    Returns
    -------
    float
        Probability; 1 where none of these was looked at.
    """
    whole = _gauges_likelihood(readings, thread) if readings.angle_gauges else 1.0
    if readings.tapers is not None:
        whole *= TAPER_SEEN if readings.tapers is thread.taper else 1 - TAPER_SEEN
    metric = thread.series in _METRIC
    if (readings.leaf_tpi is not None and metric) or (
        readings.leaf_mm is not None and thread.tpi is not None
    ):
        whole *= OTHER_SYSTEM
    return whole


def _gauges_likelihood(readings: ThreadReadings, thread: Thread) -> float:
    """Give how probable it is that the angle gauges showed what they did, whichever of its angles it has."""
    angles = possible_angles_deg(thread)
    whole = 0.0
    for angle in angles:
        seen = 1.0
        for gauge in readings.angle_gauges:
            fits = angle_gauge_fits(gauge.angle_deg, angle, thread.pitch_mm)
            seen *= fits if gauge.fits else 1 - fits
        whole += seen / len(angles)
    return whole


def none_likelihood(readings: ThreadReadings) -> float:
    """Give how probable the readings are on a thread of no standard.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.

    Returns
    -------
    float
        The product of broad densities.
    """
    found = measured(readings)
    sizes = [reading.value_mm for name, reading in found.items() if name is not Dimension.FLATS]
    pitch = readings.pitch_mm if readings.pitch_mm is not None else readings.leaf_pitch_mm
    flats = found.get(Dimension.FLATS)
    whole = 0.5 ** len(readings.angle_gauges)
    if readings.tapers is not None:
        whole *= _ANY_TAPERS if readings.tapers else 1 - _ANY_TAPERS
    if sizes:
        whole /= sizes[0] * _ANY_SIZE_SPAN
        if not _ANY_SIZE_MM[0] <= sizes[0] <= _ANY_SIZE_MM[1]:
            whole *= _OUTSIDE
        whole /= math.prod(_SECOND_DIAMETER_SPAN * sizes[0] for _ in sizes[1:])
    if flats is not None:
        whole *= any_head_density(sizes[0]) if sizes else 1 / (flats.value_mm * _ANY_SIZE_SPAN)
    if pitch is not None:
        whole *= _any_pitch(pitch, sizes, measured_pitch(readings))
        if readings.pitch_mm is not None and readings.leaf_pitch_mm is not None:
            whole *= 0.5
    return whole


def _any_pitch(pitch_mm: float, sizes_mm: Sequence[float], measured: Reading | None) -> float:
    """Give the density of a measured pitch, or the probability of a leaf, on a thread of no standard."""
    if sizes_mm:
        span = _ANY_RATIO_SPAN
        inside = _ANY_RATIO[0] <= pitch_mm / sizes_mm[0] <= _ANY_RATIO[1]
    else:
        span, inside = _ANY_PITCH_SPAN, True
    density = 1 / (pitch_mm * span)
    if measured is not None:
        off = pitch_mm - nearest_leaf_mm(pitch_mm)
        at_leaf = normal_density(off, measured.u_mm, ONE) / _LEAVES_THAT_SUIT
        return (0.5 * density + 0.5 * at_leaf) * (1.0 if inside else _OUTSIDE)
    seems_to_fit = density * _SEEN_WIDTH_MM / leaf_teeth(pitch_mm)
    return (0.5 * seems_to_fit + 0.5 / _LEAVES_THAT_SUIT) * (1.0 if inside else _OUTSIDE)


def may_be(readings: ThreadReadings, thread: Thread) -> bool:
    """Tell whether a thread is near enough to be weighed at all.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    thread : Thread
        The thread.

    Returns
    -------
    bool
        False where the likelihood is nothing for all purposes.
    """
    leaf, pitch = readings.leaf_pitch_mm, measured_pitch(readings)
    if leaf is not None and abs(leaf / thread.pitch_mm - 1) > LEAF_REACH:
        return False
    if pitch is not None and abs(pitch.value_mm - thread.pitch_mm) > REACH_U * pitch.u_mm:
        return False
    return all(
        abs(reading.value_mm - basic_mm(thread, dimension)) <= reach_mm(thread) + REACH_U * reading.u_mm
        for dimension, reading in measured(readings).items()
        if dimension is not Dimension.FLATS
    )


def basic_mm(thread: Thread, dimension: Dimension) -> float:
    """Give the basic size of a diameter.

    Parameters
    ----------
    thread : Thread
        The thread.
    dimension : Dimension
        Major, pitch or minor diameter.

    Returns
    -------
    float
        Diameter [mm].
    """
    if dimension is Dimension.MAJOR:
        return thread.major_mm
    return thread.minor_internal_mm if dimension is Dimension.MINOR else thread.pitch_diameter_mm


def reach_mm(thread: Thread) -> float:
    """Give how far class, wear, taper and rough work may carry a diameter from its basic size.

    Parameters
    ----------
    thread : Thread
        The thread.

    Returns
    -------
    float
        Distance [mm], beyond which the densities are nothing for all purposes.
    """
    taper = 0.1 * thread.major_mm if thread.taper else 0.0
    return 0.15 + 0.9 * thread.pitch_mm + taper
