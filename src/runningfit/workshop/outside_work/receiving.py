"""Keeping a proposal: pieces move home, lots split where fates differ, and differences stay open."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.errors import LedgerRefused
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.plan.count_back import Counted, Proposal
from runningfit.core.plan.count_back import saying as say
from runningfit.workshop.joints.facts import CHANGES_FINISH
from runningfit.workshop.outside_work.expecting import Outside
from runningfit.workshop.outside_work.models import ConsignmentLine, Discrepancy
from runningfit.workshop.outside_work.queries import lots_outside
from runningfit.workshop.outside_work.telling import is_bake_asked
from runningfit.workshop.pieces.done_work import DoneWork, chain_with
from runningfit.workshop.pieces.ledger import count_of, move
from runningfit.workshop.pieces.lots import LotFacts, keep_lots, split_off
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.understanding import is_thread_fault
from runningfit.workshop.records.writing import Entry

# What one batch of pieces has in common: the look and process they came back with, and whether it is damaged.
Batch = tuple[str, str, bool]


class Receiving:
    """One count-back being kept inside an open record."""

    def __init__(
        self,
        entry: Entry,
        outside: Outside,
        counted: Sequence[Counted],
        proposal: Proposal,
        *,
        finished: bool,
        damaged_said: str,
        baked: str = "",
    ) -> None:
        self._entry = entry
        self._outside = outside
        self._expected = outside.by_line
        self._counted = {group.key: group for group in counted}
        self._proposal = proposal
        self._finished = finished
        self._defect = damaged_said[:120] or f"came back damaged, consignment {outside.consignment.number}"
        self._baked = baked
        self._parts: dict[tuple[int, str], Lot] = {}
        self._marked: set[int] = set()

    def receive(self) -> None:
        """Move, split, mark and open everything that the proposal says."""
        self._mark_twins()
        for line in self._outside.lines.values():
            batches = self._batches(line.pk)
            if batches or any(
                abs(one.line) == line.pk and not one.waiting for one in self._expected.values()
            ):
                self._receive_line(line, batches)
        self._mark_unproven()
        self._open_differences()

    def summary(self) -> str:
        """Return what was done, in a few words for the history."""
        back = sum(one.count for one in self._proposal.back)
        words = [f"{back} back"]
        for count, word in (
            (sum(one.count for one in self._proposal.short), "short"),
            (sum(one.count for one in self._proposal.swapped), "swapped"),
            (sum(one.count for one in self._proposal.over), "over"),
            (sum(one.damaged for one in self._proposal.back), "damaged"),
        ):
            if count:
                words.append(f"{count} {word}")
        return ", ".join(words)

    def _batches(self, line_id: int) -> dict[Batch, int]:
        batches: dict[Batch, int] = {}
        for one in self._proposal.back:
            if abs(one.line) != line_id:
                continue
            group = self._counted[one.key]
            look = "" if group.look is FinishLook.UNKNOWN else group.look.value
            for damaged, count in ((False, one.count - one.damaged), (True, one.damaged)):
                if count:
                    batch = (look, group.process, damaged)
                    batches[batch] = batches.get(batch, 0) + count
        return batches

    def _receive_line(self, line: ConsignmentLine, batches: dict[Batch, int]) -> None:
        entry = self._entry
        back = sum(batches.values())
        lots = lots_outside(line)
        in_books = sum(count for _lot, count in lots)
        if back > in_books:
            raise LedgerRefused(
                f"Lot {line.lot.number} has {in_books} outside in the books, {back} were counted back: "
                "somebody moved some by hand. Look at its history and take that back first."
            )
        done = self._finished or back + (line.back_count or 0) + line.lost_count == line.count
        if done and not self._only_waiting(line):
            for lot, _count in lots:
                entry.change(lot, treatment="")
        if batches and not line.back_count and line.treatment in CHANGES_FINISH:
            baked = self._baked if is_bake_asked(line) else ""
            entry.change(line, baked=baked)
            for index, (lot, held) in enumerate(lots):
                work = DoneWork(line.treatment, lot.ordered_steps, baked)
                lots[index] = entry.change(lot, done_chain=chain_with(lot.done_chain, work)), held
        # Sound pieces first and the larger batch first: they keep the lot, the others are split off it.
        for batch, count in sorted(batches.items(), key=lambda item: (item[0][2], -item[1])):
            left = count
            for index, (lot, held) in enumerate(lots):
                part = min(left, held)
                if part:
                    move(entry, lot, count=part, from_account="outside", to_account="bench")
                    self._mark(line, lot, part, batch)
                    lots[index] = (lot, held - part)
                    left -= part
        if back or self._finished:
            look, process = max(batches, key=lambda batch: batches[batch])[:2] if batches else ("", "")
            entry.change(
                line,
                back_count=(line.back_count or 0) + back,
                finish_received_look=look or line.finish_received_look,
                finish_received_process=process or line.finish_received_process,
            )
        came_late = sum(one.count for one in self._proposal.back if one.line == -line.pk)
        if came_late:
            self._came_late(line, came_late)

    def _only_waiting(self, line: ConsignmentLine) -> bool:
        return line.pk not in self._expected

    def _mark(self, line: ConsignmentLine, lot: Lot, count: int, batch: Batch) -> None:
        """Note on the pieces what they came back as; a part that differs becomes a lot of its own."""
        look, process, damaged = batch
        changes = line.treatment in CHANGES_FINISH
        if not process and not changes and look == lot.finish_received_look:
            # What leaves the finish alone leaves standing what was confirmed of it.
            process = lot.finish_received_process
        newly_damaged = damaged and not lot.defect
        # What the lot came back as on an earlier trip says nothing of this one.
        earlier = bool(line.back_count) or lot.pk in self._marked
        settled = (lot.finish_received_look, lot.finish_received_process) if earlier else ("", "")
        self._marked.add(lot.pk)
        others = count_of(lot).usable - count
        differs = newly_damaged or (bool(look) and settled not in ((look, process), ("", "")))
        part = split_off(self._entry, lot, count=count, custody="bench") if differs and others else lot
        if changes:
            self._entry.change(part, treatment_done=line.treatment)
        if look:
            self._entry.change(part, finish_received_look=look, finish_received_process=process)
        elif changes and not earlier:
            # Nobody said what this trip gave: what was confirmed after an earlier one no longer holds.
            self._entry.change(part, finish_received_process="")
        if newly_damaged:
            unproven = "not_proven" if part.end_a or part.end_b else ""
            state = "defective" if is_thread_fault(self._defect) else unproven
            self._entry.change(part, defect=self._defect, thread_state=state, treatment="")
            self._parts.setdefault((line.pk, "damaged"), part)
        self._parts[line.pk, look] = part

    def _mark_twins(self) -> None:
        for twins in self._proposal.twins:
            if not twins.engine_lost:
                continue
            engines = " or ".join(twins.origins)[:200]
            for line in self._lines(twins.lines):
                for lot, _count in lots_outside(line):
                    self._entry.change(lot, origin=None, origin_lost=True, origin_said=engines)

    def _mark_unproven(self) -> None:
        for one in self._proposal.unproven:
            for line in self._lines(one.lines):
                part = self._parts.get((line.pk, line.finish_received_look), line.lot)
                self._entry.change(Lot.objects.get(pk=part.pk), thread_state="not_proven")

    def _lines(self, ids: Sequence[int]) -> list[ConsignmentLine]:
        return [self._outside.lines[line_id] for line_id in dict.fromkeys(abs(one) for one in ids)]

    def _came_late(self, line: ConsignmentLine, count: int) -> None:
        """Take what came after all from the open shortages of the line."""
        rows = Discrepancy.objects.select_for_update().filter(
            line=line, withdrawn=False, closed_at__isnull=True, kind__in=("short", "swapped")
        )
        for row in sorted(rows, key=lambda row: (row.kind, row.pk)):
            came = min(count, row.count)
            if not came:
                return
            count -= came
            if row.kind == "swapped":
                self._entry.change(row, said=f"{row.said} The right ones came later: {came}."[:300])
            elif came == row.count:
                self._entry.change(
                    row, closed_at=self._entry.at, closed_reason="came back and was counted", outcome="found"
                )
            else:
                self._entry.change(row, count=row.count - came)

    def _open_differences(self) -> None:
        proposal, lines = self._proposal, self._expected
        for short in proposal.short:
            self._open("short", short.count, say.short_said(short, lines), line=self._line(short.line))
        for swap in proposal.swapped:
            group = self._counted[swap.key]
            line = self._line(swap.line)
            said = say.swap_said(swap, lines, group)
            for lot, count in self._keep_strays(group, swap.count, swap.damaged, line):
                self._open("swapped", count, said, line=line, lot=lot)
        for over in proposal.over:
            group = self._counted[over.key]
            near = self._home_for(group)
            for lot, count in self._keep_strays(group, over.count, over.damaged, near):
                self._open("over", count, say.over_said(over, group), lot=lot)
        for line_id, expected in lines.items():
            back = [one for one in proposal.back if one.line == line_id and one.damaged]
            if back and not expected.defect:
                count = sum(one.damaged for one in back)
                line = self._line(line_id)
                said = say.damaged_said(expected, count, back[0].among, lines)
                self._open("damaged", count, said, line=line, lot=self._parts.get((line.pk, "damaged")))
        for one in proposal.unproven:
            self._open("damaged", one.count, say.unproven_said(one, lines), line=self._line(one.lines[0]))
        for wrong in proposal.wrong_finish:
            line = self._line(wrong.line)
            part = self._parts.get((line.pk, wrong.received.value))
            self._open("finish", wrong.count, say.wrong_said(wrong, lines), line=line, lot=part)
        for twins in proposal.twins:
            if twins.engine_lost:
                for line in self._lines(twins.lines):
                    count = sum(one.count for one in proposal.back if abs(one.line) == line.pk)
                    if count:
                        self._open("indistinct", count, say.twins_said(twins, lines), line=line)

    def _line(self, line_id: int) -> ConsignmentLine:
        return self._outside.lines[abs(line_id)]

    def _home_for(self, group: Counted) -> ConsignmentLine:
        """Return the line in whose job a stray is kept: one of its sort, else the first one."""
        alike = [one for one in self._expected.values() if one.sort.identity == group.sort.identity]
        return self._line(alike[0].line) if alike else next(iter(self._outside.lines.values()))

    def _keep_strays(
        self, group: Counted, count: int, damaged: int, line: ConsignmentLine
    ) -> list[tuple[Lot, int]]:
        sort = group.sort
        parts = [(count - damaged, ""), (damaged, self._defect)]
        facts = [
            LotFacts(
                count=part,
                kind=sort.kind.value,
                kind_said=sort.kind_said,
                end_a=sort.end_a,
                end_b=sort.end_b,
                size_said=sort.size_said,
                length_mm=sort.length_mm,
                length_nominal=sort.length_said,
                length_basis=(sort.kind.length_basis or "") if sort.length_mm is not None else "",
                finish_look=group.look.value,
                finish_process=group.process,
                defect=defect,
                origin_lost=True,
                origin_said=f"came over from {self._outside.consignment.shop.name}"[:200],
                remarks=f"came back over on consignment {self._outside.consignment.number}",
            )
            for part, defect in parts
            if part
        ]
        lots = keep_lots(self._entry, job=line.lot.job, facts=facts, source="received_over")
        return [(lot, fact.count) for lot, fact in zip(lots, facts, strict=True)]

    def _open(
        self, kind: str, count: int, said: str, *, line: ConsignmentLine | None = None, lot: Lot | None = None
    ) -> None:
        about = lot or (line.lot if line else None)
        self._entry.create(
            Discrepancy(
                consignment=self._outside.consignment,
                line=line,
                lot=about,
                job=about.job if about else None,
                kind=kind,
                count=count,
                said=said[:300],
                opened_at=self._entry.at,
            )
        )
