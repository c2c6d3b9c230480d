"""Keeping and changing lots by a form: areas and bags by name, open threads settled, engines lost."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.workshop.pieces.answers import Answers, answered
from runningfit.workshop.pieces.described import (
    change_described,
    give_origin,
    keep_described,
    settle_question,
    settle_thread,
    split_described,
)
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, join_lots
from runningfit.workshop.pieces.models import Area, Bag, Lot
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.queries import subject_engine
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def said(job: Job, text: str) -> Lot:
    return keep_understood(job=job, line=understand_line(job=job, text=text), hand=ANN)[0]


def test_the_area_and_bag_of_a_form_are_made_where_they_are_not_there(job: Job) -> None:
    lot = keep_described(
        job=job, facts=LotFacts(count=4, kind="stud"), area_name="oil tray", bag_code="t 4", hand=ANN
    )
    assert (lot.area, lot.bag) == (Area.objects.get(name="oil tray"), Bag.objects.get(code="T4"))
    with pytest.raises(InvalidInput, match="bag needs a code of letters and figures"):
        keep_described(job=job, facts=LotFacts(count=4), bag_code="!!", hand=ANN)
    assert Lot.objects.count() == 1


def test_two_changes_of_one_lot_are_taken_back_one_by_one(job: Job) -> None:
    lot = said(job, "9 hex bolts 5/16-24 x 1 3/8")
    change_described(lot=lot, remarks="found loose", hand=ANN)
    first = Record.objects.latest("pk")
    change_described(lot=lot, area_name="sump", hand=ANN)
    take_back(record=first, hand=ANN.because("wrong lot"))
    lot.refresh_from_db()
    assert lot.area is not None
    assert (lot.remarks, lot.area.name, "found loose" in lot.words) == ("", "sump", False)


def test_tapping_a_candidate_settles_an_open_thread_and_its_question(job: Job) -> None:
    lot = said(job, "4 bolts 1/4-20 x 3/4")
    assert (lot.end_a, len(lot.questions)) == ("1/4-20 UNC|1/4-20 BSW", 1)
    with pytest.raises(InvalidInput, match="thread needs one of 1/4-20 UNC, 1/4-20 BSW; 'M6x1' came"):
        settle_thread(lot=lot, end="end_a", designation="M6x1", hand=ANN)
    lot = settle_thread(lot=lot, end="end_a", designation="1/4-20 BSW", hand=ANN)
    assert (lot.end_a, lot.questions) == ("1/4-20 BSW", [])
    with pytest.raises(Conflict, match="is settled as 1/4-20 BSW already"):
        settle_thread(lot=lot, end="end_a", designation="1/4-20 BSW", hand=ANN)


def test_a_question_is_struck_out_once(job: Job) -> None:
    lot = keep_described(job=job, facts=LotFacts(count=1, questions=("Is it bent?", "How long?")), hand=ANN)
    lot = settle_question(lot=lot, question="Is it bent?", hand=ANN)
    assert lot.questions == ["How long?"]
    with pytest.raises(NotFound, match="no such question any more"):
        settle_question(lot=lot, question="Is it bent?", hand=ANN)


def test_which_engine_can_be_lost(job: Job) -> None:
    lot = said(job, "9 hex bolts 5/16-24 x 1 3/8")
    engine = subject_engine(job)
    lot = give_origin(lot=lot, origin=engine, lost=False, hand=ANN)
    assert (lot.origin, lot.origin_lost) == (engine, False)
    lot = give_origin(lot=lot, origin=None, lost=True, said="Tern or the barge's", hand=ANN)
    assert (lot.origin, lot.origin_lost, lot.origin_said) == (None, True, "Tern or the barge's")
    with pytest.raises(InvalidInput, match="an engine, or lost, not both"):
        give_origin(lot=lot, origin=engine, lost=True, hand=ANN)


def test_splitting_puts_the_part_into_a_bag_with_its_defect(job: Job) -> None:
    lot = said(job, "9 hex bolts 5/16-24 x 1 3/8, bag T1")
    new = split_described(lot=lot, count=2, bag_code="t9", defect="bent", hand=ANN)
    assert new.bag is not None
    assert (new.bag.code, new.defect, count_of(new).bench, count_of(lot).bench) == ("T9", "bent", 2, 7)


def test_only_alike_lots_are_joined(job: Job) -> None:
    lot, other = said(job, "9 hex bolts 5/16-24 x 1 3/8"), said(job, "6 nuts 5/16 UNF")
    with pytest.raises(Conflict, match="they are not alike"):
        join_lots(into=lot, other=other, hand=ANN)
    twin = said(job, "3 hex bolts 5/16-24 x 1 3/8")
    join_lots(into=lot, other=twin, hand=ANN)
    twin.refresh_from_db()
    with pytest.raises(Conflict, match="was withdrawn already"):
        join_lots(into=lot, other=twin, hand=ANN)
    assert count_of(lot).bench == 12


def test_answers_settle_what_was_asked_of_a_line(job: Job) -> None:
    line = understand_line(job=job, text="bolts 1/4-20 x 1.3/8")
    assert line.count is None
    readings = next(question.readings for question in line.questions if "1.3/8" in question.question)
    line = answered(line, Answers(count=6, ends={0: "1/4-20 BSW"}, length=readings[0]))
    assert (line.count, line.ends[0].candidates) == (6, ("1/4-20 BSW",))
    assert line.length_mm == pytest.approx(34.925)
    assert line.length_nominal == "1 3/8 in"
    assert (line.problems, line.questions) == ((), ())


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (Answers(ends={0: "M6x1"}), "thread needs one of the threads offered"),
        (Answers(ends={7: "1/4-20 UNC"}), "thread needs one of the threads offered"),
        (Answers(kind="widget"), "kind needs one of the kinds in the list"),
        (Answers(count=-3), "count needs a whole number"),
        (Answers(length="9 in (228.6 mm)"), "length needs one of the lengths offered"),
    ],
)
def test_answers_that_were_not_offered_are_refused(job: Job, answers: Answers, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        answered(understand_line(job=job, text="bolts 1/4-20 x 1.3/8"), answers)
