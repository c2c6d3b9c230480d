"""A whole sheet of readings identified at once, thread by thread over columns of readings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.pieces.identification.arithmetic import Arithmetic, Columns
from runningfit.core.pieces.identification.densities import band_density, normal_density
from runningfit.core.pieces.identification.identities import identities
from runningfit.core.pieces.identification.likelihood import (
    LEAF_REACH,
    REACH_U,
    Dimension,
    band_of,
    basic_mm,
    measured,
    measured_pitch,
    none_likelihood,
    reach_mm,
    seen_likelihood,
)
from runningfit.core.pieces.identification.pitches import leaf_fits, leaf_teeth
from runningfit.core.pieces.identification.prior import ThreadPrior
from runningfit.core.pieces.identification.readings import ThreadReadings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

MOST_KEPT = 12
_ROWS_AT_ONCE = 4000


@dataclass(frozen=True, slots=True)
class IdentifiedMany:
    """Candidates of many readings, row by row in the order in which they were given.

    Parameters
    ----------
    places : array of int, rows x 12
        Which of `identities()` each candidate is, the most probable first.
    probabilities : array of float, rows x 12
        Its probability; 0 where there are fewer candidates.
    none_of_these : array of float, rows
        Probability of a thread of no standard here. What a row lacks to 1 lies with less probable threads.
    evidence : array of float, rows
        Density of the readings before it was known which thread it is.
    """

    places: NDArray[np.intp]
    probabilities: Column
    none_of_these: Column
    evidence: Column

    def candidates(self, row: int, *, least_probability: float = 0.0005) -> tuple[tuple[str, float], ...]:
        """Give the candidates of one row.

        Parameters
        ----------
        row : int
            Number of the row, from 0.
        least_probability : float
            Probability below which a candidate is left out.

        Returns
        -------
        tuple of (str, float)
            Designation and probability, the most probable first.
        """
        known = identities()
        pairs = zip(self.places[row].tolist(), self.probabilities[row].tolist(), strict=True)
        return tuple(
            (known[place].thread.designation, probability)
            for place, probability in pairs
            if probability >= least_probability and probability > 0
        )


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Readings of one pattern, what was measured being the same for all, as columns."""

    pattern: ThreadReadings
    dimensions: Mapping[Dimension, tuple[Column, Column]]
    pitch: tuple[Column, Column] | None
    leaf: tuple[Column, Column] | None


@dataclass(frozen=True, slots=True)
class FurtherEvidence:
    """Evidence besides the readings, such as what a photo says of a pitch, row by row.

    Parameters
    ----------
    on_each : array of float, rows x identities
        How probable it is on each of `identities()`.
    on_none : array of float, rows
        How probable it is on a thread of no standard.
    """

    on_each: Column
    on_none: Column


def identify_many(
    readings: Sequence[ThreadReadings],
    prior: ThreadPrior | None = None,
    further: FurtherEvidence | None = None,
) -> IdentifiedMany:
    """Weigh every standard thread for many readings.

    Parameters
    ----------
    readings : sequence of ThreadReadings
        What was measured, thread by thread.
    prior : ThreadPrior or None
        What was known before of all of them; none is the default one.
    further : FurtherEvidence or None
        What else speaks for or against each thread, independent of the readings.

    Returns
    -------
    IdentifiedMany
        As many rows as there are readings, in their order; the same figures that `identify` gives.
    """
    import numpy

    known = prior or ThreadPrior()
    weights = known.weights()
    before = [sum(weights[name] for name in identity.names) for identity in identities()]
    rows = len(readings)
    kept = min(MOST_KEPT, len(before))
    places = numpy.zeros((rows, kept), dtype=numpy.intp)
    probabilities = numpy.zeros((rows, kept))
    nones = numpy.ones(rows)
    evidences = numpy.zeros(rows)
    columns = Columns()
    for numbers in _alike(readings):
        sheet = _sheet([readings[number] for number in numbers])
        joint = _joint(sheet, before, len(numbers), columns)
        none = known.none_of_these * numpy.array([none_likelihood(readings[number]) for number in numbers])
        if further is not None:
            joint *= further.on_each[numbers]
            none *= further.on_none[numbers]
        evidence = joint.sum(axis=1) + none
        evidences[numbers] = evidence
        possible = evidence > 0
        scale = numpy.where(possible, evidence, 1.0)
        joint /= scale[:, None]
        best = numpy.argsort(-joint, axis=1, kind="stable")[:, :kept]
        places[numbers] = best
        probabilities[numbers] = numpy.take_along_axis(joint, best, axis=1)
        nones[numbers] = numpy.where(possible, none / scale, 1.0)
    return IdentifiedMany(places, probabilities, nones, evidences)


def _alike(readings: Sequence[ThreadReadings]) -> Iterator[list[int]]:
    """Yield the numbers of readings of one pattern, so many at once that memory stays small."""
    patterns: dict[tuple[object, ...], list[int]] = {}
    for number, one in enumerate(readings):
        key = (
            one.internal,
            one.angle_gauges,
            one.tapers,
            one.pitch_mm is None,
            one.leaf_tpi is None,
            one.leaf_mm is None,
            one.major_mm is None,
            one.minor_mm is None,
            one.pitch_diameter_mm is None,
            one.across_flats_mm is None,
        )
        patterns.setdefault(key, []).append(number)
    for numbers in patterns.values():
        for start in range(0, len(numbers), _ROWS_AT_ONCE):
            yield numbers[start : start + _ROWS_AT_ONCE]


def _sheet(readings: Sequence[ThreadReadings]) -> _Sheet:
    import numpy

    values = [measured(one) for one in readings]
    dimensions = {
        dimension: (
            numpy.array([value[dimension].value_mm for value in values]),
            numpy.array([value[dimension].u_mm for value in values]),
        )
        for dimension in values[0]
    }
    pitches = [found for one in readings if (found := measured_pitch(one)) is not None]
    leaves = [leaf for one in readings if (leaf := one.leaf_pitch_mm) is not None]
    return _Sheet(
        readings[0],
        dimensions,
        (numpy.array([one.value_mm for one in pitches]), numpy.array([one.u_mm for one in pitches]))
        if pitches
        else None,
        (numpy.array(leaves), numpy.array([leaf_teeth(leaf) for leaf in leaves])) if leaves else None,
    )


def _joint(sheet: _Sheet, before: Sequence[float], rows: int, columns: Arithmetic[Column]) -> Column:
    """Give prior times likelihood, rows x identities; each identity looks only at the rows near it."""
    import numpy

    joint = numpy.zeros((rows, len(before)))
    for place, identity in enumerate(identities()):
        thread = identity.thread
        if not before[place]:
            continue
        near = numpy.ones(rows, dtype=bool)
        if sheet.leaf is not None:
            near &= abs(sheet.leaf[0] / thread.pitch_mm - 1) <= LEAF_REACH
        if sheet.pitch is not None:
            near &= abs(sheet.pitch[0] - thread.pitch_mm) <= REACH_U * sheet.pitch[1]
        for dimension, (value, u) in sheet.dimensions.items():
            if dimension is not Dimension.FLATS:
                near &= abs(value - basic_mm(thread, dimension)) <= reach_mm(thread) + REACH_U * u
        (at,) = near.nonzero()
        if not at.size:
            continue
        whole = numpy.full(at.size, before[place] * seen_likelihood(sheet.pattern, thread))
        if sheet.leaf is not None:
            whole *= leaf_fits(sheet.leaf[0][at], thread.pitch_mm, sheet.leaf[1][at], columns)
        if sheet.pitch is not None:
            whole *= normal_density(sheet.pitch[0][at] - thread.pitch_mm, sheet.pitch[1][at], columns)
        for dimension, (value, u) in sheet.dimensions.items():
            made = band_of(thread, dimension, internal=sheet.pattern.internal)
            whole *= band_density(value[at], u[at], made, columns)
        joint[at, place] = whole
    return joint
