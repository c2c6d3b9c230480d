"""Reading bench lists in: what a file is (new, the same, an edited one), and its columns read otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePath

from django.db.models import Q

from runningfit.core.errors import Conflict
from runningfit.core.pieces import bench_list as core_list
from runningfit.core.pieces.bench_list import ColumnMap, RowChanges, compare
from runningfit.core.pieces.understood import UnderstoodRow
from runningfit.workshop.pieces import bench_rows
from runningfit.workshop.pieces.bench_files import checksum, keep_file, kept_bytes
from runningfit.workshop.pieces.bench_lists import COUNTED, SETTLED, draft, lists_of, newer_list
from runningfit.workshop.pieces.models import BenchList, BenchRow, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.plain_insert import insert_objects, insert_plainly
from runningfit.workshop.records.writing import Entry, Hand, write

# From this share of its rows known, a file is taken for an edited list; that is shown, and can be denied.
SAME_LIST_SHARE = 0.5
_LISTS_LOOKED_AT = 20
_SKIPPED_SHOWN = 200


class News(StrEnum):
    """What a file that was sent turned out to be."""

    NEW = "new"
    SAME_FILE = "same_file"
    SAME_ROWS = "same_rows"
    EDITED = "edited"


@dataclass(frozen=True, slots=True)
class TakenIn:
    """The list that a file became, or was already."""

    bench_list: BenchList
    news: News


@dataclass(frozen=True, slots=True)
class _Before:
    """A list read in before that a file is an edited version of, its rows, and what the file changes."""

    bench_list: BenchList
    rows: dict[int, BenchRow]
    changes: RowChanges


def take_in(*, job: Job, name: str, data: bytes, hand: Hand) -> TakenIn:
    """Read a bench list in as a draft: the file is kept, every row is understood, nothing is counted.

    Parameters
    ----------
    name : str
        The file's name.
    data : bytes
        The whole file.

    Returns
    -------
    TakenIn
        The same file, or one with the very same rows, changes nothing and leads to the list that is there. A
        file that edits a list already counted becomes a draft that supersedes it.

    Raises
    ------
    InvalidInput
        The file is no bench list that can be read.
    DataFolderError
        It could not be kept.
    Conflict
        Somebody else read a version of it in at the same moment.
    """
    name = (PurePath(name.replace("\\", "/")).name or "list")[-200:]
    known = _same_file(job, data)
    if known is not None:
        return TakenIn(known, News.SAME_FILE)
    read = core_list.read_bench_list(data, filename=name)
    before = _list_before(job, name, read.rows)
    if before is not None and _nothing_new(before):
        return TakenIn(before.bench_list, News.SAME_ROWS)
    kept_as = keep_file(data, name=name)
    with write(verb="read_bench_list", summary=f"read in the list {name}", hand=hand, job=job) as entry:
        if _same_file(job, data) is not None or (before and newer_list(before.bench_list)):
            raise Conflict("Somebody else read a version of this list in at the same moment. Send it again.")
        superseded = _superseded(entry, before.bench_list) if before is not None else None
        made = entry.create(
            BenchList(
                job=job,
                name=name,
                sha256=checksum(data),
                stored_as=kept_as,
                columns=_columns(read),
                supersedes=superseded,
                origin=superseded.origin if superseded is not None else None,
            )
        )
        entry.refer(superseded)
        rows = _rows_of(made, read)
        if before is not None:
            by_line = {row.row: row for row in rows}
            for pair in before.changes.same:
                _carry(made, before.rows[pair.old.row], by_line[pair.new.row])
        _store(made, rows, read.rows, before)
        entry.say(f"read in the list {name}: {len(rows)} rows, nothing counted yet")
    return TakenIn(made, News.EDITED if superseded is not None else News.NEW)


def remap(*, bench_list: BenchList, columns: ColumnMap, hand: Hand) -> BenchList:
    """Read the same file with its columns meaning something else; returns the list that takes its place.

    Raises
    ------
    Conflict
        Rows of it are counted already.
    """
    summary = f"read the columns of the list {bench_list.name} otherwise"
    with write(verb="remap_bench_list", summary=summary, hand=hand, job=bench_list.job) as entry:
        return _read_again(entry, draft(bench_list), columns=columns, own=False)


def another_list(*, bench_list: BenchList, hand: Hand) -> BenchList:
    """Say that a list is no edited version of the one it was taken for; returns the list in its place.

    Raises
    ------
    Conflict
        Changes of it are in the books already.
    """
    summary = f"the list {bench_list.name} is one of its own"
    with write(verb="another_list", summary=summary, hand=hand, job=bench_list.job) as entry:
        bench_list = draft(bench_list)
        columns = bench_rows.columns_restored(bench_list.columns)
        return _read_again(entry, bench_list, columns=columns, own=True)


def live_rows(bench_list: BenchList) -> list[BenchRow]:
    """Return the rows of a list, and those of the lists it supersedes whose pieces are still in the books.

    A row that an edited list has no more stays among them while its pieces do, so that a later list which has
    it again finds it and counts nothing twice.
    """
    rows = list(bench_list.rows.order_by("row"))
    newer, older = bench_list, bench_list.supersedes
    while older is not None:
        taken = newer.rows.filter(earlier__bench_list=older).values("earlier")
        kept = older.rows.filter(COUNTED).exclude(pk__in=taken)
        held = Lot.objects.filter(withdrawn=False, bench_rows__in=kept)
        rows += kept.filter(lots__in=held).distinct().order_by("row")
        newer, older = older, older.supersedes
    return rows


def _read_again(entry: Entry, bench_list: BenchList, *, columns: ColumnMap, own: bool) -> BenchList:
    """Put a list in the place of a draft, from the same file; corrections by hand go along."""
    if _in_the_books(bench_list):
        raise Conflict("Rows of this list are in the books already: correct them one by one.")
    data = kept_bytes(bench_list.stored_as)
    read = core_list.read_bench_list(data, filename=bench_list.name, column_map=columns)
    made = entry.create(
        BenchList(
            job=bench_list.job,
            name=bench_list.name,
            sha256=bench_list.sha256,
            stored_as=bench_list.stored_as,
            columns=_columns(read),
            supersedes=None if own else bench_list.supersedes,
            origin=None if own else bench_list.origin,
        )
    )
    entry.change(bench_list, withdrawn=True)
    touched = {row.row: row for row in bench_list.rows.exclude(corrected={}, fate="")}
    rows = _rows_of(made, read)
    for row in rows:
        if row.row in touched:
            _carry(made, touched[row.row], row)
    _store(made, rows, read.rows, None)
    return made


def _store(
    made: BenchList, rows: list[BenchRow], understood: Sequence[UnderstoodRow], before: _Before | None
) -> None:
    """Store the rows of a list; those of a superseded list whose place they take lend them their lots."""
    earlier: dict[int, BenchRow] = {}
    if made.supersedes is not None:
        if before is None or before.bench_list != made.supersedes:
            before = _compared(made.supersedes, understood)
        same = [(pair.new.row, pair.old.row) for pair in before.changes.same]
        changed = [(pair.new.row, pair.old.row) for pair in before.changes.changed]
        earlier = {line: before.rows[row_id] for line, row_id in same + changed}
        counted = set(
            BenchRow.objects.filter(COUNTED, pk__in=[row.pk for row in earlier.values()]).values_list(
                "pk", flat=True
            )
        )
        for row in rows:
            if row.row in earlier:
                row.earlier = earlier[row.row]
                row.counted_by_id = row.earlier.counted_by_id if row.earlier.pk in counted else None
    insert_objects(rows)
    by_earlier = {row.earlier_id: row.pk for row in rows if row.earlier_id is not None}
    if by_earlier:
        through = BenchRow.lots.through
        lent = through.objects.filter(benchrow_id__in=by_earlier).values_list("benchrow_id", "lot_id")
        insert_plainly(
            through, ("benchrow_id", "lot_id"), [(by_earlier[row_id], lot_id) for row_id, lot_id in lent]
        )


def _same_file(job: Job, data: bytes) -> BenchList | None:
    return lists_of(job).filter(sha256=checksum(data)).first()


def _columns(read: core_list.BenchList) -> dict[str, object]:
    skipped = [one for one in read.skipped if one.reason != "blank"]
    return {
        **bench_rows.columns_stored(read.column_map),
        "notes": list(read.table.notes),
        "skipped": [[one.row, one.reason, one.text[:200]] for one in skipped[:_SKIPPED_SHOWN]],
        "sheet": read.table.sheet,
    }


def _rows_of(bench_list: BenchList, read: core_list.BenchList) -> list[BenchRow]:
    lines = {line.line_number: line for line in read.table.rows}
    return [bench_rows.new_row(bench_list, lines[row.row], row) for row in read.rows]


def _list_before(job: Job, name: str, rows: Sequence[UnderstoodRow]) -> _Before | None:
    """Find the list of the job that this file is an edited version of, if it is one."""
    lists = [
        one for one in lists_of(job).filter(put_aside=False)[:_LISTS_LOOKED_AT] if newer_list(one) is None
    ]
    mine = Counter(_typed(row) for row in rows)
    shares = [
        (
            one.name == name,
            sum((mine & Counter(_all_typed(one))).values()),
            one,
        )
        for one in lists
    ]
    if not shares:
        return None
    by_name, alike, nearest = max(shares, key=lambda share: (share[0], share[1], share[2].pk))
    if not by_name and alike < SAME_LIST_SHARE * len(rows):
        return None
    before = _compared(nearest, rows)
    known = len(before.changes.same) + len(before.changes.changed)
    return before if known >= SAME_LIST_SHARE * len(rows) else None


def _typed(row: UnderstoodRow) -> frozenset[tuple[str, str]]:
    return frozenset((one.meaning.value, one.text) for one in row.typed)


def _all_typed(bench_list: BenchList) -> Iterator[frozenset[tuple[str, str]]]:
    """Yield what was typed in each row of a list, without restoring all that is understood of it."""
    for row in bench_list.rows.all():
        if row.corrected:
            yield _typed(_as_typed(row))
        else:
            yield frozenset((meaning, text) for meaning, text in row.understood["typed"])


def _as_typed(row: BenchRow) -> UnderstoodRow:
    """Return a row as the file had it, without what was corrected by hand since; its number is its id."""
    if row.corrected:
        plain = bench_rows.understood_again(row.bench_list, row, {})
        return bench_rows.restored(row.pk, bench_rows.stored(plain))
    return bench_rows.restored(row.pk, row.understood)


def _compared(bench_list: BenchList, rows: Sequence[UnderstoodRow]) -> _Before:
    old = live_rows(bench_list)
    changes = compare([_as_typed(row) for row in old], rows)
    return _Before(bench_list, {row.pk: row for row in old}, changes)


def _nothing_new(before: _Before) -> bool:
    """Whether the rows are those of the list before; rows gone from an even earlier one do not count."""
    gone = [row for row in before.changes.gone if before.rows[row.row].bench_list_id == before.bench_list.pk]
    return not (before.changes.changed or before.changes.added or gone)


def _superseded(entry: Entry, before: BenchList) -> BenchList | None:
    """Return the counted list that a new file supersedes; a draft in between is put aside."""
    before = BenchList.objects.select_for_update(of=("self",)).select_related("supersedes").get(pk=before.pk)
    if _in_the_books(before):
        return before
    entry.change(before, put_aside=True)
    return before.supersedes


def _in_the_books(bench_list: BenchList) -> bool:
    """Whether a list was accepted, in whole or in part; rows whose lots are only lent do not count."""
    its_own = SETTLED | Q(COUNTED, earlier=None)
    return bench_list.accepted_at is not None or bench_list.rows.filter(its_own).exists()


def _carry(made: BenchList, earlier: BenchRow, row: BenchRow) -> None:
    """Take over what was corrected by hand, or set aside, in a row that the file has unchanged."""
    if earlier.corrected:
        understood = bench_rows.understood_again(made, row, earlier.corrected)
        row.corrected = earlier.corrected
        bench_rows.take_reading(row, understood)
    if earlier.fate == "aside":
        row.fate, row.said = earlier.fate, earlier.said
