"""The count ledger: moving pieces between custodies, splitting lots, recounting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import QuerySet, Sum

from runningfit.core.errors import InvalidInput, LedgerRefused
from runningfit.workshop.pieces.models import ACCOUNTS, CUSTODIES, SOURCES, Holding, Lot, Movement
from runningfit.workshop.records.plain_insert import insert_plainly
from runningfit.workshop.records.prepared import prepared
from runningfit.workshop.records.writing import Entry

CUSTODY_WORDS = {
    "bench": "on the bench",
    "store": "in the store",
    "outside": "outside",
    "fitted": "fitted",
    "scrapped": "scrapped",
    "missing": "missing",
}
PRESENT = ("bench", "store", "outside", "fitted")


@dataclass(frozen=True, slots=True)
class Counts:
    """How many pieces of a lot, or of a whole job, each account holds.

    Sources are given as what came in through them, so ``found + bought + received_over == total + moved_on``
    holds for a job, where moved_on are pieces that went to lots of another job.
    """

    bench: int = 0
    store: int = 0
    outside: int = 0
    fitted: int = 0
    scrapped: int = 0
    missing: int = 0
    found: int = 0
    bought: int = 0
    received_over: int = 0

    @property
    def total(self) -> int:
        """Return the pieces in every custody, lost and scrapped ones too."""
        return self.bench + self.store + self.outside + self.fitted + self.scrapped + self.missing

    @property
    def usable(self) -> int:
        """Return the pieces that are neither scrapped nor missing."""
        return self.bench + self.store + self.outside + self.fitted

    @property
    def here(self) -> int:
        """Return the pieces that are in the shop and loose."""
        return self.bench + self.store

    @property
    def came_in(self) -> int:
        """Return the pieces that came into the books through a source."""
        return self.found + self.bought + self.received_over


@prepared
def _held(lots: Sequence[int]) -> QuerySet[Holding, tuple[int, str, int]]:
    return Holding.objects.filter(lot__in=lots).values_list("lot_id", "account", "count")


def counts_of(lots: Sequence[Lot]) -> dict[int, Counts]:
    """Return the counts of many lots at once, by the lot's id; a lot without movements counts nothing."""
    by_lot: dict[int, dict[str, int]] = {lot.pk: {} for lot in lots}
    for lot_id, account, count in _held(list(by_lot)):
        by_lot[lot_id][account] = count if account in CUSTODIES else -count
    return {lot_id: Counts(**accounts) for lot_id, accounts in by_lot.items()}


def count_of(lot: Lot) -> Counts:
    """Return the counts of one lot."""
    return counts_of([lot])[lot.pk]


def books_balance() -> tuple[int, int]:
    """Return (came in, in custody) over the whole data folder; they are always equal."""
    sums = dict(Holding.objects.values_list("account").annotate(Sum("count")))
    return (
        -sum(sums.get(account) or 0 for account in SOURCES),
        sum(sums.get(account) or 0 for account in CUSTODIES),
    )


def move(
    entry: Entry,
    lot: Lot,
    *,
    count: int,
    from_account: str,
    to_account: str,
    to_lot: Lot | None = None,
) -> Movement:
    """Move n pieces of a lot from one account to another, inside an open record.

    Parameters
    ----------
    entry : Entry
        The record the movement belongs to.
    lot : Lot
        The lot they are taken from.
    count : int
        How many, at least 1.
    from_account, to_account : str
        A custody, or a source (found, bought, received_over).
    to_lot : Lot or None
        The lot they come to, where that is another one.

    Raises
    ------
    InvalidInput
        The count or an account cannot be used.
    LedgerRefused
        There are not that many pieces in the account; the message says how many there are.
    """
    need_count(count)
    for account in (from_account, to_account):
        if account not in ACCOUNTS:
            raise InvalidInput("custody", needs=f"one of {', '.join(ACCOUNTS)}", came=account)
    target = lot if to_lot is None else to_lot
    if from_account == to_account and target.pk == lot.pk:
        raise InvalidInput("custody", needs="another place than where they are", came=to_account)
    holding = (
        Holding.objects.select_for_update()
        .filter(lot=lot, account=from_account)
        .values_list("count", flat=True)
        .first()
    )
    if from_account in CUSTODIES and count > (holding or 0):
        raise LedgerRefused(
            f"Lot {lot.number} has {holding or 0} {CUSTODY_WORDS[from_account]}, so {count} cannot be taken "
            "from there. Look at its history: somebody may have moved them meanwhile."
        )
    try:
        with transaction.atomic():
            movement = Movement.objects.create(
                record=entry.record,
                from_lot=lot,
                from_account=from_account,
                to_lot=target,
                to_account=to_account,
                count=count,
            )
    except IntegrityError as error:
        raise LedgerRefused(
            f"The ledger refused to move {count} of lot {lot.number} from {from_account} to {to_account}: "
            "somebody else moved them at the same moment, or more would be taken back than came. Look at its "
            "history and try again."
        ) from error
    entry.moved(
        lot,
        before={"account": from_account, "count": count},
        after={"account": to_account, "count": count, "lot": target.number},
    )
    if target.pk != lot.pk:
        entry.moved(
            target,
            before={"account": from_account, "count": count, "lot": lot.number},
            after={"account": to_account, "count": count},
        )
    return movement


def move_many(entry: Entry, lots_and_counts: Sequence[tuple[Lot, int]], *, source: str, custody: str) -> None:
    """Bring many lots that this very record creates into the books at once, as an import does.

    That the lots were created is noted already; a second note for each, of its first movement, says no more.
    """
    for _lot, count in lots_and_counts:
        need_count(count)
    insert_plainly(
        Movement,
        ("record_id", "from_lot_id", "from_account", "to_lot_id", "to_account", "count"),
        [(entry.record.pk, lot.pk, source, lot.pk, custody, count) for lot, count in lots_and_counts],
    )


def out_of_the_books(entry: Entry, lot: Lot, *, count: int, custody: str) -> None:
    """Correct a count that was wrong from the start: pieces go back to the source they came in by.

    A lot that was split off came in by the lot it was split off, so its line is followed upwards.

    Raises
    ------
    LedgerRefused
        Fewer came in along that line than shall go out.
    """
    left = count
    came_in: Lot | None = lot
    while came_in is not None and left:
        holdings = Holding.objects.filter(lot=came_in, account__in=SOURCES, count__lt=0)
        for source, held in holdings.order_by("account").values_list("account", "count"):
            part = min(left, -held)
            if part:
                move(
                    entry,
                    lot,
                    count=part,
                    from_account=custody,
                    to_account=source,
                    to_lot=came_in if came_in.pk != lot.pk else None,
                )
                left -= part
        came_in = came_in.parent
    if left:
        raise LedgerRefused(
            f"Only {count - left} pieces of lot {lot.number} came into the books along its line, so {count} "
            "cannot be taken out of them. Say instead that they are missing."
        )


def need_count(count: object, *, argument: str = "count") -> int:
    """Return a count of pieces, or say what it needs.

    Raises
    ------
    InvalidInput
        It is not a whole number from 1 to 100,000.
    """
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= 100_000:
        raise InvalidInput(
            argument, needs="a whole number from 1 to 100,000", came=count, remedy="Count the pieces."
        )
    return count
