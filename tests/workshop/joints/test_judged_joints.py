"""Every joint of a job is put together from what the rows say, in few queries, what needs a person first."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.gauging import Measured, ThreadMeasurement
from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import Counted, Sort
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import Mate, ThreadState
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.queries import (
    JudgedJoint,
    decisions_of,
    judged_joint,
    judged_joints,
    judged_lot,
    judged_lots,
)
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.models import Area, Job, JointDecision, KnownOfLot, Lot, Place, Record
from runningfit.workshop.outside_work.confirming import confirm_finish
from runningfit.workshop.outside_work.count_back import accept, propose
from runningfit.workshop.outside_work.expecting import Scope
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.services import Share, make_up, send
from runningfit.workshop.outside_work.treating import say_done, say_treatment
from runningfit.workshop.pieces.findings import record_finding
from runningfit.workshop.pieces.lots import LotFacts, change_lot, join_lots, keep_lot, recount, split_lot
from runningfit.workshop.pieces.thread_gauging import Gauged, keep_check
from runningfit.workshop.pieces.threads import say_thread
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.services import close_job, loose_stock_kept
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
THREAD = "3/8-16 UNC"


@pytest.fixture
def area(job: Job) -> Area:
    return Area.objects.create(job=job, name="gear case")


@pytest.fixture
def place(area: Area) -> Place:
    return Place.objects.create(
        area=area, name="pump", count=4, basis="holes_counted", kind="hex_bolt", end_a=THREAD
    )


@pytest.fixture
def lot(job: Job, place: Place) -> Lot:
    return a_lot(job, area=place.area, place=place)


def a_lot(job: Job, **said: Any) -> Lot:
    usual: dict[str, Any] = {"count": 4, "kind": "hex_bolt", "end_a": (THREAD,), "length_mm": 38.1}
    facts = LotFacts(**usual | said)
    return keep_lot(job=job, facts=facts, hand=ANN)


def judged(lot: Lot) -> JudgedJoint:
    return judged_lot(Lot.objects.get(pk=lot.pk))


def treated(lot: Lot, treatment: str, *, look: str, process: str = "") -> Lot:
    """Send a lot for a treatment and count it back, as it looks."""
    if not KnownOfLot.objects.filter(lot=lot).exists():
        # Soft by its grade, so that nothing holds it back.
        say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 2"), hand=ANN)
    say_treatment(lots=[lot], treatment=treatment, hand=ANN)
    consignment = make_up(
        shop_name="Plating", shares=[Share(Lot.objects.get(pk=lot.pk))], due_on=None, hand=ANN
    )
    sent: Consignment = send(consignment=consignment, sent_on=None, hand=ANN)
    sort = Sort(kind=Kind(lot.kind), end_a=(THREAD,), length_mm=lot.length_mm)
    counted = (Counted(0, sort, 4, look=FinishLook(look), process=process),)
    scope = Scope("bucket", None)
    proposed = propose(consignment=sent, scope=scope, counted=counted, finished=True)
    accept(consignment=sent, scope=scope, counted=counted, finished=True, state=proposed.state, hand=ANN)
    return Lot.objects.get(pk=lot.pk)


def test_the_facts_are_those_of_lot_place_and_what_is_known_of_both(lot: Lot, place: Place) -> None:
    change_lot(lot=lot, finish_process="oxide", finish_look="black", hand=ANN)
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", stretch="0.1 mm", looks_sound=True), hand=ANN)
    said = SaidOfPlace(
        material="LM25-TF", blind="blind", depth="9/16", clamped="1 in", hole_minor="8 mm ± 0.02 mm",
        torque="20 lbf ft", torque_page="p. 44", torque_assumed="zinc, dry", lubricant="oil",
        role="safety_critical",
    )  # fmt: skip
    say_of_place(place=place, said=said, hand=ANN)
    facts = judged(lot).facts
    assert (facts.piece.threads, facts.piece.length_mm, facts.piece.grade) == ((THREAD,), 38.1, "SAE J429 5")
    assert (facts.piece.stretch_mm, facts.piece.looks_sound) == (0.1, True)
    assert facts.piece.role is Role.SAFETY_CRITICAL
    assert (facts.piece.finish_now, facts.piece.finish_received) == ("black oxide", "black oxide")
    assert (facts.mate.mate, facts.mate.material, facts.mate.blind) == (Mate.TAPPED_HOLE, "LM25-TF", True)
    assert (facts.mate.depth_mm, facts.mate.clamped_mm) == (14.2875, 25.4)
    assert facts.mate.minor == Measured(8.0, 0.01)
    assert facts.torque.torque_nm == pytest.approx(27.1164, abs=1e-4)
    assert (facts.torque.page, facts.torque.assumed, facts.torque.lubricant) == ("p. 44", "zinc, dry", "oil")


def test_what_was_gauged_and_found_counts(job: Job, lot: Lot) -> None:
    measurement = ThreadMeasurement(
        internal=False, pitch_diameter=Measured(8.40, 0.005), go=True, no_go=False
    )
    keep_check(lot=lot, end="end_a", gauged=Gauged(THREAD, None, {}, measurement), hand=ANN)
    piece = judged(lot).facts.piece
    assert (piece.passes_go, piece.stops_no_go) == (True, True)
    assert piece.pitch_diameter == Measured(8.40, 0.005)
    assert piece.thread_state is ThreadState.GOOD
    say_of_lot(lot=lot, said=SaidOfLot(looks_sound=True), hand=ANN)
    record_finding(job=job, what="cracked", lot=lot, hand=ANN)
    assert judged(lot).facts.piece.looks_sound is False


def test_a_pulled_thread_makes_its_hole_and_the_bolts_that_stay_there_not_proven(
    lot: Lot, place: Place
) -> None:
    pulled = say_thread(lot=lot, state="defective", count=1, hand=ANN)
    assert judged(pulled).facts.piece.thread_state is ThreadState.DEFECTIVE
    assert judged(pulled).judgement.outcome is Outcome.NOT_SOUND
    assert judged(lot).facts.mate.thread_state is ThreadState.NOT_PROVEN
    assert judged(lot).judgement.outcome is Outcome.NOT_PROVEN
    place.refresh_from_db()
    record_finding(job=lot.job, what="thread_defective", place=place, hand=ANN)
    assert judged(lot).judgement.outcome is Outcome.NOT_SOUND


def test_a_bad_nut_of_the_place_makes_the_bolt_in_it_doubtful(job: Job, lot: Lot, place: Place) -> None:
    nut = a_lot(job, kind="nut", length_mm=None, area=place.area, place=place)
    other = a_lot(job, kind="nut", end_a=("1/2-13 UNC",), length_mm=None, area=place.area, place=place)
    Lot.objects.filter(pk__in=[nut.pk, other.pk]).update(thread_state="defective")
    assert judged(lot).facts.mate.thread_state is ThreadState.DEFECTIVE
    assert judged(nut).facts.mate.mate is Mate.STUD
    assert judged(nut).facts.mate.thread_state is ThreadState.NOT_LOOKED_AT
    Lot.objects.filter(pk=nut.pk).update(thread_state="")
    assert judged(lot).facts.mate.thread_state is ThreadState.NOT_LOOKED_AT
    together = {one.lot.pk: one.facts for one in judged_joints(job) if one.lot}
    assert together[lot.pk] == judged(lot).facts


def test_of_a_stud_the_end_is_judged_that_the_place_needs(job: Job, place: Place) -> None:
    stud = a_lot(job, kind="stud", end_a=("3/8-24 UNF",), end_b=(THREAD,), area=place.area, place=place)
    assert judged(stud).facts.piece.threads == (THREAD,)
    Place.objects.filter(pk=place.pk).update(end_a="3/8-24 UNF|3/8-16 UNC")
    assert judged(stud).facts.piece.threads == ("3/8-24 UNF",)


@pytest.mark.parametrize(
    ("look", "process", "word"),
    [("black", "oxide", "black oxide"), ("none", "", "plain"), ("yellow", "", ""), ("paint", "", "paint")],
)
def test_the_finish_now_is_known_by_its_process_and_not_by_a_colour(
    job: Job, look: str, process: str, word: str
) -> None:
    lot = a_lot(job, finish_look=look, finish_process=process)
    assert judged(lot).facts.piece.finish_received == word


def test_while_a_finish_is_still_to_come_none_is_confirmed(lot: Lot) -> None:
    change_lot(lot=lot, finish_process="oxide", finish_look="black", hand=ANN)
    say_treatment(lots=[lot], treatment="zinc_clear", hand=ANN)
    piece = judged(lot).facts.piece
    assert (piece.treatment, piece.finish_now, piece.finish_received) == ("zinc_clear", "black oxide", "")
    with pytest.raises(Conflict, match="still to be treated, or still outside"):
        confirm_finish(lots=[lot], process="zinc", look="", why="asked", hand=ANN)
    say_treatment(lots=[lot], treatment="clean", hand=ANN)
    assert judged(lot).facts.piece.finish_received == "black oxide"


def test_a_look_that_came_back_confirms_nothing_until_somebody_says_the_process(lot: Lot) -> None:
    back = treated(lot, "cadmium", look="yellow")
    piece = judged(back).facts.piece
    assert (piece.treatment, piece.finish_received) == ("cadmium", "")
    with pytest.raises(InvalidInput, match=r"process needs one of zinc, .*Ask the plater"):
        confirm_finish(lots=[back], process="", look="yellow", why="it shines", hand=ANN)
    with pytest.raises(InvalidInput, match="look needs one of"):
        confirm_finish(lots=[back], process="zinc", look="shiny", why="asked", hand=ANN)
    with pytest.raises(InvalidInput, match="why needs a reason"):
        confirm_finish(lots=[back], process="zinc", look="yellow", why=" ", hand=ANN)
    confirm_finish(lots=[back], process="zinc", look="yellow", why="the plater's paper", hand=ANN)
    assert judged(back).facts.piece.finish_received == "zinc"
    record = Record.objects.latest("pk")
    assert (record.summary, record.who, record.why) == (
        "lot 1: the finish is zinc, confirmed", "Ann", "the plater's paper",
    )  # fmt: skip
    take_back(record=record, hand=ANN.because("it was another lot"))
    assert judged(back).facts.piece.finish_received == ""


def test_what_was_confirmed_of_one_trip_says_nothing_of_the_next(lot: Lot) -> None:
    back = treated(lot, "zinc_yellow", look="yellow", process="zinc")
    assert judged(back).facts.piece.finish_received == "zinc"
    again = treated(back, "cadmium", look="unknown")
    assert judged(again).facts.piece.finish_received == ""


def test_a_crack_test_leaves_the_finish_that_was_confirmed(lot: Lot) -> None:
    change_lot(lot=lot, finish_process="oxide", finish_look="black", hand=ANN)
    tested = treated(lot, "crack_test", look="black")
    assert judged(tested).facts.piece.finish_received == "black oxide"
    back = treated(tested, "zinc_yellow", look="yellow", process="zinc")
    tested = treated(back, "crack_test", look="yellow")
    assert judged(tested).facts.piece.finish_received == "zinc"


def test_zinc_flake_done_here_is_not_taken_for_electroplated_zinc(lot: Lot) -> None:
    say_treatment(lots=[lot], treatment="zinc_flake", hand=ANN)
    say_done(lots=[Lot.objects.get(pk=lot.pk)], hand=ANN)
    part = split_lot(lot=Lot.objects.get(pk=lot.pk), count=1, hand=ANN)
    for one in (lot, part):
        piece = judged(one).facts.piece
        assert (piece.treatment, piece.finish_received) == ("zinc_flake", "zinc flake")


def test_a_finish_that_nobody_treated_is_confirmed_as_the_lot_s_own(lot: Lot) -> None:
    confirm_finish(lots=[lot], process="oxide", look="black", why="drop test", hand=ANN)
    lot.refresh_from_db()
    assert (lot.finish_process, lot.finish_look, lot.finish_received_look) == ("oxide", "black", "")
    assert judged(lot).facts.piece.finish_received == "black oxide"


def test_a_job_shows_joints_empty_places_and_hard_loose_pieces_but_no_plain_washers(
    job: Job, lot: Lot, area: Area
) -> None:
    spring = a_lot(job, kind="spring_washer", end_a=(), size_said="3/8", length_mm=None)
    valve_spring = a_lot(job, kind="other", kind_said="valve spring", end_a=(), length_mm=None)
    a_lot(job, kind="plain_washer", end_a=(), size_said="3/8", length_mm=None)
    a_lot(job, kind="other", kind_said="banjo", end_a=(), length_mm=None)
    loose = a_lot(job)
    gone = a_lot(job)
    recount(lot=gone, counted=0, hand=ANN)
    empty = Place.objects.create(
        area=area, name="lid", count=3, basis="holes_counted", kind="setscrew", end_a=THREAD
    )
    Place.objects.create(area=area, name="washers", count=3, basis="holes_counted", kind="plain_washer")
    found = judged_joints(job)
    assert {one.lot.pk for one in found if one.lot} == {lot.pk, spring.pk, valve_spring.pk, loose.pk}
    assert [(one.place, one.count) for one in found if one.lot is None] == [(empty, 3)]
    assert next(one for one in found if one.lot == valve_spring).facts.piece.material == "spring_steel"
    assert [one.judgement.rank for one in found] == sorted(one.judgement.rank for one in found)


def test_a_spring_washer_asked_for_zinc_comes_before_everything_that_only_lacks_facts(
    job: Job, lot: Lot
) -> None:
    spring = a_lot(job, kind="spring_washer", end_a=(), size_said="3/8", length_mm=None)
    say_treatment(lots=[spring], treatment="zinc_clear", hand=ANN)
    first = judged_joints(job)[0]
    assert first.lot == spring
    assert first.judgement.outcome is Outcome.NOT_SOUND
    assert first.judgement.plater.do_not_send


def test_a_decision_stands_beside_the_verdict_of_its_moment(lot: Lot, place: Place) -> None:
    kept = decide(lot=lot, place=place, choice="use", why="gauged them all", hand=ANN)
    one = judged_joint(place, lot)
    assert one.decision == kept
    assert (kept.who, kept.outcome, kept.said) == ("Ann", one.judgement.outcome, one.judgement.says[:300])
    later = decide(lot=lot, place=place, choice="replace", why="new ones are cheap", hand=ANN)
    assert judged(lot).decision == later
    assert decisions_of(lot) == [later, kept]
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("not so cheap"))
    assert judged(lot).decision == kept


def test_a_decision_needs_a_choice_a_reason_and_the_lot_where_it_was_judged(lot: Lot, place: Place) -> None:
    with pytest.raises(InvalidInput, match="choice needs one of use as it is"):
        decide(lot=lot, place=place, choice="hope", why="so", hand=ANN)
    with pytest.raises(InvalidInput, match="why needs a reason in a few words"):
        decide(lot=lot, place=place, choice="use", why=" ", hand=ANN)
    with pytest.raises(InvalidInput, match="why needs at most 300"):
        decide(lot=lot, place=place, choice="use", why="x" * 301, hand=ANN)
    with pytest.raises(Conflict, match="Lot 1 belongs to another place by now"):
        decide(lot=lot, place=None, choice="use", why="so", hand=ANN)
    close_job(job=lot.job, hand=ANN)
    with pytest.raises(Conflict, match="was closed"):
        decide(lot=lot, place=place, choice="use", why="so", hand=ANN)
    with pytest.raises(Conflict, match="was closed"):
        confirm_finish(lots=[lot], process="zinc", look="", why="asked", hand=ANN)
    assert not JointDecision.objects.exists()


def test_some_lots_are_judged_as_the_whole_job_judges_them(job: Job, lot: Lot, place: Place) -> None:
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5"), hand=ANN)
    part = split_lot(lot=lot, count=1, hand=ANN)
    loose = a_lot(job)
    whole = {one.lot.pk: one for one in judged_joints(job) if one.lot}
    some = judged_lots([lot, part, loose])
    assert {pk: (one.facts, one.place, one.count) for pk, one in some.items()} == {
        pk: (one.facts, one.place, one.count) for pk, one in whole.items()
    }
    assert whole[part.pk].facts.piece.grade == "SAE J429 5"


def test_what_came_from_the_loose_stock_keeps_what_was_known_there(job: Job, place: Place) -> None:
    kept = a_lot(loose_stock_kept(hand=ANN), count=6)
    say_of_lot(lot=kept, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
    allot(lot=kept, place=place, count=4, hand=ANN)
    (one,) = (joint for joint in judged_joints(job) if joint.lot)
    assert one.facts.piece.grade == "SAE J429 8"


def test_only_a_lot_that_was_bought_whole_is_new(job: Job) -> None:
    facts = LotFacts(count=4, kind="hex_bolt", end_a=(THREAD,), length_mm=38.1)
    bought = keep_lot(job=job, facts=facts, hand=ANN, source="bought")
    old = a_lot(job)
    assert (judged(bought).facts.piece.is_new, judged(old).facts.piece.is_new) == (True, False)
    join_lots(into=bought, other=old, hand=ANN)
    assert judged(bought).facts.piece.is_new is False


def test_the_queries_do_not_grow_with_the_job(job: Job, area: Area) -> None:
    def grow(count: int) -> None:
        for number in range(count):
            place = Place.objects.create(
                area=area, name=f"p{number}", count=4, basis="assumed", kind="hex_bolt", end_a=THREAD
            )
            lot = a_lot(job, area=area, place=place)
            split_lot(lot=lot, count=1, hand=ANN)
            say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5"), hand=ANN)
            say_of_place(place=place, said=SaidOfPlace(material="cast iron"), hand=ANN)
            decide(lot=lot, place=place, choice="use", why="so", hand=ANN)

    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            for one in judged_joints(job):
                assert one.place is not None
                assert one.lot is not None
                str(one.place.area.job_id) + str(one.lot.place_id)
        return len(asked)

    grow(2)
    few = queries()
    grow(10)
    assert queries() == few <= 12


def test_a_fault_that_was_seen_is_named(job: Job) -> None:
    facts = LotFacts(count=2, kind="hex_bolt", end_a=(THREAD,), length_mm=50.0, defect="stretched")
    judged = judged_lot(keep_lot(job=job, facts=facts, hand=ANN))
    assert judged.judgement.outcome is Outcome.NOT_SOUND
    assert judged.judgement.says == "A fault was seen on it: stretched."


@pytest.mark.parametrize("treatment", ["clean", "leave", "degrease"])
def test_what_a_bath_did_is_not_forgotten_when_pieces_are_only_cleaned(job: Job, treatment: str) -> None:
    washers = a_lot(job, kind="spring_washer", end_a=(), length_mm=None, size_said="3/8")
    Lot.objects.filter(pk=washers.pk).update(treatment_done="zinc_clear", finish_received_process="zinc")
    say_treatment(lots=[washers], treatment=treatment, hand=ANN)
    assert judged_lot(Lot.objects.get(pk=washers.pk)).judgement.outcome is Outcome.NOT_SOUND


def test_cleaning_here_leaves_the_finish_that_was_confirmed(lot: Lot) -> None:
    change_lot(lot=lot, finish_look="none", hand=ANN)
    back = treated(lot, "zinc_yellow", look="yellow", process="zinc")
    say_treatment(lots=[back], treatment="clean", hand=ANN)
    say_done(lots=[Lot.objects.get(pk=lot.pk)], hand=ANN)
    cleaned = Lot.objects.get(pk=lot.pk)
    assert (cleaned.finish_received_look, cleaned.finish_received_process) == ("yellow", "zinc")
    assert judged(cleaned).facts.piece.finish_received == "zinc"


def test_lots_that_were_not_treated_alike_are_not_joined(job: Job) -> None:
    plated, bare = a_lot(job), a_lot(job)
    Lot.objects.filter(pk=plated.pk).update(treatment_done="zinc_clear")
    with pytest.raises(Conflict, match="were not treated alike"):
        join_lots(into=bare, other=plated, hand=ANN)
