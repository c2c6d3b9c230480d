"""What to measure next: each possible measurement, the bits it is expected to tell, what to look for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.pieces.identification.arithmetic import ONE
from runningfit.core.pieces.identification.bands import FORM_ANGLE_DEG
from runningfit.core.pieces.identification.information import (
    Possible,
    bits_of_dimension,
    bits_of_outcomes,
    bits_of_pitch,
)
from runningfit.core.pieces.identification.likelihood import (
    TAPER_SEEN,
    Dimension,
    Reading,
    band_of,
    measured,
    measured_pitch,
)
from runningfit.core.pieces.identification.pitches import (
    LEAVES_MM,
    LEAVES_TPI,
    OTHER_SYSTEM,
    angle_gauge_fits,
    leaf_fits,
    leaf_teeth,
    possible_angles_deg,
)
from runningfit.core.pieces.identification.posterior import Posterior
from runningfit.core.pieces.identification.readings import (
    GAUGE_ANGLES_DEG,
    SHARED_U_FLATS_MM,
    SHARED_U_PITCH_MM,
    USUAL_U_FLATS_MM,
    ThreadReadings,
)
from runningfit.core.standards import Thread
from runningfit.core.units import MM_PER_INCH

# Common practice, no source: what each instrument is good for, a standard uncertainty [mm].
TEN_TURNS_U_MM = 0.05 / 10
MICROMETER_U_MM = 0.006
BORE_U_MM = 0.02
WIRES_U_MM = 0.01
# What is less probable than this, or not among the first so many, changes no advice.
_LEAST_LOOKED_AT = 0.002
_MOST_LOOKED_AT = 7
_RING_RIGHT = 0.97
_RING_ROOM_MM = 0.03
_RING_SLIP_MM = 0.05
# A difference in bits that is less than the trouble of fetching another gauge.
_AS_GOOD_BITS = 0.02


class Means(StrEnum):
    """What can be done next, the least trouble first."""

    LEAF = "pitch gauge"
    ANGLE_55 = "55 degree gauge"
    ANGLE_60 = "60 degree gauge"
    ANGLE_47_5 = "47.5 degree gauge"
    TAPER = "diameter at both ends"
    TEN_TURNS = "pitch over ten turns"
    MAJOR = "major diameter with a micrometer"
    MINOR = "minor diameter"
    FLATS = "width across flats"
    RING = "GO gauge or a good mate"
    WIRES = "pitch diameter over wires"


_ANGLES = {47.5: Means.ANGLE_47_5, 55.0: Means.ANGLE_55, 60.0: Means.ANGLE_60}


@dataclass(frozen=True, slots=True)
class NextMeasurement:
    """A measurement that could be made next.

    Parameters
    ----------
    means : Means
        What to do.
    bits : float
        Information that it is expected to give on which thread it is [bit].
    said : str
        The same in words, with what to look for.
    """

    means: Means
    bits: float
    said: str


def possibilities(found: Posterior) -> tuple[Possible, ...]:
    """Give what the piece may still be, as far as it changes any advice.

    Parameters
    ----------
    found : Posterior
        What the readings leave.

    Returns
    -------
    tuple of Possible
        The most probable first, a thread of no standard last.
    """
    kept = [
        Possible(one.identity.thread, one.probability)
        for one in found.weighed[:_MOST_LOOKED_AT]
        if one.probability >= _LEAST_LOOKED_AT
    ]
    whole = sum(one.probability for one in kept) + found.none_of_these
    return (
        *(Possible(one.thread, one.probability / whole) for one in kept),
        Possible(None, found.none_of_these / whole),
    )


def uncertainty_bits(possible: Sequence[Possible]) -> float:
    """Give how much is not known yet of which thread it is.

    Parameters
    ----------
    possible : sequence of Possible
        What the piece may be.

    Returns
    -------
    float
        Entropy [bit].
    """
    return -sum(one.probability * math.log2(one.probability) for one in possible if one.probability)


def next_measurements(readings: ThreadReadings, found: Posterior) -> tuple[NextMeasurement, ...]:
    """Weigh every measurement that was not made yet.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    found : Posterior
        What that leaves.

    Returns
    -------
    tuple of NextMeasurement
        The most telling first; of those that tell about as much, the one with the least trouble.
    """
    possible = possibilities(found)
    if len(possible) < 2:
        return ()
    made = [NextMeasurement(means, bits, says(possible)) for means, bits, says in _each(readings, possible)]
    order = list(Means)
    most = max(one.bits for one in made)
    return tuple(
        sorted(
            made,
            key=lambda one: (
                order.index(one.means) if one.bits > most - _AS_GOOD_BITS else len(order),
                -one.bits,
            ),
        )
    )


_Says = Callable[[Sequence[Possible]], str]


def _each(readings: ThreadReadings, possible: Sequence[Possible]) -> Iterator[tuple[Means, float, _Says]]:
    internal, size = readings.internal, readings.size_mm
    known, pitch = measured(readings), measured_pitch(readings)
    if readings.leaf_pitch_mm is None:
        chances = [_leaf_chances(one.thread, size) for one in possible]
        yield Means.LEAF, bits_of_outcomes(possible, chances), _leaf_said
    for angle in GAUGE_ANGLES_DEG:
        if angle not in {gauge.angle_deg for gauge in readings.angle_gauges}:
            fits = [_angle_chance(one.thread, angle) for one in possible]
            yield _ANGLES[angle], _bits_of_two(possible, fits), _angle_said(angle)
    if readings.tapers is None:
        tapers = [_taper_chance(one.thread) for one in possible]
        yield Means.TAPER, _bits_of_two(possible, tapers), _taper_said
    if pitch is None or pitch.u_mm > 2 * TEN_TURNS_U_MM:
        u = math.hypot(TEN_TURNS_U_MM, SHARED_U_PITCH_MM)
        yield Means.TEN_TURNS, bits_of_pitch(possible, u, pitch), _turns_said
    for means, dimension, u in _dimensions(readings, known):
        bits = bits_of_dimension(
            possible, dimension, u, internal=internal, known=known.get(dimension), size_mm=size
        )
        yield means, bits, _dimension_said(dimension, internal=internal)
    leader = possible[0].thread
    if leader is not None:
        goes = [_ring_chance(leader, one.thread) for one in possible]
        yield Means.RING, _bits_of_two(possible, goes), _ring_said(internal=internal)


def _dimensions(
    readings: ThreadReadings, known: dict[Dimension, Reading]
) -> Iterator[tuple[Means, Dimension, float]]:
    """Yield the dimensions that can be measured on such a piece and are not known well enough yet."""
    major = known.get(Dimension.MAJOR)
    if not readings.internal and (major is None or major.u_mm > 2 * MICROMETER_U_MM):
        yield Means.MAJOR, Dimension.MAJOR, MICROMETER_U_MM
    if readings.internal and Dimension.MINOR not in known:
        yield Means.MINOR, Dimension.MINOR, BORE_U_MM
    if Dimension.FLATS not in known:
        yield Means.FLATS, Dimension.FLATS, math.hypot(USUAL_U_FLATS_MM, SHARED_U_FLATS_MM)
    if not readings.internal and Dimension.PITCH_DIAMETER not in known:
        yield Means.WIRES, Dimension.PITCH_DIAMETER, WIRES_U_MM


def _bits_of_two(possible: Sequence[Possible], yes: Sequence[float]) -> float:
    return bits_of_outcomes(possible, [(chance, 1 - chance) for chance in yes])


def _leaf_chances(thread: Thread | None, size_mm: float | None) -> list[float]:
    """Give the probability of each leaf, inch and metric, and of none that seems to fit."""
    leaves = [MM_PER_INCH / tpi for tpi in LEAVES_TPI] + list(LEAVES_MM)
    if thread is None:
        suit = [size_mm is None or 0.05 < leaf / size_mm < 0.3 for leaf in leaves]
        share = 0.5 / max(sum(suit), 1)
        return [share if one else 0.0 for one in suit] + [1 - share * sum(suit)]
    inch = thread.tpi is not None
    fits = [
        leaf_fits(leaf, thread.pitch_mm, leaf_teeth(leaf), ONE)
        * (1.0 if inch is (at < len(LEAVES_TPI)) else OTHER_SYSTEM)
        for at, leaf in enumerate(leaves)
    ]
    best, whole = min(max(fits), 1.0), sum(fits)
    return [best * one / whole for one in fits] + [1 - best]


def _angle_chance(thread: Thread | None, angle_deg: float) -> float:
    if thread is None:
        return 0.5
    angles = possible_angles_deg(thread)
    return sum(angle_gauge_fits(angle_deg, angle, thread.pitch_mm) for angle in angles) / len(angles)


def _taper_chance(thread: Thread | None) -> float:
    if thread is None:
        return 0.1
    return TAPER_SEEN if thread.taper else 1 - TAPER_SEEN


def _ring_chance(ring: Thread, thread: Thread | None) -> float:
    """Give the probability that a GO gauge of one thread goes onto another."""
    if thread is None:
        return 0.1
    along = leaf_fits(ring.pitch_mm, thread.pitch_mm, leaf_teeth(ring.pitch_mm), ONE)
    over = max(thread.pitch_diameter_mm - ring.pitch_diameter_mm - _RING_ROOM_MM, 0.0) / _RING_SLIP_MM
    return _RING_RIGHT * along * math.exp(-0.5 * over * over)


def _rival(possible: Sequence[Possible], differs: Callable[[Thread, Thread], bool]) -> Thread | None:
    """Give the most probable thread that the measurement tells from the leader."""
    leader = possible[0].thread
    if leader is None:
        return None
    rest = (one.thread for one in possible[1:] if one.thread is not None)
    return next((thread for thread in rest if differs(leader, thread)), None)


def _pitches_differ(one: Thread, other: Thread) -> bool:
    return abs(one.pitch_mm - other.pitch_mm) > 0.01


def _pitch_name(thread: Thread) -> str:
    return f"{thread.tpi:g} tpi" if thread.tpi is not None else f"{thread.pitch_mm:g} mm"


def _leaf_said(possible: Sequence[Possible]) -> str:
    leader, rival = possible[0].thread, _rival(possible, _pitches_differ)
    if leader is None or rival is None:
        return "a pitch gauge"
    return (
        f"a pitch gauge: {_pitch_name(leader)} is {leader.designation}, "
        f"{_pitch_name(rival)} {rival.designation}"
    )


def _turns_said(possible: Sequence[Possible]) -> str:
    leader, rival = possible[0].thread, _rival(possible, _pitches_differ)
    told = "the pitch over ten turns to 0.05 mm"
    if leader is None or rival is None:
        return told
    return (
        f"{told}: {10 * leader.pitch_mm:.2f} mm is {leader.designation}, "
        f"{10 * rival.pitch_mm:.2f} mm {rival.designation}"
    )


def _angle_said(angle_deg: float) -> _Says:
    def said(possible: Sequence[Possible]) -> str:
        leader = possible[0].thread
        rival = _rival(
            possible,
            lambda one, other: (
                (FORM_ANGLE_DEG[one.form] == angle_deg) is not (FORM_ANGLE_DEG[other.form] == angle_deg)
            ),
        )
        told = f"a {angle_deg:g} degree gauge"
        if leader is None or rival is None:
            return told
        fits, fails = (leader, rival) if FORM_ANGLE_DEG[leader.form] == angle_deg else (rival, leader)
        return f"{told}: fits {fits.designation}, not {fails.designation}"

    return said


def _taper_said(possible: Sequence[Possible]) -> str:
    leader = possible[0].thread
    rival = _rival(possible, lambda one, other: one.taper is not other.taper)
    told = "the diameter at both ends of the thread"
    if leader is None or rival is None:
        return told
    tapered, parallel = (leader, rival) if leader.taper else (rival, leader)
    return f"{told}: {tapered.designation} tapers by 1 in 16, {parallel.designation} does not"


def _dimension_said(dimension: Dimension, *, internal: bool) -> _Says:
    def said(possible: Sequence[Possible]) -> str:
        leader = possible[0].thread
        told = f"the {dimension.value}" + {
            Dimension.MAJOR: " with a micrometer",
            Dimension.PITCH_DIAMETER: " over wires",
        }.get(dimension, "")
        if leader is None:
            return told
        rival = _rival(possible, lambda one, other: _usual(other) != _usual(one))
        ways = [
            f"{thread.designation} has {_usual(thread)}" for thread in (leader, rival) if thread is not None
        ]
        return f"{told}: {', '.join(ways)}"

    def _usual(thread: Thread) -> str:
        limits = max(band_of(thread, dimension, internal=internal).limits_mm, key=lambda one: one[2])
        return f"{limits[0]:.2f} to {limits[1]:.2f} mm"

    return said


def _ring_said(*, internal: bool) -> _Says:
    def said(possible: Sequence[Possible]) -> str:
        leader = possible[0].thread
        if leader is None:
            return "a GO gauge"
        rival = _rival(possible, lambda one, other: _ring_chance(one, other) < 0.5)
        gauge, mate = ("plug", "bolt") if internal else ("ring", "nut")
        told = f"a GO {gauge} of {leader.designation}, or a good {mate} of it: goes for eight turns"
        return told if rival is None else f"{told}, not on {rival.designation}"

    return said
