"""How many bits a further measurement is expected to tell, over what is still possible."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from runningfit.core.pieces.identification.arithmetic import ONE
from runningfit.core.pieces.identification.densities import band_density, normal_density
from runningfit.core.pieces.identification.heads import any_head_range_mm
from runningfit.core.pieces.identification.likelihood import Dimension, Reading, band_of, reach_mm
from runningfit.core.standards import Thread

# So many places in each band are enough: more change the bits by less than a hundredth.
_PLACES_A_BAND = 14
_PLACES_AGAIN = 33
_NORMAL_PLACES = tuple(-3.0 + 0.5 * step for step in range(13))
_SMALLEST_MM, _LARGEST_MM = 0.5, 160.0


@dataclass(frozen=True, slots=True)
class Possible:
    """One thing that the piece may still be.

    Parameters
    ----------
    thread : Thread or None
        A standard thread; none for a thread of no standard here.
    probability : float
        0 to 1; those of all that is looked at come to 1.
    """

    thread: Thread | None
    probability: float


Density = Callable[[float], float]


def bits_of_outcomes(possible: Sequence[Possible], chances: Sequence[Sequence[float]]) -> float:
    """Give the expected information of a look with a few outcomes.

    Parameters
    ----------
    possible : sequence of Possible
        What the piece may be.
    chances : sequence of sequence of float
        For each of them, the probability of each outcome.

    Returns
    -------
    float
        Mutual information [bit].
    """
    whole = 0.0
    for outcome in range(len(chances[0])):
        mixed = sum(one.probability * chance[outcome] for one, chance in zip(possible, chances, strict=True))
        for one, chance in zip(possible, chances, strict=True):
            if one.probability and chance[outcome]:
                whole += one.probability * chance[outcome] * math.log2(chance[outcome] / mixed)
    return max(whole, 0.0)


def _bits_of_densities(
    possible: Sequence[Possible], densities: Sequence[Density], places: Sequence[Sequence[float]]
) -> float:
    """Integrate log2 of each density over the mixture, each over its own places."""
    whole = 0.0
    for number, one in enumerate(possible):
        if not one.probability:
            continue
        own = [densities[number](x) for x in places[number]]
        total = sum(own)
        if not total:
            continue
        for x, density in zip(places[number], own, strict=True):
            if density:
                mixed = sum(
                    other.probability * (density if at == number else densities[at](x))
                    for at, other in enumerate(possible)
                )
                whole += one.probability * density / total * math.log2(density / mixed)
    return max(whole, 0.0)


def _even(low: float, high: float, count: int) -> tuple[float, ...]:
    step = (high - low) / count
    return tuple(low + (at + 0.5) * step for at in range(count))


def _flat(low: float, high: float) -> Density:
    return lambda x: 1 / (high - low) if low <= x <= high else 0.0


def bits_of_pitch(possible: Sequence[Possible], u_mm: float, known: Reading | None) -> float:
    """Give the expected information of measuring the pitch.

    Parameters
    ----------
    possible : sequence of Possible
        What the piece may be.
    u_mm : float
        Standard uncertainty of the new reading [mm].
    known : Reading or None
        The pitch as it was measured before.

    Returns
    -------
    float
        Mutual information [bit].
    """
    densities: list[Density] = []
    places: list[Sequence[float]] = []
    for one in possible:
        if one.thread is not None:
            pitch, spread = one.thread.pitch_mm, u_mm
        elif known is not None:
            pitch, spread = known.value_mm, math.hypot(u_mm, known.u_mm)
        else:
            densities.append(_flat(0.2, 6.2))
            places.append(_even(0.2, 6.2, 60))
            continue
        densities.append(lambda x, at=pitch, u=spread: normal_density(x - at, u, ONE))  # type: ignore[misc]
        places.append(tuple(pitch + z * spread for z in _NORMAL_PLACES))
    return _bits_of_densities(possible, densities, places)


def bits_of_dimension(
    possible: Sequence[Possible],
    dimension: Dimension,
    new_u_mm: float,
    *,
    internal: bool,
    known: Reading | None,
    size_mm: float | None,
) -> float:
    """Give the expected information of measuring a diameter or the width across flats, or of doing it again.

    Parameters
    ----------
    possible : sequence of Possible
        What the piece may be.
    dimension : Dimension
        What is to be measured.
    new_u_mm : float
        Standard uncertainty of the new reading [mm].
    internal : bool
        Whether of a nut or hole.
    known : Reading or None
        The same dimension as it was measured before.
    size_mm : float or None
        Some diameter of the piece [mm].

    Returns
    -------
    float
        Mutual information [bit].
    """
    if known is not None:
        return _bits_again(possible, dimension, new_u_mm, internal=internal, known=known)
    densities: list[Density] = []
    places: list[Sequence[float]] = []
    for one in possible:
        if one.thread is None:
            low, high = _any_range_mm(dimension, size_mm)
            densities.append(_flat(low, high))
            places.append(_even(low, high, 3 * _PLACES_A_BAND))
            continue
        made = band_of(one.thread, dimension, internal=internal)
        reach = 0.3 * reach_mm(one.thread)
        low = min(limits[0] for limits in made.limits_mm) - (reach if made.wears_down else 3 * new_u_mm)
        high = max(limits[1] for limits in made.limits_mm) + (3 * new_u_mm if made.wears_down else reach)

        def density(x: float, at: float = low, to: float = high, thread: Thread = one.thread) -> float:
            if not at - 0.2 <= x <= to + 0.2:
                return 0.0
            return band_density(x, new_u_mm, band_of(thread, dimension, internal=internal), ONE)

        densities.append(density)
        places.append(_even(low, high, _PLACES_A_BAND))
    return _bits_of_densities(possible, densities, places)


def _bits_again(
    possible: Sequence[Possible], dimension: Dimension, new_u_mm: float, *, internal: bool, known: Reading
) -> float:
    """Measure the same dimension of the same piece again: two readings together are one better one."""
    apart = math.hypot(known.u_mm, new_u_mm)
    old, new = 1 / known.u_mm**2, 1 / new_u_mm**2
    both = 1 / math.sqrt(old + new)
    places = _even(known.value_mm - 3.5 * apart, known.value_mm + 3.5 * apart, _PLACES_AGAIN)
    table: list[list[float]] = []
    for one in possible:
        row = []
        for x in places:
            density = normal_density(x - known.value_mm, apart, ONE)
            if one.thread is not None:
                mean = (known.value_mm * old + x * new) / (old + new)
                made = band_of(one.thread, dimension, internal=internal)
                density *= band_density(mean, both, made, ONE)
            row.append(density)
        total = sum(row) or 1.0
        table.append([density / total for density in row])
    return bits_of_outcomes(possible, table)


def _any_range_mm(dimension: Dimension, size_mm: float | None) -> tuple[float, float]:
    if size_mm is None:
        return _SMALLEST_MM, _LARGEST_MM
    if dimension is Dimension.FLATS:
        return any_head_range_mm(size_mm)
    return 0.65 * size_mm, 1.35 * size_mm
