"""What is ordered and what came back: each operation judged by the readings of the round after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import QuerySet

from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, Decision, decide, percent
from runningfit.core.measurements.conformity.next_readings import to_prove
from runningfit.core.measurements.conformity.together import OneOfMany, all_conform
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.measurements.corrected import CorrectedFeature, CorrectedSet, corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import set_states
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.queries import outstanding
from runningfit.workshop.records.models import Job
from runningfit.workshop.treatments.models import MachiningOperation


class Came(StrEnum):
    """How an operation stands."""

    NOT_GONE = "not gone"
    OUTSIDE = "outside"
    TO_MEASURE = "to measure"
    WITHIN = "within"
    OFF = "outside its limits"
    NOT_PROVEN = "not proven"
    NOT_CLEAN = "not cleaned up"


@dataclass(frozen=True, slots=True)
class JudgedOperation:
    """One operation with what came of it.

    Parameters
    ----------
    operation : MachiningOperation
        What was ordered.
    came : Came
        How it stands.
    says : str
        Why, with the figures; empty where nothing is read.
    probability : float or None
        How probably all of its readings lie within the limits [-].
    """

    operation: MachiningOperation
    came: Came
    says: str = ""
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class OrderedSet:
    """What is ordered for one set on one consignment."""

    feature_set: FeatureSet
    operations: tuple[JudgedOperation, ...]
    cautions: tuple[str, ...] = ()

    @property
    def round(self) -> int:
        """The round of readings that judges it."""
        return self.operations[0].operation.round

    @property
    def to_measure(self) -> bool:
        """Whether it is back and something of it is still to be read."""
        return any(one.came is Came.TO_MEASURE for one in self.operations)


@dataclass(frozen=True, slots=True)
class MachiningOrder:
    """What one consignment carries to be machined; ``outside`` is how many of its pieces are still there."""

    consignment: Consignment
    sets: tuple[OrderedSet, ...]
    outside: int


def orders_of_job(job: Job) -> list[MachiningOrder]:
    """Return what of a job is ordered, the newest first, each operation judged."""
    return _orders(_operations().filter(feature__feature_set__job=job))


def orders_of_consignment(consignment: Consignment) -> MachiningOrder | None:
    """Return what a consignment carries to be machined; none where it carries nothing of that."""
    return next(iter(_orders(_operations().filter(consignment=consignment))), None)


def operation_count(consignment: Consignment) -> int:
    """Return how many operations are ordered on a consignment."""
    return MachiningOperation.objects.filter(consignment=consignment, withdrawn=False).count()


def _operations() -> QuerySet[MachiningOperation]:
    rows = MachiningOperation.objects.filter(withdrawn=False, consignment__withdrawn=False)
    return rows.select_related(
        "feature__feature_set__job", "feature__feature_set__lot", "consignment__shop"
    ).order_by("-consignment__number", "feature__feature_set__position", "feature__position", "pk")


def _orders(operations: Iterable[MachiningOperation]) -> list[MachiningOrder]:
    rows = list(operations)
    out: dict[int, int] = {}
    lines = ConsignmentLine.objects.filter(
        consignment__in={row.consignment_id for row in rows}, withdrawn=False
    ).select_related("consignment")
    for line in lines:
        out[line.consignment_id] = out.get(line.consignment_id, 0) + outstanding(line)
    read = _read(rows)
    orders: dict[int, list[MachiningOperation]] = {}
    for row in rows:
        orders.setdefault(row.consignment_id, []).append(row)
    return [
        MachiningOrder(its[0].consignment, _sets(its, read, out.get(key, 0)), out.get(key, 0))
        for key, its in orders.items()
    ]


def _read(rows: Sequence[MachiningOperation]) -> dict[tuple[int, int], CorrectedSet]:
    """Return the corrected sets by set and round, the rounds each read in one go."""
    sets: dict[int, dict[int, FeatureSet]] = {}
    for row in rows:
        sets.setdefault(row.round, {})[row.feature.feature_set_id] = row.feature.feature_set
    states = [
        state for round, its in sets.items() for state in set_states(list(its.values()), round)
    ]  # fmt: skip
    done = corrected(states, Cupboard.of_the_shop()) if states else []
    return {(one.feature_set.pk, one.state.round): one for one in done}


def _sets(
    rows: Sequence[MachiningOperation], read: dict[tuple[int, int], CorrectedSet], out: int
) -> tuple[OrderedSet, ...]:
    found: dict[tuple[int, int], list[JudgedOperation]] = {}
    for row in rows:
        key = (row.feature.feature_set_id, row.round)
        found.setdefault(key, []).append(judge_operation(row, read[key], out=out))
    return tuple(
        OrderedSet(
            its[0].operation.feature.feature_set,
            tuple(its),
            tuple(one.text for one in read[key].cautions)
            if any(one.probability is not None for one in its)
            else (),
        )
        for key, its in found.items()
    )


def judge_operation(row: MachiningOperation, read: CorrectedSet, *, out: int = 0) -> JudgedOperation:
    """Judge an operation by what was read after it.

    Parameters
    ----------
    row : MachiningOperation
        With its limits.
    read : CorrectedSet
        Its set in the round that judges it.
    out : int
        How many pieces of its consignment are still outside.

    Returns
    -------
    JudgedOperation
        Within where all points together are, with the gauge's error shared; not cleaned up where a person
        sees marks, or where single places stand beyond the limit that the tool makes, on the worn side.
    """
    each = next((one for one in read.features if one.feature.pk == row.feature_id), None)
    points = len(read.state.points)
    if each is None or not each.points:
        came = Came.TO_MEASURE
        if row.consignment.sent_on is None:
            came = Came.NOT_GONE
        elif out and row.done_on is None:
            came = Came.OUTSIDE
        if row.marks_left:
            return JudgedOperation(row, Came.NOT_CLEAN, "Marks are left that the tool did not reach.")
        return JudgedOperation(row, came)
    return _judged(row, each, points, bore=FeatureKind(read.feature_set.kind) is FeatureKind.BORE)


def _judged(row: MachiningOperation, each: CorrectedFeature, points: int, *, bore: bool) -> JudgedOperation:
    bounds = Bounds(row.lower_mm, row.upper_mm)
    at = list(each.points.values())
    shared = max(one.shared_u for one in at)
    chance = all_conform([OneOfMany(one.own, bounds) for one in at], shared).together
    decided = [decide(one.whole, bounds, unit="mm") for one in at]
    beyond = [
        one
        for one, found in zip(at, decided, strict=True)
        if found.decision is Decision.OUTSIDE
    ]  # fmt: skip
    worn = [one for one in beyond if (one.value > row.upper_mm if bore else one.value < row.lower_mm)]
    low, high = min(one.value for one in at), max(one.value for one in at)
    u = max(one.whole.u for one in at)
    says = (
        f"{low:.3f} to {high:.3f} mm (each ± {u:.2g} mm) against {row.lower_mm:.3f} to "
        f"{row.upper_mm:.3f} mm: within with {percent(chance)}."
    )
    if len(at) < points:
        says += f" {len(at)} of {points} points are read."
    if row.marks_left:
        return JudgedOperation(
            row, Came.NOT_CLEAN, f"Marks are left that the tool did not reach. {says}", chance
        )
    if worn and len(worn) < len(at) and len(worn) == len(beyond):
        where = "larger" if bore else "smaller"
        return JudgedOperation(
            row, Came.NOT_CLEAN,
            f"{len(worn)} of {len(at)} places are {where} than the rest allows: the tool did not reach them. "
            f"{says}", chance,
        )  # fmt: skip
    if beyond:
        too = "too much was taken off" if worn else "not enough was taken off"
        return JudgedOperation(row, Came.OFF, f"{too.capitalize()}. {says}", chance)
    if chance >= USUAL_WANTED and len(at) == points:
        return JudgedOperation(row, Came.WITHIN, says, chance)
    if len(at) == points:
        nearest = min(at, key=lambda one: min(row.upper_mm - one.value, one.value - row.lower_mm))
        says += f" {to_prove(nearest.value, nearest.own_u, shared, bounds, unit='mm').advice}"
    return JudgedOperation(row, Came.NOT_PROVEN, says, chance)
