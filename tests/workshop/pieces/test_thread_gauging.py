"""A check against limits says what the thread of a lot is: gauges prove it, diameters alone do not."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging import Measured, ThreadMeasurement
from runningfit.workshop.models import Area, Job, Lot, Place, Record, ThreadGauging
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot
from runningfit.workshop.pieces.thread_gauging import Gauged, keep_check
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
# 5/16-24 UNF 2A: pitch diameter 7.127 to 7.221 mm, major diameter 7.727 to 7.910 mm.
WITHIN = ThreadMeasurement(internal=False, major=Measured(7.85, 0.005), pitch_diameter=Measured(7.17, 0.005))
ONLY_MAJOR = ThreadMeasurement(internal=False, major=Measured(7.85, 0.005))
WORN = ThreadMeasurement(internal=False, major=Measured(7.80, 0.005), pitch_diameter=Measured(7.05, 0.005))
GAUGED_GOOD = ThreadMeasurement(internal=False, go=True, no_go=False)
NO_GO_GOES = ThreadMeasurement(internal=False, go=True, no_go=True)


@pytest.fixture
def lot(job: Job) -> Lot:
    area = Area.objects.create(job=job, name="gear case")
    hole = Place.objects.create(area=area, name="case to block", count=9, basis="holes_counted")
    facts = LotFacts(count=9, kind="hex_bolt", end_a=("5/16-24 UNF",), area=area, place=hole)
    return keep_lot(job=job, facts=facts, hand=ANN)


def gauged(measurement: ThreadMeasurement, thread_class: str | None = None) -> Gauged:
    return Gauged("5/16-24 UNF", thread_class, {"major": "7.85"}, measurement)


def test_both_gauges_prove_a_thread_good(lot: Lot) -> None:
    kept = keep_check(lot=lot, end="end_a", gauged=gauged(GAUGED_GOOD), hand=ANN)
    lot.refresh_from_db()
    assert (lot.thread_state, kept.outcome, kept.thread_class) == ("good", "sound", "2A")
    assert Record.objects.latest("pk").summary == "lot 1: 5/16-24 UNF 2A within its class"


@pytest.mark.parametrize("measurement", [WITHIN, ONLY_MAJOR])
def test_diameters_alone_prove_nothing(lot: Lot, measurement: ThreadMeasurement) -> None:
    keep_check(lot=lot, end="end_a", gauged=gauged(measurement), hand=ANN)
    lot.refresh_from_db()
    assert lot.thread_state == "not_proven"


@pytest.mark.parametrize("state", ["good", "defective"])
def test_diameters_alone_change_nothing_that_was_known(lot: Lot, state: str) -> None:
    change_lot(lot=lot, thread_state=state, hand=ANN)
    keep_check(lot=lot, end="end_a", gauged=gauged(WITHIN), hand=ANN)
    lot.refresh_from_db()
    assert lot.thread_state == state


@pytest.mark.parametrize("measurement", [WORN, NO_GO_GOES])
def test_a_worn_bolt_is_split_off_defective_and_its_hole_is_not_proven(
    lot: Lot, measurement: ThreadMeasurement
) -> None:
    kept = keep_check(lot=lot, end="end_a", gauged=gauged(measurement), count=2, hand=ANN)
    lot.refresh_from_db()
    assert kept.lot != lot
    assert (kept.lot.thread_state, lot.thread_state) == ("defective", "")
    assert (count_of(kept.lot).usable, count_of(lot).usable) == (2, 7)
    assert Place.objects.get().thread_state == "not_proven"
    assert "not proven by it: the hole at case to block" in Record.objects.latest("pk").summary


def test_a_check_keeps_its_readings_its_reasons_and_the_one_before(lot: Lot) -> None:
    first = keep_check(lot=lot, end="end_a", gauged=gauged(WITHIN, "3A"), hand=ANN.because("new micrometer"))
    second = keep_check(lot=lot, end="end_a", gauged=gauged(GAUGED_GOOD), hand=ANN)
    first.refresh_from_db()
    assert (first.thread_class, first.outcome, first.who, first.why) == (
        "3A", "not_sound", "Ann", "new micrometer",
    )  # fmt: skip
    assert first.readings["pitch_diameter"] == {"mm": 7.17, "u_mm": 0.005}
    assert any("The pitch diameter is 7.170 mm" in reason for reason in first.reasons)
    assert second.earlier == first
    assert second.cautions


def test_a_check_is_taken_back_with_what_it_made_of_the_lot(lot: Lot) -> None:
    keep_check(lot=lot, end="end_a", gauged=gauged(GAUGED_GOOD), hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("wrong lot"))
    lot.refresh_from_db()
    assert lot.thread_state == ""
    assert ThreadGauging.objects.get().withdrawn


def test_more_pieces_than_there_are_and_nothing_measured_are_refused(lot: Lot) -> None:
    with pytest.raises(InvalidInput, match="count needs at most 9"):
        keep_check(lot=lot, end="end_a", gauged=gauged(WORN), count=10, hand=ANN)
    with pytest.raises(InvalidInput, match="measurement needs a diameter or a gauge result"):
        keep_check(lot=lot, end="end_a", gauged=gauged(ThreadMeasurement(internal=False)), hand=ANN)
    with pytest.raises(InvalidInput, match="end needs end_a or end_b"):
        keep_check(lot=lot, end="", gauged=gauged(WORN), hand=ANN)
    with pytest.raises(InvalidInput, match="class"):
        keep_check(lot=lot, end="end_a", gauged=gauged(WORN, "6g"), hand=ANN)
    assert not ThreadGauging.objects.exists()
