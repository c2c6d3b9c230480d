"""Counting back: nothing is lost or counted twice, and every difference stays open until it is closed."""

from __future__ import annotations

import pytest

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, LedgerRefused
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import Counted, Sort
from runningfit.workshop.outside_work import count_back, queries, receiving
from runningfit.workshop.outside_work.discrepancies import close_discrepancy
from runningfit.workshop.outside_work.expecting import Scope, as_kept, sort_of
from runningfit.workshop.outside_work.models import Consignment, CountBack, Discrepancy
from runningfit.workshop.outside_work.services import make_up
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.ledger import Counts
from runningfit.workshop.pieces.lots import move_pieces, split_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand
from workshop.outside_work.bucket import (
    BUCKET,
    HAND,
    Shed,
    a_shed,
    back,
    balanced,
    counts,
    group,
    sent,
)

pytestmark = pytest.mark.django_db
WHY = HAND.because("looked for it")


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def the_open(kind: str) -> Discrepancy:
    return Discrepancy.objects.get(kind=kind, closed_at__isnull=True)


def kinds(consignment: Consignment) -> list[str]:
    return sorted(row.kind for row in queries.open_discrepancies(consignment=consignment))


def fresh(lot: Lot) -> Lot:
    return Lot.objects.get(pk=lot.pk)


def test_what_comes_back_whole_closes_the_consignment_with_the_finish_received_apart(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 9))
    consignment.refresh_from_db()
    assert counts(lot) == Counts(bench=9, found=9)
    assert consignment.closed_on is not None
    assert (fresh(lot).finish_look, fresh(lot).finish_received_look) == ("unknown", "clear")
    assert fresh(lot).treatment == ""
    (line,) = queries.lines_of(consignment)
    assert (line.finish_asked, line.finish_received_look, line.back_count) == ("clear", "clear", 9)
    assert kinds(consignment) == []
    with pytest.raises(Conflict, match="Nothing of consignment 1 is still outside"):
        back(consignment, group(lot, 1))


def test_two_missing_stay_outside_and_open(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 7))
    assert counts(lot) == Counts(bench=7, outside=2, found=9)
    assert the_open("short").said == "2 hex bolts 5/16-24 UNF x 1 3/8 in short of 9 sent in bag T1 (lot 1)."
    consignment.refresh_from_db()
    assert consignment.closed_on is None


def test_a_piece_too_many_becomes_a_lot_received_over_and_may_be_given_back(shed: Shed) -> None:
    lot = shed.lot(9)
    nut = Counted(2, Sort(Kind.NUT, ("1/4-28 UNF",)), 2, 0, FinishLook.CLEAR)
    consignment = sent(lot)
    back(consignment, group(lot, 9, key=1), nut)
    row = the_open("over")
    assert row.lot is not None
    assert counts(row.lot) == Counts(bench=2, received_over=2)
    assert row.job == shed.job
    close_discrepancy(discrepancy=row, outcome="given_back", hand=WHY)
    assert counts(row.lot).total == 0
    assert fresh(row.lot).withdrawn
    assert balanced()


def test_a_swapped_piece_ties_what_is_short_to_what_came_over(shed: Shed) -> None:
    lot, shorter = shed.lot(9), shed.lot(1, length="1 1/4 in", length_mm=31.75, treatment="")
    consignment = sent(lot)
    back(consignment, group(lot, 8), group(shorter, 1))
    assert kinds(consignment) == ["swapped"]
    row = the_open("swapped")
    assert row.line is not None
    assert row.lot is not None
    assert row.line.lot == lot
    assert counts(row.lot) == Counts(bench=1, received_over=1)
    assert row.said == (
        "1 hex bolt 5/16-24 UNF x 1 1/4 in came where 1 hex bolt 5/16-24 UNF x 1 3/8 in was sent "
        "in bag T1 (lot 1)."
    )
    close_discrepancy(discrepancy=row, outcome="put_right", hand=WHY)
    assert counts(lot) == Counts(bench=9, found=9)
    assert counts(row.lot).total == 0
    assert balanced()


def test_damaged_pieces_are_split_off_with_their_defect(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 9, damaged=2), damaged_said="threads crushed")
    row = the_open("damaged")
    assert row.lot is not None
    assert (row.lot.defect, row.lot.thread_state, row.lot.treatment) == ("threads crushed", "defective", "")
    assert (counts(lot).bench, counts(row.lot).bench) == (7, 2)
    close_discrepancy(discrepancy=row, outcome="scrapped", hand=WHY)
    assert counts(row.lot).scrapped == 2
    assert balanced()


def test_what_went_damaged_and_came_damaged_is_nothing_new(shed: Shed) -> None:
    good, bad = shed.lot(7), shed.lot(2, bag="T2", defect="pulled threads")
    consignment = sent(good, bad)
    back(consignment, group(good, 9, damaged=2))
    assert kinds(consignment) == []
    assert (counts(good).bench, counts(bad).bench) == (7, 2)


def test_a_defect_lost_among_good_ones_makes_all_of_them_not_proven(shed: Shed) -> None:
    good, bad = shed.lot(7), shed.lot(2, bag="T2", defect="pulled threads")
    consignment = sent(good, bad)
    back(consignment, group(good, 9, damaged=1))
    assert (fresh(good).thread_state, fresh(bad).thread_state) == ("not_proven", "not_proven")
    assert "gauge every one before it is used" in the_open("damaged").said


def test_another_finish_than_asked_opens_a_discrepancy_on_the_part_it_concerns(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 6, key=1), group(lot, 3, key=2, look=FinishLook.YELLOW))
    row = the_open("finish")
    assert row.said == "3 hex bolts 5/16-24 UNF x 1 3/8 in of lot 1 came back yellow; clear was asked."
    assert row.lot is not None
    assert (counts(lot).bench, counts(row.lot).bench) == (6, 3)
    assert (fresh(lot).finish_received_look, row.lot.finish_received_look) == ("clear", "yellow")
    close_discrepancy(discrepancy=row, outcome="again", hand=WHY)
    assert list(queries.lots_ready()) == [row.lot]


def test_twins_from_two_engines_fill_both_bags_and_their_engine_is_lost(shed: Shed) -> None:
    ours, theirs = shed.lot(4), shed.lot(6, bag="T2", origin=shed.donor)
    consignment = sent(ours, theirs)
    back(consignment, group(ours, 10))
    assert (counts(ours).bench, counts(theirs).bench) == (4, 6)
    for lot in (ours, theirs):
        assert fresh(lot).origin_lost
        assert fresh(lot).origin is None
        assert fresh(lot).origin_said == "Tern of the Launch engine or donor of the Launch engine"
        assert fresh(lot).bag == lot.bag
    rows = list(queries.open_discrepancies(consignment=consignment))
    assert [row.kind for row in rows] == ["indistinct", "indistinct"]
    close_discrepancy(discrepancy=rows[0], outcome="accepted", hand=WHY)
    assert kinds(consignment) == []
    consignment.refresh_from_db()
    assert consignment.closed_on is not None


def test_twins_of_two_jobs_name_the_job_with_the_engine(shed: Shed) -> None:
    other = a_shed("Other engine")
    ours, theirs = shed.lot(2), other.lot(2)
    consignment = sent(ours, theirs)
    back(consignment, group(ours, 4))
    assert fresh(theirs).origin_said == (
        "Tern of the Launch engine (Launch engine) or Tern of the Other engine (Other engine)"
    )
    assert {row.job for row in queries.open_discrepancies(consignment=consignment)} == {shed.job, other.job}


def test_twins_of_one_engine_lose_nothing(shed: Shed) -> None:
    first, second = shed.lot(4), shed.lot(6, bag="T2")
    consignment = sent(first, second)
    back(consignment, group(first, 10))
    assert kinds(consignment) == []
    assert not fresh(first).origin_lost


def test_a_person_says_which_of_the_twin_bags_lost_one(shed: Shed) -> None:
    first, second = shed.lot(4), shed.lot(6, bag="T2")
    consignment = sent(first, second)
    lines = queries.lines_of(consignment)
    back(consignment, group(first, 9), fixed={lines[0].pk: 3, lines[1].pk: 6})
    assert (counts(first).outside, counts(second).outside) == (1, 0)
    assert "nobody can say which bag" in the_open("short").said


def test_a_bucket_is_counted_back_on_several_days_and_nothing_twice(shed: Shed) -> None:
    bolts, nuts = shed.lot(9), shed.nuts(4)
    consignment = sent(bolts, nuts)
    back(consignment, group(bolts, 5), finished=False)
    assert counts(bolts) == Counts(bench=5, outside=4, found=9)
    assert kinds(consignment) == []
    assert fresh(bolts).treatment == "zinc_clear"
    back(consignment, group(bolts, 3), group(nuts, 4))
    assert kinds(consignment) == ["short"]
    back(consignment, group(bolts, 1))
    assert counts(bolts) == Counts(bench=9, found=9)
    assert kinds(consignment) == []
    assert Discrepancy.objects.get().outcome == "found"
    assert CountBack.objects.count() == 3
    assert balanced()


def test_nothing_counted_with_more_to_come_is_no_count(shed: Shed) -> None:
    consignment = sent(shed.lot(9))
    with pytest.raises(InvalidInput, match="count needs at least one piece while more is to come"):
        back(consignment, finished=False)


def test_bag_by_bag_the_piece_left_over_in_one_bag_fills_the_other_that_was_short(shed: Shed) -> None:
    first, second = shed.lot(4), shed.lot(6, bag="T2")
    consignment = sent(first, second)
    back(consignment, group(first, 3), scope=Scope("bag", shed.bag("T1")))
    assert kinds(consignment) == ["short"]
    back(consignment, group(second, 7), scope=Scope("bag", shed.bag("T2")))
    assert (counts(first).bench, counts(second).bench) == (4, 6)
    assert kinds(consignment) == []


def test_two_people_at_once_count_once(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    proposed = count_back.propose(
        consignment=consignment, scope=BUCKET, counted=[group(lot, 9)], finished=True
    )
    back(consignment, group(lot, 9), hand=Hand(who="Ben"))
    with pytest.raises(Conflict, match="is still outside"):
        count_back.accept(
            consignment=consignment,
            scope=BUCKET,
            counted=[group(lot, 9)],
            finished=True,
            state=proposed.state,
            hand=HAND,
        )
    assert counts(lot) == Counts(bench=9, found=9)


def test_somebody_counting_in_between_stops_the_second_with_a_sentence(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    old = count_back.propose(consignment=consignment, scope=BUCKET, counted=[group(lot, 9)], finished=True)
    back(consignment, group(lot, 2), finished=False, hand=Hand(who="Ben"))
    with pytest.raises(
        Conflict, match=r"Somebody counted back on consignment 1.*Nothing of your count was kept"
    ):
        count_back.accept(
            consignment=consignment,
            scope=BUCKET,
            counted=[group(lot, 9)],
            finished=True,
            state=old.state,
            hand=HAND,
        )
    assert counts(lot) == Counts(bench=2, outside=7, found=9)


def test_the_same_form_twice_counts_once(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    hand = Hand(who="Ann", token="one form")
    back(consignment, group(lot, 5), finished=False, hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        back(consignment, group(lot, 4), finished=False, hand=hand)
    assert counts(lot).bench == 5


def test_a_fault_in_the_middle_leaves_nothing_half(shed: Shed, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)

    def stumble(self: receiving.Receiving) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr(receiving.Receiving, "_open_differences", stumble)
    with pytest.raises(OSError, match="the disk is full"):
        back(consignment, group(lot, 7))
    assert counts(lot) == Counts(outside=9, found=9)
    assert CountBack.objects.count() == 0
    monkeypatch.undo()
    back(consignment, group(lot, 7))
    assert counts(lot).bench == 7


def test_a_count_back_is_taken_back_whole(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 8, damaged=2))
    record = Record.objects.get(verb="count_back")
    take_back(record=record, hand=HAND.because("that was the other bucket"))
    assert counts(lot) == Counts(outside=9, found=9)
    assert kinds(consignment) == []
    assert fresh(lot).treatment == "zinc_clear"
    back(consignment, group(lot, 9))
    with pytest.raises(Conflict, match="cannot be taken back: 'counted back the bucket"):
        take_back(record=Record.objects.get(verb="send"), hand=HAND.because("no"))
    assert balanced()


def test_a_lot_that_was_split_while_outside_comes_home_in_its_parts(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    part = split_lot(lot=lot, count=2, custody="outside", defect="bent", hand=HAND)
    back(consignment, group(lot, 9))
    assert (counts(lot).bench, counts(part).bench) == (7, 2)
    assert kinds(consignment) == []


def test_pieces_moved_by_hand_meanwhile_are_not_counted_twice(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    move_pieces(lot=lot, count=3, from_custody="outside", to_custody="bench", hand=HAND)
    with pytest.raises(LedgerRefused, match="Lot 1 has 6 outside in the books, 9 were counted back"):
        back(consignment, group(lot, 9))


def test_a_draft_has_nothing_to_count(shed: Shed) -> None:
    draft = make_up(shop_name="The plater", hand=HAND)
    with pytest.raises(Conflict, match="was not sent yet"):
        back(draft)


def test_a_second_trip_knows_nothing_of_the_finish_of_the_first(shed: Shed) -> None:
    lot = shed.lot(9)
    back(sent(lot), group(lot, 9))
    say_treatment(lots=[fresh(lot)], treatment="zinc_yellow", hand=HAND)
    second = sent(fresh(lot))
    back(second, group(lot, 7, look=FinishLook.YELLOW))
    assert fresh(lot).finish_received_look == "yellow"
    assert counts(lot) == Counts(bench=7, outside=2, found=9)
    assert Lot.objects.count() == 1


def test_the_count_itself_is_kept_with_what_was_made_of_it(shed: Shed) -> None:
    lot = shed.lot(9)
    row = back(sent(lot), group(lot, 8, damaged=1))
    assert row.counted == [as_kept(group(lot, 8, damaged=1))]
    assert (row.way, row.finished) == ("bucket", True)


def test_every_lot_of_the_same_sort_counts_as_one_group(shed: Shed) -> None:
    assert sort_of(shed.lot(2)).identity == sort_of(shed.lot(3, bag="T2")).identity
