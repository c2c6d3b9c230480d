"""Can an area be built now, fitting pieces, money and time, and the page across all jobs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.workshop.build.all_jobs import all_jobs
from runningfit.workshop.build.money import how_much
from runningfit.workshop.build.queries import areas_to_build, kit_of
from runningfit.workshop.build.services import Fitting, fit_pieces
from runningfit.workshop.build.standing import Standing, Standings, reckon
from runningfit.workshop.models import (
    Consignment,
    ConsignmentLine,
    Job,
    Lot,
    OutsideShop,
    Place,
    Record,
)
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot, move_pieces
from runningfit.workshop.plan.buying import add_to_buy, order, quote, receive
from runningfit.workshop.plan.services import allot, unallot
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BEN = Hand(who="Ben", why="gauged by feel")
FINE = ("5/16-24 UNF",)
TODAY = dt.date(2026, 3, 10)


@pytest.fixture
def lot(job: Job) -> Lot:
    facts = LotFacts(count=9, kind="hex_bolt", end_a=FINE, length_mm=34.925)
    return keep_lot(job=job, facts=facts, hand=ANN)


def consigned(lot: Lot, **values: object) -> Consignment:
    shop = OutsideShop.objects.create(name="the plater")
    number = Consignment.objects.count() + 1
    made = Consignment.objects.create(number=number, shop=shop, made_up_on=TODAY, **values)
    ConsignmentLine.objects.create(consignment=made, lot=lot, count=9, treatment="zinc_clear")
    return made


def reasons(job: Job) -> list[str]:
    (row,) = areas_to_build(job)
    assert [reason.text for reason in row.state.reasons] == [
        reason.text for reason in kit_of(row.area).state.reasons
    ]
    return [reason.text for reason in row.state.reasons]


def test_an_area_is_ready_when_its_pieces_are_here(job: Job, place: Place, lot: Lot) -> None:
    assert reasons(job) == ["cover bolts: 9 of 9 missing"]
    allot(lot=lot, place=place, count=9, hand=ANN)
    assert areas_to_build(job)[0].state.ready


def test_what_is_out_unproven_or_still_to_be_treated_stands_against_it(
    job: Job, place: Place, lot: Lot
) -> None:
    allot(lot=lot, place=place, count=9, hand=ANN)
    change_lot(lot=lot, hand=ANN, treatment="zinc_clear", thread_state="not_proven")
    move_pieces(lot=lot, count=4, from_custody="bench", to_custody="outside", hand=ANN)
    assert reasons(job) == [
        "cover bolts: 4 outside (lot 1)",
        "cover bolts: thread not proven (lot 1)",
        "cover bolts: electroplate zinc, clear not done yet (lot 1)",
    ]


def test_a_treatment_stands_against_it_until_it_is_done(job: Job, place: Place, lot: Lot) -> None:
    allot(lot=lot, place=place, count=9, hand=ANN)
    change_lot(lot=lot, hand=ANN, treatment="clean")
    assert reasons(job) == ["cover bolts: clean not done yet (lot 1)"]
    change_lot(lot=lot, hand=ANN, treatment="leave")
    assert areas_to_build(job)[0].state.ready


def test_a_misfit_allotted_on_purpose_still_shows(job: Job, place: Place, lot: Lot) -> None:
    change_lot(lot=lot, hand=ANN, length_mm=31.75)
    allot(lot=lot, place=place, count=9, hand=BEN)
    assert reasons(job) == [
        "cover bolts: does not belong here: it is shorter: 1 1/4 in, the place needs 1 3/8 in (lot 1)"
    ]


def test_pieces_are_fitted_and_the_area_is_built(job: Job, place: Place, lot: Lot) -> None:
    allot(lot=lot, place=place, count=9, hand=ANN)
    fit_pieces(job=job, fittings=[Fitting(lot, 4)], hand=ANN)
    assert (count_of(lot).fitted, areas_to_build(job)[0].state.fitted) == (4, 4)
    fit_pieces(job=job, fittings=[Fitting(lot, 5)], hand=ANN)
    assert areas_to_build(job)[0].state.finished
    assert Record.objects.latest("id").summary == "fitted 5 pieces in Gear case"
    take_back(record=Record.objects.latest("id"), hand=BEN)
    assert count_of(lot).fitted == 4


def test_what_cannot_be_fitted_is_refused(job: Job, place: Place, lot: Lot) -> None:
    with pytest.raises(InvalidInput, match="what is fitted needs at least one line"):
        fit_pieces(job=job, fittings=[], hand=ANN)
    with pytest.raises(Conflict, match="Lot 1 is allotted to no place yet"):
        fit_pieces(job=job, fittings=[Fitting(lot, 1)], hand=ANN)
    allot(lot=lot, place=place, count=9, hand=ANN)
    with pytest.raises(Conflict, match="needs 9, 0 are fitted already; 10 more do not go in"):
        fit_pieces(job=job, fittings=[Fitting(lot, 10)], hand=ANN)
    move_pieces(lot=lot, count=8, from_custody="bench", to_custody="outside", hand=ANN)
    with pytest.raises(LedgerRefused, match="Lot 1 has 0 on the bench"):
        fit_pieces(job=job, fittings=[Fitting(lot, 2)], hand=ANN)
    assert count_of(lot).fitted == 0


@pytest.mark.parametrize("state", ["defective", "not_proven"])
def test_a_thread_in_doubt_is_fitted_with_a_reason_only(job: Job, place: Place, lot: Lot, state: str) -> None:
    allot(lot=lot, place=place, count=9, hand=ANN)
    Place.objects.update(thread_state=state)
    with pytest.raises(Conflict, match="The thread of the hole of cover bolts is"):
        fit_pieces(job=job, fittings=[Fitting(lot, 9)], hand=ANN)
    assert fit_pieces(job=job, fittings=[Fitting(lot, 9)], hand=BEN) == 9


def test_money_is_spent_committed_offered_or_not_yet_quoted(job: Job, place: Place, lot: Lot) -> None:
    consigned(lot, sent_on=TODAY, due_on=dt.date(2026, 4, 1), quoted=Decimal("80"))
    consigned(lot, quoted=Decimal("15"))
    row = add_to_buy(job=job, place=place, hand=ANN)
    first = how_much(job=job, today=TODAY)
    assert [line.what for line in first.unquoted] == ["9 hex bolts 5/16-24 UNF"]
    quote(row=row, hand=ANN, price_each=Decimal("1.10"))
    order(row=row, hand=ANN, ordered_on=TODAY, due_on=dt.date(2026, 3, 20))
    second = how_much(job=job, today=TODAY)
    assert second.totals == {"spent": 0, "committed": Decimal("89.90"), "offered": Decimal("15")}
    assert (second.latest, second.overdue, second.undated) == (dt.date(2026, 4, 1), 0, 0)
    receive(row=row, hand=ANN)
    third = how_much(job=job, today=dt.date(2026, 4, 2))
    assert (third.totals["spent"], third.overdue) == (Decimal("9.90"), 1)


def test_a_consignment_of_two_jobs_is_shared_by_their_pieces(job: Job, lot: Lot) -> None:
    other = open_job(name="Other", engine_name="Pellworth Plover", hand=ANN)
    theirs = keep_lot(job=other, facts=LotFacts(count=27), hand=ANN)
    made = consigned(lot, sent_on=TODAY, quoted=Decimal("100"))
    ConsignmentLine.objects.create(consignment=made, lot=theirs, count=27, treatment="zinc_clear")
    (line,) = how_much(job=job, today=TODAY).committed
    assert (line.amount, line.said) == (Decimal("25.00"), "its share of 100.00: 9 of 36 pieces")
    ConsignmentLine.objects.filter(lot=lot).update(price=Decimal("30"))
    Consignment.objects.update(quoted=None)
    (line,) = how_much(job=job, today=TODAY).committed
    assert (line.amount, line.said) == (Decimal("30"), "by its lines")


def test_what_blocks_is_named(job: Job, place: Place, lot: Lot) -> None:
    allot(lot=lot, place=place, count=5, hand=ANN)
    move_pieces(lot=lot, count=2, from_custody="bench", to_custody="outside", hand=ANN)
    Lot.objects.filter(pk=lot.pk).update(thread_state="not_proven")
    Place.objects.update(thread_state="not_proven")
    assert [block.said for block in how_much(job=job, today=TODAY).blocks] == [
        "4 pieces missing in 1 place",
        "2 pieces outside",
        "4 pieces and 9 holes with a thread not proven",
    ]


def test_the_front_page_says_what_is_short_out_due_and_waiting(job: Job, place: Place, lot: Lot) -> None:
    move_pieces(lot=lot, count=2, from_custody="bench", to_custody="outside", hand=ANN)
    consigned(lot, sent_on=TODAY, due_on=dt.date(2026, 3, 9))
    shown = all_jobs(today=TODAY)
    (line,) = shown.jobs
    assert line.standing == Standing(1, 9, 2, 0)
    assert [(due.said, due.overdue, due.jobs) for due in shown.due] == [
        ("consignment 1 from the plater", True, (job,))
    ]


def test_how_a_job_stands_is_reckoned_again_whenever_a_record_touches_the_job(
    job: Job, place: Place, lot: Lot
) -> None:
    standings = Standings()
    assert standings.of_jobs([job.pk])[job.pk] == Standing(1, 9)
    allot(lot=lot, place=place, count=9, hand=ANN)
    assert standings.of_jobs([job.pk])[job.pk] == Standing(0, 0)
    assert standings.of_jobs([job.pk])[job.pk] == Standing(0, 0)
    unallot(lot=lot, hand=ANN, count=2)
    assert standings.of_jobs([job.pk])[job.pk] == Standing(1, 2)
    take_back(record=Record.objects.latest("id"), hand=BEN)
    assert standings.of_jobs([job.pk]) == reckon([job.pk]) == {job.pk: Standing(0, 0)}


def test_a_record_that_is_seen_late_is_still_seen(job: Job, place: Place, lot: Lot) -> None:
    standings = Standings()
    standings.of_jobs([job.pk])
    allot(lot=lot, place=place, count=9, hand=ANN)
    late = Record.objects.latest("id")
    Record.objects.filter(pk=late.pk).update(at=timezone.now() - dt.timedelta(seconds=90))
    assert standings.of_jobs([job.pk])[job.pk] == Standing(0, 0)
