"""What stands round the thread: an insert, the class of the nut, the plain shank, a locking nut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.treatments.threaded_joint.test_troubles import CADMIUM_ASKED, IN_ALUMINIUM, the, with_piece
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.candidates import Candidate
from runningfit.core.treatments.comparing import Aspect, compare
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint import judge_joint
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, ThreadState
from runningfit.core.verdicts import Outcome

INSERT = Candidate("thread_insert", "thread_insert", "fit a thread insert in the hole")
SHORT = replace(
    IN_ALUMINIUM,
    mate=replace(IN_ALUMINIUM.mate, material="LM25-TF", engaged_mm=9.0),
    torque=replace(IN_ALUMINIUM.torque, torque_nm=15.0),
)


def with_mate(facts: JointFacts, **new: object) -> JointFacts:
    return replace(facts, mate=replace(facts.mate, **new))  # type: ignore[arg-type]


def needed_mm(facts: JointFacts) -> float:
    value = the(judge_joint(facts), Question.STRIPPING).verdict.value
    assert value is not None
    return value


def test_an_insert_in_soft_metal_needs_less_length_and_is_never_a_pass() -> None:
    fitted = with_mate(SHORT, mate=Mate.INSERT)
    assert needed_mm(fitted) < 0.85 * needed_mm(SHORT)
    check = the(judge_joint(with_mate(fitted, engaged_mm=30.0)), Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert any("no pass rests on them" in one.text for one in check.verdict.cautions)
    bare = the(judge_joint(with_mate(SHORT, engaged_mm=30.0)), Question.STRIPPING)
    assert bare.verdict.outcome is Outcome.SOUND


def test_an_insert_that_is_chosen_is_judged_as_it_will_be() -> None:
    pulled = with_mate(SHORT, thread_state=ThreadState.DEFECTIVE, damaged_turns=3.0)
    assert the(judge_joint(pulled), Question.STRIPPING).verdict.outcome is Outcome.NOT_SOUND
    check = the(judge_joint(with_piece(pulled, treatment="thread_insert")), Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert check.says.startswith("Once the insert is in: 9.0 mm of thread hold")
    assert needed_mm(with_piece(pulled, treatment="thread_insert")) == pytest.approx(
        needed_mm(with_mate(SHORT, mate=Mate.INSERT))
    )
    too_short = with_mate(with_piece(pulled, treatment="thread_insert"), engaged_mm=1.5)
    assert the(judge_joint(too_short), Question.STRIPPING).verdict.outcome is Outcome.NOT_SOUND


def test_the_comparison_shows_what_an_insert_does_to_the_strength() -> None:
    pulled = with_mate(SHORT, thread_state=ThreadState.DEFECTIVE)
    (compared,) = compare(pulled, tried=(INSERT,))
    strength = compared.effect(Aspect.STRENGTH)
    assert strength.outcome is Outcome.NOT_PROVEN
    assert compared.needs_a_person.startswith("Measure the wall")


UNDER_NUT = replace(
    CADMIUM_ASKED,
    mate=replace(CADMIUM_ASKED.mate, mate=Mate.NUT, material="", depth_mm=8.0, clamped_mm=29.0),
)


@pytest.mark.parametrize(
    ("nut", "says", "needs_a_person"),
    [
        ("", "No table of how strong nuts are", False),
        ("SAE J995 8", "Class 8 suits SAE J429 8", False),
        ("SAE J995 5", "too weak for SAE J429 8", True),
        # A metric class tells nothing of a Unified nut.
        ("10", "No table of how strong nuts are", False),
    ],
)
def test_a_nut_is_held_against_its_bolt_by_class_and_is_never_a_pass(
    nut: str, says: str, *, needs_a_person: bool
) -> None:
    check = the(judge_joint(with_mate(UNDER_NUT, grade=nut)), Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert any(says in one.text for one in check.verdict.cautions)
    assert check.needs_a_person is needs_a_person
    assert ("too weak" in check.says) is needs_a_person


def test_a_turned_nut_tells_its_class_itself_and_the_stud_its_grade() -> None:
    facts = with_mate(with_piece(UNDER_NUT, kind=Kind.NUT, grade="8"), mate=Mate.STUD, grade="SAE J429 5")
    check = the(judge_joint(with_piece(facts, grade="SAE J995 2")), Question.STRIPPING)
    assert "class 2, too weak for SAE J429 5" in check.says
    stamped = with_piece(facts, grade="", head_marking="3 radial lines")
    cautions = the(judge_joint(stamped), Question.STRIPPING).verdict.cautions
    assert any("No table of how strong nuts are" in one.text for one in cautions)


def test_a_shank_that_may_reach_the_thread_is_not_passed_and_asks_for_the_length_of_thread() -> None:
    # 60 mm under the head, 30.5 mm clamped: the usual 25.4 mm of thread leave 34.6 mm of shank.
    long = with_mate(with_piece(CADMIUM_ASKED, length_mm=60.0, finish_received="cadmium"), clamped_mm=29.0)
    check = the(judge_joint(long), Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert check.missing == "how long its thread is"
    assert any("plain shank would meet the thread 3.1 mm" in one.text for one in check.verdict.cautions)
    measured = the(judge_joint(with_piece(long, thread_length_mm=30.0)), Question.STRIPPING)
    assert measured.verdict.outcome is Outcome.SOUND
    jams = the(judge_joint(with_piece(long, thread_length_mm=20.0)), Question.STRIPPING)
    assert jams.verdict.outcome is Outcome.NOT_SOUND
    assert jams.says == "Its plain shank meets the thread 8.5 mm before it clamps."
    assert judge_joint(with_piece(long, thread_length_mm=20.0)).torque.torque_nm is None
    # What is surely wrong is said before what is only doubted.
    doubted = with_mate(with_piece(long, thread_length_mm=20.0), thread_state=ThreadState.NOT_PROVEN)
    assert the(judge_joint(doubted), Question.STRIPPING).says == jams.says
    setscrew = the(judge_joint(with_piece(long, kind=Kind.SETSCREW)), Question.STRIPPING)
    assert setscrew.verdict.outcome is Outcome.SOUND


def test_a_locking_nut_takes_its_share_of_the_torque() -> None:
    kept = with_piece(CADMIUM_ASKED, finish_received="cadmium")
    free, locking = judge_joint(kept), judge_joint(with_mate(kept, prevailing_nm=6.0))
    assert locking.torque.torque_nm == free.torque.torque_nm
    use, less = (the(one, Question.YIELDING).verdict.value for one in (free, locking))
    assert use is not None
    assert less is not None
    assert less == pytest.approx(0.8 * use, rel=0.02)
    too_much = the(judge_joint(with_mate(kept, prevailing_nm=40.0)), Question.TORQUE)
    assert too_much.verdict.outcome is Outcome.NOT_PROVEN
    assert too_much.missing == "the prevailing torque"


def test_a_brass_screw_is_not_taken_for_steel() -> None:
    steel = with_piece(
        CADMIUM_ASKED, grade="", treatment="leave", finish_now="plain", finish_received="plain"
    )
    soft = with_piece(steel, material="copper_alloy")
    by_steel, by_soft = (the(judge_joint(one), Question.YIELDING).verdict for one in (steel, soft))
    assert by_steel.value is not None
    assert by_soft.value is not None
    assert by_soft.value > 1.5 * by_steel.value
    assert {by_steel.outcome, by_soft.outcome} == {Outcome.NOT_PROVEN}


@pytest.mark.parametrize(
    ("found", "says"),
    [
        ({"over_ten_mm": 16.0}, "Ten pitches of 3/8-16 UNC are longer than 15.875 mm by 0.125 mm"),
        ({"rust_mm": 0.6}, "Rust has taken 12.2% of its section"),
    ],
)
def test_a_stretched_thread_and_a_rusted_section_are_not_used_again(
    found: dict[str, float], says: str
) -> None:
    check = the(judge_joint(with_piece(CADMIUM_ASKED, **found)), Question.REUSE)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.says.startswith(says)


def test_a_little_rust_on_a_bolt_that_was_looked_at_passes_and_on_one_that_must_not_fail_does_not() -> None:
    little = with_piece(CADMIUM_ASKED, rust_mm=0.15, over_ten_mm=15.875)
    assert the(judge_joint(little), Question.REUSE).verdict.outcome is Outcome.SOUND
    critical = with_piece(little, role=Role.SAFETY_CRITICAL)
    assert the(judge_joint(critical), Question.REUSE).verdict.outcome is Outcome.NOT_SOUND


def test_metal_lost_before_the_bath_makes_room_for_the_coat_and_leaves_less_thread() -> None:
    whole = the(judge_joint(CADMIUM_ASKED), Question.PLATING).verdict
    blasted = the(judge_joint(with_piece(CADMIUM_ASKED, lost="8um")), Question.PLATING).verdict
    assert whole.value is not None
    assert blasted.value is not None
    assert blasted.value == pytest.approx(whole.value + 8.0, abs=0.2)


def test_settling_is_reckoned_where_it_is_known_what_is_clamped() -> None:
    kept = with_piece(CADMIUM_ASKED, finish_received="cadmium")
    wanted = replace(kept, torque=replace(kept.torque, wanted_clamp_n=12_000.0))
    told = the(judge_joint(wanted), Question.YIELDING).verdict
    assert any("of settling counted" in one.text and "kN of" in one.text for one in told.reasons)
    unknown = the(judge_joint(with_mate(wanted, clamped_mm=None)), Question.YIELDING).verdict
    assert any("10% of settling counted" in one.text for one in unknown.reasons)
