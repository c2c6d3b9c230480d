"""Verbs of bench lists once read in: correct their rows, set them aside, accept them into the books."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.pieces.understood import Meaning
from runningfit.workshop.pieces import bench_rows
from runningfit.workshop.pieces.models import BenchList, BenchRow, Lot
from runningfit.workshop.pieces.understanding import keep_understood_lots
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.plain_insert import insert_plainly
from runningfit.workshop.records.writing import Entry, Hand, write

COUNTED = Q(counted_by__isnull=False, counted_by__reversed_by__isnull=True)
SETTLED = Q(settled_by__isnull=False, settled_by__reversed_by__isnull=True)
TO_COUNT = ~COUNTED & ~Q(fate="aside") & Q(pieces__isnull=False)
# A row of an edited list stays open to correction until its change is in the books.
_CLOSED = SETTLED | (COUNTED & Q(earlier__isnull=True))
_AS_IN_THE_FILE = ("typed", "marks", "corrected")


@dataclass(frozen=True, slots=True)
class Accepted:
    """What an acceptance brought into the books."""

    rows: int
    pieces: int
    lots: int


def correct_row(*, row: BenchRow, texts: Mapping[Meaning, str], hand: Hand) -> BenchRow:
    """Correct cells of a row and understand it again; what the file said is kept beside it.

    Parameters
    ----------
    texts : mapping of Meaning to str
        What is to be read instead; a text as in the file takes a correction away.

    Raises
    ------
    InvalidInput
        A text is too long, or nothing is left.
    Conflict
        The row is counted already: then the lot is changed.
    """
    with write(
        verb="correct_bench_row", summary="corrected a row", hand=hand, job=row.bench_list.job
    ) as entry:
        row = _open_row(row)
        bench_list = row.bench_list
        corrected = bench_rows.corrections(bench_list, row, texts)
        understood = bench_rows.understood_again(bench_list, row, corrected)
        entry.change(row, corrected=corrected, **bench_rows.reading_of(understood))
        entry.refer(bench_list)
        entry.say(f"corrected row {row.row} of the list {bench_list.name}")
    return row


def choose_thread(*, row: BenchRow, end: int, designation: str, hand: Hand) -> BenchRow:
    """Settle which thread one end of a row has, of those it can be; the other end stays as it is.

    Raises
    ------
    InvalidInput
        It is none of the threads that the row can be.
    """
    understood = bench_rows.understood_of(row)
    if not 0 <= end < len(understood.ends) or designation not in understood.ends[end].candidates:
        raise InvalidInput("thread", needs="one of those the row can be", came=designation)
    said = [
        designation if at == end else one.candidates[0] if len(one.candidates) == 1 else one.typed
        for at, one in enumerate(understood.ends)
    ]
    texts = {Meaning.SIZE: " / ".join(said)}
    columns = bench_rows.columns_restored(row.bench_list.columns)
    for beside in (Meaning.PITCH, Meaning.SERIES):
        if any(column.meaning is beside for column in columns.columns):
            texts[beside] = ""
    return correct_row(row=row, texts=texts, hand=hand)


def set_aside(*, row: BenchRow, hand: Hand) -> BenchRow:
    """Set a row aside with a reason: it is kept in the list and not counted.

    Raises
    ------
    InvalidInput
        No reason was given.
    """
    if not hand.why.strip():
        raise InvalidInput(
            "why", needs="a reason for setting the row aside", came="", remedy="A few words do."
        )
    with write(verb="set_row_aside", summary="set a row aside", hand=hand, job=row.bench_list.job) as entry:
        row = _open_row(row)
        entry.change(row, fate="aside", said=hand.why.strip()[:300])
        entry.say(f"set row {row.row} of the list {row.bench_list.name} aside")
    return row


def bring_back(*, row: BenchRow, hand: Hand) -> BenchRow:
    """Take a row that was set aside back into its list."""
    with write(
        verb="bring_row_back", summary="brought a row back", hand=hand, job=row.bench_list.job
    ) as entry:
        row = _open_row(row)
        entry.change(row, fate="", said="")
        entry.say(f"brought row {row.row} of the list {row.bench_list.name} back")
    return row


def accept(
    *, bench_list: BenchList, hand: Hand, origin: Engine | None = None, expected_pieces: int | None = None
) -> Accepted:
    """Bring every row that can be counted into the books, all in one record; the others wait in the list.

    Parameters
    ----------
    origin : Engine or None
        The engine that all of it came off; None where that is not known. The list remembers it for the rows
        that are still to come.
    expected_pieces : int or None
        What the page said would be counted; if the list says otherwise by now, nothing is done.

    Raises
    ------
    Conflict
        Nothing is left to count, the list was put aside or superseded, or it was changed meanwhile.
    """
    with write(verb="accept_bench_list", summary="accepted a list", hand=hand, job=bench_list.job) as entry:
        bench_list = draft(bench_list)
        if bench_list.supersedes is not None:
            raise Conflict(
                f"This list edits {bench_list.supersedes.name}, whose rows are counted: look at the changes."
            )
        if origin is not None and origin.job_id != bench_list.job_id:
            raise InvalidInput("origin", needs="an engine of this job", came=origin.name)
        rows = list(bench_list.rows.filter(TO_COUNT).defer(*_AS_IN_THE_FILE).order_by("row"))
        if not rows:
            raise Conflict("Every row that can be counted is counted already; nothing was counted twice.")
        pieces = sum(row.pieces or 0 for row in rows)
        if expected_pieces is not None and pieces != expected_pieces:
            raise Conflict(
                f"The list was changed meanwhile: it has {pieces} pieces, not {expected_pieces}. Look again."
            )
        entry.change(bench_list, origin=origin, accepted_at=bench_list.accepted_at or entry.at)
        entry.refer(bench_list)
        lots = count_rows(entry, bench_list, rows)
        off = f", off {origin.name}" if origin is not None else ""
        entry.say(
            f"accepted {len(rows)} rows of the list {bench_list.name}{off}: {pieces} pieces in {lots} lots"
        )
    return Accepted(len(rows), pieces, lots)


def count_rows(entry: Entry, bench_list: BenchList, rows: Sequence[BenchRow]) -> int:
    """Keep the lots of rows inside an open record and bind them to their rows; returns how many lots."""
    made = keep_understood_lots(
        entry,
        job=bench_list.job,
        understood=[bench_rows.understood_of(row) for row in rows],
        origin=bench_list.origin,
    )
    tie(
        [(row, lot) for row, lots in zip(rows, made, strict=True) for lot in lots],
    )
    BenchRow.objects.filter(pk__in=[row.pk for row in rows]).update(counted_by=entry.record)
    return sum(len(lots) for lots in made)


def tie(pairs: Sequence[tuple[BenchRow, Lot]]) -> None:
    """Remember which lots came of which rows."""
    insert_plainly(BenchRow.lots.through, ("benchrow_id", "lot_id"), [(row.pk, lot.pk) for row, lot in pairs])


def put_aside(*, bench_list: BenchList, aside: bool, hand: Hand) -> BenchList:
    """Put a draft aside, or take it back; what is counted of it stays counted."""
    act = "put aside" if aside else "took back"
    with write(
        verb="put_list_aside", summary=f"{act} the list {bench_list.name}", hand=hand, job=bench_list.job
    ) as entry:
        bench_list = BenchList.objects.select_for_update().get(pk=bench_list.pk)
        return entry.change(bench_list, put_aside=aside)


def list_by_id(job: Job, list_id: int) -> BenchList:
    """Return a list of a job, or raise NotFound saying so."""
    found = BenchList.objects.select_related("job", "supersedes").filter(job=job, pk=list_id, withdrawn=False)
    bench_list = found.first()
    if bench_list is None:
        raise NotFound("That list is not in this job, or it was read anew with other columns since.")
    return bench_list


def lists_of(job: Job) -> QuerySet[BenchList]:
    """Return the lists of a job, the newest first."""
    return BenchList.objects.filter(job=job, withdrawn=False).select_related("supersedes").order_by("-pk")


def newer_list(bench_list: BenchList) -> BenchList | None:
    """Return the list that takes the place of this one, if there is one."""
    return bench_list.newer_lists.filter(withdrawn=False, put_aside=False).order_by("-pk").first()


def draft(bench_list: BenchList) -> BenchList:
    """Hold a list until the transaction ends; one that was put aside or superseded takes no more acts.

    Raises
    ------
    Conflict
        It takes no more acts; the message says why.
    """
    held = BenchList.objects.select_for_update(of=("self",)).select_related("job", "supersedes", "origin")
    now = held.get(pk=bench_list.pk)
    if now.withdrawn:
        raise Conflict("This list was read anew with other columns meanwhile.")
    if now.put_aside:
        raise Conflict("This list was put aside. Take it back first.")
    newer = newer_list(now)
    if newer is not None:
        raise Conflict(f"A newer version of this list was read in: {newer.name}. Go on there.")
    return now


def _open_row(row: BenchRow) -> BenchRow:
    held = BenchRow.objects.select_for_update(of=("self",)).select_related("bench_list__job")
    now = held.get(pk=row.pk)
    draft(now.bench_list)
    if BenchRow.objects.filter(_CLOSED, pk=now.pk).exists():
        raise Conflict(f"Row {now.row} is counted already. Change its lot instead.")
    return now
