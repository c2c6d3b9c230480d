"""How a verb opens a consignment: its jobs and its row are held, so that two people wait for each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from runningfit.core.errors import Conflict
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy
from runningfit.workshop.outside_work.queries import lines_of, outstanding
from runningfit.workshop.records.closed_jobs import refuse_closed
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Entry, Hand, write


@contextmanager
def held(
    consignment: Consignment, *, verb: str, summary: str, hand: Hand, jobs: Sequence[Job] = ()
) -> Iterator[tuple[Entry, Consignment]]:
    """Open a record on a consignment, read afresh and held until it is kept.

    Parameters
    ----------
    jobs : sequence of Job
        The jobs whose lots the verb touches, further ones too; they must be open. Of the others at least one
        must be: what a shop still has of an open job can be rung about and counted back.

    Raises
    ------
    Conflict
        Somebody put lots of another job on it at the same moment, or its jobs are closed.
    """
    on_it = _jobs_of(consignment)
    with held_jobs([*jobs, *on_it], verb=verb, summary=summary, hand=hand) as (entry, ids):
        refuse_closed([job.pk for job in jobs])
        if on_it and not Job.objects.filter(pk__in=ids, closed_on__isnull=True).exists():
            refuse_closed(ids)
        fresh = (
            Consignment.objects.select_for_update(of=("self",)).select_related("shop").get(pk=consignment.pk)
        )
        if {job.pk for job in _jobs_of(fresh)} - ids:
            raise Conflict(
                f"Somebody just put lots of another job on consignment {fresh.number}. Look again."
            )
        if fresh.withdrawn:
            raise Conflict(f"Consignment {fresh.number} was taken back. Look at its history.")
        yield entry, fresh


@contextmanager
def held_jobs(
    jobs: Sequence[Job], *, verb: str, summary: str, hand: Hand
) -> Iterator[tuple[Entry, set[int]]]:
    """Open a record that touches several jobs, all of them held in one order.

    Rows of a closed one cannot be changed in it; what only leans on such a job can be.
    """
    by_id = {job.pk: job for job in jobs}
    only = next(iter(by_id.values())) if len(by_id) == 1 else None
    with write(verb=verb, summary=summary, hand=hand, job=only) as entry:
        if len(by_id) > 1:
            for job in Job.objects.select_for_update().filter(pk__in=by_id).order_by("pk"):
                # The record belongs to none of them, so it leans on each: all their histories show it.
                entry.refer(job)
        yield entry, set(by_id)


def close_when_done(entry: Entry, consignment: Consignment) -> None:
    """Mark a consignment as accounted for when nothing is outside and no discrepancy is open; else as not."""
    outside = sum(outstanding(line) for line in lines_of(consignment))
    still_open = Discrepancy.objects.filter(
        consignment=consignment, withdrawn=False, closed_at__isnull=True
    ).exists()
    done = bool(consignment.sent_on) and not outside and not still_open
    if done != bool(consignment.closed_on):
        entry.change(consignment, closed_on=entry.at.date() if done else None)


def need_unsent(consignment: Consignment) -> None:
    """Refuse what can only be done before a consignment is sent."""
    if consignment.sent_on is not None:
        raise Conflict(
            f"Consignment {consignment.number} was sent on {consignment.sent_on:%d %b %Y}. Make up another "
            "one, or take the sending back."
        )


def _jobs_of(consignment: Consignment) -> list[Job]:
    ids = ConsignmentLine.objects.filter(consignment=consignment, withdrawn=False).values("lot__job")
    return list(Job.objects.filter(pk__in=ids).order_by("pk"))
