"""Verbs of buying: put on the list, quote, order, receive into the books, strike off."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.pieces.ledger import count_of, need_count
from runningfit.workshop.pieces.lots import LotFacts, describe, keep_lots
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.plan.filling import filled
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Hand, write

SPEC = ("kind", "end_a", "end_b", "size_said", "length_mm", "length_nominal", "length_typed", "length_basis")
_MOST = Decimal("9999999")


def add_to_buy(
    *,
    job: Job,
    hand: Hand,
    place: Place | None = None,
    instead_of: Lot | None = None,
    count: int | None = None,
    what: str = "",
    note: str = "",
) -> ToBuy:
    """Put something on the list to buy: what a place misses, new ones instead of a lot, or in plain words.

    Parameters
    ----------
    place : Place or None
        The place that misses them; what it needs is copied.
    instead_of : Lot or None
        The lot whose refurbishing competes with buying; what it is is copied.
    count : int or None
        How many; None takes what the place misses and is not on the list yet, or the pieces of the lot.
    what : str
        In words, where neither a place nor a lot says it.

    Raises
    ------
    InvalidInput
        Nobody can tell what to buy, or how many.
    Conflict
        What the place misses is on the list already.
    """
    source = place or instead_of
    if source is None:
        need_words("what", what, "what to buy")
    if count is None:
        count = _missing(place) if place is not None else count_of(instead_of).usable if instead_of else None
    if not count:
        raise InvalidInput("count", needs="how many to buy", came=count, remedy="Type the number.")
    need_count(count)
    spec = {name: getattr(source, name) for name in SPEC} if source is not None else {}
    said = (what.strip() or (describe(source) if source is not None else ""))[:200]
    with write(verb="add_to_buy", summary=f"to buy: {count} {said}", hand=hand, job=job) as entry:
        for row in (place, instead_of):
            entry.refer(row)
        return entry.create(
            ToBuy(
                job=job, place=place, instead_of=instead_of, what=said, count=count, note=note.strip(), **spec
            )
        )


def quote(
    *,
    row: ToBuy,
    hand: Hand,
    supplier: str = "",
    price_each: Decimal | None = None,
    refurbish_price_each: Decimal | None = None,
    price_said_on: dt.date | None = None,
    count: int | None = None,
    note: str = "",
) -> ToBuy:
    """Note who sells it and for how much each, beside what refurbishing the old ones would cost.

    Raises
    ------
    InvalidInput
        A price is below nothing or absurd.
    Conflict
        It was received already.
    """
    for name, price in (("price_each", price_each), ("refurbish_price_each", refurbish_price_each)):
        if price is not None and not 0 <= price <= _MOST:
            raise InvalidInput(name, needs="an amount from 0 to 9,999,999", came=str(price))
    _still_open(row)
    with write(verb="quote", summary=f"price of {row.in_words}", hand=hand, job=row.job) as entry:
        return entry.change(
            row,
            supplier=supplier.strip(),
            price_each=price_each,
            refurbish_price_each=refurbish_price_each,
            price_said_on=price_said_on or (timezone.localdate() if price_each is not None else None),
            count=row.count if count is None else need_count(count),
            note=note.strip(),
        )


def order(
    *, row: ToBuy, hand: Hand, ordered_on: dt.date | None = None, due_on: dt.date | None = None
) -> ToBuy:
    """Note that it is ordered, and when it shall come.

    Raises
    ------
    InvalidInput
        It would come before it is ordered.
    Conflict
        It was received already.
    """
    _still_open(row)
    ordered = ordered_on or row.ordered_on or timezone.localdate()
    if due_on is not None and due_on < ordered:
        raise InvalidInput(
            "due_on",
            needs=f"a date not before {ordered:%d %b %Y}, the day of the order",
            came=f"{due_on:%d %b %Y}",
        )
    with write(verb="order", summary=f"ordered {row.count} {row.in_words}", hand=hand, job=row.job) as entry:
        return entry.change(row, ordered_on=ordered, due_on=due_on)


def receive(
    *,
    row: ToBuy,
    hand: Hand,
    count: int | None = None,
    price_each: Decimal | None = None,
    look: str = "unknown",
) -> Lot:
    """Receive what was bought as a new lot, allotted to the place it was bought for.

    Parameters
    ----------
    count : int or None
        How many came; None takes the number ordered. Fewer leave the rest on the list.
    price_each : Decimal or None
        What was paid for each; None keeps the price quoted.
    look : str
        The look of their finish.

    Raises
    ------
    InvalidInput
        The count cannot be used.
    Conflict
        It was received already.
    """
    came = need_count(row.count if count is None else count)
    with write(verb="receive", summary=f"received {came} {row.what}", hand=hand, job=row.job) as entry:
        row = ToBuy.objects.select_for_update().get(pk=row.pk)
        _still_open(row)
        place = row.place if row.place is not None and not row.place.withdrawn else None
        facts = LotFacts(
            count=came,
            kind_said=row.what[:120] if row.kind == "other" else "",
            finish_look=look,
            area=place.area if place else None,
            place=place,
            origin_said=f"bought new{f' from {row.supplier}' if row.supplier else ''}"[:200],
            **_facts(row),  # type: ignore[arg-type]
        )
        (lot,) = keep_lots(entry, job=row.job, facts=[facts], source="bought")
        rest = row.count - came
        if rest > 0:
            left = {
                name: getattr(row, name)
                for name in (*SPEC, "what", "supplier", "price_each", "price_said_on")
            }
            left |= {"ordered_on": row.ordered_on, "due_on": row.due_on, "note": row.note}
            left["refurbish_price_each"] = row.refurbish_price_each
            entry.create(ToBuy(job=row.job, place=row.place, instead_of=row.instead_of, count=rest, **left))
        entry.change(
            row,
            count=came,
            received_as=lot,
            received_on=timezone.localdate(entry.at),
            price_each=row.price_each if price_each is None else price_each,
        )
        for leaned in (place, row.instead_of):
            entry.refer(leaned)
        entry.say(
            f"received {came} {row.what} as lot {lot.number}"
            + (f", {rest} still to come" if rest > 0 else "")
        )
    return lot


def strike_off(*, row: ToBuy, hand: Hand) -> None:
    """Strike something off the list to buy; it stays in the history.

    Raises
    ------
    Conflict
        It was received already.
    """
    _still_open(row)
    with write(
        verb="strike_off", summary=f"not to buy: {row.count} {row.in_words}", hand=hand, job=row.job
    ) as entry:
        entry.change(row, withdrawn=True)


def _still_open(row: ToBuy) -> None:
    if row.received_on is not None:
        raise Conflict(f"'{row.what}' was received on {row.received_on:%d %b %Y} already.")
    if row.withdrawn:
        raise Conflict(f"'{row.what}' was struck off the list.")


def _missing(place: Place) -> int:
    listed = ToBuy.objects.filter(place=place, withdrawn=False, received_on__isnull=True)
    missing = place.count - filled(place)
    open_count = sum(listed.values_list("count", flat=True))
    if missing > 0 and open_count >= missing:
        raise Conflict(f"The {missing} that {place.name} misses are on the list to buy already.")
    return max(0, missing - open_count)


def _facts(row: ToBuy) -> dict[str, object]:
    facts: dict[str, object] = {name: getattr(row, name) for name in SPEC}
    for name in ("end_a", "end_b"):
        said = getattr(row, name)
        facts[name] = tuple(said.split("|")) if said else ()
    return facts
