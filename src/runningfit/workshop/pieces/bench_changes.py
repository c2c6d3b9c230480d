"""What an edited bench list changes in the books, row by row; nothing is written here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from django.db.models import Q

from runningfit.core.errors import Conflict
from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.pieces.understood import UnderstoodRow
from runningfit.workshop.pieces.bench_intake import live_rows
from runningfit.workshop.pieces.bench_lists import COUNTED, SETTLED
from runningfit.workshop.pieces.bench_rows import understood_of
from runningfit.workshop.pieces.ledger import CUSTODY_WORDS, Counts, counts_of
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.pieces.models import CUSTODIES, BenchList, BenchRow, Lot
from runningfit.workshop.pieces.understanding import facts_of
from runningfit.workshop.records.models import Record

# What a row says of its lots beside their counts: a word for it, and the fields of the lot that hold it.
FACETS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("kind", ("kind", "kind_said")),
    ("thread", ("end_a", "end_b", "size_said")),
    ("length", ("length_mm", "length_nominal", "length_typed", "length_basis")),
    ("finish", ("finish_look", "finish_process")),
    ("condition", ("condition",)),
    ("remarks", ("remarks",)),
    ("area", ("area",)),
    ("bag", ("bag",)),
)


class What(StrEnum):
    """What became of a row in the edited list."""

    SAME = "same"
    CHANGED = "changed"
    ADDED = "added"
    WAITING = "waiting"
    GONE = "gone"
    SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class FacetChange:
    """One thing that the list says otherwise; ``now`` is what the books say where a hand changed it."""

    name: str
    old: str
    new: str
    now: str = ""


@dataclass(frozen=True, slots=True)
class CountStep:
    """A change of one count of a row: of the good pieces, or of those with one defect."""

    old_defect: str | None
    new_defect: str | None
    target: int
    booked: int
    lots: tuple[Lot, ...]

    @property
    def difference(self) -> int:
        """Return how many more the edited list has than the books."""
        return self.target - self.booked


@dataclass(frozen=True, slots=True)
class RowChange:
    """One row of the edited list, or one that it has no more, and what that changes.

    Parameters
    ----------
    row : BenchRow
        The row of the edited list; of the earlier one for a row that is gone.
    blocked : str
        Why it cannot be applied as things are; empty when it can.
    """

    row: BenchRow
    what: What
    facets: tuple[FacetChange, ...] = ()
    counts: tuple[CountStep, ...] = ()
    lots: tuple[Lot, ...] = ()
    blocked: str = ""
    count_by_hand: bool = False
    pieces: int = 0
    now: UnderstoodRow | None = field(default=None, compare=False)

    @property
    def by_hand(self) -> bool:
        """Return whether somebody changed the lots by hand since the earlier list."""
        return self.count_by_hand or any(facet.now for facet in self.facets)


@dataclass(frozen=True, slots=True)
class ListChanges:
    """What an edited list changes in all; rows that are the same are only counted."""

    same: int
    settled: int
    changed: tuple[RowChange, ...]
    added: tuple[RowChange, ...]
    waiting: tuple[RowChange, ...]
    gone: tuple[RowChange, ...]

    @property
    def open(self) -> int:
        """Return how many rows can still be applied or decided about."""
        return len(self.changed) + len(self.added) + len(self.gone)


def changes_of(bench_list: BenchList) -> ListChanges:
    """Return what an edited list changes; nothing is written.

    Raises
    ------
    Conflict
        The list is no edited one.
    """
    if bench_list.supersedes is None:
        raise Conflict("This list edits no earlier one: accept it as it is.")
    rows = list(bench_list.rows.exclude(fate="aside").select_related("earlier").order_by("row"))
    settled = _ids(bench_list, SETTLED)
    counted = _ids(bench_list, COUNTED)
    sorted_out: dict[What, list[BenchRow]] = {what: [] for what in What}
    bases: dict[int, BenchRow] = {}
    for row in rows:
        what, base = _sort(row, settled, counted)
        sorted_out[what].append(row)
        if base is not None:
            bases[row.pk] = base
    books = _Books(sorted_out[What.CHANGED])
    gone = _gone_rows(bench_list)
    gone_books = _Books(gone)
    return ListChanges(
        same=len(sorted_out[What.SAME]),
        settled=len(sorted_out[What.SETTLED]),
        changed=tuple(_changed(row, bases[row.pk], books) for row in sorted_out[What.CHANGED]),
        added=tuple(RowChange(row, What.ADDED, pieces=row.pieces or 0) for row in sorted_out[What.ADDED]),
        waiting=tuple(RowChange(row, What.WAITING) for row in sorted_out[What.WAITING]),
        gone=tuple(_gone(row, gone_books) for row in gone),
    )


class _Books:
    """The lots of many rows with what was split off them, and their counts, read at once."""

    def __init__(self, rows: Sequence[BenchRow]) -> None:
        through = BenchRow.lots.through.objects.filter(benchrow_id__in=[row.pk for row in rows])
        direct = through.values_list("benchrow_id", "lot_id")
        wanted = {lot_id for _row, lot_id in direct}
        lots = {lot.pk: lot for lot in _lots(pk__in=wanted)}
        self._direct: dict[int, list[Lot]] = {row.pk: [] for row in rows}
        for row_id, lot_id in direct:
            if lot_id in lots:
                self._direct[row_id].append(lots[lot_id])
        self._splits: dict[int, list[Lot]] = {}
        layer = set(lots)
        while layer:
            found = [lot for lot in _lots(parent__in=layer) if lot.pk not in lots]
            for lot in found:
                self._splits.setdefault(lot.parent_id or 0, []).append(lot)
            lots |= {lot.pk: lot for lot in found}
            layer = {lot.pk for lot in found}
        self._counts = counts_of(list(lots.values()))

    def families(self, row: BenchRow) -> list[tuple[Lot, ...]]:
        """Return the lots of a row, each with what was split off it."""
        return [tuple(self._family(lot)) for lot in sorted(self._direct[row.pk], key=lambda lot: lot.number)]

    def counts(self, lots: Sequence[Lot]) -> Counts:
        """Return the counts of some lots together."""
        kept = [self._counts[lot.pk] for lot in lots]
        names = (*CUSTODIES, "found", "bought", "received_over")
        return Counts(**{name: sum(getattr(one, name) for one in kept) for name in names})

    def _family(self, lot: Lot) -> list[Lot]:
        return [lot, *(found for split in self._splits.get(lot.pk, []) for found in self._family(split))]


def _lots(**where: object) -> list[Lot]:
    found = Lot.objects.filter(withdrawn=False, **where).select_related("area", "bag", "job")
    return list(found)


def _ids(bench_list: BenchList, where: Q) -> set[int]:
    return set(bench_list.rows.filter(where).values_list("pk", flat=True))


def _sort(row: BenchRow, settled: set[int], counted: set[int]) -> tuple[What, BenchRow | None]:
    if row.pk in settled or (row.pk in counted and row.earlier is None):
        return What.SETTLED, None
    if row.pk not in counted:
        return (What.ADDED if row.pieces is not None else What.WAITING), None
    base = _base(row)
    return (What.SAME if _says(row) == _says(base) else What.CHANGED), base


def _base(row: BenchRow) -> BenchRow:
    """Return the earlier row whose word is in the books: a change that was left open never got there."""
    earlier = row.earlier
    while earlier is not None and earlier.earlier is not None and not _stands(earlier.settled_by):
        earlier = earlier.earlier
    return earlier or row


def _stands(record: Record | None) -> bool:
    return record is not None and not Record.objects.filter(reverses=record).exists()


def _says(row: BenchRow) -> dict[str, object]:
    """Return what a row says of pieces, without how it was typed."""
    left_out = ("typed", "questions", "problems", "size_mm")
    return {name: value for name, value in row.understood.items() if name not in left_out}


def _changed(row: BenchRow, base: BenchRow, books: _Books) -> RowChange:
    now, before = understood_of(row), understood_of(base)
    families = books.families(row)
    lots = tuple(lot for family in families for lot in family)
    facets = tuple(_facets(before, now, lots))
    if now.count is None:
        blocked = "How many there are cannot be read any more: correct the row."
        return RowChange(row, What.CHANGED, facets, (), lots, blocked, now=now)
    try:
        counts, by_hand = _counts(before, now, families, books)
        blocked = "; ".join(filter(None, (_blocked(step, books) for step in counts)))
    except Conflict as error:
        counts, by_hand, blocked = (), True, str(error)
    return RowChange(row, What.CHANGED, facets, counts, lots, blocked, by_hand, now.count, now)


def _facets(before: UnderstoodRow, now: UnderstoodRow, lots: Sequence[Lot]) -> list[FacetChange]:
    """Return what the list says otherwise, with what the books say where that is neither of the two."""
    old_facts = facts_of(before)[0] if before.count is not None else [LotFacts(count=1)]
    new_facts = facts_of(now)[0] if now.count is not None else old_facts
    found: list[FacetChange] = []
    for name, fields in FACETS:
        of_row = name in ("area", "bag")
        # The good pieces and those with a defect differ in what is said of their condition alone.
        old = [_word(before, name)] if of_row else [_words(fact, fields) for fact in old_facts]
        new = [_word(now, name)] if of_row else [_words(fact, fields) for fact in new_facts]
        if set(old) == set(new):
            continue
        booked = {lot: _word(lot, name) if of_row else _words(lot, fields) for lot in lots}
        strange = [_shown(name, lot) for lot, words in booked.items() if words not in (*old, *new)]
        by_row = of_row or name == "condition"
        told = (before, now) if by_row else (old_facts[0], new_facts[0])
        shown = [_shown(name, one) for one in told]
        found.append(FacetChange(name, shown[0], shown[1], ", ".join(dict.fromkeys(strange))))
    return found


def _word(holder: UnderstoodRow | Lot, name: str) -> tuple[object, ...]:
    """Return an area or a bag in the form in which two are compared."""
    return ("".join(str(getattr(holder, name) or "").split()).casefold(),)


def _words(holder: LotFacts | Lot, fields: Sequence[str]) -> tuple[object, ...]:
    return tuple(_value(holder, name) for name in fields)


def _value(holder: LotFacts | Lot, name: str) -> object:
    value = getattr(holder, name)
    return "|".join(value) if isinstance(value, tuple) else value


def _shown(name: str, holder: UnderstoodRow | LotFacts | Lot) -> str:
    """Return one thing that a row or a lot says, in words."""
    if isinstance(holder, UnderstoodRow):
        return str(getattr(holder, name))
    if name == "kind":
        return holder.kind_said if holder.kind == "other" else label(Kind(holder.kind), 1).removeprefix("1 ")
    if name == "thread":
        ends = [str(_value(holder, end)).replace("|", " or ") for end in ("end_a", "end_b")]
        return " / ".join(end for end in ends if end) or holder.size_said or "not known"
    if name == "length":
        return holder.length_nominal or holder.length_typed or "not known"
    if name == "finish":
        return " ".join(part for part in (holder.finish_look, holder.finish_process) if part)
    return str(getattr(holder, name) or "")


def _counts(
    before: UnderstoodRow, now: UnderstoodRow, families: Sequence[tuple[Lot, ...]], books: _Books
) -> tuple[tuple[CountStep, ...], bool]:
    """Pair the counts of a row, good and defective, as they were and as they are said."""
    old = {fact.defect: fact.count for fact in facts_of(before)[0]}
    new = {fact.defect: fact.count for fact in facts_of(now)[0]}
    if old == new:
        return (), False
    lots = {family[0].defect: family for family in families}
    if len(lots) < len(families) or set(lots) != set(old):
        raise Conflict("its pieces were told apart or joined by hand since: change its lots by hand")
    only_old = [defect for defect in old if defect not in new]
    only_new = [defect for defect in new if defect not in old]
    renamed = dict(zip(only_old, only_new, strict=False))
    steps: list[CountStep] = []
    for defect in old:
        kept_as = defect if defect in new else renamed.get(defect)
        target = 0 if kept_as is None else new[kept_as]
        booked = books.counts(lots[defect]).total
        steps.append(CountStep(defect, kept_as, target, booked, lots[defect]))
    for defect in only_new:
        if defect not in renamed.values():
            steps.append(CountStep(None, defect, new[defect], 0, ()))
    by_hand = any(step.old_defect is not None and step.booked != old[step.old_defect] for step in steps)
    return tuple(steps), by_hand


def _blocked(step: CountStep, books: _Books) -> str:
    if step.difference >= 0:
        return ""
    counts = books.counts(step.lots)
    if counts.bench >= -step.difference:
        return ""
    elsewhere = [
        f"{getattr(counts, custody)} {'is' if getattr(counts, custody) == 1 else 'are'} {words}"
        for custody, words in CUSTODY_WORDS.items()
        if custody != "bench" and getattr(counts, custody)
    ]
    return f"{-step.difference} fewer cannot be applied: {counts.bench} on the bench, {', '.join(elsewhere)}"


def _gone_rows(bench_list: BenchList) -> list[BenchRow]:
    """Return the counted rows that the edited list has no more and nobody has decided about."""
    if bench_list.supersedes is None:
        return []
    live = [row.pk for row in live_rows(bench_list.supersedes)]
    decided = BenchRow.objects.filter(gone_by__isnull=False, gone_by__reversed_by__isnull=True)
    return list(
        BenchRow.objects.filter(COUNTED, pk__in=live)
        .exclude(pk__in=bench_list.rows.filter(earlier__isnull=False).values("earlier"))
        .exclude(pk__in=decided.values("pk"))
        .order_by("row")
    )


def _gone(row: BenchRow, books: _Books) -> RowChange:
    lots = tuple(lot for family in books.families(row) for lot in family)
    counts = books.counts(lots)
    away = [
        f"{getattr(counts, custody)} {words}"
        for custody, words in CUSTODY_WORDS.items()
        if custody != "bench" and getattr(counts, custody)
    ]
    blocked = f"They cannot be taken out: {', '.join(away)}" if away else ""
    return RowChange(row, What.GONE, lots=lots, blocked=blocked, pieces=counts.total)
