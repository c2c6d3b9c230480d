"""Findings, and what a defective thread makes of its mate."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.workshop.pieces import places
from runningfit.workshop.pieces.findings import record_finding, settle_finding
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Finding, Lot, Place
from runningfit.workshop.pieces.places import PlaceFacts
from runningfit.workshop.pieces.threads import prove_thread, say_thread
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BOLTS = LotFacts(count=9, kind="hex_bolt", end_a=("5/16-24 UNF",), length_mm=34.925)


@pytest.fixture
def job() -> Job:
    return open_job(name="Launch", engine_name="Tern", hand=ANN)


@pytest.fixture
def place(job: Job) -> Place:
    area = places.add_area(job=job, name="Gear case", hand=ANN)
    facts = PlaceFacts(name="cover", count=9, basis="holes_counted", kind="hex_bolt", end_a=("5/16-24 UNF",))
    return places.add_place(area=area, facts=facts, hand=ANN)


def state(row: Lot | Place) -> str:
    row.refresh_from_db()
    return row.thread_state


def test_a_defective_thread_splits_the_lot_and_makes_its_hole_not_proven(job: Job, place: Place) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, place=place), hand=ANN)
    finding = record_finding(job=job, what="thread_defective", lot=lot, count=2, hand=ANN)
    bad = finding.lot
    assert bad is not None
    assert (count_of(lot).total, count_of(bad).total, state(lot), state(bad)) == (7, 2, "", "defective")
    assert (state(place), finding.place, finding.area) == ("not_proven", place, place.area)
    assert "not proven by it: the hole at cover" in Record.objects.latest("pk").summary
    assert books_balance() == (9, 9)


def test_a_defective_hole_makes_what_is_in_it_not_proven(job: Job, place: Place) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, place=place), hand=ANN)
    washers = keep_lot(job=job, facts=LotFacts(count=9, kind="plain_washer", place=place), hand=ANN)
    record_finding(job=job, what="thread_defective", place=place, count=1, hand=ANN)
    assert (state(place), state(lot), state(washers)) == ("defective", "not_proven", "")


def test_a_defective_stud_makes_its_nuts_not_proven_and_the_other_way_round(job: Job, place: Place) -> None:
    stud = keep_lot(
        job=job,
        facts=LotFacts(count=9, kind="stud", end_a=("5/16-18 UNC",), end_b=("5/16-24 UNF",), place=place),
        hand=ANN,
    )
    nuts = keep_lot(
        job=job, facts=LotFacts(count=9, kind="nut", end_a=("5/16-24 UNF",), place=place), hand=ANN
    )
    strange = keep_lot(
        job=job, facts=LotFacts(count=9, kind="nut", end_a=("M8x1.25",), place=place), hand=ANN
    )
    say_thread(lot=stud, state="defective", hand=ANN)
    assert (state(nuts), state(strange), state(place)) == ("not_proven", "", "not_proven")
    prove_thread(thing=nuts, hand=ANN.because("ring gauge goes on by hand"))
    say_thread(lot=nuts, state="defective", hand=ANN)
    assert (state(stud), state(nuts)) == ("defective", "defective")


def test_a_doubted_thread_is_good_only_when_somebody_says_how_that_was_proven(job: Job, place: Place) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, place=place), hand=ANN)
    record_finding(job=job, what="thread_defective", place=place, hand=ANN)
    with pytest.raises(InvalidInput, match="why needs how the thread was proven"):
        prove_thread(thing=lot, hand=ANN)
    with pytest.raises(InvalidInput, match="why needs how the thread was proven"):
        say_thread(lot=lot, state="good", hand=ANN)
    lot.refresh_from_db()
    place.refresh_from_db()
    prove_thread(thing=lot, hand=ANN.because("gauge goes on all the way"))
    prove_thread(thing=place, hand=ANN.because("insert fitted, gauge goes in"))
    assert (state(lot), state(place)) == ("good", "good")


def test_taking_the_finding_back_takes_its_consequences_back(job: Job, place: Place) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, place=place), hand=ANN)
    finding = record_finding(job=job, what="thread_defective", lot=lot, count=2, hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("it was dirt"))
    finding.refresh_from_db()
    assert (count_of(lot).total, state(place), finding.withdrawn) == (9, "", True)
    assert Lot.objects.filter(job=job, withdrawn=False).count() == 1


def test_broken_pieces_part_from_their_lot(job: Job) -> None:
    lot = keep_lot(job=job, facts=BOLTS, hand=ANN)
    finding = record_finding(job=job, what="broken", lot=lot, count=3, hand=ANN, note="sheared at the head")
    assert finding.lot is not None
    assert (finding.lot.pk != lot.pk, finding.lot.defect, count_of(lot).total) == (True, "broken", 6)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"what": "haunted", "note": "x"}, "what needs one of stuck"),
        ({"what": "stuck"}, "note needs where or what it is"),
        ({"what": "stuck", "note": "x", "count": 0}, "count needs a whole number from 1"),
        ({"what": "stuck", "note": "x", "count": -2}, "count needs a whole number from 1"),
    ],
)
def test_a_finding_says_what_it_needs(job: Job, values: dict[str, object], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        record_finding(job=job, hand=ANN, **values)  # type: ignore[arg-type]
    assert not Finding.objects.exists()


def test_no_more_pieces_are_defective_than_the_lot_has(job: Job) -> None:
    lot = keep_lot(job=job, facts=BOLTS, hand=ANN)
    with pytest.raises(InvalidInput, match=f"count needs at most 9, as many as lot {lot.number} has"):
        record_finding(job=job, what="thread_defective", lot=lot, count=10, hand=ANN)
    with pytest.raises(InvalidInput, match="count needs at most 9"):
        say_thread(lot=lot, state="defective", count=10, hand=ANN)


def test_settling_says_what_became_of_it(job: Job) -> None:
    finding = record_finding(job=job, what="stuck", note="pump spindle", hand=ANN)
    with pytest.raises(InvalidInput, match="why needs what became of it"):
        settle_finding(finding=finding, hand=ANN)
    settle_finding(finding=finding, hand=ANN.because("came free with heat"))
    finding.refresh_from_db()
    assert finding.settled
