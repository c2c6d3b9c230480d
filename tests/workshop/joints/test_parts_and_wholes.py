"""What was found, gauged and known of a lot follows its pieces through splitting and joining, to the verdict.

The rule is this project's own: what nobody can tell apart holds of every piece (common practice, no source).
"""

from __future__ import annotations

from typing import Any

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.gauging import Measured, ThreadMeasurement
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.queries import JudgedJoint, judged_joints, judged_lot
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import say_of_lot
from runningfit.workshop.models import Area, Finding, Job, Lot, Place
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.findings import record_finding, settle_finding
from runningfit.workshop.pieces.lots import LotFacts, change_lot, join_lots, keep_lot, split_lot
from runningfit.workshop.pieces.models import Holding
from runningfit.workshop.pieces.thread_gauging import Gauged, keep_check
from runningfit.workshop.pieces.thread_models import ThreadGauging
from runningfit.workshop.pieces.threads import say_thread
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.services import loose_stock_kept
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
THREAD = "3/8-16 UNC"


def a_lot(job: Job, **said: Any) -> Lot:
    usual: dict[str, Any] = {"count": 10, "kind": "hex_bolt", "end_a": (THREAD,), "length_mm": 38.1}
    return keep_lot(job=job, facts=LotFacts(**usual | said), hand=ANN)


@pytest.fixture
def lot(job: Job) -> Lot:
    return a_lot(job)


def now(lot: Lot) -> Lot:
    return Lot.objects.get(pk=lot.pk)


def judged(lot: Lot) -> JudgedJoint:
    return judged_lot(now(lot))


def gauge(lot: Lot, *, go: bool = True, no_go: bool = False) -> ThreadGauging:
    measured = ThreadMeasurement(False, go=go, no_go=no_go)
    gauged = Gauged(THREAD, None, {"go": str(go), "no_go": str(no_go)}, measured)
    return keep_check(lot=lot, end="end_a", gauged=gauged, hand=ANN)


def test_a_part_of_cracked_pieces_is_cracked_until_somebody_says_which_were(job: Job, lot: Lot) -> None:
    record_finding(job=job, what="cracked", lot=lot, hand=ANN)
    part = split_lot(lot=now(lot), count=4, hand=ANN)
    assert {judged(one).judgement.outcome for one in (lot, part)} == {Outcome.NOT_SOUND}
    copied = Finding.objects.get(lot=part)
    assert "Found of lot 1, before these were split off it." in copied.note
    # The bulk reading of a whole job says the same.
    assert all("cracked" in one.facts.piece.fault for one in judged_joints(job) if one.lot)


def test_what_was_settled_is_not_found_again_of_a_part(job: Job, lot: Lot) -> None:
    finding = record_finding(job=job, what="thread_defective", lot=lot, hand=ANN)
    settle_finding(finding=finding, hand=ANN.because("chased, gauge goes in"))
    part = split_lot(lot=now(lot), count=4, hand=ANN)
    assert not Finding.objects.filter(lot=part).exists()


@pytest.mark.parametrize(("concerns", "cracked"), [("part", 1), ("rest", 0)])
def test_a_person_may_say_which_pieces_were_cracked(job: Job, lot: Lot, concerns: str, cracked: int) -> None:
    record_finding(job=job, what="cracked", lot=lot, hand=ANN)
    part = split_lot(lot=now(lot), count=4, hand=ANN, concerns=concerns)
    both = (lot, part)
    assert judged(both[cracked]).judgement.outcome is Outcome.NOT_SOUND
    spared = judged(both[1 - cracked])
    assert (spared.facts.piece.fault, spared.facts.piece.looks_sound) == ("", None)
    assert Finding.objects.get().lot_id == both[cracked].pk


def test_pieces_beside_defective_threads_are_not_proven_good(job: Job, lot: Lot) -> None:
    gauge(lot, go=False)
    part = split_lot(lot=now(lot), count=4, hand=ANN, concerns="part")
    assert (now(lot).thread_state, now(part).thread_state) == ("not_proven", "defective")
    assert judged(lot).facts.piece.passes_go is None
    assert judged(part).facts.piece.passes_go is False


def test_a_gauge_that_proved_only_some_leaves_the_others_not_looked_at(lot: Lot) -> None:
    gauge(lot)
    part = split_lot(lot=now(lot), count=4, hand=ANN, concerns="rest")
    assert (now(lot).thread_state, now(part).thread_state) == ("good", "")
    assert judged(part).facts.piece.passes_go is None


def test_a_part_keeps_the_readings_of_its_lot(lot: Lot) -> None:
    diameter = Measured(8.50, 0.01)
    measured = ThreadMeasurement(False, pitch_diameter=diameter)
    gauged = Gauged(THREAD, None, {"pitch_diameter": "8.50"}, measured)
    kept = keep_check(lot=lot, end="end_a", gauged=gauged, hand=ANN)
    part = split_lot(lot=now(lot), count=4, hand=ANN)
    assert judged(part).facts.piece.pitch_diameter == diameter
    assert ThreadGauging.objects.get(lot=part).earlier_id == kept.pk


def test_what_was_found_goes_along_into_another_job(job: Job, area: Area) -> None:
    stock = loose_stock_kept(hand=ANN)
    kept = a_lot(stock)
    record_finding(job=stock, what="cracked", lot=kept, hand=ANN)
    place = Place.objects.create(
        area=area, name="pump", count=4, basis="holes_counted", kind="hex_bolt", end_a=THREAD
    )
    given = allot(lot=now(kept), place=place, count=4, hand=ANN)
    assert Finding.objects.get(lot=given).job_id == job.pk
    assert judged(given).judgement.outcome is Outcome.NOT_SOUND


def test_which_pieces_it_was_must_be_one_of_the_three(lot: Lot) -> None:
    with pytest.raises(InvalidInput, match="concerns needs one of both, part, rest"):
        split_lot(lot=lot, count=4, hand=ANN, concerns="some")


def test_a_split_taken_back_takes_back_what_it_gave_the_part(job: Job, lot: Lot) -> None:
    finding = record_finding(job=job, what="stuck", lot=lot, hand=ANN)
    split_lot(lot=now(lot), count=4, hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("the wrong lot"))
    assert list(Finding.objects.filter(withdrawn=False)) == [finding]


def test_a_lot_that_was_split_joins_again_and_keeps_every_finding(job: Job, lot: Lot) -> None:
    record_finding(job=job, what="cracked", lot=lot, hand=ANN)
    gauge(now(lot))
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5"), hand=ANN)
    part = split_lot(lot=now(lot), count=4, hand=ANN)
    record_finding(job=job, what="contaminated", lot=part, hand=ANN)
    join_lots(into=lot, other=part, hand=ANN)
    assert sorted(Finding.objects.filter(lot=lot).values_list("what", flat=True)) == [
        "contaminated",
        "cracked",
        "cracked",
    ]
    assert judged(lot).facts.piece.passes_go is True
    assert sum(Holding.objects.filter(lot=lot, account="bench").values_list("count", flat=True)) == 10


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"defect": "bent"}, "Defect of lot 1: not said; of lot 2: bent"),
        ({"thread_state": "defective"}, "Thread of lot 1: not looked at; of lot 2: defective"),
        ({"finish_look": "yellow"}, "Look of lot 1: clear; of lot 2: yellow"),
    ],
)
def test_lots_of_which_something_else_is_said_are_not_joined(
    job: Job, facts: dict[str, str], told: str
) -> None:
    lot, other = a_lot(job, finish_look="clear"), a_lot(job, **{"finish_look": "clear"} | facts)
    with pytest.raises(Conflict, match=told):
        join_lots(into=lot, other=other, hand=ANN)


def test_a_grade_that_is_known_of_one_is_not_taken_for_all(job: Job, lot: Lot) -> None:
    other = a_lot(job)
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
    with pytest.raises(Conflict, match="Grade of lot 1: SAE J429 8; of lot 2: not said"):
        join_lots(into=lot, other=other, hand=ANN)
    say_of_lot(lot=other, said=SaidOfLot(grade="SAE J429 5"), hand=ANN)
    with pytest.raises(Conflict, match="Grade of lot 1: SAE J429 8; of lot 2: SAE J429 5"):
        join_lots(into=lot, other=other, hand=ANN)


def test_a_gauge_that_was_tried_on_one_is_not_taken_for_all(job: Job, lot: Lot) -> None:
    other = a_lot(job)
    gauge(lot)
    with pytest.raises(Conflict, match="Check of one end of lot 1: "):
        join_lots(into=now(lot), other=other, hand=ANN)
    gauge(other)
    join_lots(into=now(lot), other=now(other), hand=ANN)
    assert judged(lot).facts.piece.passes_go is True


def test_of_two_states_of_a_thread_the_less_proven_stands(job: Job, lot: Lot) -> None:
    say_thread(lot=lot, state="good", hand=ANN.because("gauge went in by hand"))
    join_lots(into=now(lot), other=a_lot(job), hand=ANN)
    assert now(lot).thread_state == ""
    doubted = a_lot(job, thread_state="not_proven")
    join_lots(into=now(lot), other=doubted, hand=ANN)
    assert now(lot).thread_state == "not_proven"


def test_a_finish_that_is_known_of_one_is_not_known_of_both(job: Job) -> None:
    lot, other = a_lot(job, finish_look="yellow", finish_process="zinc"), a_lot(job, condition="rusty")
    join_lots(into=lot, other=other, hand=ANN)
    assert (now(lot).finish_look, now(lot).finish_process, now(lot).condition) == ("unknown", "", "rusty")


def test_lots_that_are_down_for_other_work_say_what_differs(job: Job, lot: Lot) -> None:
    other = a_lot(job)
    say_treatment(lots=[lot], treatment="zinc_clear", ordered_steps="bake", hand=ANN)
    say_treatment(lots=[other], treatment="zinc_clear", hand=ANN)
    told = (
        "Lot 1 is down for electroplate zinc, clear with bake, lot 2 for electroplate zinc, clear. "
        "Say the same of both first"
    )
    with pytest.raises(Conflict, match=told):
        join_lots(into=now(lot), other=now(other), hand=ANN)
    change_lot(lot=now(other), treatment="", hand=ANN)
    with pytest.raises(Conflict, match="lot 2 for nothing yet"):
        join_lots(into=now(lot), other=now(other), hand=ANN)
