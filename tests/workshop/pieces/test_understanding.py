"""From a line as understood to lots as kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.quick_line import read_quick_line
from runningfit.core.pieces.understood import UnderstoodLine
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.pieces.understanding import (
    facts_of,
    is_thread_fault,
    keep_understood,
    keep_understood_lots,
    understand_line,
)
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.services import add_donor
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand, write

HAND = Hand(who="Ada")
pytestmark = pytest.mark.django_db
LINE = "9 hex bolts 5/16-24 UNF x inch and three eighths, clear, gear case, bag T1"


def test_a_line_becomes_one_lot_with_its_area_and_bag(job: Job) -> None:
    (lot,) = keep_understood(job=job, line=understand_line(job=job, text=LINE), hand=HAND)
    assert (lot.kind, lot.end_a, lot.length_mm, lot.length_nominal) == (
        "hex_bolt",
        "5/16-24 UNF",
        34.925,
        "1 3/8 in",
    )
    assert (lot.length_basis, lot.finish_look, lot.finish_process) == ("under_head", "clear", "")
    assert lot.area is not None
    assert lot.area.name == "gear case"
    assert lot.area.engine == job.engines.get()
    assert lot.bag is not None
    assert (lot.bag.code, lot.bag.area) == ("T1", lot.area)
    assert count_of(lot).bench == 9


def test_the_next_line_finds_the_area_and_bag_of_the_first(job: Job) -> None:
    keep_understood(job=job, line=understand_line(job=job, text=LINE), hand=HAND)
    keep_understood(
        job=job, line=understand_line(job=job, text="4 nuts 5/16-24 UNF Gear Case bag t1"), hand=HAND
    )
    assert Area.objects.count() == 1
    assert Bag.objects.count() == 1


def test_an_open_thread_keeps_every_candidate_and_both_ends_of_a_stud(job: Job) -> None:
    (lot,) = keep_understood(job=job, line=understand_line(job=job, text="3 bolts 1/4-20 x 1 in"), hand=HAND)
    assert set(lot.end_a.split("|")) == {"1/4-20 UNC", "1/4-20 BSW"}
    assert lot.questions
    (stud,) = keep_understood(
        job=job, line=understand_line(job=job, text="6 studs 5/16-18/24 x 2 in"), hand=HAND
    )
    assert (stud.end_a, stud.end_b) == ("5/16-18 UNC", "5/16-24 UNF")


def test_defects_of_the_thread_split_the_lot(job: Job) -> None:
    line = understand_line(job=job, text="9 hex bolts 5/16-24 UNF x 1 3/8, 2 with pulled threads, 1 bent")
    good, pulled, bent = keep_understood(job=job, line=line, hand=HAND)
    assert [count_of(lot).bench for lot in (good, pulled, bent)] == [6, 2, 1]
    assert (good.defect, good.thread_state) == ("", "")
    assert (pulled.defect, pulled.thread_state) == ("pulled threads", "defective")
    assert (bent.defect, bent.thread_state) == ("bent", "")


def test_a_lot_that_is_wholly_defective_is_one_lot() -> None:
    line = replace(read_quick_line("2 hex bolts 5/16-24 UNF x 1 in"), defects=(Defect(2, "pulled threads"),))
    facts, _questions = facts_of(line)
    assert [(fact.count, fact.thread_state) for fact in facts] == [(2, "defective")]


def test_a_defect_of_which_nobody_said_how_many_leaves_the_thread_not_proven() -> None:
    line = replace(
        read_quick_line("9 hex bolts 5/16-24 UNF x 1 in"), defects=(Defect(None, "pulled threads"),)
    )
    facts, questions = facts_of(line)
    assert [(fact.count, fact.defect, fact.thread_state) for fact in facts] == [
        (9, "pulled threads", "not_proven")
    ]
    assert "How many have pulled threads? Count them, then split the lot." in questions


def test_more_defects_than_pieces_are_asked_about_and_nothing_is_split() -> None:
    line = replace(read_quick_line("3 nuts 5/16-24 UNF"), defects=(Defect(2, "rusted"), Defect(2, "chewed")))
    facts, questions = facts_of(line)
    assert [(fact.count, fact.defect) for fact in facts] == [(3, "2 rusted, 2 chewed")]
    assert "Defects of 4 pieces are said of 3: count the good and the bad again." in questions


@given(
    st.integers(1, 50),
    st.lists(
        st.builds(
            Defect, st.one_of(st.none(), st.integers(1, 30)), st.sampled_from(["bent", "pulled threads"])
        )
    ),
)
def test_splitting_by_defects_never_makes_or_loses_a_piece(count: int, defects: list[Defect]) -> None:
    line = replace(read_quick_line("9 nuts 5/16-24 UNF"), count=count, defects=tuple(defects))
    facts, _questions = facts_of(line)
    assert sum(fact.count for fact in facts) == count
    assert all(fact.count > 0 for fact in facts)


@pytest.mark.parametrize(
    ("what", "of_thread"),
    [
        ("pulled threads", True),
        ("stripped", True),
        ("cross-threaded", True),
        ("thread worn", True),
        ("paint stripped paint", False),
        ("bent", False),
        ("rusted through", False),
    ],
)
def test_a_defect_in_words_is_of_the_thread_or_not(what: str, of_thread: bool) -> None:
    assert is_thread_fault(what.replace("paint stripped paint", "stripped of paint")) is of_thread


def test_a_line_without_a_count_is_refused_and_keeps_nothing(job: Job) -> None:
    line = understand_line(job=job, text="hex bolts 5/16-24 UNF x 1 3/8, gear case")
    with pytest.raises(InvalidInput, match="Say how many there are"):
        keep_understood(job=job, line=line, hand=HAND)
    assert not Area.objects.exists()
    assert not Record.objects.filter(verb="keep_understood").exists()


def test_words_that_cannot_be_a_bags_code_are_kept_as_a_question(job: Job) -> None:
    line = replace(understand_line(job=job, text="4 nuts 5/16-24 UNF"), bag="the blue box under the bench")
    (lot,) = keep_understood(job=job, line=line, hand=HAND)
    assert lot.bag is None
    assert any("the blue box under the bench" in question for question in lot.questions)


def test_texts_longer_than_their_fields_are_shortened_not_refused(job: Job) -> None:
    line = replace(understand_line(job=job, text="4 nuts 5/16-24 UNF"), remarks="word " * 300, area="a" * 300)
    (lot,) = keep_understood(job=job, line=line, hand=HAND)
    assert len(lot.remarks) == 500
    assert lot.remarks.endswith("…")


def test_two_engines_may_have_areas_of_one_name(job: Job) -> None:
    donor = add_donor(job=job, name="Donor", hand=HAND)
    line = understand_line(job=job, text=LINE)
    (own,) = keep_understood(job=job, line=line, hand=HAND)
    donors_area = Area.objects.create(job=job, engine=donor, name="Gear case")
    (other,) = keep_understood(job=job, line=line, origin=donor, hand=HAND)
    (again,) = keep_understood(job=job, line=line, hand=HAND)
    assert (own.area_id, other.area_id, again.area_id) == (own.area_id, donors_area.pk, own.area_id)
    assert other.origin == donor


def test_many_lines_are_kept_with_few_queries(job: Job, django_assert_max_num_queries: object) -> None:
    line = understand_line(job=job, text=LINE)
    lines: list[UnderstoodLine] = [replace(line, area=f"area {number % 20}") for number in range(400)]
    with (
        django_assert_max_num_queries(60),  # type: ignore[operator]
        write(verb="trial", summary="many", hand=HAND, job=job) as entry,
    ):
        kept = keep_understood_lots(entry, job=job, understood=lines)
    assert [len(lots) for lots in kept] == [1] * 400
    assert books_balance() == (3600, 3600)


def test_keeping_a_line_can_be_taken_back_with_its_area_and_bag(job: Job) -> None:
    keep_understood(job=job, line=understand_line(job=job, text=LINE), hand=HAND)
    take_back(record=Record.objects.get(verb="keep_understood"), hand=HAND.because("wrong engine"))
    assert not Bag.objects.filter(withdrawn=False).exists()
    assert books_balance() == (0, 0)
