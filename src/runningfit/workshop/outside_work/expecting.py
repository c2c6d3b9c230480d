"""What may come back of a consignment, as the pure count-back sees it, and counted groups as kept."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import Counted, Expected, Sort
from runningfit.core.treatments import treatment as treatment_of
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy
from runningfit.workshop.outside_work.queries import lines_of, outstanding
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Engine, Job

# Treatments after which nobody can say beforehand how a piece looks.
_LOOK_CHANGES = ("derust", "bead_blast")


@dataclass(frozen=True, slots=True)
class Scope:
    """What is counted at once: one bag (None: what went without one), or the whole bucket."""

    way: str
    bag: Bag | None = None


@dataclass(frozen=True, slots=True)
class Outside:
    """Everything of a consignment that is still outside, seen from one scope.

    Lines that were counted before and found short wait: they have the negative of their line's id.
    """

    consignment: Consignment
    lines: Mapping[int, ConsignmentLine]
    expected: tuple[Expected, ...]

    @property
    def state(self) -> str:
        """Return a mark that changes whenever somebody counts back, or writes off, in between."""
        told = ";".join(f"{one.line}:{one.count}" for one in self.expected)
        return hashlib.sha256(told.encode()).hexdigest()[:16]

    @property
    def by_line(self) -> dict[int, Expected]:
        """Return the expected lines by their id."""
        return {one.line: one for one in self.expected}

    @property
    def fresh(self) -> tuple[Expected, ...]:
        """Return the lines that were not counted yet."""
        return tuple(one for one in self.expected if not one.waiting)


def outside_of(consignment: Consignment, scope: Scope) -> Outside:
    """Return what may come back in a scope; lines found short before wait in every scope."""
    lines = lines_of(consignment)
    waiting = _found_short(consignment)
    several_jobs = len({line.lot.job_id for line in lines}) > 1
    engines = _Engines(lines, several_jobs)
    expected: list[Expected] = []
    for line in lines:
        out = outstanding(line)
        late = min(out, waiting.get(line.pk, 0))
        in_scope = scope.way == "bucket" or line.bag_id == (scope.bag.pk if scope.bag else None)
        if in_scope and out - late:
            expected.append(_expected(line, line.pk, out - late, engines.origin(line.lot)))
        if late:
            expected.append(_expected(line, -line.pk, late, engines.origin(line.lot), waiting=True))
    return Outside(consignment, {line.pk: line for line in lines}, tuple(expected))


def sort_of(lot: Lot) -> Sort:
    """Return what can be told of a loose piece of the lot."""
    return Sort(
        kind=Kind(lot.kind),
        end_a=tuple(lot.end_a.split("|")) if lot.end_a else (),
        end_b=tuple(lot.end_b.split("|")) if lot.end_b else (),
        size_said=lot.size_said,
        length_mm=lot.length_mm,
        length_said=lot.length_nominal,
        kind_said=lot.kind_said,
    )


def as_kept(group: Counted) -> dict[str, Any]:
    """Return a counted group as JSON keeps it."""
    return {
        "key": group.key,
        "kind": group.sort.kind.value,
        "end_a": list(group.sort.end_a),
        "end_b": list(group.sort.end_b),
        "size_said": group.sort.size_said,
        "length_mm": group.sort.length_mm,
        "length_said": group.sort.length_said,
        "kind_said": group.sort.kind_said,
        "count": group.count,
        "damaged": group.damaged,
        "look": group.look.value,
        "process": group.process,
    }


def _expected(line: ConsignmentLine, key: int, count: int, origin: str, *, waiting: bool = False) -> Expected:
    return Expected(
        line=key,
        name=f"lot {line.lot.number}",
        bag=line.bag.code if line.bag else "",
        origin=origin,
        sort=sort_of(line.lot),
        count=count,
        finish=_finish(line),
        defect=line.lot.defect,
        waiting=waiting,
    )


def _finish(line: ConsignmentLine) -> FinishLook | None:
    if line.finish_asked:
        return FinishLook(line.finish_asked)
    if line.treatment in _LOOK_CHANGES or treatment_of(line.treatment).look is not None:
        return None
    look = FinishLook(line.lot.finish_received_look or line.lot.finish_look)
    return None if look is FinishLook.UNKNOWN else look


def _found_short(consignment: Consignment) -> dict[int, int]:
    """Return by line the pieces that an open discrepancy says are missing."""
    found: dict[int, int] = {}
    rows = Discrepancy.objects.filter(
        consignment=consignment, withdrawn=False, closed_at__isnull=True, kind__in=("short", "swapped")
    ).values_list("line_id", "count")
    for line_id, count in rows:
        if line_id is not None:
            found[line_id] = found.get(line_id, 0) + count
    return found


class _Engines:
    """The engine a lot came from, in words; without a donor in the job it can only be the subject engine."""

    def __init__(self, lines: Sequence[ConsignmentLine], several_jobs: bool) -> None:
        jobs = {line.lot.job_id: line.lot.job for line in lines}
        engines = Engine.objects.filter(job__in=jobs, withdrawn=False).order_by("pk")
        self._of_job: dict[int, list[Engine]] = {job_id: [] for job_id in jobs}
        for engine in engines:
            self._of_job[engine.job_id].append(engine)
        self._several_jobs = several_jobs

    def origin(self, lot: Lot) -> str:
        """Return the engine's name, with the job where the consignment carries several."""
        engines = self._of_job[lot.job_id]
        if lot.origin_lost:
            return lot.origin_said or "which engine: lost"
        if lot.origin is not None:
            return self._named(lot.origin.name, lot.job)
        if len(engines) == 1:
            return self._named(engines[0].name, lot.job)
        return f"an engine of {lot.job.name} that nobody said" if self._several_jobs else ""

    def _named(self, name: str, job: Job) -> str:
        return f"{name} ({job.name})" if self._several_jobs else name
