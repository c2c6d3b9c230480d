"""Treatments, consignments, calls: what goes out is here, is said, and is counted."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, LedgerRefused
from runningfit.workshop.outside_work import queries, services, states, treating
from runningfit.workshop.outside_work.models import Consignment, OutsideShop, PhoneCall
from runningfit.workshop.outside_work.services import Share
from runningfit.workshop.pieces.lots import move_pieces
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand
from workshop.outside_work.bucket import HAND, Shed, a_shed, balanced, counts, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def test_many_lots_get_a_treatment_at_once_with_the_reason_kept(shed: Shed) -> None:
    lots = [shed.lot(2, treatment="") for _ in range(3)]
    changed = treating.say_treatment(
        lots=lots, treatment="zinc_clear", hand=HAND.because("as the factory did")
    )
    assert changed == 3
    assert set(Lot.objects.values_list("treatment", flat=True)) == {"zinc_clear"}
    record = Record.objects.latest("pk")
    assert (record.summary, record.why) == (
        "Lots 1, 2, 3: electroplate zinc, clear",
        "as the factory did",
    )


def test_an_unknown_treatment_or_no_lot_is_refused(shed: Shed) -> None:
    with pytest.raises(InvalidInput, match="lots needs at least one"):
        treating.say_treatment(lots=[], treatment="zinc_clear", hand=HAND)
    with pytest.raises(InvalidInput, match=r"treatment needs one of .*'gild' came"):
        treating.say_treatment(lots=[shed.lot(2)], treatment="gild", hand=HAND)


def test_a_treatment_of_a_lot_that_is_out_is_not_changed_here(shed: Shed) -> None:
    lot = shed.lot(2)
    sent(lot)
    with pytest.raises(Conflict, match=r"Lot 1 is outside\. Ring the shop"):
        treating.say_treatment(lots=[lot], treatment="chrome", hand=HAND)


def test_what_was_done_here_is_said_and_scrapping_moves_the_pieces(shed: Shed) -> None:
    blasted, scrapped = shed.lot(2, treatment="bead_blast"), shed.lot(3, treatment="scrap")
    treating.say_done(lots=[blasted], look="none", hand=HAND)
    treating.say_done(lots=[scrapped], hand=HAND)
    blasted.refresh_from_db()
    assert (blasted.treatment, blasted.finish_received_look) == ("", "none")
    assert counts(scrapped).scrapped == 3
    with pytest.raises(InvalidInput, match="lot 1 needs something to be done first"):
        treating.say_done(lots=[blasted], hand=HAND)


def test_each_lot_is_in_one_state_on_its_way(shed: Shed) -> None:
    shed.lot(1, treatment="")
    shed.lot(1, treatment="zinc_clear")
    shed.lot(1, treatment="clean")
    shed.lot(1, treatment="leave")
    sent(shed.lot(1, treatment="chrome"))
    assert states.state_counts(shed.job) == {"undecided": 1, "to_go": 1, "here": 1, "out": 1, "done": 1}


def test_making_up_takes_the_whole_lot_or_splits_off_what_goes(shed: Shed) -> None:
    whole, part = shed.lot(9), shed.lot(10, bag="T2")
    consignment = services.make_up(
        shop_name="The plater", shares=[Share(whole), Share(part, 4)], due_on=dt.date(2026, 3, 2), hand=HAND
    )
    lines = queries.lines_of(consignment)
    assert [(line.lot.number, line.count, line.finish_asked) for line in lines] == [
        (1, 9, "clear"),
        (3, 4, "clear"),
    ]
    assert lines[1].lot.parent == part
    assert lines[1].lot.bag == part.bag
    assert counts(part).bench == 6
    assert balanced()


def test_a_shop_is_known_by_its_name_and_numbers_follow_each_other(shed: Shed) -> None:
    first = services.make_up(shop_name="The plater", hand=HAND)
    second = services.make_up(shop_name=" the  PLATER ", hand=HAND)
    assert OutsideShop.objects.count() == 1
    assert (first.number, second.number) == (1, 2)
    with pytest.raises(InvalidInput, match="shop needs the name of the outside shop"):
        services.make_up(shop_name="  ", hand=HAND)


def test_a_lot_without_treatment_on_another_consignment_or_not_here_does_not_go(shed: Shed) -> None:
    plain, drafted, fitted = shed.lot(2, treatment=""), shed.lot(2), shed.lot(2)
    consignment = services.make_up(shop_name="The plater", shares=[Share(drafted)], hand=HAND)
    move_pieces(lot=fitted, count=2, from_custody="bench", to_custody="fitted", hand=HAND)
    for lot, error, text in (
        (plain, InvalidInput, "lot 1 needs a treatment before it goes"),
        (drafted, Conflict, "Lot 2 is on consignment 1 already"),
        (fitted, LedgerRefused, "Lot 3 is not here: 2 fitted"),
    ):
        with pytest.raises(error, match=text):
            services.add_lots(consignment=consignment, shares=[Share(lot)], hand=HAND)
    treating.say_treatment(lots=[plain], treatment="nickel", hand=HAND)
    with pytest.raises(LedgerRefused, match="Lot 1 has 2 here, so 5 cannot go"):
        services.add_lots(consignment=consignment, shares=[Share(plain, 5)], hand=HAND)


def test_a_part_from_bench_and_store_goes_as_one_lot(shed: Shed) -> None:
    lot = shed.lot(9)
    move_pieces(lot=lot, count=5, from_custody="bench", to_custody="store", hand=HAND)
    consignment = services.make_up(shop_name="The plater", shares=[Share(lot, 7)], hand=HAND)
    services.send(consignment=consignment, hand=HAND)
    (line,) = queries.lines_of(consignment)
    assert counts(line.lot).outside == 7
    assert counts(lot).here == 2
    assert balanced()


def test_sending_moves_the_pieces_and_keeps_the_bag_they_went_in(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    assert counts(lot).outside == 9
    (line,) = queries.lines_of(consignment)
    assert line.bag == shed.bag("T1")
    assert consignment.sent_on is not None


def test_what_is_no_longer_here_stops_the_sending_and_is_named(shed: Shed) -> None:
    first, second = shed.lot(9), shed.lot(4)
    consignment = services.make_up(shop_name="The plater", shares=[Share(first), Share(second)], hand=HAND)
    move_pieces(lot=first, count=2, from_custody="bench", to_custody="fitted", hand=HAND)
    with pytest.raises(LedgerRefused, match="lot 1: 9 on the list, 7 here"):
        services.send(consignment=consignment, hand=HAND)
    assert counts(second).outside == 0


def test_an_empty_consignment_and_one_sent_before_do_not_go(shed: Shed) -> None:
    empty = services.make_up(shop_name="The plater", hand=HAND)
    with pytest.raises(Conflict, match="has no lots"):
        services.send(consignment=empty, hand=HAND)
    gone = sent(shed.lot(2))
    with pytest.raises(Conflict, match="was sent on"):
        services.send(consignment=gone, hand=HAND)
    with pytest.raises(Conflict, match="was sent on"):
        services.add_lots(consignment=gone, shares=[Share(shed.lot(2))], hand=HAND)


def test_a_line_is_taken_off_and_the_treatment_of_a_drafted_lot_follows(shed: Shed) -> None:
    lot = shed.lot(2)
    consignment = services.make_up(shop_name="The plater", shares=[Share(lot)], hand=HAND)
    treating.say_treatment(lots=[lot], treatment="chrome", hand=HAND)
    (line,) = queries.lines_of(consignment)
    assert (line.treatment, line.finish_asked) == ("chrome", "chrome")
    with pytest.raises(Conflict, match=r"Lot 1 is on consignment 1\. Take it off"):
        treating.say_treatment(lots=[lot], treatment="", hand=HAND)
    services.take_off(line=line, hand=HAND)
    assert queries.lines_of(consignment) == []


def test_lots_of_two_jobs_go_together(shed: Shed) -> None:
    other = a_shed("Other engine")
    consignment = sent(shed.lot(3), other.lot(4))
    assert {line.lot.job for line in queries.lines_of(consignment)} == {shed.job, other.job}
    assert [row.consignment for row in queries.consignments(job=other.job)] == [consignment]
    (row,) = queries.consignments()
    assert (row.sent, row.outside, row.lots) == (7, 7, 2)


def test_a_call_changes_the_date_and_the_price(shed: Shed) -> None:
    consignment = sent(shed.lot(2))
    services.log_call(
        consignment=consignment,
        spoke_to="Mary",
        said="next Tuesday",
        new_due_on=dt.date(2026, 4, 7),
        price=Decimal("80.50"),
        hand=HAND,
    )
    consignment.refresh_from_db()
    assert (consignment.due_on, consignment.quoted) == (dt.date(2026, 4, 7), Decimal("80.50"))
    assert PhoneCall.objects.get().taken_by == "Ann"
    with pytest.raises(InvalidInput, match="said needs a few words, a new date or a price"):
        services.log_call(consignment=consignment, said=" ", hand=HAND)
    with pytest.raises(InvalidInput, match="price needs an amount of 0 or more"):
        services.log_call(consignment=consignment, said="dear", price=Decimal(-1), hand=HAND)


def test_the_same_form_twice_sends_once(shed: Shed) -> None:
    hand = Hand(who="Ann", token="one form")
    services.make_up(shop_name="The plater", shares=[Share(shed.lot(2))], hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        services.make_up(shop_name="The plater", hand=hand)
    assert Consignment.objects.count() == 1


def test_a_sending_is_taken_back_until_something_depends_on_it(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    take_back(record=Record.objects.get(verb="send"), hand=HAND.because("the van did not come"))
    consignment.refresh_from_db()
    assert consignment.sent_on is None
    assert counts(lot).bench == 9
    assert balanced()


def test_the_sums_of_the_states_are_those_of_their_lists(shed: Shed) -> None:
    for treatment in ("", "zinc_clear", "clean", "leave", "scrap", "replace", "nickel"):
        shed.lot(1, treatment=treatment)
    sent(shed.lot(1, treatment="chrome"))
    lots = Lot.objects.filter(job=shed.job)
    assert states.state_counts(shed.job) == {
        state: states.in_state(lots, state).count() for state in states.STATES
    }
