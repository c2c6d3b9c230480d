"""The finish of the other side: in the friction by what turns, and in the fit of the mating thread."""

from __future__ import annotations

from dataclasses import replace
from math import radians, sin
from typing import Any

import pytest

from runningfit.core.joints.friction import friction_of
from runningfit.core.joints.tightening import geometry_of
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import thread
from runningfit.core.standards.limits import internal_limits
from runningfit.core.treatments.threaded_joint import judge_joint
from runningfit.core.treatments.threaded_joint.answers import Check, JointJudgement, Question
from runningfit.core.treatments.threaded_joint.carrying import condition_now
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    TorqueFacts,
    Turned,
)
from runningfit.core.verdicts import Outcome

THREAD = "3/8-16 UNC"
BOLT = PieceFacts(kind=Kind.HEX_BOLT, threads=(THREAD,), grade="SAE J429 5", finish_received="zinc")
IN_A_NUT = JointFacts(BOLT, MateFacts(mate=Mate.NUT), TorqueFacts(torque_nm=20.0, lubricant="oil"))


def with_mate(facts: JointFacts = IN_A_NUT, **said: Any) -> JointFacts:
    return replace(facts, mate=replace(facts.mate, **said))


def band(facts: JointFacts) -> tuple[float, float, float, float]:
    found = friction_of(condition_now(facts), geometry_of(thread(THREAD))).band
    return found.thread_low, found.thread_high, found.bearing_low, found.bearing_high


def fit(judged: JointJudgement) -> Check | None:
    return next((one for one in judged.checks if one.question is Question.PLATING), None)


def test_the_face_of_the_part_that_turns_counts_and_both_where_nobody_knows_which() -> None:
    """Friction of either finish comes from the table of sources; here only which of them counts."""
    zinc, cadmium = band(IN_A_NUT), band(with_mate(IN_A_NUT, finish="zinc"))
    assert zinc == cadmium
    other = band(replace(IN_A_NUT, piece=replace(BOLT, finish_received="cadmium")))
    head, nut, either = (
        band(with_mate(finish="cadmium", turned=one)) for one in (Turned.HEAD, Turned.NUT, Turned.NOT_SAID)
    )
    threads = (min(zinc[0], other[0]), max(zinc[1], other[1]))
    assert head == (*threads, zinc[2], zinc[3])
    assert nut == (*threads, other[2], other[3])
    assert either == (*threads, min(zinc[2], other[2]), max(zinc[3], other[3]))
    # Into a hole only the head turns, whatever was said.
    hole = with_mate(mate=Mate.TAPPED_HOLE, finish="cadmium", turned=Turned.NOT_SAID)
    assert band(hole) == head


def test_a_nut_that_is_the_piece_is_the_nut_of_the_condition_and_turns() -> None:
    nut = replace(BOLT, kind=Kind.NUT, grade="", finish_received="zinc")
    on_stud = MateFacts(mate=Mate.STUD, finish="plain")
    now = condition_now(JointFacts(nut, on_stud, TorqueFacts(lubricant="oil")))
    assert (now.finish, now.mate, now.nut_turns) == ("plain", "zinc", True)
    assert now.said == "plain, oil, zinc nut, nut turns"


def test_a_finish_without_figures_on_the_other_side_widens_the_friction() -> None:
    nickel = band(with_mate(finish="nickel", turned=Turned.NUT))
    assert nickel[0] <= band(IN_A_NUT)[0]
    assert nickel[3] >= band(IN_A_NUT)[3]


@pytest.mark.parametrize("mate", [Mate.NUT, Mate.TAPPED_HOLE])
def test_a_plated_hole_of_which_the_thread_was_measured_passes_by_its_own_room(mate: Mate) -> None:
    """ASME B1.1-2019, section 7: after plating the thread is gauged at the basic size."""
    basic = thread(THREAD).pitch_diameter_mm
    for room_mm, outcome in ((0.05, Outcome.SOUND), (-0.05, Outcome.NOT_SOUND)):
        said = with_mate(mate=mate, finish="zinc", pitch_diameter=Measured(basic + room_mm, 0.005))
        check = fit(judge_joint(said))
        assert check is not None
        assert check.verdict.outcome is outcome
        assert check.needs_a_person is (outcome is Outcome.NOT_SOUND)


def test_the_room_in_a_hole_is_that_of_its_class_less_what_the_coat_takes() -> None:
    """Growth 2 / sin 30° = 4 times the coat (ASME B1.1-2019, section 7); 2B from the basic size up."""
    limits = internal_limits(thread(THREAD), "2B")
    room_mm = limits.pitch_diameter_max_mm - thread(THREAD).pitch_diameter_mm
    too_much_um = 1000 * room_mm * sin(radians(30)) / 2 * 1.3
    check = fit(judge_joint(with_mate(finish="zinc", coat=f"{too_much_um:.1f}um", thread_class="2B")))
    assert check is not None
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.says.startswith("The nut wears")


def test_of_a_coat_of_which_nobody_said_how_thick_no_pass_is_given() -> None:
    for finish in ("zinc", "nickel", "hot-dip galvanised"):
        check = fit(judge_joint(with_mate(finish=finish)))
        assert check is not None
        assert check.verdict.outcome is Outcome.NOT_PROVEN
        assert check.missing == "how thick the coat of the nut, hole or stud is"
    assert fit(judge_joint(with_mate(finish="plain"))) is None
    assert fit(judge_joint(with_mate(finish="black oxide"))) is None


def test_the_worse_of_both_sides_leads_and_the_other_is_among_the_reasons() -> None:
    plated = replace(BOLT, finish_received="", treatment="zinc_clear", coat="3um", thread_class="2A")
    alone = fit(judge_joint(replace(IN_A_NUT, piece=plated)))
    both = fit(judge_joint(with_mate(replace(IN_A_NUT, piece=plated), finish="zinc", coat="40um")))
    assert alone is not None
    assert both is not None
    assert (alone.verdict.outcome, both.verdict.outcome) == (Outcome.SOUND, Outcome.NOT_SOUND)
    assert alone.says in [one.text for one in both.verdict.reasons]
    assert both.says.startswith("The nut wears")


def test_a_treatment_that_cannot_be_read_and_a_plated_mate_give_one_answer() -> None:
    odd = replace(BOLT, treatment="gold")
    plain = judge_joint(replace(IN_A_NUT, piece=odd))
    plated = judge_joint(with_mate(replace(IN_A_NUT, piece=odd), finish="zinc"))
    for judged in (plain, plated):
        assert len([one for one in judged.checks if one.question is Question.PLATING]) == 1
    assert "'gold' came" in str(plain.checks)
