"""Which thread a piece in a photo has: its sizes and pitch weighed over all standard threads; what to ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, pi, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.items import Estimate, Sizes, ThreadChance
from runningfit.core.photos.pitch_likelihood import PitchEvidence, PitchLikelihood
from runningfit.core.pieces.identification import ThreadPrior, ThreadReadings, identify_many
from runningfit.core.pieces.identification.identities import geometric_twins, identities
from runningfit.core.pieces.identification.many import FurtherEvidence, IdentifiedMany
from runningfit.core.pieces.identification.next_measurement import next_measurements
from runningfit.core.pieces.identification.posterior import Posterior, Weighed
from runningfit.core.standards import Thread, ThreadSeries
from runningfit.core.units import LengthUnit, NominalLength, neighbours

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Below the first nothing is named, or where turns were counted below the second; from the third on nothing is
# asked.
NAMED_FROM, COUNTED_FROM, SURE_FROM = 0.4, 0.25, 0.9
_MOST_GROUPS, _LEAST_LISTED = 3, 0.02
_NEXT_TO_NONE = 1e-9
# Common practice, no source: so many pieces have a length of the lists, within so much of it [mm], the others
# any; three nuts of four are full ones, of so many diameters, the others of any height.
_LISTED_SHARE, _LISTED_SPREAD_MM, _HAIR_MM = 0.3, 0.3, 1e-3
_FULL_NUT_SHARE, _FULL_NUT, _FULL_NUT_SPREAD, _ANY_NUT = 0.75, 0.85, 0.08, 1.2
# Pitches of threads of no standard, in diameters, weighed at so many places.
_ANY_PITCH, _PLACES = (0.04, 0.35), 400
_METRIC = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})
# A size whose uncertainty is nearly as large as itself says nothing.
_WORST_U = 0.9


@dataclass(frozen=True, slots=True)
class ThreadSeen:
    """What a photo says of one threaded piece.

    Parameters
    ----------
    internal : bool
        Whether it is a nut.
    sizes : Sizes
        What was measured: of a bolt the major diameter, the length and the head; of a nut the hole, the width
        across flats and the thickness.
    pitches : tuple of PitchEvidence
        What is known of the pitch, each independent of the others.
    """

    internal: bool
    sizes: Sizes
    pitches: tuple[PitchEvidence, ...] = ()


@dataclass(frozen=True, slots=True)
class AlikeThreads:
    """Threads that no photo can tell apart, as one.

    Parameters
    ----------
    designations : tuple of str
        Their names, the likeliest first.
    probability : float
        That it is one of them.
    """

    designations: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class NamedThread:
    """Which thread a piece in a photo has.

    Parameters
    ----------
    threads : tuple of ThreadChance
        The likeliest first, twins each with their own share; empty where none can be named.
    alike : tuple of AlikeThreads
        The same by size and pitch, whether named or not.
    none_of_these : float
        Probability that it is a thread of no standard here.
    length : NominalLength or None
        The nearest length of the lists of its system; None where none was measured.
    ask : str
        The one measurement that would settle it; empty where it is settled.
    """

    threads: tuple[ThreadChance, ...]
    alike: tuple[AlikeThreads, ...]
    none_of_these: float
    length: NominalLength | None
    ask: str


def name_threads(seen: Sequence[ThreadSeen], prior: ThreadPrior | None = None) -> tuple[NamedThread, ...]:
    """Name the threads of the pieces in a photo.

    Parameters
    ----------
    seen : sequence of ThreadSeen
        What the photo says of each piece.
    prior : ThreadPrior or None
        What was known before of all of them; none is the default one.

    Returns
    -------
    tuple of NamedThread
        One for each piece, in their order.

    Raises
    ------
    InvalidInput
        A piece has no size that tells of a thread, or a size is not a number above 0.
    """
    if not seen:
        return ()
    readings = [_readings(one) for one in seen]
    found = identify_many(readings, prior, _further(seen, readings))
    return tuple(_named(one, readings[row], found, row) for row, one in enumerate(seen))


def _readings(one: ThreadSeen) -> ThreadReadings:
    """The sizes as readings; what is so vague that it says nothing is left out."""
    sizes = one.sizes
    major = None if one.internal else _said(sizes.major)
    hole = _said(sizes.inside) if one.internal else None
    flats = _said(sizes.head_across_flats)
    if major is None and hole is None and flats is None:
        raise InvalidInput(
            "sizes of a threaded piece",
            needs="a hole or a width across flats" if one.internal else "a major diameter",
            came="neither" if one.internal else "none",
        )
    return ThreadReadings(
        internal=one.internal,
        major_mm=major.value_mm if major else None,
        u_major_mm=major.u_mm if major else None,
        minor_mm=hole.value_mm if hole else None,
        u_minor_mm=hole.u_mm if hole else None,
        across_flats_mm=flats.value_mm if flats else None,
        u_across_flats_mm=flats.u_mm if flats else None,
    )


def _said(size: Estimate | None) -> Estimate | None:
    return None if size is None or size.u_mm >= _WORST_U * size.value_mm else size


def _further(seen: Sequence[ThreadSeen], readings: Sequence[ThreadReadings]) -> FurtherEvidence:
    """What pitch, length and thickness say of each thread, and of one of no standard."""
    import numpy

    known = [one.thread for one in identities()]
    pitches = numpy.array([one.pitch_mm for one in known])
    majors = numpy.array([one.major_mm for one in known])
    metric = numpy.array([one.series in _METRIC for one in known])
    ratios = numpy.geomspace(*_ANY_PITCH, _PLACES)
    on_each = numpy.ones((len(seen), len(known)))
    on_none = numpy.ones(len(seen))
    for row, (one, reading) in enumerate(zip(seen, readings, strict=True)):
        any_pitches = ratios * (reading.size_mm or (reading.across_flats_mm or 0.0) / 1.6)
        any_densities = numpy.ones(_PLACES)
        for evidence in one.pitches:
            on_each[row] *= evidence.density(pitches)
            any_densities *= evidence.density(any_pitches)
        on_none[row] = any_densities.mean()
        if one.sizes.length is not None and not one.internal:
            listed = [_of_lists(one.sizes.length, unit) for unit in (LengthUnit.MM, LengthUnit.INCH)]
            on_each[row] *= numpy.where(metric, *listed)
        if one.sizes.thickness is not None and one.internal:
            on_each[row] *= _of_nut(one.sizes.thickness, majors)
            on_none[row] *= 1 / (_ANY_NUT * (reading.size_mm or any_pitches[-1] / ratios[-1]))
    return FurtherEvidence(on_each, on_none)


def _of_lists(length: Estimate, unit: LengthUnit) -> float:
    """How much likelier a length is where lengths go by the lists of a system than where they are any."""
    # A hair more, so that a length of the lists has a neighbour on either side as any other has.
    near = neighbours(length.value_mm + _HAIR_MM, unit)
    if near.below is None or near.above is None:
        return 1.0
    wide = near.above.mm - near.below.mm
    off = min(near.below.deviation_mm, -near.above.deviation_mm)
    spread = hypot(length.u_mm, _LISTED_SPREAD_MM)
    listed = wide / (spread * sqrt(2 * pi)) * exp(-0.5 * (off / spread) ** 2)
    return 1 - _LISTED_SHARE + _LISTED_SHARE * listed


def _of_nut(thickness: Estimate, majors: Array) -> Array:
    """The density of the thickness of a nut on threads of some diameters [1/mm]."""
    import numpy

    spread = numpy.hypot(_FULL_NUT_SPREAD * majors, thickness.u_mm)
    off = (thickness.value_mm - _FULL_NUT * majors) / spread
    full = numpy.exp(-0.5 * off**2) / (spread * sqrt(2 * pi))
    return numpy.asarray(_FULL_NUT_SHARE * full + (1 - _FULL_NUT_SHARE) / (_ANY_NUT * majors))


def _named(one: ThreadSeen, readings: ThreadReadings, found: IdentifiedMany, row: int) -> NamedThread:
    none = float(found.none_of_these[row])
    known = identities()
    weighed = [
        Weighed(known[place], chance)
        for place, chance in zip(found.places[row].tolist(), found.probabilities[row].tolist(), strict=True)
        if chance > _NEXT_TO_NONE
    ]
    groups = _grouped(weighed)
    alike = tuple(
        AlikeThreads(
            tuple(each.identity.thread.designation for each in group if each.probability >= _share_of(group)),
            sum(each.probability for each in group),
        )
        for group in groups[:_MOST_GROUPS]
    )
    posterior = Posterior(tuple(weighed), none, float(found.evidence[row]))
    counted = any(isinstance(evidence, PitchLikelihood) and evidence.peaks for evidence in one.pitches)
    if not alike or alike[0].probability < (COUNTED_FROM if counted else NAMED_FROM):
        return NamedThread((), alike, none, None, _ask(readings, posterior))
    listed = sorted(
        (
            ThreadChance(each.identity.thread.designation, each.probability)
            for group, shown in zip(groups, alike, strict=False)
            for each in group
            if each.identity.thread.designation in shown.designations
            and (each.probability >= _LEAST_LISTED or group is groups[0])
        ),
        key=lambda chance: -chance.probability,
    )
    sure = max(each.probability for each in weighed) >= SURE_FROM
    leader = groups[0][0].identity.thread
    return NamedThread(
        tuple(listed),
        alike,
        none,
        _length(one, leader),
        "" if sure else _ask(readings, posterior),
    )


def _share_of(group: Sequence[Weighed]) -> float:
    """What a twin must have of its group to be shown."""
    return _LEAST_LISTED * sum(each.probability for each in group)


def _grouped(weighed: Sequence[Weighed]) -> list[list[Weighed]]:
    """Threads that no photo can tell apart together, the likeliest group first."""
    groups: list[list[Weighed]] = []
    for one in weighed:
        for group in groups:
            if geometric_twins(group[0].identity.thread, one.identity.thread):
                group.append(one)
                break
        else:
            groups.append([one])
    return sorted(groups, key=lambda group: -sum(each.probability for each in group))


def _ask(readings: ThreadReadings, posterior: Posterior) -> str:
    following = next_measurements(readings, posterior)
    if not following:
        return "Measure the diameter with a caliper and try a pitch gauge: no standard thread is near."
    said = following[0].said
    return f"{said[0].upper()}{said[1:]}."


def _length(one: ThreadSeen, leader: Thread) -> NominalLength | None:
    length = one.sizes.length
    if length is None or one.internal:
        return None
    unit = LengthUnit.MM if leader.series in _METRIC else LengthUnit.INCH
    near = neighbours(length.value_mm, unit)
    both = [each for each in (near.below, near.above) if each is not None]
    return min(both, key=lambda each: abs(each.deviation_mm)) if both else None
