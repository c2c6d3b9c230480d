"""Cost and days of treatments come from this shop's records, or are not known."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from runningfit.workshop.outside_work import services
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.plan import buying
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.treatments.past import (
    Past,
    competing_with,
    past_of_buying,
    past_of_refurbishing,
    past_of_treatments,
)
from workshop.outside_work.bucket import HAND, Shed, a_shed, back, group, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def days_ago(consignment: Consignment, days: int) -> None:
    Consignment.objects.filter(pk=consignment.pk).update(
        sent_on=timezone.localdate() - dt.timedelta(days=days)
    )


def test_a_shop_without_records_knows_nothing(shed: Shed) -> None:
    assert past_of_treatments() == {}
    assert past_of_buying(shed.lot(3)) == Past()


def test_the_price_of_a_line_is_that_of_its_pieces(shed: Shed) -> None:
    lot = shed.lot(8)
    consignment = sent(lot)
    services.change_line(line=consignment.lines.get(), price=Decimal("6.00"), hand=HAND)
    assert past_of_treatments()["zinc_clear"].each == (Decimal("0.75"),)


def test_a_bill_is_shared_only_where_all_pieces_had_one_treatment(shed: Shed) -> None:
    one = sent(shed.lot(4), shed.nuts(6))
    services.change_consignment(consignment=one, paid=Decimal("15.00"), hand=HAND)
    assert past_of_treatments()["zinc_clear"].each == (Decimal("1.5"),)
    mixed = sent(shed.lot(4, treatment="phosphate"), shed.nuts(6, treatment="black_oxide"))
    services.change_consignment(consignment=mixed, paid=Decimal("15.00"), hand=HAND)
    past = past_of_treatments()
    assert not past.get("phosphate", Past()).each
    assert not past.get("black_oxide", Past()).each


def test_days_count_from_sending_to_the_last_counting_back(shed: Shed) -> None:
    lot = shed.lot(4)
    consignment = sent(lot)
    assert past_of_treatments() == {}
    days_ago(consignment, 9)
    consignment.refresh_from_db()
    back(consignment, group(lot, 4))
    assert past_of_treatments()["zinc_clear"].days == (9,)


def test_what_is_not_sent_tells_nothing(shed: Shed) -> None:
    made = services.make_up(shop_name="The plater", shares=[services.Share(shed.lot(4))], hand=HAND)
    services.change_line(line=made.lines.get(), price=Decimal("6.00"), hand=HAND)
    assert past_of_treatments() == {}


def test_new_ones_cost_what_was_quoted_for_this_lot_before_others(shed: Shed) -> None:
    lot, alike = shed.lot(4), shed.lot(2)
    other = buying.add_to_buy(job=shed.job, instead_of=alike, hand=HAND)
    buying.quote(row=other, price_each=Decimal("0.90"), hand=HAND)
    assert past_of_buying(lot) == Past((Decimal("0.90"),), (), quoted=True)
    mine = buying.add_to_buy(job=shed.job, instead_of=lot, hand=HAND)
    buying.quote(row=mine, price_each=Decimal("0.70"), refurbish_price_each=Decimal("0.40"), hand=HAND)
    assert past_of_buying(lot).each == (Decimal("0.70"),)
    assert past_of_refurbishing(competing_with(lot)) == Past((Decimal("0.40"),), quoted=True)


def test_orders_tell_how_long_new_ones_took(shed: Shed) -> None:
    lot = shed.lot(4)
    row = buying.add_to_buy(job=shed.job, instead_of=lot, hand=HAND)
    buying.quote(row=row, price_each=Decimal("0.70"), hand=HAND)
    buying.order(row=ToBuy.objects.get(), ordered_on=timezone.localdate() - dt.timedelta(days=5), hand=HAND)
    buying.receive(row=ToBuy.objects.get(), hand=HAND)
    assert past_of_buying(lot) == Past((Decimal("0.70"),), (5,))


def test_pieces_in_plain_words_are_not_taken_for_each_other(shed: Shed) -> None:
    one, other = shed.lot(1, kind="other", thread=""), shed.lot(1, kind="other", thread="")
    row = buying.add_to_buy(job=shed.job, instead_of=other, what="a gasket", hand=HAND)
    buying.quote(row=row, price_each=Decimal("3.00"), hand=HAND)
    assert past_of_buying(one) == Past()
