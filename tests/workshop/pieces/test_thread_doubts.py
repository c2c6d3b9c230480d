"""The threads of a job that ask for a person: open ones with what to measure next, and strangers."""

from __future__ import annotations

import pytest

from runningfit.core.pieces.identification import ThreadPrior, ThreadReadings
from runningfit.workshop.models import Area, Job, Lot
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.naming import Measured, keep_thread_open
from runningfit.workshop.pieces.thread_doubts import next_measurements, open_thread_lots, strangers_in_areas
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def lot_of(job: Job, *ends: str, **facts: object) -> Lot:
    return keep_lot(
        job=job,
        facts=LotFacts(count=6, kind="hex_bolt", end_a=ends, **facts),  # type: ignore[arg-type]
        hand=ANN,
    )


def test_open_threads_are_listed_by_number_and_page_by_it(job: Job) -> None:
    first = lot_of(job, "1/4-20 UNC", "1/4-20 BSW")
    lot_of(job, "1/4-28 UNF")
    last = lot_of(job, "1/4-28 UNF", end_b=("G1/4", "R1/4"))
    withdrawn = lot_of(job, "1/4-20 UNC", "1/4-20 BSW")
    Lot.objects.filter(pk=withdrawn.pk).update(withdrawn=True)
    assert list(open_thread_lots(job)) == [first, last]
    assert list(open_thread_lots(job, after=first.number)) == [last]


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        (("1/4-20 UNC", "1/4-20 BSW"), "55 degree gauge"),
        (("G1/4", "R1/4"), "diameter at both ends"),
        (("1/4-28 UNF", "1/4-26 BSF"), "itch"),
        (("1/4-28 UNF", "5/16-22 BSF"), "the outside diameter and the pitch"),
    ],
)
def test_what_to_measure_next_follows_from_the_candidates(job: Job, ends: tuple[str, ...], told: str) -> None:
    lot = lot_of(job, *ends)
    (advice,) = next_measurements([lot])
    assert advice.end == "end_a"
    assert told in advice.words


def test_what_was_measured_already_changes_what_to_measure_next(job: Job) -> None:
    lot = lot_of(job, "1/4-20 UNC", "1/4-20 BSW")
    odd = ThreadReadings(major_mm=6.05, pitch_mm=1.33, u_pitch_mm=0.05)
    kept = keep_thread_open(lot=lot, end="end_a", measured=Measured({}, odd, ThreadPrior()), hand=ANN)
    lot.refresh_from_db()
    (advice,) = next_measurements([lot])
    assert advice.words == kept.tell_apart


def test_the_second_end_of_a_stud_is_asked_about_where_the_first_is_settled(job: Job) -> None:
    lot = lot_of(job, "1/4-28 UNF", end_b=("1/4-20 UNC", "1/4-20 BSW"))
    (advice,) = next_measurements([lot])
    assert advice.end == "end_b"


def test_one_whitworth_lot_among_unified_ones_is_pointed_out(job: Job) -> None:
    area = Area.objects.create(job=job, name="gear case")
    for _ in range(7):
        lot_of(job, "5/16-24 UNF", area=area)
    lot_of(job, "2BA", area=area)
    lot_of(job, "1/4-20 UNC", "1/4-20 BSW", area=area)
    odd = lot_of(job, "5/16-22 BSF", area=area)
    (found,) = strangers_in_areas(job)
    assert found.lot == odd
    assert found.stranger.odds == pytest.approx(15)
    assert "All 7 other lots here" in found.stranger.reason
    assert "5/16-24 UNF" in found.stranger.reason


def test_few_neighbours_lots_without_an_area_and_withdrawn_ones_say_nothing(job: Job) -> None:
    small, large = (Area.objects.create(job=job, name=name) for name in ("dynamo", "gear case"))
    for _ in range(5):
        lot_of(job, "5/16-24 UNF", area=small)
    lot_of(job, "5/16-22 BSF", area=small)
    for _ in range(9):
        lot_of(job, "5/16-24 UNF")
        gone = lot_of(job, "5/16-24 UNF", area=large)
        Lot.objects.filter(pk=gone.pk).update(withdrawn=True)
    lot_of(job, "5/16-22 BSF")
    lot_of(job, "5/16-22 BSF", area=large)
    assert strangers_in_areas(job) == []
