"""What the torque sheet of an area is made of: its places with their parts, pieces alike on one line."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.units import LengthUnit
from runningfit.reports.torque_words import torque_words
from runningfit.workshop.joints.models import JointDecision
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.joints.torques import TightenedPlace, torque_sheet_of
from runningfit.workshop.models import Area, Job, Lot, Place
from runningfit.workshop.pieces.lots import change_lot, split_lot
from web.joints.judged_shop import ANN, SOUND, a_lot, a_place

pytestmark = pytest.mark.django_db
MAKER: dict[str, Any] = {"torque_nm": 20.3, "torque_typed": "15 lbf ft"}


@pytest.fixture
def place(job: Job) -> Place:
    place = a_place(job, "pump to case")
    say_of_place(place=place, said=SOUND, hand=ANN)
    return Place.objects.get(pk=place.pk)


@pytest.fixture
def lot(job: Job, place: Place) -> Lot:
    """Bare and oiled, as the maker had it."""
    lot = a_lot(job, place)
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", looks_sound=True), hand=ANN)
    change_lot(lot=lot, finish_look="none", hand=ANN)
    return Lot.objects.get(pk=lot.pk)


def lines(area: Area) -> list[TightenedPlace]:
    return list(torque_sheet_of(area).tightened)


def test_pieces_of_which_all_is_known_get_the_maker_s_figure(place: Place, lot: Lot) -> None:
    (line,) = lines(place.area)
    assert (line.place, line.lots, line.count) == (place, (lot,), 4)
    assert line.figure.torque_nm is not None
    assert line.figure.torque_nm.mean == pytest.approx(place.torque_nm)


def test_lots_alike_share_a_line_and_another_finish_has_its_own(place: Place, lot: Lot) -> None:
    part = split_lot(lot=lot, count=1, hand=ANN)
    (line,) = lines(place.area)
    assert ([one.pk for one in line.lots], line.count) == ([lot.pk, part.pk], 4)
    change_lot(lot=part, finish_look="yellow", finish_process="cadmium", hand=ANN)
    first, second = lines(place.area)
    assert ([one.pk for one in first.lots], [one.pk for one in second.lots]) == ([lot.pk], [part.pk])
    assert first.figure != second.figure


def test_the_sheet_goes_down_into_the_parts_of_an_area(job: Job, place: Place, lot: Lot) -> None:
    engine = Area.objects.create(job=job, name="engine")
    Area.objects.filter(pk=place.area_id).update(parent=engine)
    a_place(job, "dynamo strap", area="dynamo", **MAKER)
    assert [line.place.name for line in lines(engine)] == ["pump to case"]
    assert [line.place.name for line in lines(Area.objects.get(name="dynamo"))] == ["dynamo strap"]
    Area.objects.filter(name="dynamo").update(parent=place.area_id)
    assert [line.place.name for line in lines(engine)] == ["pump to case", "dynamo strap"]


def test_lots_of_one_place_that_hang_on_other_things_have_lines_of_their_own(place: Place, lot: Lot) -> None:
    """What must not fail gets no reckoned figure (issue 4): it must not share a line with what gets one."""
    part = split_lot(lot=lot, count=1, hand=ANN)
    assert len(lines(place.area)) == 1
    say_of_lot(
        lot=part, said=SaidOfLot(grade="SAE J429 5", looks_sound=True, role="safety_critical"), hand=ANN
    )
    ordinary, critical = lines(place.area)
    assert (ordinary.lots, ordinary.count) == ((lot,), 3)
    assert (critical.lots, critical.count) == ((part,), 1)
    stamps = [torque_words(one, LengthUnit.INCH, area=place.area_id).stamp for one in (ordinary, critical)]
    assert stamps == ["", "safety-critical"]


def test_a_place_without_pieces_or_without_a_thread_is_on_it_and_gets_no_figure(job: Job) -> None:
    empty = a_place(job, "dynamo strap", **MAKER)
    a_place(job, "odd one", end_a="", **MAKER)
    strap, odd = lines(empty.area)
    assert (strap.lots, strap.count) == ((), 4)
    assert "no pieces are here yet" in strap.figure.refused
    assert "nobody named its thread" in odd.figure.refused
    assert strap.figure.torque_nm is odd.figure.torque_nm is None


def test_threaded_places_of_which_no_torque_was_said_are_listed_apart(job: Job) -> None:
    cover = a_place(job, "cover")
    a_place(job, "washers under it", kind="plain_washer", end_a="")
    sheet = torque_sheet_of(cover.area)
    assert sheet.tightened == ()
    assert [line.place.name for line in sheet.without] == ["cover"]
    wanted = SaidOfPlace(wanted_clamp="10 kN")
    say_of_place(place=cover, said=wanted, hand=ANN)
    assert [line.place.name for line in lines(cover.area)] == ["cover"]


def test_a_washer_that_lies_with_the_bolts_is_not_tightened(job: Job, place: Place, lot: Lot) -> None:
    washers = a_lot(job, place, kind="spring_washer", end_a=(), length_mm=None, size_said="3/8")
    say_of_lot(lot=washers, said=SaidOfLot(is_new=True), hand=ANN)
    (line,) = lines(place.area)
    assert line.lots == (lot,)
    assert torque_sheet_of(place.area).not_to_fit == ()


def test_a_washer_that_a_bath_may_have_cracked_is_not_fitted(job: Job, place: Place, lot: Lot) -> None:
    washers = a_lot(job, place, kind="spring_washer", end_a=(), length_mm=None, size_said="3/8")
    say_of_lot(lot=washers, said=SaidOfLot(is_new=True), hand=ANN)
    Lot.objects.filter(pk=washers.pk).update(treatment_done="zinc_clear", finish_received_process="zinc")
    (line,) = torque_sheet_of(place.area).not_to_fit
    assert line.lots == (washers,)
    assert line.stopped_by is not None
    assert len(lines(place.area)) == 1


def test_pieces_that_are_not_sound_are_not_tightened_whatever_their_finish(place: Place, lot: Lot) -> None:
    change_lot(lot=lot, defect="cracked under the head", hand=ANN)
    (line,) = lines(place.area)
    assert line.figure.torque_nm is None
    assert line.figure.refused.startswith("Do not tighten them:")
    assert line.stopped_by is not None


def test_who_uses_them_against_the_verdict_is_heard_and_it_is_said(place: Place, lot: Lot) -> None:
    change_lot(lot=lot, defect="cracked under the head", hand=ANN)
    decide(lot=lot, place=place, choice="use", why="only to try the threads", hand=ANN)
    (line,) = lines(place.area)
    assert line.decided_against
    assert line.stopped_by is None
    assert line.figure.torque_nm is not None
    # The verdict changes, and what was decided of the old one stands no more.
    change_lot(lot=Lot.objects.get(pk=lot.pk), defect="", thread_state="defective", hand=ANN)
    (line,) = lines(place.area)
    assert not line.decided_against
    assert line.figure.torque_nm is None


def test_a_second_fault_that_came_after_the_decision_stops_them_again(place: Place, lot: Lot) -> None:
    """One that is not the first line of the verdict too: behind the first, or in another question."""
    change_lot(lot=lot, thread_state="defective", hand=ANN)
    decide(lot=lot, place=place, choice="use", why="only to try the threads", hand=ANN)
    (line,) = lines(place.area)
    assert (line.stopped_by, line.decided_before) == (None, False)
    before = line.joint.judgement.says if line.joint else ""
    change_lot(lot=Lot.objects.get(pk=lot.pk), defect="cracked under the head", hand=ANN)
    (line,) = lines(place.area)
    assert line.joint is not None
    assert line.joint.judgement.says == before
    assert (line.decided_against, line.decided_before) == (False, True)
    # What is new stands there, and not the first line, which was seen.
    assert line.figure.refused == "Do not tighten them: A fault was seen on it: cracked under the head."
    assert "decided before this was known" in torque_words(line, LengthUnit.INCH, area=place.area_id).stamp
    decide(lot=lot, place=place, choice="use", why="still only to try them", hand=ANN)
    # Another question, and what was seen before is on the decision as well.
    short = replace(SOUND, material="aluminium casting", depth="1/8", torque="40 lbf ft")
    say_of_place(place=Place.objects.get(pk=place.pk), said=short, hand=ANN)
    (line,) = lines(place.area)
    assert line.joint is not None
    assert line.stopped_by is not None
    assert line.stopped_by.question in {Question.STRIPPING, Question.YIELDING}
    decide(lot=lot, place=place, choice="use", why="to see it strip", hand=ANN)
    (line,) = lines(place.area)
    assert (line.stopped_by, line.decided_against) == (None, True)
    assert line.joint is not None
    kept = JointDecision.objects.latest("pk").lines
    assert {one["question"] for one in kept} >= {"reuse", line.joint.judgement.checks[0].question}
    # One fault mended: what was decided of the other still stands.
    change_lot(lot=Lot.objects.get(pk=lot.pk), defect="", hand=ANN)
    (line,) = lines(place.area)
    assert line.decided_against


def test_few_questions_whatever_the_number_of_places(job: Job, place: Place, lot: Lot) -> None:
    for number in range(30):
        a_lot(job, a_place(job, f"hole {number}", **MAKER))
    with CaptureQueriesContext(connection) as asked:
        assert len(lines(place.area)) == 31
    assert len(asked) <= 14


def test_hard_bolts_that_came_back_plated_without_their_bake_are_not_tightened(
    place: Place, lot: Lot
) -> None:
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 8", looks_sound=True), hand=ANN)
    plated = {"treatment_done": "zinc_clear", "finish_received_process": "zinc"}
    Lot.objects.filter(pk=lot.pk).update(**plated)
    (line,) = lines(place.area)
    assert line.figure.torque_nm is None
    assert "it needed a bake, and nobody said whether it had it" in line.figure.refused
    # Whoever knows that it was baked after all says so, and is heard.
    fresh = Lot.objects.get(pk=lot.pk)
    decide(lot=fresh, place=place, choice="use", why="the plater's paper says it was baked", hand=ANN)
    (line,) = lines(place.area)
    assert (line.stopped_by, line.decided_against) == (None, True)
    # That it was ordered is not that it was done.
    for chain, is_stopped in (("zinc_clear|bake||", True), ("zinc_clear|bake|certificate|", False)):
        Lot.objects.filter(pk=lot.pk).update(ordered_steps="bake", done_chain=chain)
        (line,) = lines(place.area)
        assert (line.stopped_by is not None or line.decided_against) is is_stopped
    assert line.stopped_by is None
    assert not line.decided_against
