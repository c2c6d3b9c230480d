"""From readings to sizes that can be judged: without the gauge's error, at 20 °C, and how sure each is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot, sqrt

from django.utils import timezone

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.expansion import read_expansion
from runningfit.core.measurements.sheets.features import Quantity
from runningfit.core.measurements.uncertainty.inputs import Part, effective_dof
from runningfit.core.measurements.uncertainty.instrument import scatter_beside_steps
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.shared import SharedPart, u_of_sum
from runningfit.core.verdicts import Caution
from runningfit.workshop.measurements.gauge_states import Cupboard, metal_of
from runningfit.workshop.measurements.models import Feature, FeatureSet, Reading
from runningfit.workshop.measurements.queries import SetState, set_states, sets_of_job
from runningfit.workshop.measurements.warmth import BENCH_K, Metal, Warmth, warmth
from runningfit.workshop.records.models import Job

_AS_READ = Warmth(1.0, ())
# What a tester, balance or burette that nobody named may err by: common practice, no source.
UNKNOWN_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class CorrectedPoint:
    """One point as the core wants it.

    Parameters
    ----------
    value : float
        The mean of its readings, without what the gauge reads too much, at 20 °C [mm, ml, g or N].
    own_u : float
        What is unsure of this point alone: scatter and steps, in the same unit.
    own_dof : float
        The degrees of freedom of that [-].
    shared : tuple of SharedPart
        What it shares with other points, of this set and of others.
    count : int
        How many readings were averaged.
    even : float
        Half of the step of its gauge, within which it lies evenly; ``own_u`` holds its share of it. Nothing
        where readings of several gauges were averaged.
    """

    value: float
    own_u: float
    own_dof: float
    shared: tuple[SharedPart, ...]
    count: int
    even: float = 0.0

    @property
    def shared_u(self) -> float:
        """The standard uncertainty that it shares with others."""
        return u_of_sum([(1.0, self.shared)])

    @property
    def own(self) -> Measured:
        """The value with what is its own alone."""
        return Measured(self.value, self.own_u, self.own_dof)

    @property
    def whole(self) -> Measured:
        """The value with the whole of its uncertainty."""
        shared = self.shared_u
        parts = (Part(self.own_u, self.own_dof), Part(shared))
        return Measured(self.value, sqrt(self.own_u**2 + shared**2), effective_dof(parts))


@dataclass(frozen=True, slots=True)
class CorrectedFeature:
    """A feature with those of its points that were read, by the points' keys, in the order of reading."""

    feature: Feature
    points: dict[str, CorrectedPoint]


@dataclass(frozen=True, slots=True)
class CorrectedSet:
    """A set with its corrected points, and what to mind of its gauges and temperatures, each said once."""

    state: SetState
    features: tuple[CorrectedFeature, ...]
    cautions: tuple[Caution, ...]

    @property
    def feature_set(self) -> FeatureSet:
        """The set itself."""
        return self.state.feature_set


def corrected_of_job(job: Job, round: int = 0) -> list[CorrectedSet]:
    """Return all sets of a job's sheet with corrected points, in six questions to the database."""
    return corrected(set_states(sets_of_job(job), round), Cupboard.of_the_shop())


def corrected(states: Sequence[SetState], cupboard: Cupboard) -> list[CorrectedSet]:
    """Return sets with corrected points.

    Parameters
    ----------
    states : sequence of SetState
        With their readings.
    cupboard : Cupboard
        The gauges, read once for all sets: what two sets share is known by its key.
    """
    return [_SetAtWork(state, cupboard).corrected() for state in states]


def cautions_of(sets: Iterable[CorrectedSet]) -> tuple[Caution, ...]:
    """Return what to mind of several sets, each sentence once."""
    return tuple(dict.fromkeys(caution for one in sets for caution in one.cautions))


@dataclass(frozen=True, slots=True)
class _Source:
    """Everything that readings of one gauge on one day at one temperature have in common."""

    error: float
    factor: float
    own_u: float
    own_dof: float
    scatter_known: bool
    step_u: float
    shared: tuple[SharedPart, ...]


_Key = tuple[int | None, dt.date, float | None, bool, int, float | None]


class _SetAtWork:
    """One set being corrected: what its readings have in common is worked out once for each gauge and day."""

    def __init__(self, state: SetState, cupboard: Cupboard) -> None:
        self._state, self._cupboard = state, cupboard
        self._set = state.feature_set
        self._zone = timezone.get_current_timezone()
        self._sources: dict[_Key, _Source] = {}
        self._last_day: dict[int | None, dt.date] = {}
        kind = state.kind
        self._metal: Metal | None = None
        self._metal_wrong = ""
        if kind.quantity is Quantity.LENGTH and not kind.may_be_nothing:
            metal, self._metal_wrong = _metal_of(self._set.material)
            # Two castings of one name are still two metals: each set errs by itself.
            self._metal = replace(metal, key=f"of set {self._set.pk}")
        self._no_temperature = False
        self._seen = _scatter_seen(state)

    def corrected(self) -> CorrectedSet:
        features = tuple(
            CorrectedFeature(
                one.feature,
                {key: self._point(standing.rows) for key, standing in one.points.items() if standing.rows},
            )
            for one in self._state.features
        )
        return CorrectedSet(self._state, features, self._cautions())

    def _point(self, rows: Sequence[Reading]) -> CorrectedPoint:
        if len(rows) == 1:
            row = rows[0]
            source = self._source(row, 1)
            assert row.value is not None
            value = (row.value - source.error) * source.factor
            own = self._own_of(source, row, 1, 1.0)
            return CorrectedPoint(value, own.u, own.dof, source.shared, 1, source.step_u * sqrt(3))
        return self._mean(rows)

    def _mean(self, rows: Sequence[Reading]) -> CorrectedPoint:
        """Average readings of one point; those of another gauge or day err otherwise."""
        kinds: dict[tuple[object, ...], list[Reading]] = {}
        for row in rows:
            kinds.setdefault((row.instrument_id, row.at.date(), row.temperature_c), []).append(row)
        parts, shared, values = [], dict[str, float](), []
        for alike in kinds.values():
            source = self._source(alike[0], len(alike))
            share = len(alike) / len(rows)
            values += [((row.value or 0.0) - source.error) * source.factor for row in alike]
            parts.append(self._own_of(source, alike[0], len(alike), share))
            for part in source.shared:
                shared[part.key] = shared.get(part.key, 0.0) + share * part.u
        own_u = sqrt(sum(part.u**2 for part in parts))
        together = tuple(SharedPart(key, u) for key, u in shared.items())
        even = source.step_u * sqrt(3) if len(kinds) == 1 else 0.0
        return CorrectedPoint(
            sum(values) / len(values), own_u, effective_dof(parts), together, len(rows), even
        )

    def _own_of(self, source: _Source, row: Reading, count: int, share: float) -> Part:
        """Return what is the own doubt of so many readings of one kind, for their share in a mean.

        Where nobody tried how far the gauge scatters, all repeats of the set show it together.
        """
        seen = self._seen.get(row.instrument_id)
        if source.scatter_known or seen is None:
            return Part(share * source.own_u, source.own_dof)
        scatter = scatter_beside_steps(seen.u, source.step_u * sqrt(12)) / sqrt(count)
        parts = (Part(scatter, seen.dof), Part(source.step_u))
        return Part(share * hypot(scatter, source.step_u), effective_dof(parts))

    def _source(self, row: Reading, count: int) -> _Source:
        day = row.at.astimezone(self._zone).date()
        comparing = row.set_at_mm is not None
        step = row.step if row.instrument_id is None else None
        key = (row.instrument_id, day, row.temperature_c, comparing, count, step)
        found = self._sources.get(key)
        if found is None:
            found = self._sources[key] = self._made(key, row.value or 0.0)
        return found

    def _made(self, key: _Key, size: float) -> _Source:
        instrument, day, temperature_c, comparing, count, step = key
        now = self._cupboard.on(instrument, day, count=count, step=step)
        self._last_day[instrument] = max(day, self._last_day.get(instrument, day))
        shared = now.shared
        if instrument is None and self._state.kind.quantity is not Quantity.LENGTH:
            # What is assumed of a gauge that nobody named is a length; of all else it is a share.
            shared = (SharedPart(f"unknown gauge of set {self._set.pk}", UNKNOWN_SHARE * abs(size)),)
        elif instrument is None:
            # Nobody knows that two sets were read with one gauge: nothing cancels between them.
            shared = tuple(SharedPart(f"{one.key} of set {self._set.pk}", one.u) for one in shared)
        warm = self._warmth(instrument, temperature_c, comparing=comparing)
        # All points of a set are of nearly one size: what warmth brings is reckoned once for the first.
        shared += tuple(SharedPart(one.key, one.u * size) for one in warm.parts)
        by_name = {line.name: line.u for line in now.lines}
        return _Source(
            now.error,
            warm.factor,
            now.of_reading.own_u_mm,
            now.of_reading.own_dof,
            bool(by_name.get("scatter")),
            by_name["step"],
            shared,
        )

    def _warmth(self, instrument: int | None, temperature_c: float | None, *, comparing: bool) -> Warmth:
        if self._metal is None:
            return _AS_READ
        gauge = (
            self._cupboard.set_from(instrument)
            if comparing
            else metal_of(self._cupboard.instruments.get(instrument or 0))
        )
        self._no_temperature |= temperature_c is None
        return warmth(self._metal, gauge, temperature_c, where=f"of set {self._set.pk}")

    def _cautions(self) -> tuple[Caution, ...]:
        found = [
            caution
            for instrument, day in self._last_day.items()
            for caution in self._cupboard.on(instrument, day).cautions
        ]
        if None in self._last_day and self._state.kind.quantity is not Quantity.LENGTH:
            found = [
                one for one in found if one not in self._cupboard.on(None, self._last_day[None]).cautions
            ]
            found.append(
                Caution(
                    f"Nobody said with what it was read: a standard uncertainty of {UNKNOWN_SHARE:.0%} is "
                    "assumed for what all its readings share (common practice, no source)."
                )
            )
        name = self._set.name
        if self._metal_wrong:
            found.append(Caution(f"{name}: {self._metal_wrong}"))
        if self._no_temperature:
            found.append(
                Caution(
                    f"{name}: no temperature was taken at some readings. They stand as read, and the bench "
                    f"is taken to have been within {BENCH_K:g} K of 20 °C (common practice, no source)."
                )
            )
        elif self._metal is not None and not self._metal.known and self._sources:
            found.append(Caution(f"{name}: nobody said of what metal it is, so nothing is brought to 20 °C."))
        return tuple(dict.fromkeys(found))


def _scatter_seen(state: SetState) -> dict[int | None, Part]:
    """Return how far each gauge of a set scatters, by its repeats at all points together."""
    squares: dict[int | None, float] = {}
    dof: dict[int | None, int] = {}
    for feature in state.features:
        for standing in feature.points.values():
            kinds: dict[tuple[object, ...], list[float]] = {}
            for row in standing.rows if len(standing.rows) > 1 else ():
                kind = (row.instrument_id, row.at.date(), row.temperature_c)
                kinds.setdefault(kind, []).append(row.value or 0.0)
            for (gauge, *_), read in kinds.items():
                mean = sum(read) / len(read)
                key = gauge if isinstance(gauge, int) else None
                squares[key] = squares.get(key, 0.0) + sum((one - mean) ** 2 for one in read)
                dof[key] = dof.get(key, 0) + len(read) - 1
    return {key: Part(sqrt(squares[key] / many), many) for key, many in dof.items() if many}


@lru_cache(maxsize=256)
def _metal_of(said: str) -> tuple[Metal, str]:
    """Return how a metal expands, and what is wrong with its name where no table has it."""
    wrong = ""
    try:
        found = read_expansion(said)
    except InvalidInput:
        found = read_expansion("")
        wrong = f"no table has the expansion of '{said}', so nothing is brought to 20 °C."
    return Metal(" ".join(said.lower().split()), found.low_per_k, found.high_per_k, found.known), wrong
