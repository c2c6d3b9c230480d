"""The questions of yielding and of torque: what the maker's figure does now, and which figure to set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from runningfit.core.joints.bolted import BoltedAnswer, BoltedJoint, Percentiles, judge_bolted
from runningfit.core.joints.conditions import Condition
from runningfit.core.joints.embedment import usual_loss_n
from runningfit.core.joints.friction import friction_of
from runningfit.core.joints.preload import Prevailing, preload_spread, tightening_of
from runningfit.core.joints.retorque import FinishChange, TorqueAnswer, kept_reason, retorque, torque_for
from runningfit.core.joints.spread import HIGH, LOW
from runningfit.core.joints.tightening import geometry_of
from runningfit.core.standards import Thread
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import Check, Question, TorqueFigure
from runningfit.core.treatments.threaded_joint.carrying import (
    condition_assumed,
    condition_now,
    grade_of_bolt,
)
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.reading import bolt_thread, finish_said, in_range
from runningfit.core.treatments.threaded_joint.work import (
    finishes_asked,
    gives_finish,
    is_done,
    treatment_of,
)
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

UNCONFIRMED = "No figure until somebody confirms which finish came back."
_UNCONFIRMED_NOW = "No figure until somebody says by what process the finish on it was made."
_NO_TORQUE = "No torque is known: say the maker's figure and the page."
_NO_PAGE = "Safety-critical, and no page of the maker's manual was said: no figure."
_CHANGED = (
    "Safety-critical, and finish or lubricant is not surely that of the maker's page: no figure is reckoned. "
    "Bring it to the page's condition, or ask the maker's manual."
)
_TO_YIELD = "Tightened beyond yield: only by the maker's own method, on new pieces."
_OWN_FIGURE = "The maker's own figure, in the maker's own condition."
# A job has few sorts of joints, and each is tried at several ends of what is not known.
_retorque = lru_cache(maxsize=4096)(retorque)
_judge_bolted = lru_cache(maxsize=4096)(judge_bolted)


@dataclass(frozen=True, slots=True)
class ClampAnswer:
    """The answers about clamp and torque.

    Parameters
    ----------
    checks : tuple of Check
        Of yielding and of torque, those that are asked.
    figure : TorqueFigure
        For the torque sheet.
    preload_high_n : float or None
        95th percentile of the preload at the torque that will be set [N]; none where none is known.
    """

    checks: tuple[Check, ...]
    figure: TorqueFigure
    preload_high_n: float | None = None


def ask_clamping(facts: JointFacts) -> ClampAnswer:
    """Ask what torque to set and whether the bolt yields at it.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    ClampAnswer
        No checks where there is no thread that clamps.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    found = bolt_thread(facts.piece)
    torque_nm = in_range("torque", facts.torque.torque_nm, 0.01, 5000.0, "N m")
    scatter = in_range("scatter of the tool", facts.torque.scatter, 0.0, 0.5, "")
    wanted = in_range("wanted clamp", facts.torque.wanted_clamp_n, 0.0, 1e7, "N")
    if found is None:
        return ClampAnswer((), TorqueFigure(None, refused="Its thread seals and does not clamp."))
    if torque_nm is None:
        return _without_torque(facts, found, wanted, scatter)
    grade = grade_of_bolt(facts, found)
    old, now = condition_assumed(facts), condition_now(facts)
    prevailing_nm = _prevailing_nm(facts)
    change = FinishChange(
        found,
        torque_nm,
        old,
        now,
        grade.strength if grade.is_known else None,
        scatter=scatter,
        prevailing_nm=prevailing_nm,
    )
    answer = _retorque(change)
    figure, torque = _figure(facts, answer, old, now)
    set_nm = figure.torque_nm.mean if figure.torque_nm is not None else torque_nm
    bolted = _judge_bolted(
        BoltedJoint(
            tightening_of(found, friction_of(now, geometry_of(found)), scatter=scatter),
            set_nm,
            grade.strength,
            grade_known=grade.is_known,
            wanted_clamp_n=wanted or None,
            settling_loss_n=_settling_n(found, facts),
            settling_from_memory=True,
            scatter_known=scatter is not None,
            prevailing=Prevailing(prevailing_nm, prevailing_nm),
        )
    )
    checks = (_yielding(facts, bolted, set_nm, figure), torque)
    return ClampAnswer(checks, figure, bolted.preload_n.high)


def _prevailing_nm(facts: JointFacts) -> float:
    """What a self-locking thread takes; nothing where nobody said."""
    return in_range("prevailing torque", facts.mate.prevailing_nm, 0.0, 500.0, "N m") or 0.0


def _settling_n(found: Thread, facts: JointFacts) -> float | None:
    """What settling takes of the clamp, where it is known how thick the clamped parts are; from memory."""
    clamped_mm = in_range("thickness clamped", facts.mate.clamped_mm, 0.0, 2000.0, "mm")
    return usual_loss_n(found, clamped_mm) if clamped_mm else None


def _without_torque(
    facts: JointFacts, found: Thread, wanted: float | None, scatter: float | None
) -> ClampAnswer:
    """Where there is no figure of the maker's: that of a wanted clamp, where one may be reckoned at all."""
    must_not_fail = facts.piece.role is Role.SAFETY_CRITICAL or facts.piece.torque_to_yield
    if not wanted or must_not_fail or not facts.piece.finish_received:
        refused = _NO_TORQUE
        if wanted and not must_not_fail:
            refused = UNCONFIRMED if gives_finish(facts.piece) else _UNCONFIRMED_NOW
        return ClampAnswer((_torque_check(Outcome.NOT_PROVEN, refused),), TorqueFigure(None, refused=refused))
    grade, now = grade_of_bolt(facts, found), condition_now(facts)
    tightening = tightening_of(found, friction_of(now, geometry_of(found)), scatter=scatter)
    forces = preload_spread(tightening, 1.0)
    # So much on average that the clamp is reached 19 times in 20.
    aimed = wanted * forces.mean / forces.percentile(LOW)
    answer = torque_for(tightening, aimed, grade.strength, grade_known=grade.is_known)
    another = delivered_another(facts)
    if answer.torque_nm is None:
        refused = another + answer.verdict.reasons[0].text
        check = _torque_check(answer.verdict.outcome, refused, needs=True, verdict=answer.verdict)
        return ClampAnswer((check,), TorqueFigure(None, refused=refused))
    lost_nm, told = _prevailing_nm(facts), answer.torque_nm
    figure = Percentiles(told.low + lost_nm, told.mean + lost_nm, told.high + lost_nm)
    says = f"{another}Set {figure.mean:.1f} N m for a clamp of {wanted / 1000:.1f} kN."
    if lost_nm:
        says = f"{says[:-1]}, {lost_nm:.1f} N m of it for the self-locking thread."
    check = _torque_check(answer.verdict.outcome, says, needs=bool(another), verdict=answer.verdict)
    high_n = aimed * forces.percentile(HIGH) / forces.mean
    return ClampAnswer((check,), TorqueFigure(figure), high_n)


def _torque_check(
    outcome: Outcome, says: str, *, needs: bool = False, verdict: Verdict | None = None
) -> Check:
    whole = verdict or Verdict(outcome)
    reasons = (
        (Reason(says), *whole.reasons) if all(one.text != says for one in whole.reasons) else whole.reasons
    )
    return Check(
        Question.TORQUE,
        says,
        Verdict(outcome, whole.value, whole.unit, reasons=reasons, cautions=whole.cautions),
        needs_a_person=needs,
    )


def _is_same(one: Condition, other: Condition) -> bool:
    """Whether two conditions are surely the same."""
    known = one.finish is not None and one.lubricant is not None and not one.unfigured
    return known and one == other


def delivered_another(facts: JointFacts) -> str:
    """Say that another finish came than was asked for.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    str
        One sentence with a space behind it; empty where what was asked for came, or nothing is confirmed.

    Raises
    ------
    InvalidInput
        A finish that cannot be read.
    """
    if not is_done(facts.piece):
        return ""
    came = finish_said(facts.piece.finish_received)
    named, process = came.finish or came.unfigured, treatment_of(facts.piece).process
    if process is None or not named or named in finishes_asked(facts.piece):
        return ""
    asked = process.said
    return f"{asked.capitalize()} was asked for and {named} came. "


def _figure(
    facts: JointFacts, answer: TorqueAnswer, old: Condition, now: Condition
) -> tuple[TorqueFigure, Check]:
    """The figure of the torque sheet, or why there is none, and the check that says so."""
    piece, torque = facts.piece, facts.torque
    given = torque.torque_nm or 0.0
    critical = piece.role is Role.SAFETY_CRITICAL
    another = delivered_another(facts)
    if piece.torque_to_yield:
        check = _torque_check(Outcome.NOT_PROVEN, _TO_YIELD, needs=True)
        return TorqueFigure(None, refused=_TO_YIELD), check
    if critical and not torque.page.strip():
        return TorqueFigure(None, refused=_NO_PAGE), _torque_check(Outcome.NOT_PROVEN, _NO_PAGE, needs=True)
    if not piece.finish_received:
        refused = UNCONFIRMED if gives_finish(piece) else _UNCONFIRMED_NOW
        return TorqueFigure(None, refused=refused), _torque_check(
            Outcome.NOT_PROVEN, refused, verdict=_without_figure(answer, given)
        )
    ratio = answer.ratio_if_unchanged
    if _is_same(old, now):
        return TorqueFigure(Percentiles(given, given, given), ratio), _own(
            given, torque.page, answer, another
        )
    if critical:
        check = _torque_check(
            Outcome.NOT_PROVEN, another + _CHANGED, needs=True, verdict=_without_figure(answer, given)
        )
        return TorqueFigure(None, ratio, another + _CHANGED), check
    if answer.torque_nm is None:
        refused = another + answer.verdict.reasons[0].text
        return TorqueFigure(None, ratio, refused), _torque_check(
            Outcome.NOT_SOUND, refused, needs=True, verdict=answer.verdict
        )
    says = f"{another}Set {answer.torque_nm.mean:.1f} N m in place of {given:.1f} N m."
    return TorqueFigure(answer.torque_nm, ratio), _torque_check(
        answer.verdict.outcome, says, needs=bool(another), verdict=answer.verdict
    )


def _without_figure(answer: TorqueAnswer, given: float) -> Verdict:
    """Of a torque that must not be used, only what keeping the old one does."""
    ratio = answer.ratio_if_unchanged
    kept = () if ratio is None else (kept_reason(ratio, given),)
    return Verdict(Outcome.NOT_PROVEN, reasons=kept, cautions=answer.verdict.cautions)


def _own(given: float, page: str, answer: TorqueAnswer, another: str) -> Check:
    """The maker's figure in the maker's condition: it needs no computation to be right."""
    says = f"{another}{given:.1f} N m as it stands: {_OWN_FIGURE[0].lower()}{_OWN_FIGURE[1:]}"
    cautions = answer.verdict.cautions
    if not page.strip():
        cautions = (Caution("Nobody said on which page the figure stands: look it up."), *cautions)
    kept = Verdict(Outcome.SOUND, given, "N m", reasons=(Reason(says),), cautions=cautions)
    return _torque_check(Outcome.SOUND, says, needs=bool(another), verdict=kept)


def _yielding(facts: JointFacts, bolted: BoltedAnswer, set_nm: float, figure: TorqueFigure) -> Check:
    """Whether the bolt yields; what must not fail is never passed on a computation alone."""
    verdict = bolted.verdict
    cautions = verdict.cautions
    outcome = verdict.outcome
    if facts.piece.torque_to_yield:
        return Check(
            Question.YIELDING,
            "It is meant to yield: only the maker's method tells how far.",
            Verdict(Outcome.NOT_PROVEN, reasons=(Reason(_TO_YIELD),)),
            needs_a_person=False,
        )
    if facts.piece.role is Role.SAFETY_CRITICAL and outcome is Outcome.SOUND and figure.torque_nm is None:
        outcome = Outcome.NOT_PROVEN
        cautions = (Caution("Safety-critical: never passed on a computation."), *cautions)
    use = bolted.yield_utilisation
    says = (
        f"At {set_nm:.1f} N m it is stressed to {use.mean:.0%} of its yield, to {use.high:.0%} 1 time in 20."
    )
    return Check(
        Question.YIELDING,
        says,
        replace(verdict, outcome=outcome, cautions=cautions),
        needs_a_person=outcome is Outcome.NOT_SOUND,
    )
