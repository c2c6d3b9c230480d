"""What may be missing of the torque."""

from __future__ import annotations

from runningfit.core.joints.stress_area import tensile_area_mm2
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.carrying import (
    condition_assumed,
    condition_now,
    grade_of_bolt,
)
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.gaps.gap import (
    Gap,
    bolt_called,
    called,
    graded,
    is_ungraded,
    its_thread,
    with_piece,
    with_torque,
)
from runningfit.core.treatments.threaded_joint.work import gives_finish, is_done, treatment_of

# The nut factor that every book begins with, and a modest share of proof: a torque that is no danger.
_BOOK_NUT_FACTOR, _MODEST_SHARE = 0.2, 0.4


def _finish_name(facts: JointFacts) -> str:
    return "the finish that came back" if gives_finish(facts.piece) else "by what process its finish was made"


def _finish_came(facts: JointFacts) -> JointFacts:
    """The finish as it was asked for; else as the figure assumes it."""
    piece = facts.piece
    asked = str(treatment_of(piece).process) if gives_finish(piece) else ""
    return with_piece(facts, finish_received=asked or condition_assumed(facts).finish or "plain")


def _lubricated(facts: JointFacts) -> JointFacts:
    return with_torque(facts, lubricant=condition_assumed(facts).lubricant or "oil")


def _assumed(facts: JointFacts) -> JointFacts:
    now = condition_now(facts)
    return with_torque(facts, assumed=f"{now.finish or 'plain'}, {now.lubricant or 'oil'}")


def _some_torque(facts: JointFacts) -> JointFacts:
    thread = its_thread(facts)
    proof = grade_of_bolt(facts, thread).strength.proof_mpa * tensile_area_mm2(thread)
    return with_torque(
        facts, torque_nm=_BOOK_NUT_FACTOR * _MODEST_SHARE * proof * thread.major_mm / 1000, page="said"
    )


OF_CLAMPING = (
    Gap(
        called("the maker's torque, with its page"),
        lambda facts: facts.torque.torque_nm is None and not facts.torque.wanted_clamp_n,
        _some_torque,
        lambda facts: with_torque(facts, torque_nm=None),
        frozenset({Question.YIELDING, Question.TORQUE}),
    ),
    Gap(
        called("the page of the manual with the torque"),
        lambda facts: (
            facts.torque.torque_nm is not None
            and facts.piece.role is Role.SAFETY_CRITICAL
            and not facts.torque.page.strip()
        ),
        lambda facts: with_torque(facts, page="said"),
        lambda facts: with_torque(facts, page=""),
        frozenset({Question.TORQUE}),
    ),
    Gap(
        _finish_name,
        lambda facts: not facts.piece.finish_received and not is_done(facts.piece),
        _finish_came,
        lambda facts: with_piece(facts, finish_received=""),
        frozenset({Question.TORQUE}),
    ),
    Gap(
        called("for what finish and lubricant the torque was given"),
        lambda facts: not facts.torque.assumed.strip(),
        _assumed,
        lambda facts: with_torque(facts, assumed=""),
    ),
    Gap(
        called("with what lubricant it is tightened"),
        lambda facts: condition_now(facts).lubricant is None,
        _lubricated,
        lambda facts: with_torque(facts, lubricant=""),
    ),
    Gap(
        bolt_called,
        is_ungraded,
        lambda facts: graded(facts, strong=True),
        lambda facts: graded(facts, strong=False),
    ),
    Gap(
        called("how true the torque wrench is"),
        lambda facts: facts.torque.scatter is None,
        lambda facts: with_torque(facts, scatter=0.04),
        lambda facts: with_torque(facts, scatter=0.25),
        refines=True,
    ),
)
