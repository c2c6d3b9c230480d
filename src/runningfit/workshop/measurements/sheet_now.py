"""The reading sheet of a job as it stands: each part of it is read once, whatever a page makes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Concatenate, ParamSpec, TypeVar

from django.db.models import QuerySet

from runningfit.workshop.measurements.corrected import CorrectedSet, corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import FeatureSet, Reading
from runningfit.workshop.measurements.queries import SetState, set_states, sets_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared
from runningfit.workshop.records.unchanged import as_long_as_unchanged, one_thread_at_a_time

_P = ParamSpec("_P")
_R = TypeVar("_R")


class SheetNow:
    """Sets of a sheet with what was read of them, and what was made of that; nobody changes any of it.

    Parameters
    ----------
    sets : sequence of FeatureSet
        The sets.
    of : object
        What it is the sheet of: for the same, one thread makes something at a time.
    """

    def __init__(self, sets: Sequence[FeatureSet], of: object = None) -> None:
        self.sets = sets
        self._of = of
        self._states: dict[int, dict[int, SetState]] = {}
        self._corrected: dict[int, dict[int, CorrectedSet]] = {}
        self._made: dict[tuple[object, ...], object] = {}

    @cached_property
    def cupboard(self) -> Cupboard:
        """The gauges of the shop."""
        return Cupboard.of_the_shop()

    @cached_property
    def rounds(self) -> dict[int, list[int]]:
        """The rounds of each set in their order, by its key: 0, and those that were read after machining."""
        found: dict[int, set[int]] = {one.pk: {0} for one in self.sets}
        for pk, round in _later_rounds([one.pk for one in self.sets]):
            found[pk].add(round)
        return {pk: sorted(rounds) for pk, rounds in found.items()}

    def states(self, round: int = 0) -> dict[int, SetState]:
        """Return the sets that have a round as they were read in it, by their keys."""
        if round not in self._states:
            there = self.sets if round == 0 else [one for one in self.sets if round in self.rounds[one.pk]]
            states = set_states(there, round) if there else []
            self._states[round] = {one.feature_set.pk: one for one in states}
        return self._states[round]

    def corrected(self, round: int = 0) -> dict[int, CorrectedSet]:
        """Return the same with corrected points."""
        if round not in self._corrected:
            states = self.states(round).values()
            found = corrected(list(states), self.cupboard) if states else []
            self._corrected[round] = {one.feature_set.pk: one for one in found}
        return self._corrected[round]

    def once(self, make: Callable[Concatenate[SheetNow, _P], _R], *of: _P.args, **named: _P.kwargs) -> _R:
        """Return what a function makes of the sheet and of what else it is given, made once."""
        key = (make, of, *sorted(named.items()))
        if key not in self._made:
            with one_thread_at_a_time((make, self._of)):
                self._made[key] = make(self, *of, **named)
        found: _R = self._made[key]  # type: ignore[assignment]
        return found


def sheet_of(job: Job) -> SheetNow:
    """Return the sheet of a job; the same one as long as nothing in the database changes."""
    return _sheet_of(job.pk)


@as_long_as_unchanged
def _sheet_of(job_id: int) -> SheetNow:
    return SheetNow(sets_of(job_id), job_id)


@prepared
def _later_rounds(sets: list[int]) -> QuerySet[Reading, tuple[int, int]]:
    rows = Reading.objects.filter(feature__feature_set__in=sets, round__gt=0)
    return rows.values_list("feature__feature_set_id", "round").distinct()
