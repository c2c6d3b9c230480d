"""Verbs of consignments: shops, make up, add, take off, send, log a call, say a price."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.core.treatments import treatment as treatment_of
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, OutsideShop, PhoneCall
from runningfit.workshop.outside_work.opening import held, held_jobs, need_unsent
from runningfit.workshop.outside_work.queries import drafts_of, lines_of
from runningfit.workshop.outside_work.telling import BAKE, as_kept, held_back, told_of
from runningfit.workshop.pieces.ledger import Counts, count_of, counts_of, move, need_count
from runningfit.workshop.pieces.lots import split_off
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.closed_jobs import refuse_closed
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Entry, Hand, write

HERE = ("bench", "store")
LARGEST_AMOUNT = Decimal("9999999999.99")


@dataclass(frozen=True, slots=True)
class Share:
    """So many pieces of a lot for a consignment; None means all that are here."""

    lot: Lot
    count: int | None = None


def add_shop(
    *, name: str, hand: Hand, trade: str = "", phone: str = "", address: str = "", note: str = ""
) -> OutsideShop:
    """Add an outside shop: a plater, a machine shop, an electrician."""
    need_words("name", name, "what the shop is called")
    with write(verb="add_shop", summary=f"added the outside shop {name}", hand=hand) as entry:
        return entry.create(
            OutsideShop(
                name=name.strip(), trade=trade.strip(), phone=phone.strip(), address=address, note=note
            )
        )


def change_shop(*, shop: OutsideShop, hand: Hand, **values: str) -> OutsideShop:
    """Change what is said of an outside shop."""
    if "name" in values:
        need_words("name", values["name"], "what the shop is called")
    with write(verb="change_shop", summary=f"changed the outside shop {shop.name}", hand=hand) as entry:
        return entry.change(shop, **values)


def make_up(
    *,
    hand: Hand,
    shop: OutsideShop | None = None,
    shop_name: str = "",
    shares: Sequence[Share] = (),
    due_on: dt.date | None = None,
    asked: str = "",
    must_not: str = "",
) -> Consignment:
    """Make up a consignment for an outside shop, known or new, with lots of one job or several.

    Parameters
    ----------
    shop : OutsideShop or None
        Where it goes; None takes the shop named, adding it when it is new.
    shares : sequence of Share
        The lots that go; more can be added until it is sent.
    due_on : date or None
        When the shop promised it.
    asked, must_not : str
        What is asked for, and what must not be done, beside what the treatments say.

    Raises
    ------
    InvalidInput
        No shop was named, or a lot has no treatment yet.
    Conflict
        A lot is on another consignment, or is not here.
    """
    if shop is None:
        need_words("shop", shop_name, "the name of the outside shop")
    jobs = [share.lot.job for share in shares]
    with held_jobs(jobs, verb="make_up", summary="made up a consignment", hand=hand) as (entry, ids):
        refuse_closed(ids)
        if shop is None:
            name = " ".join(shop_name.split())
            shop = OutsideShop.objects.filter(name__iexact=name, withdrawn=False).first()
            shop = shop or entry.create(OutsideShop(name=name))
        entry.refer(shop)
        consignment = _numbered(
            entry,
            Consignment(
                shop=shop,
                made_up_on=timezone.localdate(),
                due_on=due_on,
                asked=asked.strip(),
                must_not=must_not.strip(),
            ),
        )
        _add(entry, consignment, shares)
        entry.say(f"made up consignment {consignment.number} for {shop.name}: {_lots_said(shares)}")
    return consignment


def add_lots(*, consignment: Consignment, shares: Sequence[Share], hand: Hand) -> list[ConsignmentLine]:
    """Put further lots on a consignment that is not sent yet; a lot of which only a part goes is split."""
    if not shares:
        raise InvalidInput("lots", needs="at least one", came="none", remedy="Tick the lots first.")
    with held(
        consignment,
        verb="add_lots",
        summary="put lots on a consignment",
        hand=hand,
        jobs=[share.lot.job for share in shares],
    ) as (entry, fresh):
        need_unsent(fresh)
        lines = _add(entry, fresh, shares)
        entry.say(f"put on consignment {fresh.number}: {_lots_said(shares)}")
    return lines


def take_off(*, line: ConsignmentLine, hand: Hand) -> None:
    """Take a lot off a consignment that is not sent yet."""
    with held(
        line.consignment, verb="take_off", summary="took a lot off", hand=hand, jobs=[line.lot.job]
    ) as (entry, fresh):
        need_unsent(fresh)
        entry.change(line, withdrawn=True)
        entry.say(f"took lot {line.lot.number} off consignment {fresh.number}")


def change_line(*, line: ConsignmentLine, hand: Hand, **values: object) -> ConsignmentLine:
    """Change what must not be done with one lot, or the price asked for it."""
    wrong = set(values) - {"must_not", "price"}
    if wrong:
        raise InvalidInput("field", needs="must_not or price", came=", ".join(sorted(wrong)))
    with held(
        line.consignment, verb="change_line", summary="changed a line", hand=hand, jobs=[line.lot.job]
    ) as (entry, fresh):
        entry.change(line, **values)
        entry.say(f"changed what is said of lot {line.lot.number} on consignment {fresh.number}")
    return line


def change_consignment(*, consignment: Consignment, hand: Hand, **values: object) -> Consignment:
    """Change what is asked, what must not be done, when it is due, and what is quoted and paid."""
    wrong = set(values) - {"asked", "must_not", "due_on", "quoted", "paid", "note"}
    if wrong:
        raise InvalidInput("field", needs="a field of the consignment", came=", ".join(sorted(wrong)))
    for name in ("quoted", "paid"):
        _need_amount(name, values.get(name))
    with held(consignment, verb="change_consignment", summary="changed it", hand=hand) as (entry, fresh):
        entry.change(fresh, **values)
        entry.say(f"changed what is said of consignment {fresh.number}")
    return fresh


def send(
    *, consignment: Consignment, hand: Hand, sent_on: dt.date | None = None, due_on: dt.date | None = None
) -> Consignment:
    """Send a consignment: its pieces leave the bench and the store, in the bags they lie in now.

    Raises
    ------
    Conflict
        It was sent before, has no lots, a lot is not here as the line says, or one must not go for this work
        and nobody said why it goes all the same; all of these are named.
    """
    with held(consignment, verb="send", summary="sent a consignment", hand=hand) as (entry, fresh):
        need_unsent(fresh)
        lines = lines_of(fresh)
        if not lines:
            raise Conflict(f"Consignment {fresh.number} has no lots. Put the lots on it first.")
        counts = counts_of([line.lot for line in lines])
        wrong = [
            f"lot {line.lot.number}: {line.count} on the list, {counts[line.lot_id].here} here"
            for line in lines
            if counts[line.lot_id].here != line.count
        ]
        if wrong:
            raise LedgerRefused(
                f"Consignment {fresh.number} cannot go: {'; '.join(wrong)}. Take those lots off and put them "
                "on again as they are now."
            )
        told = told_of(lines)
        against = held_back(lines, told)
        stopped = [f"Lot {one.line.lot.number}: {one.why}" for one in against if not one.anyway]
        if stopped:
            raise Conflict(
                f"Consignment {fresh.number} does not go yet. {' '.join(stopped)} Take it off, choose "
                "another treatment, or say why it goes all the same."
            )
        for line in lines:
            entry.change(line, bag=line.lot.bag, told=as_kept(told[line.pk], line.lot.ordered_coat))
            # The note that goes along orders it.
            if told[line.pk].bake is not None and BAKE not in line.lot.ordered_steps:
                steps = [step for step in (line.lot.ordered_steps, BAKE) if step]
                entry.change(line.lot, ordered_steps=", ".join(steps))
            for custody in HERE:
                if here := getattr(counts[line.lot_id], custody):
                    move(entry, line.lot, count=here, from_account=custody, to_account="outside")
        entry.change(fresh, sent_on=sent_on or timezone.localdate(), due_on=due_on or fresh.due_on)
        pieces = sum(line.count for line in lines)
        overruled = "".join(f"; lot {one.line.lot.number} all the same: {one.anyway}" for one in against)
        entry.say(
            f"sent consignment {fresh.number} to {fresh.shop.name}: {pieces} pieces of {len(lines)} lots"
            f"{overruled}"
        )
    return fresh


def log_call(
    *,
    consignment: Consignment,
    said: str,
    hand: Hand,
    spoke_to: str = "",
    new_due_on: dt.date | None = None,
    price: Decimal | None = None,
) -> PhoneCall:
    """Log a phone call: who, said what, the new date, the price; date and price become the consignment's.

    Raises
    ------
    InvalidInput
        Nothing was said, no date and no price.
    """
    if not said.strip() and new_due_on is None and price is None:
        raise InvalidInput("said", needs="a few words, a new date or a price", came=said)
    _need_amount("price", price)
    with held(consignment, verb="log_call", summary="logged a call", hand=hand) as (entry, fresh):
        call = entry.create(
            PhoneCall(
                consignment=fresh,
                at=entry.at,
                spoke_to=spoke_to.strip(),
                said=said.strip(),
                new_due_on=new_due_on,
                price=price,
                taken_by=hand.who[:60],
            )
        )
        if new_due_on is not None:
            entry.change(fresh, due_on=new_due_on)
        if price is not None:
            entry.change(fresh, quoted=price)
        entry.say(f"call about consignment {fresh.number}: {said.strip() or 'new date or price'}")
    return call


def _numbered(entry: Entry, consignment: Consignment) -> Consignment:
    """Store a consignment under the next number, also when somebody takes that number at the same moment."""
    for _attempt in range(8):
        highest: int | None = Consignment.objects.aggregate(Max("number"))["number__max"]
        consignment.number = (highest or 0) + 1
        try:
            with transaction.atomic():
                return entry.create(consignment)
        except IntegrityError:
            consignment.pk = None
    raise Conflict("Several consignments are being made up at once. Send this again.")


def _add(entry: Entry, consignment: Consignment, shares: Sequence[Share]) -> list[ConsignmentLine]:
    lots = [Lot.objects.select_for_update().get(pk=share.lot.pk) for share in shares]
    if len({lot.pk for lot in lots}) != len(lots):
        raise InvalidInput("lots", needs="each lot once", came="one twice")
    drafts = drafts_of(lots)
    lines = []
    for lot, share in zip(lots, shares, strict=True):
        if lot.pk in drafts:
            raise Conflict(f"Lot {lot.number} is on consignment {drafts[lot.pk].consignment.number} already.")
        if not lot.treatment:
            raise InvalidInput(
                f"lot {lot.number}",
                needs="a treatment before it goes",
                came="none",
                remedy="Say what is to be done.",
            )
        asked = treatment_of(lot.treatment)
        part = _part(entry, lot, share.count)
        entry.refer(part)
        lines.append(
            entry.create(
                ConsignmentLine(
                    consignment=consignment,
                    lot=part,
                    bag=part.bag,
                    count=count_of(part).here,
                    treatment=lot.treatment,
                    finish_asked=asked.look.value if asked.look else "",
                )
            )
        )
    return lines


def _part(entry: Entry, lot: Lot, count: int | None) -> Lot:
    """Return the lot that goes: the lot itself, or the part of it, split off."""
    counts = count_of(lot)
    if not counts.here:
        raise LedgerRefused(f"Lot {lot.number} is not here: {_where(counts)}. Only what is here can go.")
    wanted = counts.here if count is None else need_count(count)
    if wanted > counts.here:
        raise LedgerRefused(f"Lot {lot.number} has {counts.here} here, so {wanted} cannot go.")
    if wanted == counts.usable:
        return lot
    from_bench = min(wanted, counts.bench)
    if not from_bench:
        return split_off(entry, lot, count=wanted, custody="store")
    part = split_off(entry, lot, count=from_bench, custody="bench")
    if wanted > from_bench:
        move(entry, lot, count=wanted - from_bench, from_account="store", to_account="store", to_lot=part)
    return part


def _where(counts: Counts) -> str:
    words = [
        f"{getattr(counts, custody)} {custody}"
        for custody in ("outside", "fitted", "scrapped", "missing")
        if getattr(counts, custody)
    ]
    return ", ".join(words) or "it holds no pieces"


def _need_amount(name: str, amount: object) -> None:
    if amount is None:
        return
    if not isinstance(amount, Decimal) or not amount.is_finite() or not 0 <= amount <= LARGEST_AMOUNT:
        raise InvalidInput(name, needs="an amount of 0 or more", came=amount)


def _lots_said(shares: Sequence[Share]) -> str:
    numbers = [str(share.lot.number) for share in shares]
    if not numbers:
        return "no lots yet"
    return (
        f"lot{'s' if len(numbers) > 1 else ''} {', '.join(numbers[:20])}{' …' if len(numbers) > 20 else ''}"
    )
