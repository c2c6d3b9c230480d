"""Closing a discrepancy: what became of the pieces, and why; until then it stays open."""

from __future__ import annotations

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy
from runningfit.workshop.outside_work.opening import close_when_done, held
from runningfit.workshop.outside_work.outcomes import OUTCOMES
from runningfit.workshop.outside_work.queries import lots_outside, outstanding
from runningfit.workshop.pieces.ledger import count_of, move, out_of_the_books
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Change, Engine
from runningfit.workshop.records.writing import Entry, Hand


def close_discrepancy(*, discrepancy: Discrepancy, outcome: str, hand: Hand) -> None:
    """Close a discrepancy with what became of the pieces and a reason; twins are closed together.

    Parameters
    ----------
    outcome : str
        A key of OUTCOMES for its kind.
    hand : Hand
        Its reason is required.

    Raises
    ------
    InvalidInput
        There is no reason, or no such outcome for this kind.
    Conflict
        It was closed before, or the pieces are not where the outcome would take them from.
    """
    if not hand.why.strip():
        raise InvalidInput("why", needs="a reason", came="", remedy="Say it in a few words.")
    known = {one.key: one.label for one in OUTCOMES[discrepancy.kind]}
    if outcome not in known:
        raise InvalidInput("outcome", needs=f"one of {', '.join(known)}", came=outcome)
    with held(
        discrepancy.consignment, verb="close_discrepancy", summary="closed a discrepancy", hand=hand
    ) as (entry, consignment):
        row = Discrepancy.objects.select_for_update().get(pk=discrepancy.pk)
        if row.closed_at is not None or row.withdrawn:
            raise Conflict(
                "This discrepancy was closed before. Look at its reason in the list of closed ones."
            )
        _Closing(entry, consignment, row).do(outcome)
        for one in _together(row):
            entry.change(one, closed_at=entry.at, closed_reason=hand.why.strip()[:300], outcome=outcome)
        close_when_done(entry, consignment)
        entry.say(f"closed on consignment {consignment.number}: {row.said} {known[outcome]}")


def _together(row: Discrepancy) -> list[Discrepancy]:
    """Return the discrepancy, and for twins the others of its set: they have one story and end together."""
    if row.kind != "indistinct":
        return [row]
    return list(
        Discrepancy.objects.select_for_update()
        .filter(
            consignment=row.consignment_id,
            kind="indistinct",
            said=row.said,
            opened_at=row.opened_at,
            closed_at__isnull=True,
            withdrawn=False,
        )
        .order_by("pk")
    )


def _known(row_id: int | None) -> int:
    if row_id is None:
        raise Conflict("This discrepancy names no lot, so it can only be closed as it is.")
    return row_id


class _Closing:
    """One discrepancy being closed inside an open record."""

    def __init__(self, entry: Entry, consignment: Consignment, row: Discrepancy) -> None:
        self._entry = entry
        self._consignment = consignment
        self._row = row

    def do(self, outcome: str) -> None:
        """Move the pieces as the outcome says."""
        kind = self._row.kind
        if kind == "short":
            self._settle_short(outcome, self._row.count)
        elif kind == "swapped":
            self._settle_short({"put_right": "found"}.get(outcome, "lost"), self._still_short())
            if outcome != "kept":
                self._give_back()
        elif outcome == "given_back":
            self._give_back()
        elif outcome == "scrapped":
            self._move_here("scrapped")
        elif outcome == "told_apart":
            self._tell_apart()
        elif outcome == "again":
            self._again()

    def _line(self) -> ConsignmentLine:
        return (
            ConsignmentLine.objects.select_for_update(of=("self",))
            .select_related("consignment", "lot")
            .get(pk=_known(self._row.line_id))
        )

    def _still_short(self) -> int:
        return min(self._row.count, outstanding(self._line()))

    def _settle_short(self, outcome: str, count: int) -> None:
        line = self._line()
        if count > outstanding(line):
            raise LedgerRefused(
                f"Only {outstanding(line)} of lot {line.lot.number} are still outside on this consignment, "
                f"so {count} cannot be closed here. Look at its history."
            )
        left = count
        for lot, held_outside in lots_outside(line):
            part = min(left, held_outside)
            if part:
                self._settle_part(outcome, lot, part)
                left -= part
        if left:
            raise LedgerRefused(f"{left} of lot {line.lot.number} are no longer outside in the books.")
        if outcome == "found":
            self._entry.change(line, back_count=(line.back_count or 0) + count)
        else:
            self._entry.change(line, lost_count=line.lost_count + count)

    def _settle_part(self, outcome: str, lot: Lot, count: int) -> None:
        if outcome == "never_sent":
            out_of_the_books(self._entry, lot, count=count, custody="outside")
            return
        custody = "bench" if outcome == "found" else "missing"
        move(self._entry, lot, count=count, from_account="outside", to_account=custody)

    def _give_back(self) -> None:
        lot = self._lot()
        counts = count_of(lot)
        if counts.here < self._row.count:
            raise LedgerRefused(
                f"Lot {lot.number} has {counts.here} here; {self._row.count} cannot be given back."
            )
        left = self._row.count
        for custody in ("bench", "store"):
            part = min(left, getattr(counts, custody))
            if part:
                out_of_the_books(self._entry, lot, count=part, custody=custody)
                left -= part
        if counts.total == self._row.count:
            self._entry.change(lot, withdrawn=True)

    def _move_here(self, custody: str) -> None:
        lot = self._lot()
        counts = count_of(lot)
        left = self._row.count
        for source in ("bench", "store"):
            part = min(left, getattr(counts, source))
            if part:
                move(self._entry, lot, count=part, from_account=source, to_account=custody)
                left -= part
        if left:
            raise LedgerRefused(
                f"Lot {lot.number} has {counts.here} here; {self._row.count} cannot be moved."
            )

    def _lot(self) -> Lot:
        return Lot.objects.select_for_update().get(pk=_known(self._row.lot_id))

    def _tell_apart(self) -> None:
        """Give each lot of the set the engine it had before the count-back lost it."""
        opened = Change.objects.get(
            model="Discrepancy", object_id=self._row.pk, kind=Change.CREATED
        ).record_id
        for one in _together(self._row):
            lost = (
                Change.objects.filter(
                    model="Lot", object_id=_known(one.lot_id), record=opened, after__origin_lost=True
                )
                .order_by("pk")
                .first()
            )
            lot = Lot.objects.select_for_update().get(pk=_known(one.lot_id))
            before = lost.before if lost else {}
            engine = Engine.objects.filter(pk=before.get("origin_id") or 0).first()
            self._entry.change(
                lot, origin=engine, origin_lost=False, origin_said=before.get("origin_said", "")
            )

    def _again(self) -> None:
        self._entry.change(self._lot(), treatment=self._line().treatment)
