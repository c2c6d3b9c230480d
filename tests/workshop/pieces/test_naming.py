"""A thread named by its readings is kept with all that led to it, and everything can be taken back."""

from __future__ import annotations

import datetime as dt

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.identification import Country, TappedMaterial, ThreadPrior, ThreadReadings
from runningfit.workshop.models import Area, Job, Lot, Place, Record, ThreadNaming
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot
from runningfit.workshop.pieces.naming import (
    NO_STANDARD,
    Measured,
    keep_thread_open,
    name_thread,
    neighbours_of,
    prior_of,
)
from runningfit.workshop.records.services import change_engine, open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann", why="by the gauge")
QUARTER_20 = ThreadReadings(major_mm=6.27, leaf_tpi=20)
ODD = ThreadReadings(major_mm=7.4, pitch_mm=1.13, u_major_mm=0.01, u_pitch_mm=0.005)
OPEN = ("1/4-20 UNC", "1/4-20 BSW")


@pytest.fixture
def job() -> Job:
    return open_job(
        name="Launch engine",
        engine_name="Pellworth Tern",
        built_from=dt.date(1959, 3, 1),
        built_to=dt.date(1960, 6, 30),
        hand=ANN,
    )


def lot_of(job: Job, *ends: str, **facts: object) -> Lot:
    return keep_lot(
        job=job,
        facts=LotFacts(count=6, kind="hex_bolt", end_a=ends, **facts),  # type: ignore[arg-type]
        hand=ANN,
    )


def measured(readings: ThreadReadings = QUARTER_20, prior: ThreadPrior | None = None) -> Measured:
    return Measured({"major": "6.27", "leaf": "20"}, readings, prior or ThreadPrior())


def test_a_name_is_kept_with_its_readings_its_candidates_what_was_held_likely_who_and_why(job: Job) -> None:
    lot = lot_of(job, *OPEN, questions=("5/16 is more than one thread: which?",))
    kept = name_thread(lot=lot, end="end_a", measured=measured(), designation="1/4-20 UNC", hand=ANN)
    lot.refresh_from_db()
    assert (lot.end_a, lot.questions) == ("1/4-20 UNC", [])
    naming = ThreadNaming.objects.get()
    assert naming == kept
    assert naming.kept_as == "1/4-20 UNC"
    assert naming.typed == {"major": "6.27", "leaf": "20"}
    assert naming.readings == {"internal": False, "major_mm": 6.27, "leaf_tpi": 20}
    assert {one["designation"] for one in naming.candidates[:2]} == set(OPEN)
    assert sum(one["probability"] for one in naming.candidates) + naming.none_of_these == pytest.approx(
        1, abs=0.01
    )
    assert "55 degree gauge" in naming.tell_apart
    assert "Nothing is known of the maker" in naming.prior_said
    assert (naming.who, naming.why) == ("Ann", "by the gauge")
    assert "lot 1 is 1/4-20 UNC, by its readings with probability 0." in Record.objects.latest("pk").summary


def test_a_later_name_takes_the_place_of_an_earlier_one_which_stays_as_it_was(job: Job) -> None:
    lot = lot_of(job, *OPEN)
    first = keep_thread_open(lot=lot, end="end_a", measured=measured(), hand=ANN)
    second = name_thread(lot=lot, end="end_a", measured=measured(), designation="1/4-20 BSW", hand=ANN)
    assert second.earlier == first
    first.refresh_from_db()
    assert first.kept_as == ""
    assert not first.withdrawn


def test_a_person_may_name_a_thread_that_the_readings_hold_unlikely(job: Job) -> None:
    lot = lot_of(job, *OPEN)
    name_thread(lot=lot, end="end_a", measured=measured(), designation="M8x1.25", hand=ANN)
    lot.refresh_from_db()
    assert lot.end_a == "M8x1.25"
    assert "with probability 0.00" in Record.objects.latest("pk").summary


def test_kept_open_leaves_the_likely_candidates(job: Job) -> None:
    lot = lot_of(job, "1/4-20 UNC", "1/4-20 BSW", "1/4-28 UNF")
    keep_thread_open(lot=lot, end="end_a", measured=measured(), hand=ANN)
    lot.refresh_from_db()
    assert set(lot.end_a.split("|")) == set(OPEN)


def test_kept_open_never_settles_a_thread(job: Job) -> None:
    lot = lot_of(job, "5/16-24 UNF", "5/16-22 BSF")
    readings = ThreadReadings(major_mm=7.88, leaf_tpi=24)
    kept = keep_thread_open(lot=lot, end="end_a", measured=measured(readings), hand=ANN)
    assert kept.candidates[0]["probability"] > 0.98
    lot.refresh_from_db()
    assert lot.end_a == "5/16-24 UNF|5/16-22 BSF"


def test_a_thread_of_no_standard_asks_and_a_name_settles_that(job: Job) -> None:
    lot = lot_of(job)
    kept = keep_thread_open(lot=lot, end="end_a", measured=measured(ODD), hand=ANN)
    lot.refresh_from_db()
    assert kept.none_of_these > 0.5
    assert (lot.end_a, lot.questions) == ("", [NO_STANDARD])
    name_thread(lot=lot, end="end_a", measured=measured(), designation="1/4-20 UNC", hand=ANN)
    lot.refresh_from_db()
    assert lot.questions == []


def test_a_stud_alike_at_both_ends_is_named_at_both_and_one_with_two_threads_at_one(job: Job) -> None:
    alike = lot_of(job, *OPEN, end_b=OPEN)
    name_thread(lot=alike, end="end_a", measured=measured(), designation="1/4-20 BSW", hand=ANN)
    alike.refresh_from_db()
    assert (alike.end_a, alike.end_b) == ("1/4-20 BSW", "1/4-20 BSW")
    unlike = lot_of(job, *OPEN, end_b=("1/4-28 UNF",))
    name_thread(lot=unlike, end="end_a", measured=measured(), designation="1/4-20 UNC", hand=ANN)
    unlike.refresh_from_db()
    assert (unlike.end_a, unlike.end_b) == ("1/4-20 UNC", "1/4-28 UNF")


def test_a_name_is_taken_back_with_its_row(job: Job) -> None:
    lot = lot_of(job, *OPEN)
    name_thread(lot=lot, end="end_a", measured=measured(), designation="1/4-20 UNC", hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN)
    lot.refresh_from_db()
    assert lot.end_a == "|".join(OPEN)
    assert ThreadNaming.objects.get().withdrawn


def test_somebody_elses_change_meanwhile_is_not_overwritten(job: Job) -> None:
    lot = lot_of(job, *OPEN)
    seen = Record.objects.latest("pk").pk
    change_lot(lot=lot, end_a=("1/4-28 UNF",), hand=Hand(who="Wilf"))
    with pytest.raises(Conflict, match="Wilf changed the end a of lot 1"):
        name_thread(
            lot=lot,
            end="end_a",
            measured=measured(),
            designation="1/4-20 UNC",
            hand=Hand(who="Ann", seen=seen),
        )
    assert not ThreadNaming.objects.exists()


@pytest.mark.parametrize(
    ("end", "designation", "told"),
    [
        ("end_c", "1/4-20 UNC", "end needs end_a or end_b"),
        ("end_a", "1/4-21 UNC", "a designation of the tables"),
    ],
)
def test_no_such_end_and_no_such_thread_are_refused(job: Job, end: str, designation: str, told: str) -> None:
    lot = lot_of(job, *OPEN)
    with pytest.raises(InvalidInput, match=told):
        name_thread(lot=lot, end=end, measured=measured(), designation=designation, hand=ANN)
    assert not ThreadNaming.objects.exists()


def test_what_is_held_likely_comes_from_the_engine_the_area_the_hole_and_what_was_said_before(
    job: Job,
) -> None:
    area = Area.objects.create(job=job, name="gear case")
    hole = Place.objects.create(
        area=area, name="cover", count=6, basis="holes_counted", hole_material="aluminium alloy"
    )
    lot = lot_of(job, *OPEN, area=area, place=hole)
    lot_of(job, "1/4-28 UNF", area=area)
    lot_of(job, "1/4-28 UNF", area=area)
    lot_of(job, "5/16-24 UNF", area=area)
    lot_of(job, *OPEN, area=area)
    lot_of(job, "M8x1.25")
    assert neighbours_of(lot) == (("1/4-28 UNF", 2.0), ("5/16-24 UNF", 1.0))
    known = prior_of(lot)
    assert (known.built_from, known.built_to) == (1959, 1960)
    assert known.tapped_material is TappedMaterial.ALUMINIUM
    assert known.country is None
    said = ThreadPrior(country=Country.UNITED_KINGDOM)
    keep_thread_open(lot=lot, end="end_a", measured=measured(prior=said), hand=ANN)
    assert prior_of(lot).country is Country.UNITED_KINGDOM
    change_engine(engine=job.engines.get(), country="Japan", hand=ANN)
    assert prior_of(lot).country is Country.JAPAN


def test_a_country_whose_threads_nobody_knows_is_refused(job: Job) -> None:
    with pytest.raises(InvalidInput, match=r"country needs one of United Kingdom, .*; 'Atlantis' came"):
        change_engine(engine=job.engines.get(), country="Atlantis", hand=ANN)
