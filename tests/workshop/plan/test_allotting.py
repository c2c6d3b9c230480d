"""Allotting pieces to places: splitting, stock, refusing what does not fit, and taking it back."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.workshop.models import Area, Job, Lot, Place, Record
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot, move_pieces
from runningfit.workshop.pieces.places import PlaceFacts, add_place
from runningfit.workshop.plan.filling import filled
from runningfit.workshop.plan.proposing import suggest_allotment
from runningfit.workshop.plan.queries import offers_for, place_line, plan_of
from runningfit.workshop.plan.services import Allotment, allot, allot_many, unallot
from runningfit.workshop.plan.strangers import strangers_of
from runningfit.workshop.records.queries import loose_stock
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BEN = Hand(who="Ben", why="it is what we have")
FINE = ("5/16-24 UNF",)


def bolts(job: Job, count: int, **facts: object) -> Lot:
    said: dict[str, object] = {
        "kind": "hex_bolt",
        "end_a": FINE,
        "length_mm": 34.925,
        "length_nominal": "1 3/8 in",
    }
    return keep_lot(job=job, facts=LotFacts(count=count, **(said | facts)), hand=ANN)  # type: ignore[arg-type]


def place_for(area: Area, count: int, **facts: object) -> Place:
    said: dict[str, object] = {
        "name": "gear case bolts",
        "count": count,
        "basis": "holes_counted",
        "kind": "hex_bolt",
        "end_a": FINE,
        "length_mm": 34.925,
        "length_nominal": "1 3/8 in",
    }
    return add_place(area=area, facts=PlaceFacts(**(said | facts)), hand=ANN)  # type: ignore[arg-type]


def test_a_whole_lot_goes_to_its_place_without_a_split(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 9)
    assert allot(lot=lot, place=place, count=9, hand=ANN).pk == lot.pk
    assert filled(place) == 9
    assert place_line(place).missing == 0


def test_a_part_of_a_lot_is_split_off_and_counts_are_kept(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 4)
    given = allot(lot=lot, place=place, count=4, hand=ANN)
    assert given.parent == lot
    assert (count_of(lot).bench, count_of(given).bench) == (5, 4)
    assert books_balance() == (9, 9)


def test_pieces_in_two_custodies_are_gathered(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 8)
    move_pieces(lot=lot, count=6, from_custody="bench", to_custody="store", hand=ANN)
    given = allot(lot=lot, place=place, count=8, hand=ANN)
    assert (count_of(given).bench, count_of(given).store) == (3, 5)


def test_pieces_that_are_outside_are_not_parted_from_their_lot(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 9)
    move_pieces(lot=lot, count=7, from_custody="bench", to_custody="outside", hand=ANN)
    with pytest.raises(LedgerRefused, match="has 2 loose in the shop; 7 are outside, so 4 cannot be parted"):
        allot(lot=lot, place=place, count=4, hand=ANN)
    assert allot(lot=lot, place=place, count=9, hand=ANN).pk == lot.pk


def test_stock_that_is_allotted_becomes_a_lot_of_the_job(job: Job, area: Area) -> None:
    stock = loose_stock()
    assert stock is not None
    lot, place = bolts(stock, 20), place_for(area, 9)
    given = allot(lot=lot, place=place, count=9, hand=ANN)
    assert (given.job, given.area, given.parent) == (job, area, lot)
    assert given.origin_said == f"loose stock, lot {lot.number}"
    assert (count_of(lot).bench, count_of(given).bench) == (11, 9)
    assert books_balance() == (20, 20)


def test_another_jobs_lot_is_refused(area: Area) -> None:
    other = open_job(name="Other", engine_name="Pellworth Plover", hand=ANN)
    with pytest.raises(Conflict, match="belongs to the job Other, not to Launch engine"):
        allot(lot=bolts(other, 9), place=place_for(area, 9), count=9, hand=ANN)


def test_more_than_the_place_needs_must_be_said(job: Job, area: Area) -> None:
    lot, place = bolts(job, 12), place_for(area, 9)
    allot(lot=bolts(job, 5), place=place, count=5, hand=ANN)
    with pytest.raises(
        InvalidInput, match="count needs at most 4, since gear case bolts needs 9 in all; 6 came"
    ):
        allot(lot=lot, place=place, count=6, hand=ANN)
    allot(lot=lot, place=place, count=6, hand=ANN, over=True)
    assert place_line(place).over == 2


def test_what_does_not_fit_needs_a_reason(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9, length_mm=31.75, length_nominal="1 1/4 in"), place_for(area, 9)
    with pytest.raises(Conflict, match=r"does not fit gear case bolts: it is shorter: 1 1/4 in, .* Say why"):
        allot(lot=lot, place=place, count=9, hand=ANN)
    allot(lot=lot, place=place, count=9, hand=BEN)
    assert Record.objects.latest("id").why == "it is what we have"


def test_an_allotment_is_taken_back_by_a_reversing_entry(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 4)
    given = allot(lot=lot, place=place, count=4, hand=ANN)
    take_back(record=Record.objects.latest("id"), hand=BEN)
    given.refresh_from_db()
    assert given.withdrawn
    assert (count_of(lot).bench, filled(place)) == (9, 0)


def test_a_lot_is_freed_whole_or_in_part_but_not_out_of_the_engine(job: Job, area: Area) -> None:
    lot, place = bolts(job, 9), place_for(area, 9)
    allot(lot=lot, place=place, count=9, hand=ANN)
    free = unallot(lot=lot, count=2, hand=ANN)
    assert (free.place, filled(place)) == (None, 7)
    move_pieces(lot=lot, count=3, from_custody="bench", to_custody="fitted", hand=ANN)
    with pytest.raises(Conflict, match="3 of lot 1 are fitted in gear case bolts"):
        unallot(lot=lot, hand=ANN)


def test_a_defective_thread_fills_nothing(job: Job, area: Area) -> None:
    place = place_for(area, 9)
    lot = bolts(job, 9)
    allot(lot=lot, place=place, count=9, hand=ANN)
    Lot.objects.filter(pk=lot.pk).update(thread_state="defective")
    line = place_line(place)
    assert (line.missing, line.filling.defective) == (9, 9)
    assert plan_of(job).missing == 9


def test_the_proposal_takes_own_pieces_then_the_donors_then_stock(job: Job, area: Area) -> None:
    stock = loose_stock()
    assert stock is not None
    donor = add_donor(job=job, name="Tern of 1957", hand=ANN)
    place = place_for(area, 10)
    bolts(stock, 20)
    bolts(job, 3, origin=donor)
    bolts(job, 4)
    proposal = suggest_allotment(job=job)
    assert [(line.origin, line.count) for line in proposal.lines] == [
        ("this engine", 4),
        ("donor", 3),
        ("loose stock", 3),
    ]
    assert not proposal.short
    chosen = [Allotment(line.place, line.lot, line.count) for line in proposal.lines]
    allot_many(job=job, allotments=chosen, hand=ANN)
    assert filled(place) == 10
    assert Record.objects.latest("id").summary == "allotted 10 pieces to 1 place as proposed"
    assert books_balance() == (27, 27)


def test_a_stand_in_never_robs_a_place_of_its_own_kind(job: Job, area: Area) -> None:
    place_for(area, 4, name="bolts")
    screws = place_for(area, 4, name="screws", kind="setscrew")
    bolts(job, 4, kind="setscrew")
    proposal = suggest_allotment(job=job)
    assert [(line.place, line.count) for line in proposal.lines] == [(screws, 4)]
    assert [(place.name, missing) for place, missing in proposal.short] == [("bolts", 4)]


def test_what_may_fit_is_offered_but_not_proposed(job: Job, area: Area) -> None:
    place = place_for(area, 9)
    lot = bolts(job, 9, end_a=("5/16-24 UNF", "5/16-18 UNC"))
    assert not suggest_allotment(job=job).lines
    (offer,) = offers_for(place)
    assert (offer.lot, offer.fit.fits) == (lot, False)
    assert offer.fit.asks == ("whether its thread is 5/16-24 UNF or 5/16-18 UNC",)


def test_a_lot_that_is_to_be_scrapped_is_neither_offered_nor_proposed(job: Job, area: Area) -> None:
    place = place_for(area, 9)
    change_lot(lot=bolts(job, 9), hand=ANN, treatment="scrap")
    assert not offers_for(place)
    assert not suggest_allotment(job=job).lines


def test_lots_are_foreign_doubtful_open_or_spare(job: Job, area: Area) -> None:
    place_for(area, 9)
    place_for(area, 2, name="studs", kind="stud", basis="assumed", length_mm=50.8, length_nominal="2 in")
    foreign = bolts(job, 2, end_a=("1/4-26 BSF",))
    doubtful = bolts(job, 2, kind="stud", length_mm=50.8, length_nominal="2 in")
    still_open = bolts(job, 1, length_mm=None, length_nominal="")
    spare = bolts(job, 3)
    strangers = strangers_of(job)
    assert [row.lot for row in strangers.foreign] == [foreign]
    assert "1/4-26 BSF" in strangers.foreign[0].why
    assert [row.lot for row in strangers.doubtful] == [doubtful]
    assert [(row.lot, row.why) for row in strangers.open] == [(still_open, "find out how long it is")]
    assert [row.lot for row in strangers.spare] == [doubtful, spare]


def test_a_donors_pieces_say_so(job: Job, area: Area) -> None:
    donor = add_donor(job=job, name="Tern of 1957", hand=ANN)
    place = place_for(area, 9)
    bolts(job, 9, origin=donor)
    assert [offer.origin for offer in offers_for(place)] == ["donor"]
