"""Reads that several pages and commands share: the shop, jobs, and the history of anything."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Exists, F, Max, OuterRef, QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.records.models import Change, Engine, Job, Record, Shop
from runningfit.workshop.records.prepared import Limit, prepared


@prepared
def _shops() -> QuerySet[Shop]:
    return Shop.objects.order_by("pk")[:1]


@prepared
def _job(job_id: int) -> QuerySet[Job]:
    return Job.objects.filter(pk=job_id, withdrawn=False)


@prepared
def _engines(job_id: int) -> QuerySet[Engine]:
    return Engine.objects.filter(job=job_id, withdrawn=False).order_by("pk")


@prepared
def _newest() -> QuerySet[Record, int]:
    return Record.objects.order_by("-id").values_list("pk", flat=True)[:1]


def the_shop() -> Shop:
    """Return the shop's row, or one with the defaults while nothing was said."""
    return next(iter(_shops()), None) or Shop()


@prepared
def open_jobs() -> QuerySet[Job]:
    """Return the jobs that are not closed, the newest first, without the loose stock."""
    return Job.objects.filter(withdrawn=False, is_stock=False, closed_on__isnull=True).order_by("-pk")


def closed_jobs(*, most: int) -> list[Job]:
    """Return so many closed jobs, those closed last first."""
    return _closed_jobs(Limit(most))


@prepared
def _closed_jobs(most: Limit) -> QuerySet[Job]:
    closed = Job.objects.filter(withdrawn=False, is_stock=False, closed_on__isnull=False)
    return closed.order_by("-closed_on", "-pk")[:most]


def loose_stock() -> Job | None:
    """Return the shop's loose stock, or None before the first job was opened."""
    return next(iter(_stock()), None)


@prepared
def _stock() -> QuerySet[Job]:
    return Job.objects.filter(is_stock=True).order_by("pk")[:1]


def job_by_id(job_id: int) -> Job:
    """Return a job, or raise NotFound saying so."""
    job = next(iter(_job(job_id)), None)
    if job is None:
        raise NotFound(f"There is no job {job_id} in this data folder.")
    return job


def engines_of(job: Job) -> list[Engine]:
    """Return the engines of the job, the one it rebuilds first."""
    engines = _engines(job.pk)
    for engine in engines:
        engine.job = job
    return sorted(engines, key=lambda engine: engine.role != Engine.SUBJECT)


def subject_engine(job: Job) -> Engine | None:
    """Return the engine the job rebuilds."""
    return next((engine for engine in engines_of(job) if engine.role == Engine.SUBJECT), None)


def donors(job: Job) -> list[Engine]:
    """Return the donor engines of the job."""
    return [engine for engine in engines_of(job) if engine.role == Engine.DONOR]


def newest_record() -> int:
    """Return the id of the newest record, or 0."""
    return next(iter(_newest()), 0)


def last_changed_job() -> Job | None:
    """Return the open job that somebody worked on last; none before the first was opened."""
    return next(iter(_changed_last()), None)


@prepared
def _changed_last() -> QuerySet[Job]:
    jobs = Job.objects.filter(withdrawn=False, is_stock=False, closed_on__isnull=True)
    return jobs.annotate(last=Max("records__id")).order_by(F("last").desc(nulls_last=True))[:1]


@dataclass(frozen=True, slots=True)
class Act:
    """One act of the history as a line shows it, and whether it was taken back."""

    pk: int
    at: dt.datetime
    who: str
    summary: str
    why: str
    reverses_id: int | None
    taken_back: bool
    job_name: str | None


def history(
    *,
    most: int,
    job: Job | None = None,
    model: str = "",
    object_id: int | None = None,
    before: int | None = None,
) -> list[Act]:
    """Return acts, the newest first: of a job, of one row, or of everything.

    Parameters
    ----------
    most : int
        How many at most.
    before : int or None
        Only acts older than this id; pages go by it, never by an offset.
    """
    of_row = model if object_id is not None else ""
    acts = [
        Act(*row)
        for row in _acts(job.pk if job else None, of_row or None, object_id or 0, before, Limit(most))
    ]
    if job is None or of_row:
        return acts
    # What spans jobs, as a consignment of two, belongs to none of them and leans on each.
    spanning = [Act(*row) for row in _acts(None, "Job", job.pk, before, Limit(most)) if row[-1] is None]
    return sorted([*acts, *spanning], key=lambda act: -act.pk)[:most] if spanning else acts


@prepared
def _acts(
    job_id: int | None, model: str | None, object_id: int, before: int | None, most: Limit
) -> QuerySet[Record, tuple[int, dt.datetime, str, str, str, int | None, bool, str | None]]:
    records = Record.objects.order_by("-id")
    if job_id is not None:
        records = records.filter(job=job_id)
    if model is not None:
        ids = Change.objects.filter(model=model, object_id=object_id).values("record_id")
        records = records.filter(pk__in=ids)
    if before is not None:
        records = records.filter(pk__lt=before)
    taken_back = Exists(Record.objects.filter(reverses=OuterRef("pk")))
    shown = ("pk", "at", "who", "summary", "why", "reverses_id")
    return records.values_list(*shown, taken_back, "job__name")[:most]
