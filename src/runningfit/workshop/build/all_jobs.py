"""One page across all jobs: what is due, out, short or waiting for a person."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Model, Q, QuerySet

from runningfit.workshop.build.standing import Standing, Standings
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import BenchList, Finding, TallySheet
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.prepared import prepared
from runningfit.workshop.records.queries import loose_stock, open_jobs

SHOWN_DUE = 40
_standings = Standings()


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something of a job that waits for a person: what, how many, and the page where it is done."""

    said: str
    page: str


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job on the front page."""

    job: Job
    engine: Engine | None
    standing: Standing
    waiting: tuple[Waiting, ...]


@dataclass(frozen=True, slots=True)
class DueLine:
    """Something that shall come back or arrive, and when."""

    due_on: dt.date | None
    said: str
    jobs: tuple[Job, ...]
    overdue: bool
    consignment: Consignment | None = None
    to_buy: ToBuy | None = None


@dataclass(frozen=True, slots=True)
class AllJobs:
    """The front page: every open job, what is due and when, and the loose stock."""

    jobs: tuple[JobLine, ...]
    due: tuple[DueLine, ...]
    more_due: int
    stock: Job | None


def all_jobs(*, today: dt.date) -> AllJobs:
    """Return what is due, out, short or waiting over all open jobs, by sums that the database makes."""
    jobs = open_jobs()
    by_id = {job.pk: job for job in jobs}
    engines = {engine.job_id: engine for engine in _subjects()}
    standings = _standings.of_jobs(list(by_id))
    waiting = _waiting(by_id)
    due = _due(by_id, today)
    return AllJobs(
        jobs=tuple(
            JobLine(
                job,
                engines.get(job.pk),
                standings[job.pk],
                tuple(waiting[job.pk]),
            )
            for job in jobs
        ),
        due=tuple(due[:SHOWN_DUE]),
        more_due=max(0, len(due) - SHOWN_DUE),
        stock=loose_stock(),
    )


def _waiting(jobs: dict[int, Job]) -> dict[int, list[Waiting]]:
    waiting: dict[int, list[Waiting]] = defaultdict(list)
    for questions, one, many, page in _QUESTIONS:
        for job_id, count in questions():
            if job_id in jobs:
                waiting[job_id].append(Waiting(f"{count} {one if count == 1 else many}", page))
    return waiting


def _still_open(model: type[Model], **how: object) -> Callable[[], list[tuple[int, int]]]:
    """Return what counts the rows of a table that wait for a person, by job."""

    @prepared
    def by_job() -> QuerySet[Any, tuple[int, int]]:
        rows = model._default_manager.filter(withdrawn=False, job__closed_on__isnull=True, **how)
        counted: QuerySet[Any, tuple[int, int]] = rows.order_by().values_list("job_id").annotate(Count("pk"))
        return counted

    return by_job


_QUESTIONS = (
    (_still_open(Discrepancy, closed_at__isnull=True), "discrepancy", "discrepancies", "discrepancies"),
    (_still_open(Photo, described=False), "photo not described", "photos not described", "inbox"),
    (_still_open(TallySheet, closed_at__isnull=True), "open tally sheet", "open tally sheets", "tally"),
    (
        _still_open(BenchList, accepted_at__isnull=True, put_aside=False),
        "list not taken in",
        "lists not taken in",
        "import_list",
    ),
    (_still_open(Finding, settled=False), "finding not settled", "findings not settled", "findings"),
)


def _due(jobs: dict[int, Job], today: dt.date) -> list[DueLine]:
    carried: dict[int, set[int]] = defaultdict(set)
    for consignment_id, job_id in _carried():
        carried[consignment_id].add(job_id)
    due = [
        DueLine(
            row.due_on,
            f"consignment {row.number} from {row.shop.name}",
            tuple(jobs[job_id] for job_id in sorted(carried[row.pk]) if job_id in jobs),
            row.due_on is not None and row.due_on < today,
            consignment=row,
        )
        for row in _away()
    ]
    due += [
        DueLine(
            row.due_on,
            f"{row.count} {row.in_words}" + (f" from {row.supplier}" if row.supplier else ""),
            (jobs[row.job_id],),
            row.due_on is not None and row.due_on < today,
            to_buy=row,
        )
        for row in _ordered()
        if row.job_id in jobs
    ]
    return sorted(due, key=lambda line: (line.due_on is None, line.due_on or dt.date.max))


_AWAY = Q(sent_on__isnull=False, closed_on__isnull=True, withdrawn=False)


@prepared
def _away() -> QuerySet[Consignment]:
    return Consignment.objects.filter(_AWAY).select_related("shop")


@prepared
def _carried() -> QuerySet[ConsignmentLine, tuple[int, int]]:
    away = Consignment.objects.filter(_AWAY)
    lines = ConsignmentLine.objects.filter(consignment__in=away, withdrawn=False)
    return lines.values_list("consignment_id", "lot__job_id").distinct()


@prepared
def _ordered() -> QuerySet[ToBuy]:
    return ToBuy.objects.filter(
        ordered_on__isnull=False, received_on__isnull=True, withdrawn=False, job__closed_on__isnull=True
    )


@prepared
def _subjects() -> QuerySet[Engine]:
    return Engine.objects.filter(role=Engine.SUBJECT, withdrawn=False, job__closed_on__isnull=True)
