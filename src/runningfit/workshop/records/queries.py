"""Reads that several pages and commands share: the shop, jobs, and the history of anything."""

from __future__ import annotations

from django.db.models import QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.records.models import Change, Engine, Job, Record, Shop


def the_shop() -> Shop:
    """Return the shop's row, or one with the defaults while nothing was said."""
    return Shop.objects.order_by("pk").first() or Shop()


def open_jobs() -> QuerySet[Job]:
    """Return the jobs that are not closed, the newest first, without the loose stock."""
    return Job.objects.filter(withdrawn=False, is_stock=False, closed_on__isnull=True).order_by("-pk")


def closed_jobs() -> QuerySet[Job]:
    """Return the closed jobs, those closed last first."""
    closed = Job.objects.filter(withdrawn=False, is_stock=False, closed_on__isnull=False)
    return closed.order_by("-closed_on", "-pk")


def loose_stock() -> Job | None:
    """Return the shop's loose stock, or None before the first job was opened."""
    return Job.objects.filter(is_stock=True).first()


def job_by_id(job_id: int) -> Job:
    """Return a job, or raise NotFound saying so."""
    job = Job.objects.filter(pk=job_id, withdrawn=False).first()
    if job is None:
        raise NotFound(f"There is no job {job_id} in this data folder.")
    return job


def subject_engine(job: Job) -> Engine | None:
    """Return the engine the job rebuilds."""
    return job.engines.filter(role=Engine.SUBJECT, withdrawn=False).first()


def donors(job: Job) -> QuerySet[Engine]:
    """Return the donor engines of the job."""
    return job.engines.filter(role=Engine.DONOR, withdrawn=False).order_by("pk")


def newest_record() -> int:
    """Return the id of the newest record, or 0."""
    return Record.objects.order_by("-id").values_list("pk", flat=True).first() or 0


def history(
    *, job: Job | None = None, model: str = "", object_id: int | None = None, before: int | None = None
) -> QuerySet[Record]:
    """Return records, the newest first: of a job, of one row, or of everything.

    Parameters
    ----------
    before : int or None
        Only records older than this id; pages go by it, never by an offset.
    """
    records = Record.objects.select_related("reverses", "reversed_by", "job").order_by("-id")
    if job is not None:
        records = records.filter(job=job)
    if model and object_id is not None:
        ids = Change.objects.filter(model=model, object_id=object_id).values("record_id")
        records = records.filter(pk__in=ids)
    if before is not None:
        records = records.filter(pk__lt=before)
    return records
