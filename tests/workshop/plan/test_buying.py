"""Buying: from what is missing to a lot in its place, with prices new against refurbishing."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.models import Job, Lot, Place, ToBuy
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.places import PlaceFacts, add_area, add_place
from runningfit.workshop.plan.buying import add_to_buy, order, quote, receive, strike_off
from runningfit.workshop.plan.filling import filled
from runningfit.workshop.plan.queries import missing_and_unlisted
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


@pytest.fixture
def place(job: Job) -> Place:
    area = add_area(job=job, name="Oil tray", hand=ANN)
    facts = PlaceFacts(name="tray nuts", count=12, basis="holes_counted", kind="nut", end_a=("5/16-24 UNF",))
    return add_place(area=area, facts=facts, hand=ANN)


def test_one_tap_puts_what_a_place_misses_on_the_list(job: Job, place: Place) -> None:
    row = add_to_buy(job=job, place=place, hand=ANN)
    assert (row.count, row.what, row.kind, row.end_a) == (12, "nut 5/16-24 UNF", "nut", "5/16-24 UNF")
    assert not missing_and_unlisted(job).total
    with pytest.raises(Conflict, match="The 12 that tray nuts misses are on the list to buy already"):
        add_to_buy(job=job, place=place, hand=ANN)


def test_what_was_bought_comes_into_the_books_at_its_place(job: Job, place: Place) -> None:
    row = add_to_buy(job=job, place=place, hand=ANN)
    quote(row=row, hand=ANN, supplier="the nut shop", price_each=Decimal("0.45"))
    order(row=row, hand=ANN, ordered_on=dt.date(2026, 3, 2), due_on=dt.date(2026, 3, 9))
    lot = receive(row=row, hand=ANN)
    assert (count_of(lot).bought, count_of(lot).bench) == (12, 12)
    assert (filled(place), lot.origin_said) == (12, "bought new from the nut shop")
    assert books_balance() == (12, 12)
    row.refresh_from_db()
    assert (row.received_as, row.price_each) == (lot, Decimal("0.45"))
    with pytest.raises(Conflict, match="was received on"):
        receive(row=row, hand=ANN)


def test_fewer_than_ordered_leave_the_rest_on_the_list(job: Job, place: Place) -> None:
    row = add_to_buy(job=job, place=place, hand=ANN)
    receive(row=row, hand=ANN, count=5)
    rest = ToBuy.objects.get(received_on__isnull=True)
    assert (rest.count, rest.place, filled(place)) == (7, place, 5)


def test_buying_competes_with_refurbishing_a_lot(job: Job) -> None:
    facts = LotFacts(count=6, kind="nut", end_a=("5/16-24 UNF",))
    lot = keep_lot(job=job, facts=facts, hand=ANN)
    row = add_to_buy(job=job, instead_of=lot, hand=ANN)
    quote(row=row, hand=ANN, price_each=Decimal("0.45"), refurbish_price_each=Decimal("0.80"))
    assert (row.count, row.instead_of, row.refurbish_price_each) == (6, lot, Decimal("0.80"))


@pytest.mark.parametrize("price", [Decimal("-1"), Decimal("10000000")])
def test_an_absurd_price_is_refused(job: Job, price: Decimal) -> None:
    row = add_to_buy(job=job, what="gasket paper", count=1, hand=ANN)
    with pytest.raises(InvalidInput, match="price_each needs an amount from 0 to"):
        quote(row=row, hand=ANN, price_each=price)


def test_what_would_come_before_it_is_ordered_is_refused(job: Job) -> None:
    row = add_to_buy(job=job, what="gasket paper", count=1, hand=ANN)
    with pytest.raises(InvalidInput, match="due_on needs a date not before 02 Mar 2026"):
        order(row=row, hand=ANN, ordered_on=dt.date(2026, 3, 2), due_on=dt.date(2026, 3, 1))


@pytest.mark.parametrize(("what", "count"), [("", 2), ("gasket paper", 0), ("gasket paper", None)])
def test_something_to_buy_needs_words_and_a_number(job: Job, what: str, count: int | None) -> None:
    with pytest.raises(InvalidInput, match=r"what needs|count needs"):
        add_to_buy(job=job, what=what, count=count, hand=ANN)


def test_what_is_struck_off_is_gone_from_the_list_and_kept_in_the_history(job: Job, place: Place) -> None:
    strike_off(row=add_to_buy(job=job, place=place, hand=ANN), hand=ANN)
    assert [(row.pk, missing) for row, missing in missing_and_unlisted(job).shown] == [(place.pk, 12)]
    assert not Lot.objects.exists()
