"""Treatments side by side: what hardness, thread, hole and look make of each."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments import all_treatments
from runningfit.core.treatments.candidates import (
    CLASSES,
    Candidate,
    candidates_for,
    electroplates,
    facts_after,
    finish_words,
)
from runningfit.core.treatments.comparing import Aspect, Compared, compare, materials_of, worst_of
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    ThreadState,
    TorqueFacts,
)
from runningfit.core.treatments.warning import warning_of
from runningfit.core.verdicts import Outcome

WASHERS = JointFacts(PieceFacts(Kind.SPRING_WASHER))
FLYWHEEL = JointFacts(
    PieceFacts(Kind.HEX_BOLT, ("7/16-20 UNF",), 31.75, grade="SAE J429 8", finish_now="plain"),
    MateFacts(Mate.TAPPED_HOLE, "steel", blind=False, depth_mm=20.0),
    TorqueFacts(80.0, "80 N m", "p. 31", "plain, oiled", "oil"),
)
CASE_BOLTS = JointFacts(
    PieceFacts(
        Kind.HEX_BOLT, ("5/16-24 UNF",), 34.925, grade="SAE J429 5", finish_now="plain", looks_sound=True
    ),
    MateFacts(Mate.TAPPED_HOLE, "steel", blind=True, depth_mm=25.0, clamped_mm=18.0, chamfer_mm=0.5),
    TorqueFacts(20.0, "20 N m", "p. 12", "plain, oiled", "oil"),
)


def by_key(facts: JointFacts, *, loose: bool = False) -> dict[str, Compared]:
    return {one.candidate.key: one for one in compare(facts, loose=loose)}


def test_spring_washers_are_offered_no_bake_and_no_electroplate_passes() -> None:
    found = by_key(WASHERS, loose=True)
    assert not any(key.endswith("+bake") for key in found)
    for key in ("zinc_clear", "zinc_yellow", "cadmium"):
        dangers = found[key].effect(Aspect.DANGERS)
        assert dangers.outcome is Outcome.NOT_SOUND
        assert "acid-dip or electroplate a spring" in dangers.says
        assert "spring" in found[key].needs_a_person
    for key in ("mechanical_zinc", "zinc_flake", "leave"):
        assert found[key].effect(Aspect.DANGERS).outcome is not Outcome.NOT_SOUND, key


def test_hard_bolts_are_plated_only_with_their_bake() -> None:
    found = by_key(FLYWHEEL)
    bare, baked = found["zinc_clear"], found["zinc_clear+bake"]
    assert bare.effect(Aspect.DANGERS).outcome is Outcome.NOT_SOUND
    assert (bare.can_be_chosen, baked.can_be_chosen) == (False, True)
    assert baked.effect(Aspect.DANGERS).outcome is Outcome.SOUND_AFTER_TREATMENT
    assert "190 to 220 °C" in baked.effect(Aspect.DANGERS).says
    assert "bake" in bare.needs_a_person
    assert baked.needs_a_person == ""


def test_leaving_what_a_bath_may_have_cracked_does_not_make_it_sound() -> None:
    plated = PieceFacts(
        Kind.SPRING_WASHER, treatment="zinc_clear", finish_now="zinc", finish_received="zinc", is_new=True
    )
    found = by_key(JointFacts(plated), loose=True)
    for key in ("leave", "clean"):
        assert found[key].effect(Aspect.DANGERS).outcome is Outcome.NOT_SOUND, key
    assert found["replace"].effect(Aspect.DANGERS).outcome is not Outcome.NOT_SOUND


def test_softer_bolts_are_asked_for_no_bake() -> None:
    found = by_key(CASE_BOLTS)
    assert found["zinc_clear"].can_be_chosen
    assert found["zinc_clear"].effect(Aspect.DANGERS).outcome is Outcome.SOUND
    assert "zinc_clear+bake" not in found


def test_a_thicker_class_never_fits_better() -> None:
    facts = replace(CASE_BOLTS, piece=replace(CASE_BOLTS.piece, threads=("1/4-20 UNC",)))
    coats = by_key(facts)["zinc_clear"].coats
    assert [one.name for one in coats] == list(CLASSES["zinc_clear"])
    outcomes = [one.outcome for one in coats]
    assert outcomes == sorted(outcomes, key=[Outcome.SOUND, Outcome.NOT_PROVEN, Outcome.NOT_SOUND].index)
    assert outcomes[0] is not Outcome.NOT_SOUND
    assert coats[0].says != coats[-1].says


def test_a_pulled_hole_is_made_good_by_an_insert_alone() -> None:
    pulled = replace(CASE_BOLTS, mate=replace(CASE_BOLTS.mate, thread_state=ThreadState.DEFECTIVE))
    found = by_key(pulled)
    assert found["leave"].effect(Aspect.STRENGTH).outcome is Outcome.NOT_SOUND
    assert found["zinc_clear"].effect(Aspect.STRENGTH).outcome is Outcome.NOT_SOUND
    assert found["thread_insert"].effect(Aspect.STRENGTH).outcome is not Outcome.NOT_SOUND
    assert "wall" in found["thread_insert"].needs_a_person


def test_an_insert_is_offered_only_where_there_is_a_hole() -> None:
    on_a_nut = replace(CASE_BOLTS, mate=MateFacts(Mate.NUT))
    assert "thread_insert" not in by_key(on_a_nut)
    assert "thread_insert" in by_key(CASE_BOLTS)


def test_a_new_piece_has_nothing_of_the_old_ones_wear() -> None:
    worn = replace(CASE_BOLTS, piece=replace(CASE_BOLTS.piece, thread_state=ThreadState.DEFECTIVE))
    found = by_key(worn)
    assert found["clean"].effect(Aspect.STRENGTH).outcome is Outcome.NOT_SOUND
    assert found["replace"].effect(Aspect.STRENGTH).outcome is not Outcome.NOT_SOUND


def test_the_torque_is_judged_for_the_finish_that_would_be_received() -> None:
    found = by_key(CASE_BOLTS)
    kept, cadmium = found["leave"].effect(Aspect.CLAMP), found["cadmium"].effect(Aspect.CLAMP)
    assert kept.says != cadmium.says
    assert "times as hard" in cadmium.says
    assert "the same torque clamps about as hard (" in kept.says
    assert "no friction of zinc flake" in found["zinc_flake"].effect(Aspect.CLAMP).says


def test_looks_are_held_against_what_is_wanted() -> None:
    found = {
        one.candidate.key: one.effect(Aspect.LOOKS).says
        for one in compare(CASE_BOLTS, look_now=FinishLook.BLACK, look_wanted=FinishLook.YELLOW, visible=True)
    }
    assert found["leave"] == "stays black; yellow is wanted, and it will be seen"
    assert found["zinc_yellow"] == "yellow, as wanted"
    assert found["derust"] == "bare metal: look when done"


def test_what_is_chosen_now_is_always_compared() -> None:
    chosen = replace(CASE_BOLTS, piece=replace(CASE_BOLTS.piece, treatment="nickel"))
    assert "nickel" not in by_key(CASE_BOLTS)
    assert "nickel" in by_key(chosen)


def test_an_old_coat_that_nobody_knows_is_taken_as_cadmium() -> None:
    unknown = replace(CASE_BOLTS, piece=replace(CASE_BOLTS.piece, finish_now=""))
    said = [caution.text for caution in by_key(unknown)["derust"].effect(Aspect.DANGERS).cautions]
    known = [caution.text for caution in by_key(CASE_BOLTS)["derust"].effect(Aspect.DANGERS).cautions]
    assert any("cadmium" in text for text in said)
    assert not any("dry-blast what may be plated with cadmium" in text for text in known)


def test_a_warning_stands_beside_a_treatment_that_does_harm_and_no_other() -> None:
    from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece

    washer = warning_of(judge_piece(replace(WASHERS.piece, treatment="zinc_clear")))
    assert washer is not None
    assert washer.must_not_go
    bolt = warning_of(judge_joint(replace(FLYWHEEL, piece=replace(FLYWHEEL.piece, treatment="zinc_clear"))))
    assert bolt is not None
    assert (bolt.must_not_go, bolt.outcome) == (False, Outcome.SOUND_AFTER_TREATMENT)
    assert "190 to 220 °C" in bolt.says
    ordered = replace(FLYWHEEL.piece, treatment="zinc_clear", ordered_steps="bake")
    assert warning_of(judge_joint(replace(FLYWHEEL, piece=ordered))) is None
    pulled = replace(CASE_BOLTS, mate=replace(CASE_BOLTS.mate, thread_state=ThreadState.DEFECTIVE))
    assert warning_of(judge_joint(replace(pulled, piece=replace(pulled.piece, treatment="clean")))) is None


@pytest.mark.parametrize("key", [one.key for one in all_treatments()])
def test_the_finish_of_every_treatment_is_one_that_friction_knows(key: str) -> None:
    from runningfit.core.joints.conditions import read_condition

    words = finish_words(key)
    condition = read_condition(words)
    assert bool(words) == bool(condition.finish or condition.unfigured)


def test_only_baths_with_current_are_electroplates() -> None:
    found = {one.key for one in all_treatments() if electroplates(one.key)}
    assert found == {"zinc_clear", "zinc_yellow", "cadmium", "nickel", "chrome"}


def test_the_worst_of_none_is_sound() -> None:
    assert worst_of([]) is Outcome.SOUND
    assert worst_of([Outcome.SOUND, Outcome.NOT_PROVEN, Outcome.SOUND_AFTER_TREATMENT]) is Outcome.NOT_PROVEN


@given(
    kind=st.sampled_from(list(Kind)),
    threads=st.sampled_from([(), ("5/16-24 UNF",), ("1/4-20 UNC", "1/4-20 BSW"), ("no such thread",)]),
    grade=st.sampled_from(["", "SAE J429 8", "what was it"]),
    mate=st.sampled_from(list(Mate)),
    state=st.sampled_from(list(ThreadState)),
    treatment=st.sampled_from(["", *(one.key for one in all_treatments())]),
)
def test_whatever_is_known_every_treatment_gets_its_answer(
    kind: Kind, threads: tuple[str, ...], grade: str, mate: Mate, state: ThreadState, treatment: str
) -> None:
    facts = JointFacts(
        PieceFacts(kind, threads, grade=grade, thread_state=state, treatment=treatment), MateFacts(mate)
    )
    found = compare(facts)
    assert all([effect.aspect for effect in one.effects] == list(Aspect) for one in found)
    assert len({one.candidate.key for one in found}) == len(found)
    assert any(one.can_be_chosen for one in found)
    assert materials_of(facts)


def test_an_insert_leaves_the_bolt_and_a_bake_leaves_the_thread_as_they_are() -> None:
    insert = next(one for one in candidates_for(CASE_BOLTS) if one.key == "thread_insert")
    after = facts_after(CASE_BOLTS, insert)
    assert (after.mate.mate, after.piece.finish_received) == (Mate.INSERT, "plain")
    baked = facts_after(CASE_BOLTS, Candidate("zinc_clear+bake", "zinc_clear", "", is_baked=True))
    assert baked.piece.ordered_steps == "bake"
    assert baked.piece.threads == CASE_BOLTS.piece.threads
