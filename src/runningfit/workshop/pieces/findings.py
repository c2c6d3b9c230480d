"""Findings: what was met as the engine came apart, what was tried, and when it is settled."""

from __future__ import annotations

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.pieces.ledger import count_of, need_count
from runningfit.workshop.pieces.lots import split_off
from runningfit.workshop.pieces.models import Area, Finding, Lot, Place
from runningfit.workshop.pieces.threads import mark_defective, mark_place_defective
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Entry, Hand, write

WHAT_WORDS = dict(Finding.KINDS)
# These part the pieces they befell from the rest of their lot, since their fates differ from here on.
_PARTING = ("broken", "cracked")


def record_finding(
    *,
    job: Job,
    what: str,
    hand: Hand,
    area: Area | None = None,
    place: Place | None = None,
    lot: Lot | None = None,
    count: int | None = None,
    tried: str = "",
    note: str = "",
) -> Finding:
    """Record a finding of an area, a place or a lot.

    A defective thread marks its mate not proven; broken, cracked, defective pieces are split off their lot.

    Parameters
    ----------
    what : str
        stuck, broken, seized, cracked, contaminated, missing, altered or thread_defective.
    count : int or None
        How many pieces or holes; None where that was not counted, or all.
    tried : str
        What was tried.

    Raises
    ------
    InvalidInput
        It is none of those findings, nothing is said of where or what, or there are not that many pieces.
    """
    if what not in WHAT_WORDS:
        raise InvalidInput("what", needs=f"one of {', '.join(WHAT_WORDS.values())}", came=what)
    if area is None and place is None and lot is None and not note.strip():
        raise InvalidInput(
            "note", needs="where or what it is", came="", remedy="Choose an area, or say it in words."
        )
    if any(row is not None and row_job != job.pk for row, row_job in _jobs_of(area, place, lot)):
        raise Conflict("A finding, its area, its place and its lot belong to one job.")
    if count is not None:
        need_count(count)
        _need_that_many(count, place, lot)
    with write(verb="record_finding", summary=f"finding: {WHAT_WORDS[what]}", hand=hand, job=job) as entry:
        lot, doubted = _consequences(entry, what, place, lot, count)
        place = place or (lot.place if lot else None)
        found_in = area or (lot.area if lot else None) or (place.area if place else None)
        finding = entry.create(
            Finding(
                job=job,
                area=found_in,
                place=place,
                lot=lot,
                what=what,
                count=count,
                tried=tried.strip(),
                note=note.strip(),
                at=entry.at,
            )
        )
        for row in (found_in, place, lot):
            entry.refer(row)
        where = (
            f"lot {lot.number}"
            if lot
            else place.name
            if place
            else found_in.name
            if found_in
            else note.strip()
        )
        said = f"finding: {WHAT_WORDS[what]}, {f'{count} of ' if count else ''}{where}"
        entry.say(said + (f"; not proven by it: {', '.join(doubted)}" if doubted else ""))
    return finding


def settle_finding(*, finding: Finding, hand: Hand) -> Finding:
    """Settle a finding; why says what became of it.

    Raises
    ------
    InvalidInput
        It is not said what became of it.
    """
    if not hand.why.strip():
        raise InvalidInput(
            "why", needs="what became of it", came="", remedy="Such as: drilled out, thread is whole."
        )
    with write(
        verb="settle_finding", summary=f"settled: {WHAT_WORDS[finding.what]}", hand=hand, job=finding.job
    ) as entry:
        return entry.change(finding, settled=True)


def _consequences(
    entry: Entry, what: str, place: Place | None, lot: Lot | None, count: int | None
) -> tuple[Lot | None, list[str]]:
    if what == "thread_defective" and lot is not None:
        return mark_defective(entry, lot, count=count)
    if what == "thread_defective" and place is not None:
        return None, mark_place_defective(entry, place)
    if what in _PARTING and lot is not None:
        if count is not None and count < count_of(lot).usable:
            return split_off(entry, lot, count=count, defect=WHAT_WORDS[what]), []
        return entry.change(lot, defect=lot.defect or WHAT_WORDS[what]), []
    return lot, []


def _jobs_of(area: Area | None, place: Place | None, lot: Lot | None) -> list[tuple[object, int | None]]:
    return [
        (area, area.job_id if area else None),
        (place, place.area.job_id if place else None),
        (lot, lot.job_id if lot else None),
    ]


def _need_that_many(count: int, place: Place | None, lot: Lot | None) -> None:
    there = count_of(lot).usable if lot is not None else place.count if place is not None else count
    if count > there:
        name = f"lot {lot.number}" if lot is not None else f"'{place}'"
        raise InvalidInput("count", needs=f"at most {there}, as many as {name} has", came=count)
