"""The mistakes that ruin engines, each as the facts of one joint: none may be missed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import Check, JointJudgement, Question
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    ThreadState,
    TorqueFacts,
)
from runningfit.core.verdicts import Outcome

FLYWHEEL_BOLT = PieceFacts(
    Kind.HEX_BOLT,
    ("7/16-20 UNF",),
    length_mm=30.0,
    grade="SAE J429 8",
    role=Role.SAFETY_CRITICAL,
    treatment="zinc_yellow",
    finish_now="black oxide",
)
FLYWHEEL = JointFacts(
    FLYWHEEL_BOLT,
    MateFacts(Mate.TAPPED_HOLE, material="steel", blind=False, depth_mm=25.0, clamped_mm=9.0),
    TorqueFacts(80.0, "80 N m", page="C7", assumed="black oxide, oil", lubricant="oil"),
)
IN_ALUMINIUM = JointFacts(
    PieceFacts(
        Kind.HEX_BOLT,
        ("5/16-18 UNC",),
        length_mm=30.0,
        grade="SAE J429 5",
        looks_sound=True,
        finish_now="zinc",
        finish_received="zinc",
    ),
    MateFacts(
        Mate.TAPPED_HOLE,
        material="aluminium",
        blind=True,
        depth_mm=14.0,
        chamfer_mm=1.0,
        clamped_mm=22.0,
        washer_mm=1.5,
    ),
    TorqueFacts(20.0, "20 N m", page="C3", assumed="plain, oil", lubricant="oil"),
)
CADMIUM_ASKED = JointFacts(
    PieceFacts(
        Kind.HEX_BOLT,
        ("3/8-16 UNC",),
        length_mm=40.0,
        grade="SAE J429 8",
        looks_sound=True,
        treatment="cadmium",
        coat="5um",
        finish_now="plain",
    ),
    MateFacts(
        Mate.TAPPED_HOLE,
        material="steel",
        blind=False,
        depth_mm=25.0,
        chamfer_mm=1.0,
        clamped_mm=10.0,
        washer_mm=1.5,
    ),
    TorqueFacts(30.0, "30 N m", page="C4", assumed="cadmium, dry", lubricant="dry", scatter=0.04),
)


def the(judgement: JointJudgement, question: Question) -> Check:
    return next(check for check in judgement.checks if check.question is question)


def with_piece(facts: JointFacts, **new: object) -> JointFacts:
    return replace(facts, piece=replace(facts.piece, **new))  # type: ignore[arg-type]


def test_spring_washers_asked_for_zinc_are_refused_before_all_else() -> None:
    judged = judge_piece(PieceFacts(Kind.SPRING_WASHER, treatment="zinc_clear"))
    assert judged.outcome is Outcome.NOT_SOUND
    assert judged.checks[0].question is Question.HYDROGEN
    assert judged.checks[0].needs_a_person
    assert "zinc flake" in judged.plater.do_not_send.lower()
    assert any("acid" in told for told in judged.plater.must_not)


def test_spring_washers_left_alone_only_ask_for_new_ones() -> None:
    judged = judge_piece(PieceFacts(Kind.SPRING_WASHER, treatment="leave"))
    assert [check.question for check in judged.checks] == [Question.REUSE]
    assert not judged.checks[0].needs_a_person
    assert judged.plater.do_not_send == ""


def test_acid_of_the_shop_itself_counts_for_spring_washers() -> None:
    judged = judge_piece(PieceFacts(Kind.SPRING_WASHER, own_steps="acid rust remover"))
    assert the(judged, Question.HYDROGEN).verdict.outcome is Outcome.NOT_SOUND


def test_high_grade_flywheel_bolts_asked_for_zinc_must_be_baked_and_need_a_person() -> None:
    judged = judge_joint(FLYWHEEL)
    first = judged.checks[0]
    assert first.question is Question.HYDROGEN
    assert first.needs_a_person
    assert "bake 190 to 220 °C" in first.says
    assert judged.plater.bake is not None
    assert judged.plater.bake.hours >= 14
    assert "Order: plate, bake, then passivate." in judged.plater.do
    assert judged.outcome is not Outcome.SOUND


def test_a_bake_that_was_ordered_no_longer_asks_for_anybody() -> None:
    ordered = judge_joint(with_piece(FLYWHEEL, ordered_steps="bake"))
    check = the(ordered, Question.HYDROGEN)
    assert not check.needs_a_person
    assert check.verdict.outcome is Outcome.SOUND_AFTER_TREATMENT
    assert ordered.plater.bake is not None


def test_the_head_marking_tells_as_the_grade_does() -> None:
    marked = judge_joint(with_piece(FLYWHEEL, grade="", head_marking="6 radial lines"))
    assert the(marked, Question.HYDROGEN).says == the(judge_joint(FLYWHEEL), Question.HYDROGEN).says


def test_a_safety_critical_bolt_gets_no_torque_without_the_makers_page() -> None:
    no_page = replace(FLYWHEEL, torque=replace(FLYWHEEL.torque, page=""))
    received = with_piece(no_page, finish_received="zinc")
    judged = judge_joint(received)
    assert judged.torque.torque_nm is None
    assert "no page" in judged.torque.refused


def test_a_safety_critical_bolt_gets_no_reckoned_torque_for_another_finish() -> None:
    judged = judge_joint(with_piece(FLYWHEEL, finish_received="zinc"))
    assert judged.torque.torque_nm is None
    assert "Safety-critical" in judged.torque.refused
    shown = [reason.text for reason in the(judged, Question.TORQUE).verdict.reasons]
    assert not any("in place of" in text for text in shown)


def test_a_safety_critical_bolt_keeps_the_makers_figure_in_the_makers_condition() -> None:
    judged = judge_joint(with_piece(FLYWHEEL, treatment="leave", finish_received="black oxide"))
    assert judged.torque.torque_nm is not None
    assert judged.torque.torque_nm.mean == 80.0
    assert the(judged, Question.TORQUE).verdict.outcome is Outcome.SOUND


def test_looks_never_pass_a_safety_critical_bolt() -> None:
    judged = judge_joint(with_piece(FLYWHEEL, treatment="leave", looks_sound=True))
    check = the(judged, Question.REUSE)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert check.needs_a_person


def test_all_its_measurements_pass_a_safety_critical_bolt() -> None:
    measured = with_piece(
        FLYWHEEL, treatment="leave", looks_sound=True, crack_tested=True, stretch_mm=0.0, neck_mm=0.0
    )
    assert the(judge_joint(measured), Question.REUSE).verdict.outcome is Outcome.SOUND


def test_a_safety_critical_nut_is_asked_for_its_thread_and_not_for_its_length() -> None:
    nut = PieceFacts(Kind.NUT, ("3/8-24 UNF",), role=Role.SAFETY_CRITICAL, looks_sound=True)
    check = the(judge_piece(nut), Question.REUSE)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert "length" not in check.says
    proven = judge_piece(replace(nut, passes_go=True, stops_no_go=True, crack_tested=True))
    assert the(proven, Question.REUSE).verdict.outcome is Outcome.SOUND
    cracked = judge_piece(replace(nut, passes_go=True, stops_no_go=True, crack_tested=False))
    assert the(cracked, Question.REUSE).verdict.outcome is Outcome.NOT_SOUND


def test_a_bolt_tightened_beyond_yield_is_replaced_and_gets_no_figure() -> None:
    judged = judge_joint(with_piece(FLYWHEEL, torque_to_yield=True, finish_received="zinc"))
    assert the(judged, Question.REUSE).verdict.outcome is Outcome.NOT_SOUND
    assert judged.torque.torque_nm is None
    new = judge_joint(with_piece(FLYWHEEL, torque_to_yield=True, is_new=True, finish_received="zinc"))
    assert the(new, Question.REUSE).verdict.outcome is Outcome.SOUND
    assert new.torque.torque_nm is None


def test_too_short_in_aluminium_is_not_sound() -> None:
    judged = judge_joint(IN_ALUMINIUM)
    check = the(judged, Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.needs_a_person
    assert check.says.startswith("This torque may pull the thread: ")
    assert "4.1 mm of thread hold 5 kN" in check.says
    assert any("thread insert or a longer bolt" in caution.text for caution in check.verdict.cautions)


def test_a_bolt_that_meets_the_bottom_of_its_hole_is_not_sound() -> None:
    longer = judge_joint(with_piece(IN_ALUMINIUM, length_mm=40.0))
    check = the(longer, Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.says.startswith("It meets the bottom of the hole 2.5 mm")


def test_nobody_told_of_a_washer_so_the_bottom_is_left_open() -> None:
    mate = replace(IN_ALUMINIUM.mate, washer_mm=None, material="LM25-TF")
    unsure = replace(with_piece(IN_ALUMINIUM, length_mm=37.0), mate=mate)
    assert the(judge_joint(unsure), Question.STRIPPING).verdict.outcome is Outcome.NOT_SOUND
    torqueless = replace(unsure, torque=TorqueFacts(), mate=replace(mate, blind=None))
    assert the(judge_joint(torqueless), Question.STRIPPING).verdict.outcome is Outcome.NOT_PROVEN


def test_a_pulled_hole_asks_for_an_insert_and_its_bolt_for_gauges() -> None:
    pulled = replace(IN_ALUMINIUM, mate=replace(IN_ALUMINIUM.mate, thread_state=ThreadState.DEFECTIVE))
    judged = judge_joint(pulled)
    hole, bolt = the(judged, Question.STRIPPING), the(judged, Question.REUSE)
    assert hole.verdict.outcome is Outcome.NOT_SOUND
    assert "insert" in hole.says
    assert bolt.verdict.outcome is Outcome.NOT_PROVEN
    assert bolt.missing == "what GO and NO-GO say of its thread"
    gauged = judge_joint(with_piece(pulled, passes_go=True, stops_no_go=True))
    assert the(gauged, Question.REUSE).verdict.outcome is Outcome.SOUND


def test_a_pulled_bolt_leaves_its_hole_not_proven() -> None:
    torn = with_piece(CADMIUM_ASKED, thread_state=ThreadState.DEFECTIVE)
    judged = judge_joint(torn)
    assert the(judged, Question.REUSE).verdict.outcome is Outcome.NOT_SOUND
    assert the(judged, Question.STRIPPING).verdict.outcome is Outcome.NOT_PROVEN
    assert "gauge it" in the(judged, Question.STRIPPING).says
    assert "not to be used again" in judged.plater.wasted


def test_no_figure_before_the_finish_received_is_confirmed() -> None:
    judged = judge_joint(CADMIUM_ASKED)
    assert judged.torque.torque_nm is None
    assert "confirms which finish came back" in judged.torque.refused
    shown = [reason.text for reason in the(judged, Question.TORQUE).verdict.reasons]
    assert not any("in place of" in text or "is the least" in text for text in shown)


def test_cadmium_asked_and_received_keeps_the_figure() -> None:
    judged = judge_joint(with_piece(CADMIUM_ASKED, finish_received="cadmium"))
    assert judged.torque.torque_nm is not None
    assert judged.torque.torque_nm.mean == 30.0


def test_cadmium_asked_and_zinc_delivered_changes_the_torque_and_says_so() -> None:
    judged = judge_joint(with_piece(CADMIUM_ASKED, finish_received="zinc"))
    check = the(judged, Question.TORQUE)
    assert check.says.startswith("Cadmium was asked for and zinc came.")
    assert check.needs_a_person
    # Zinc rubs more than cadmium: the old torque clamps less, and the new figure, if any, is higher.
    ratio = judged.torque.ratio_if_unchanged
    assert ratio is not None
    assert ratio.mean < 0.8
    assert judged.torque.torque_nm is None or judged.torque.torque_nm.mean > 30.0


def test_mechanically_plated_zinc_is_what_was_asked_and_electroplated_zinc_is_not() -> None:
    facts = with_piece(CADMIUM_ASKED, treatment="mechanical_zinc", finish_received="mechanical zinc")
    assert "was asked for" not in the(judge_joint(facts), Question.TORQUE).says
    other = with_piece(CADMIUM_ASKED, treatment="mechanical_zinc", finish_received="zinc")
    says = the(judge_joint(other), Question.TORQUE).says
    assert says.startswith("Mechanical zinc was asked for and zinc came.")


@pytest.mark.parametrize("asked", ["zinc_flake", "mechanical_zinc"])
def test_a_spring_washer_electroplated_in_place_of_a_coat_without_a_bath_is_not_sound(asked: str) -> None:
    came = PieceFacts(Kind.SPRING_WASHER, treatment=asked, finish_now="zinc", finish_received="zinc")
    check = the(judge_piece(came), Question.HYDROGEN)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.needs_a_person


def test_an_open_thread_is_not_proven_and_says_which_it_may_be() -> None:
    judged = judge_joint(with_piece(IN_ALUMINIUM, threads=("5/16-18 UNC", "M8x1.25")))
    assert judged.outcome is Outcome.NOT_PROVEN
    assert judged.matters_most == "which thread it is"
    assert the(judged, Question.STRIPPING).says == "Its thread is not settled: 5/16-18 UNC or M8x1.25."


@pytest.mark.parametrize(
    ("new", "missing"),
    [
        ({"grade": "grade 9"}, "the grade"),
        ({"hardness": "42"}, "the hardness"),
        ({"own_steps": "no acid"}, "the process"),
        ({"coat": "5"}, "the coat"),
        ({"treatment": "gold"}, "the treatment"),
        ({"material": "unobtainium"}, "the material"),
        ({"length_mm": float("nan")}, "the length"),
    ],
)
def test_what_cannot_be_read_leaves_its_question_open_and_names_itself(
    new: dict[str, object], missing: str
) -> None:
    judged = judge_joint(with_piece(CADMIUM_ASKED, **new))
    assert missing in {check.missing for check in judged.checks}
    assert judged.matters_most == missing
    assert judged.outcome in {Outcome.NOT_PROVEN, Outcome.NOT_SOUND}


def test_what_cannot_be_read_is_not_sent() -> None:
    judged = judge_piece(PieceFacts(Kind.HEX_BOLT, ("3/8-16 UNC",), treatment="zinc_clear", hardness="42"))
    assert judged.plater.do_not_send.startswith("Put this right first: hardness needs")


def test_an_unmarked_bolt_is_baked_by_the_note_and_asks_for_its_mark() -> None:
    judged = judge_piece(
        PieceFacts(Kind.HEX_BOLT, ("3/8-16 UNC",), head_marking="none", treatment="zinc_clear")
    )
    check = the(judged, Question.HYDROGEN)
    assert check.verdict.outcome is Outcome.SOUND_AFTER_TREATMENT
    assert not check.needs_a_person
    assert "nobody knows" in judged.plater.hardness


def test_brass_is_not_asked_about_hydrogen() -> None:
    judged = judge_piece(PieceFacts(Kind.NUT, ("3/8-16 UNC",), material="copper_alloy", treatment="nickel"))
    assert Question.HYDROGEN not in {check.question for check in judged.checks}


def test_old_plating_is_stripped_in_acid_before_a_coat_that_brings_none_itself() -> None:
    hard = PieceFacts(Kind.HEX_BOLT, ("3/8-16 UNC",), grade="SAE J429 8", treatment="zinc_flake")
    bare = judge_piece(replace(hard, finish_now="plain"))
    plated = judge_piece(replace(hard, finish_now="cadmium"))
    assert the(bare, Question.HYDROGEN).verdict.outcome is Outcome.SOUND
    assert the(plated, Question.HYDROGEN).verdict.outcome is Outcome.SOUND_AFTER_TREATMENT
    assert plated.plater.do[0] == "Strip the old cadmium first."


def test_a_coat_without_hydrogen_still_asks_what_is_stripped_first() -> None:
    judged = judge_piece(PieceFacts(Kind.SPRING_WASHER, treatment="zinc_flake"))
    check = the(judged, Question.HYDROGEN)
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert check.missing == "what finish is on it now"
    assert (
        "Do not strip an old plating in acid." in judged.plater.must_not
        or "No acid" in judged.plater.must_not[0]
    )
    bare = judge_piece(PieceFacts(Kind.SPRING_WASHER, treatment="zinc_flake", finish_now="plain"))
    assert the(bare, Question.HYDROGEN).verdict.outcome is Outcome.SOUND


def test_a_measured_bolt_that_nobody_looked_over_is_not_proven() -> None:
    measured = judge_piece(PieceFacts(Kind.HEX_BOLT, ("3/8-16 UNC",), length_mm=40.0, stretch_mm=0.0))
    assert the(measured, Question.REUSE).verdict.outcome is Outcome.NOT_PROVEN


def test_a_wanted_clamp_gives_a_figure_where_the_maker_gave_none() -> None:
    wanted = TorqueFacts(wanted_clamp_n=8000.0, lubricant="oil", scatter=0.04)
    judged = judge_joint(
        replace(with_piece(CADMIUM_ASKED, treatment="leave", finish_received="plain"), torque=wanted)
    )
    assert judged.torque.torque_nm is not None
    assert 5 < judged.torque.torque_nm.mean < 40


@pytest.mark.parametrize("asked", ["black_oxide", "zinc_flake", "phosphate"])
def test_a_bath_that_nobody_asked_for_is_judged_by_what_it_does_to_hard_bolts(asked: str) -> None:
    came = replace(
        FLYWHEEL_BOLT,
        role=Role.ORDINARY,
        treatment=asked,
        finish_now="cadmium",
        finish_received="cadmium",
        ordered_steps="bake",
    )
    check = the(judge_piece(came), Question.HYDROGEN)
    assert check.says.split(".")[0].endswith("was asked for and cadmium came")
    # A bake ordered for the coat that did not come is none for this one.
    assert check.needs_a_person
    assert "bake 190 to 220 °C" in check.says


def test_a_spring_washer_that_came_electroplated_instead_of_mechanically_plated_is_not_sound() -> None:
    came = PieceFacts(Kind.SPRING_WASHER, treatment="mechanical_zinc", finish_received="cadmium")
    check = the(judge_piece(came), Question.HYDROGEN)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.needs_a_person
