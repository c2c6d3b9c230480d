"""The part of the demo that goes outside: shops, consignments, calls, and what came back."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from runningfit.cli.demo.shelf import Shelf
from runningfit.cli.demo.story import SaidBack, SaidConsignment, SaidShop, money
from runningfit.core.pieces.quick_line import read_quick_line
from runningfit.core.plan.count_back import Counted, Sort
from runningfit.workshop.outside_work import count_back, services
from runningfit.workshop.outside_work.expecting import Scope
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.telling import send_anyway
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.records.writing import Hand


def add_shops(shops: tuple[SaidShop, ...], hand: Hand) -> None:
    """Add the outside shops."""
    for said in shops:
        services.add_shop(name=said.name, trade=said.trade, phone=said.phone, note=said.note, hand=hand)


def consign(said: SaidConsignment, shelf: Shelf, hand: Hand) -> None:
    """Make up one consignment and take it as far as the story does."""
    lots = [shelf.lot(name) for name in said.lots]
    say_treatment(lots=lots, treatment=said.treatment, hand=hand)
    lots = [shelf.lot(name) for name in said.lots]
    consignment = services.make_up(
        shop_name=said.shop,
        shares=[services.Share(lot) for lot in lots],
        due_on=day(said.due),
        asked=said.asked,
        must_not=said.must_not,
        hand=hand,
    )
    if said.quoted is not None:
        services.change_consignment(consignment=consignment, quoted=money(said.quoted), hand=hand)
    if said.sent is None:
        return
    for name, why in said.anyway.items():
        line = ConsignmentLine.objects.get(consignment=consignment, lot=shelf.lot(name))
        send_anyway(line=line, why=why, hand=hand)
    consignment = services.send(consignment=consignment, sent_on=day(said.sent), hand=hand)
    for call in said.call:
        services.log_call(
            consignment=consignment,
            spoke_to=call.spoke_to,
            said=call.said,
            new_due_on=day(call.new_due),
            price=money(call.price),
            hand=hand,
        )
    for back in said.back:
        _count_back(back, consignment, shelf, hand)
    if said.paid is not None:
        services.change_consignment(consignment=consignment, paid=money(said.paid), hand=hand)


def day(days_from_now: int | None) -> dt.date | None:
    """Return the day so many days from today."""
    return None if days_from_now is None else timezone.localdate() + dt.timedelta(days=days_from_now)


def days_ago(days: int) -> dt.date:
    """Return the day so many days before today."""
    return timezone.localdate() - dt.timedelta(days=days)


def counted_of(lines: list[str]) -> tuple[Counted, ...]:
    """Return groups of pieces as counted, each from a quick line."""
    groups = []
    for key, line in enumerate(lines):
        read = read_quick_line(line)
        if read.count is None or read.kind is None or read.problems:
            raise ValueError(f"the demo's own line '{line}' is not understood")
        ends = [end.candidates for end in read.ends]
        sort = Sort(
            kind=read.kind,
            end_a=ends[0] if ends else (),
            end_b=ends[1] if len(ends) > 1 else (),
            size_said=read.size_said or "",
            length_mm=read.length_mm,
            length_said=read.length_nominal or "",
        )
        groups.append(Counted(key, sort, read.count, look=read.finish_look))
    return tuple(groups)


def _count_back(back: SaidBack, consignment: Consignment, shelf: Shelf, hand: Hand) -> None:
    scope = Scope(back.way, shelf.bag(back.bag) if back.bag else None)
    counted = counted_of(back.lines)
    proposed = count_back.propose(consignment=consignment, scope=scope, counted=counted, finished=True)
    count_back.accept(
        consignment=consignment,
        scope=scope,
        counted=counted,
        finished=True,
        state=proposed.state,
        hand=hand,
    )
