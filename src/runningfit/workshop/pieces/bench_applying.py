"""Bringing an edited bench list into the books, row by row, in one record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.pieces.bench_changes import FACETS, RowChange, changes_of
from runningfit.workshop.pieces.bench_lists import count_rows, draft, tie
from runningfit.workshop.pieces.ledger import counts_of, move
from runningfit.workshop.pieces.lots import LotFacts, change_facts, keep_lots, split_off
from runningfit.workshop.pieces.models import BenchList, BenchRow, Lot
from runningfit.workshop.pieces.understanding import AreasByName, BagsByCode, facts_of
from runningfit.workshop.records.writing import Entry, Hand, write


class Choice(StrEnum):
    """What a person chose for a row: the list's word, or the books as they are."""

    LIST = "list"
    BOOKS = "books"


@dataclass(frozen=True, slots=True)
class Applied:
    """What applying an edited list did, and how many rows it left open."""

    changed: int
    added: int
    kept: int
    taken_out: int
    left_open: int


def need_choice(text: str) -> Choice:
    """Return the choice that a form sent, or say what it needs."""
    if text not in set(Choice):
        raise InvalidInput("choice", needs=f"one of {', '.join(Choice)}", came=text)
    return Choice(text)


def apply_changes(*, bench_list: BenchList, choices: Mapping[int, Choice], hand: Hand) -> Applied:
    """Bring what an edited list changes into the books, all in one record.

    Parameters
    ----------
    choices : mapping of int to Choice
        For rows that need one, by the row's id: rows whose lots were changed by hand since, and rows that are
        gone. Without a choice such a row is left open.

    Raises
    ------
    Conflict
        Nothing could be applied, or the list takes no more acts.
    """
    with write(
        verb="apply_list_changes",
        summary=f"applied the edited list {bench_list.name}",
        hand=hand,
        job=bench_list.job,
    ) as entry:
        bench_list = draft(bench_list)
        changes = changes_of(bench_list)
        done = _Applying(entry, bench_list, choices)
        done.add(changes.added)
        for change in changes.changed:
            done.change(change)
        for change in changes.gone:
            done.let_go(change)
        applied = done.applied()
        if not (applied.changed or applied.added or applied.kept or applied.taken_out) and changes.open:
            raise Conflict(
                "Nothing was applied: choose for the rows that need it, or look why they cannot be."
            )
        if bench_list.accepted_at is None:
            entry.change(bench_list, accepted_at=entry.at)
        entry.refer(bench_list)
        entry.say(
            f"applied the edited list {bench_list.name}: {applied.changed} rows changed, {applied.added} "
            f"added, {applied.taken_out} out, {applied.kept} kept as they stood, {applied.left_open} open"
        )
    return applied


class _Applying:
    """One edited list being applied inside an open record."""

    def __init__(self, entry: Entry, bench_list: BenchList, choices: Mapping[int, Choice]) -> None:
        self._entry = entry
        self._list = bench_list
        self._choices = choices
        self._areas = AreasByName(entry, bench_list.job, bench_list.origin)
        self._bags = BagsByCode(entry, bench_list.job)
        self._changed = self._added = self._kept = self._out = self._open = 0

    def applied(self) -> Applied:
        return Applied(self._changed, self._added, self._kept, self._out, self._open)

    def add(self, added: Sequence[RowChange]) -> None:
        rows = [change.row for change in added]
        if rows:
            count_rows(self._entry, self._list, rows)
            BenchRow.objects.filter(pk__in=[row.pk for row in rows]).update(settled_by=self._entry.record)
        self._added += len(rows)

    def change(self, change: RowChange) -> None:
        choice = self._choices.get(change.row.pk)
        if choice is Choice.BOOKS:
            self._settle(change.row, fate="hand", said="kept as it stands in the books")
            self._kept += 1
        elif change.blocked or (change.by_hand and choice is not Choice.LIST):
            self._open += 1
        else:
            self._change_facets(change)
            self._change_counts(change)
            self._settle(change.row, fate="", said="")
            self._changed += 1

    def let_go(self, change: RowChange) -> None:
        choice = self._choices.get(change.row.pk)
        if choice is None or (choice is Choice.LIST and change.blocked):
            self._open += 1
            return
        if choice is Choice.LIST:
            counts = counts_of(change.lots)
            for lot in change.lots:
                if counts[lot.pk].bench:
                    move(
                        self._entry, lot, count=counts[lot.pk].bench, from_account="bench", to_account="found"
                    )
                self._entry.change(lot, withdrawn=True)
            self._out += 1
        else:
            self._kept += 1
        BenchRow.objects.filter(pk=change.row.pk).update(gone_by=self._entry.record)

    def _settle(self, row: BenchRow, *, fate: str, said: str) -> None:
        BenchRow.objects.filter(pk=row.pk).update(settled_by=self._entry.record, fate=fate, said=said)

    def _change_facets(self, change: RowChange) -> None:
        if change.now is None or not change.facets:
            return
        values: dict[str, object] = {}
        facts = facts_of(change.now)[0]
        by_defect = {fact.defect: fact for fact in facts}
        for facet in change.facets:
            if facet.name == "area":
                values["area"] = self._areas.named(change.now.area)
            elif facet.name == "bag":
                values["bag"] = self._bags.coded(change.now.bag, None)[0]
        said = [
            name
            for facet in change.facets
            for name in dict(FACETS)[facet.name]
            if name not in ("area", "bag")
        ]
        for lot in change.lots:
            fact = by_defect.get(lot.defect, facts[0])
            change_facts(self._entry, lot, **values, **{name: getattr(fact, name) for name in said})

    def _change_counts(self, change: RowChange) -> None:
        """Move pieces between the good and the defective, then correct what was found; all on the bench."""
        if change.now is None:
            return
        facts = {fact.defect: fact for fact in facts_of(change.now)[0]}
        holders: dict[int, Lot] = {}
        for at, step in enumerate(change.counts):
            if step.lots:
                holders[at] = step.lots[0]
                if step.new_defect is not None and step.new_defect != step.old_defect:
                    state = facts[step.new_defect].thread_state
                    change_facts(self._entry, step.lots[0], defect=step.new_defect, thread_state=state)
        lacking = {at: step.difference for at, step in enumerate(change.counts) if step.difference > 0}
        for step in change.counts:
            over = -step.difference
            for lot, held in _on_bench(step.lots):
                while over > 0 and held > 0:
                    taker = next((at for at, wanted in lacking.items() if wanted), None)
                    count = min(over, held, lacking[taker] if taker is not None else over)
                    self._give(change, lot, count, taker, holders, facts)
                    if taker is not None:
                        lacking[taker] -= count
                    over, held = over - count, held - count
        for at, wanted in lacking.items():
            if wanted and at in holders:
                move(self._entry, holders[at], count=wanted, from_account="found", to_account="bench")
            elif wanted:
                self._find(change, wanted, facts[change.counts[at].new_defect or ""])
        for step in change.counts:
            self._withdraw_empty(step.lots)

    def _give(
        self,
        change: RowChange,
        lot: Lot,
        count: int,
        at: int | None,
        holders: dict[int, Lot],
        facts: Mapping[str, LotFacts],
    ) -> None:
        """Give pieces to the count that lacks them, or out of the books where none does."""
        if at is None:
            move(self._entry, lot, count=count, from_account="bench", to_account="found")
        elif at in holders:
            target = holders[at]
            move(self._entry, lot, count=count, from_account="bench", to_account="bench", to_lot=target)
        else:
            fact = facts[change.counts[at].new_defect or ""]
            new = split_off(
                self._entry,
                lot,
                count=count,
                custody="bench",
                defect=fact.defect,
                thread_state=fact.thread_state,
            )
            holders[at] = new
            tie([(change.row, new)])

    def _find(self, change: RowChange, count: int, fact: LotFacts) -> None:
        if change.now is None:
            return
        area = self._areas.named(change.now.area)
        bag, _question = self._bags.coded(change.now.bag, area)
        made = replace(fact, count=count, area=area, bag=bag, origin=self._list.origin)
        lots = keep_lots(self._entry, job=self._list.job, facts=[made])
        tie([(change.row, lot) for lot in lots])

    def _withdraw_empty(self, lots: Sequence[Lot]) -> None:
        counts = counts_of(lots)
        for lot in lots:
            if not counts[lot.pk].total:
                self._entry.change(Lot.objects.get(pk=lot.pk), withdrawn=True)


def _on_bench(lots: Sequence[Lot]) -> list[tuple[Lot, int]]:
    counts = counts_of(lots)
    return [(lot, counts[lot.pk].bench) for lot in lots]
