"""No torque stands on a sheet where tightening to it would harm the joint."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.threaded_joint import judge_joint
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    TorqueFacts,
)
from runningfit.core.verdicts import Outcome

HELD = JointFacts(
    PieceFacts(
        kind=Kind.HEX_BOLT,
        threads=("3/8-16 UNC",),
        length_mm=50.8,
        grade="SAE J429 5",
        looks_sound=True,
        finish_now="plain",
        finish_received="plain",
    ),
    MateFacts(
        mate=Mate.TAPPED_HOLE,
        material="steel",
        blind=False,
        depth_mm=30.0,
        clamped_mm=20.0,
        washer_mm=0.0,
        chamfer_mm=0.0,
    ),
    TorqueFacts(torque_nm=30.0, said="30 N m", page="p. 3", assumed="plain, oil", lubricant="oil"),
)
SHORT = replace(HELD, mate=replace(HELD.mate, material="aluminium casting", clamped_mm=42.0))


def test_a_joint_that_holds_has_its_figure() -> None:
    figure = judge_joint(HELD).torque
    assert figure.torque_nm is not None
    assert figure.refused == ""


def test_a_joint_whose_threads_strip_has_none_and_says_why() -> None:
    judgement = judge_joint(SHORT)
    (stripping,) = [check for check in judgement.checks if check.question is Question.STRIPPING]
    assert stripping.verdict.outcome is Outcome.NOT_SOUND
    assert judgement.torque.torque_nm is None
    assert judgement.torque.refused == f"No figure: {stripping.says}"


def test_a_bolt_that_meets_the_bottom_has_none() -> None:
    bottoms = replace(HELD, mate=replace(HELD.mate, blind=True, depth_mm=15.0, clamped_mm=34.0))
    figure = judge_joint(bottoms).torque
    assert figure.torque_nm is None
    assert "meets the bottom" in figure.refused
