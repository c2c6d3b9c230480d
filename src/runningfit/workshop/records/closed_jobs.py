"""What a closed job refuses: every change but opening it again."""

from __future__ import annotations

from collections.abc import Collection

from runningfit.core.errors import Conflict
from runningfit.workshop.records.models import Job, Record

# Closing is noted by its own record; opening again, and taking the closing back, change a job that is closed.
OPENS_AGAIN = ("reopen_job", "close_job")


def refuse_closed(job_ids: Collection[int]) -> None:
    """Refuse a change of jobs of which one is closed; call it inside the transaction that writes.

    Raises
    ------
    Conflict
        A job is closed; says since when, by whom, and what to do.
    """
    closed = Job.objects.filter(pk__in=job_ids, closed_on__isnull=False).order_by("pk").first()
    if closed is not None:
        raise Conflict(
            f"The job {closed.name} was closed {closing_said(closed)}, so nothing of it can be changed. "
            "Open it again first: its page is among the closed jobs."
        )


def closing_said(job: Job) -> str:
    """Return when a job was closed and by whom, as ``on 3 Mar 2026 by Ann``."""
    act = Record.objects.filter(job=job, verb="close_job", reversed_by=None).order_by("-pk").first()
    by = f" by {act.who}" if act is not None and act.who != "not said" else ""
    return f"on {job.closed_on:%-d %b %Y}{by}"
