"""Whatever a judgement says is missing is one fact, and that fact is found by what it is called."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint import judge_joint
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    ThreadState,
    TorqueFacts,
)
from runningfit.core.treatments.threaded_joint.facts_called import fact_called

BOLT = PieceFacts(kind=Kind.HEX_BOLT, threads=("3/8-16 UNC",), length_mm=38.1)
HOLE = MateFacts(mate=Mate.TAPPED_HOLE)
JOINT = JointFacts(BOLT, HOLE)
CRITICAL = replace(BOLT, role=Role.SAFETY_CRITICAL)


def names() -> set[str]:
    sides = {"piece": PieceFacts, "mate": MateFacts, "torque": TorqueFacts}
    return {f"{side}.{one.name}" for side, kind in sides.items() for one in fields(kind)}


@pytest.mark.parametrize(
    ("facts", "said", "field"),
    [
        (JOINT, "how deep the thread of the hole is", "mate.depth_mm"),
        (JOINT, "of what metal the hole is", "mate.material"),
        (JOINT, "how thick the parts are that it clamps", "mate.clamped_mm"),
        (JOINT, "whether the hole is blind", "mate.blind"),
        (JOINT, "its grade: the mark on the head", "piece.grade"),
        (JOINT, "how hard it is: the mark on its head, or a hardness test", "piece.hardness"),
        (JOINT, "how long its thread is", "piece.thread_length_mm"),
        (JOINT, "how it looks when somebody looks it over", "piece.looks_sound"),
        (JOINT, "the maker's torque, with its page", "torque.torque_nm"),
        (JOINT, "for what finish and lubricant the torque was given", "torque.assumed"),
        (JOINT, "with what lubricant it is tightened", "torque.lubricant"),
        (JOINT, "how true the torque wrench is", "torque.scatter"),
        (JointFacts(BOLT), "what it is screwed into", "mate.mate"),
        (JointFacts(CRITICAL, HOLE), "how much longer it is than a new one", "piece.stretch_mm"),
        (JointFacts(CRITICAL, HOLE), "what a crack test says", "piece.crack_tested"),
        (
            JointFacts(replace(BOLT, kind=Kind.STUD), HOLE),
            "how far it is screwed in: count the turns",
            "mate.engaged_mm",
        ),
        (JointFacts(replace(BOLT, kind=Kind.NUT)), "the grade of the stud or bolt", "mate.grade"),
        (JOINT, "how the moon stands", ""),
        (JOINT, "", ""),
    ],
)
def test_a_fact_is_found_by_what_it_is_called(facts: JointFacts, said: str, field: str) -> None:
    assert fact_called(said, facts) == field


@pytest.mark.parametrize(
    "facts",
    [
        JOINT,
        JointFacts(BOLT),
        JointFacts(CRITICAL, HOLE),
        JointFacts(replace(CRITICAL, treatment="zinc_clear"), HOLE),
        JointFacts(replace(BOLT, treatment="cadmium"), replace(HOLE, thread_state=ThreadState.NOT_PROVEN)),
        JointFacts(replace(BOLT, thread_state=ThreadState.NOT_PROVEN), HOLE),
        JointFacts(replace(BOLT, kind=Kind.STUD), HOLE),
        JointFacts(replace(BOLT, kind=Kind.NUT), MateFacts(mate=Mate.STUD)),
        JointFacts(replace(BOLT, length_mm=None, treatment="zinc_flake"), HOLE),
        JointFacts(replace(BOLT, threads=("3/8-16 UNC", "3/8-16 BSW"))),
        JointFacts(BOLT, HOLE, TorqueFacts(torque_nm=30.0, said="30 N m")),
    ],
)
def test_whatever_a_judgement_misses_leads_to_a_fact(facts: JointFacts) -> None:
    judgement = judge_joint(facts)
    missing = [check.missing for check in judgement.checks if check.missing]
    assert judgement.matters_most
    for said in (*missing, judgement.matters_most):
        assert fact_called(said, facts) in names(), said


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        (JointFacts(replace(BOLT, threads=("3/8-16 UNC", "3/8-16 BSW")), HOLE), "piece.threads"),
        (JointFacts(replace(BOLT, grade="SAE J429 99"), HOLE), "piece.grade"),
        (JointFacts(replace(BOLT, hardness="42", treatment="zinc_clear"), HOLE), "piece.hardness"),
        (JointFacts(BOLT, replace(HOLE, material="cheese")), "mate.material"),
        (
            JointFacts(BOLT, HOLE, TorqueFacts(torque_nm=30.0, page="p. 3", assumed="cheese")),
            "torque.assumed",
        ),
    ],
)
def test_a_fact_that_cannot_be_read_is_found_too(facts: JointFacts, field: str) -> None:
    called = {fact_called(check.missing, facts) for check in judge_joint(facts).checks if check.missing}
    assert field in called
