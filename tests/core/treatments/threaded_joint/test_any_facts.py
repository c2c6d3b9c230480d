"""Whatever was typed, a joint gets an answer, and the answer keeps its promises."""

from __future__ import annotations

from hypothesis import given, settings

from core.treatments.threaded_joint.any_facts import joints, pieces
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece, rank_joint, rank_piece
from runningfit.core.treatments.threaded_joint.answers import JointJudgement, Question, Standing
from runningfit.core.treatments.threaded_joint.facts import JointFacts, PieceFacts
from runningfit.core.treatments.threaded_joint.missing import severity
from runningfit.core.verdicts import Outcome


def holds(judged: JointJudgement) -> None:
    """What holds of every judgement."""
    outcomes = [check.verdict.outcome for check in judged.checks]
    assert severity(judged.outcome) == max(map(severity, outcomes))
    questions = [check.question for check in judged.checks]
    assert len(set(questions)) == len(questions)
    needs = [check.needs_a_person for check in judged.checks]
    assert needs == sorted(needs, reverse=True), "what needs a person comes first"
    assert judged.says == judged.checks[0].says
    for check in judged.checks:
        assert check.says
        assert check.verdict.reasons
        assert not (check.missing and check.verdict.outcome is Outcome.SOUND)
    assert bool(judged.torque.refused) != (judged.torque.torque_nm is not None)


@given(joints())
@settings(max_examples=400, deadline=None)
def test_any_facts_get_an_answer(facts: JointFacts) -> None:
    judged = judge_joint(facts)
    holds(judged)
    if judged.torque.torque_nm is not None:
        assert facts.piece.finish_received, "no figure before the finish is confirmed"
        assert not facts.piece.torque_to_yield
        assert facts.torque.page or facts.piece.role is not Role.SAFETY_CRITICAL
        figure = judged.torque.torque_nm
        assert 0 < figure.low <= figure.mean <= figure.high


@given(pieces())
@settings(max_examples=200, deadline=None)
def test_any_loose_lot_gets_an_answer_without_a_torque(piece: PieceFacts) -> None:
    judged = judge_piece(piece)
    holds(judged)
    assert judged.torque.torque_nm is None
    assert {check.question for check in judged.checks} <= {
        Question.REUSE,
        Question.HYDROGEN,
        Question.PLATING,
    }


def standing_of(judged: JointJudgement) -> Standing:
    """What sorts a joint, taken from all that it comes to."""
    return Standing(
        judged.outcome,
        judged.says,
        judged.rank,
        any(check.needs_a_person for check in judged.checks),
        frozenset(check.question for check in judged.checks if check.verdict.outcome is not Outcome.SOUND),
        frozenset(judged.lines),
    )


@given(joints())
@settings(max_examples=300, deadline=None)
def test_a_joint_stands_where_its_judgement_puts_it(facts: JointFacts) -> None:
    assert rank_joint(facts) == standing_of(judge_joint(facts))
    assert rank_piece(facts.piece) == standing_of(judge_piece(facts.piece))
