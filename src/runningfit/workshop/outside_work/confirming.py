"""Confirming which finish the pieces wear: a person says the process; what was not asked for stays open."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishProcess
from runningfit.core.treatments import Treatment, treatment
from runningfit.workshop.joints.facts import CHANGES_FINISH
from runningfit.workshop.joints.services import keep_finish
from runningfit.workshop.outside_work.expecting import sort_of
from runningfit.workshop.outside_work.models import ConsignmentLine, Discrepancy
from runningfit.workshop.outside_work.opening import close_when_done, held_jobs
from runningfit.workshop.outside_work.queries import last_lines_of
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import held_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.writing import Entry, Hand


def confirm_finish(
    *, lots: Sequence[Lot], process: str, look: str = "", why: str, hand: Hand
) -> list[Discrepancy]:
    """Confirm which finish lots wear, by its process and not only by its look.

    Where they came back with another finish than was asked for, a discrepancy opens, or the one that is open
    says it too.

    Parameters
    ----------
    lots : sequence of Lot
        Those of which the same was found out.
    process : str
        A finish process; empty only where the look is none: bare metal.
    look : str
        What the eye sees; empty keeps what was counted.
    why : str
        How that is known; required.

    Returns
    -------
    list of Discrepancy
        Those that are open now because the finish is not the one asked for.

    Raises
    ------
    InvalidInput
        No lot, no process, none that is known, a look that is none, or it is not said how it is known.
    Conflict
        The treatment that gives a lot its finish is still to come, or its job is closed.
    """
    if not lots:
        raise InvalidInput("lots", needs="at least one", came="none", remedy="Tick the lots first.")
    reason = " ".join(why.split())
    if not reason:
        remedy = "Such as: the plater's paper, asked by phone, a drop test."
        raise InvalidInput("why", needs="a reason in a few words", came="", remedy=remedy)
    if len(reason) > 300:
        raise InvalidInput("why", needs="at most 300 characters", came=reason[:40] + "…")
    jobs = [lot.job for lot in lots]
    with held_jobs(jobs, verb="confirm_finish", summary="confirmed a finish", hand=hand.because(reason)) as (
        entry,
        _ids,
    ):
        opened = []
        for lot in lots:
            fresh = keep_finish(entry, held_lot(lot), process=process, look=look)
            row = _beside_what_was_asked(entry, fresh, reason)
            opened += [row] if row is not None else []
        numbers = ", ".join(str(lot.number) for lot in lots[:12]) + (" …" if len(lots) > 12 else "")
        entry.say(f"lot{'s' * (len(lots) > 1)} {numbers}: the finish is {process_said(process)}, confirmed")
    return opened


def process_said(process: str) -> str:
    """Say a process as the trade does; none is bare metal.

    Parameters
    ----------
    process : str
        A finish process, or nothing.
    """
    return FinishProcess(process).said if process else "bare metal"


def is_as_asked(lot: Lot) -> bool:
    """Return whether the finish confirmed of a lot is the one that its last treatment should give."""
    asked = _asked_of(lot)
    if asked is None:
        return True
    assert asked.process is not None
    seen = lot.finish_received_look
    right_look = seen in ("", "unknown") or asked.look is None or seen == asked.look.value
    return right_look and lot.finish_received_process == asked.process.value


def lots_back_on(lines: Sequence[ConsignmentLine]) -> list[Lot]:
    """Return the lots that came back on a consignment with a finish that its work changed.

    Parameters
    ----------
    lines : sequence of ConsignmentLine
        All of one consignment. Parts that were split off at the count are among the lots; those that went out
        again since are not.
    """
    came = {line.lot_id: line for line in lines if line.back_count and line.treatment in CHANGES_FINISH}
    if not came:
        return []
    found = with_parts([line.lot for line in came.values()])
    sent = last_lines_of(list(found.values()))
    number = lines[0].consignment_id
    treatments = {line.treatment for line in came.values()}
    return [
        lot
        for lot in found.values()
        if not lot.withdrawn
        and lot.treatment not in CHANGES_FINISH
        and lot.treatment_done in treatments
        and (lot.pk not in sent or sent[lot.pk].consignment_id == number)
    ]


def with_parts(lots: Sequence[Lot]) -> dict[int, Lot]:
    """Return lots and all that was split off them since, by their ids."""
    found = {lot.pk: lot for lot in lots}
    newest = list(found)
    while newest:
        parts = Lot.objects.filter(parent__in=newest, withdrawn=False).exclude(pk__in=list(found))
        newest = [part.pk for part in parts.select_related("job", "bag")]
        found |= {part.pk: part for part in parts}
    return found


def _asked_of(lot: Lot) -> Treatment | None:
    """Return the treatment that should have given the lot its finish; none where none did."""
    asked = treatment(lot.treatment_done) if lot.treatment_done else None
    return asked if asked is not None and asked.process is not None else None


def _beside_what_was_asked(entry: Entry, lot: Lot, reason: str) -> Discrepancy | None:
    """Open a discrepancy where another finish came; close one that was opened by mistake."""
    asked, line = _asked_of(lot), _line_of(lot)
    if asked is None or line is None:
        return None
    rows = Discrepancy.objects.select_for_update().filter(
        lot=lot, kind="finish", consignment=line.consignment, withdrawn=False, closed_at__isnull=True
    )
    row = rows.order_by("-pk").first()
    if line.lot_id == lot.pk:
        entry.change(
            line,
            finish_received_process=lot.finish_received_process,
            finish_received_look=lot.finish_received_look,
        )
    if is_as_asked(lot):
        if row is not None:
            entry.change(row, closed_at=entry.at, closed_reason=reason, outcome="accepted")
            close_when_done(entry, line.consignment)
        return None
    assert asked.process is not None
    count = count_of(lot).usable
    came = process_said(lot.finish_received_process)
    said = (
        f"{sort_of(lot).said(count)} of lot {lot.number}: {came} came; {asked.label} was asked. "
        f"How it is known: {reason}"
    )[:300]
    if row is not None:
        entry.change(row, said=said, count=count)
        return row
    row = entry.create(
        Discrepancy(
            consignment=line.consignment,
            line=line,
            lot=lot,
            job=lot.job,
            kind="finish",
            count=count,
            said=said,
            opened_at=entry.at,
        )
    )
    close_when_done(entry, line.consignment)
    return row


def _line_of(lot: Lot) -> ConsignmentLine | None:
    """Return the line on which the pieces went for the finish they wear: theirs, or their parent's."""
    at: Lot | None = lot
    while at is not None:
        lines = ConsignmentLine.objects.filter(
            lot=at, withdrawn=False, treatment=lot.treatment_done, back_count__gt=0
        )
        line = lines.select_related("consignment").order_by("-pk").first()
        if line is not None:
            return line
        at = at.parent
    return None
