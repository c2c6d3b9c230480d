"""A whole threaded joint judged: each question asked, the worst first, and what would help most to know."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeVar

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.advice import Material, advice_for
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import (
    Check,
    ForThePlater,
    JointJudgement,
    Question,
    Standing,
    TorqueFigure,
    open_lines,
)
from runningfit.core.treatments.threaded_joint.clamping import ClampAnswer, ask_clamping, delivered_another
from runningfit.core.treatments.threaded_joint.coating import CoatAnswer, ask_plating
from runningfit.core.treatments.threaded_joint.facts import JointFacts, PieceFacts
from runningfit.core.treatments.threaded_joint.fitting import fit_of
from runningfit.core.treatments.threaded_joint.gaps import (
    OF_CLAMPING,
    OF_HYDROGEN,
    OF_PLATING,
    OF_REUSE,
    OF_STRIPPING,
    Gap,
)
from runningfit.core.treatments.threaded_joint.holding import ask_stripping, engagement_of
from runningfit.core.treatments.threaded_joint.hydrogen import ask_hydrogen
from runningfit.core.treatments.threaded_joint.missing import (
    Tried,
    Weighed,
    badness,
    most_of_all,
    open_to_pass,
    severity,
    weigh,
)
from runningfit.core.treatments.threaded_joint.reading import material_of
from runningfit.core.treatments.threaded_joint.reusing import ask_reuse
from runningfit.core.treatments.threaded_joint.telling import careful_plater, told_plater
from runningfit.core.treatments.threaded_joint.work import is_plated_now, treatment_of
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# A shop's joints differ in some thousand ways at the most; what is left over is reckoned again.
_KEPT = 16384
_T = TypeVar("_T")
_CANNOT_USE, _WHICH_THREAD = "cannot be used", "which thread it is"
# What is known to be dangerous to do is refused at the careful end; what is only not known is left open.
_LEFT_OPEN = frozenset({Question.STRIPPING, Question.YIELDING, Question.PLATING, Question.TORQUE})
_LOOSE = "It has no place yet, so no torque."


def _unreadable(question: Question, refused: InvalidInput) -> Check:
    """A fact that cannot be read leaves its question open, and says which fact and what it needs."""
    says = f"{refused.argument[:1].upper()}{refused.argument[1:]} {_CANNOT_USE}: it needs {refused.needs}."
    verdict = Verdict(Outcome.NOT_PROVEN, reasons=(Reason(str(refused)),))
    missing = f"the {refused.argument.removeprefix('the ')}"
    if refused.argument == "thread":
        says, missing = f"Its thread is not settled: {refused.came}.", _WHICH_THREAD
    return Check(question, says, verdict, missing, needs_a_person=True)


def _is_unread(check: Check) -> bool:
    """Whether a check only says that a fact cannot be read."""
    return _CANNOT_USE in check.says or check.missing == _WHICH_THREAD


def _asked(question: Question, ask: Callable[[], _T]) -> tuple[_T | None, Check | None]:
    try:
        return ask(), None
    except InvalidInput as refused:
        return None, _unreadable(question, refused)


def _order(check: Check, piece: PieceFacts) -> int:
    """Where a check stands: what needs a person first, then the worse, then what hurts more."""
    worse = severity(check.verdict.outcome)
    if check.needs_a_person and check.question is Question.HYDROGEN:
        # Sound once baked, and as dangerous as not sound as long as nobody sees to it.
        worse = severity(Outcome.NOT_SOUND)
    place = (0 if check.needs_a_person else 1) * 4 + 3 - worse
    place = place * len(Question) + list(Question).index(check.question)
    return place * 2 + (0 if piece.role is Role.SAFETY_CRITICAL else 1)


def _with_advice(piece: PieceFacts, checks: list[Check]) -> list[Check]:
    """Put what to mind where the treatment meets the material to the check of hydrogen, or of reuse."""
    try:
        material = material_of(piece) or Material.STEEL
        may_be_plated = is_plated_now(piece) or not piece.finish_now
        bears = (material, Material.CADMIUM_OR_CHROMATE) if may_be_plated else (material,)
        advice = advice_for(treatment_of(piece).key, bears)
    except InvalidInput:
        # The check of the fact that cannot be read says so.
        return checks
    if not advice or not checks:
        return checks
    at = next((n for n, one in enumerate(checks) if one.question is Question.HYDROGEN), 0)
    check = checks[at]
    more: tuple[Caution, ...] = tuple(one.caution for one in advice)
    checks[at] = replace(check, verdict=replace(check.verdict, cautions=(*check.verdict.cautions, *more)))
    return checks


@dataclass(frozen=True, slots=True)
class _Group:
    """Questions that are answered together, and the facts that they ask for."""

    questions: tuple[Question, ...]
    gaps: tuple[Gap, ...]
    tried: Callable[[JointFacts], Tried]


def _tried(*checks: Check) -> Tried:
    """How bad answers are: their outcome, and within it how improbable that all is well."""
    return {
        check.question: badness(check, 0.0 if (sure := check.verdict.probability) is None else 1 - sure)
        for check in checks
    }


def _hydrogen_tried(facts: JointFacts) -> Tried:
    answer = ask_hydrogen(facts.piece)
    return {} if answer is None else _tried(answer.check)


def _plating_tried(facts: JointFacts) -> Tried:
    answer = ask_plating(facts.piece)
    fit = fit_of(None if answer is None else answer.check, facts)
    return {} if fit is None else _tried(fit)


def _stripping_tried(facts: JointFacts, preload_high_n: float | None) -> Tried:
    """How bad an engagement is: within an outcome by how much thread is wanting."""
    check = ask_stripping(facts, preload_high_n)
    if check is None:
        return {}
    engaged, needed = engagement_of(facts), check.verdict.value
    held = 0.0 if engaged is None or not needed else min(1.0, engaged.engaged_mm / needed)
    return {check.question: badness(check, 1 - held)}


_GROUPS = (
    _Group((Question.REUSE,), OF_REUSE, lambda facts: _tried(ask_reuse(facts))),
    _Group((Question.HYDROGEN,), OF_HYDROGEN, _hydrogen_tried),
    _Group((Question.PLATING,), OF_PLATING, _plating_tried),
    _Group(
        (Question.YIELDING, Question.TORQUE), OF_CLAMPING, lambda facts: _tried(*ask_clamping(facts).checks)
    ),
)


def _least_room(piece: PieceFacts) -> CoatAnswer | None:
    """The coat on a thread that may still be one of several: that with the least room counts."""
    answers = [ask_plating(replace(piece, threads=(one,))) for one in piece.threads]
    found = [one for one in answers if one is not None]
    return min(found, key=lambda one: one.thickest_um, default=None)


def _of_piece(facts: JointFacts) -> tuple[list[Check], ForThePlater]:
    """The questions that are asked of the piece alone."""
    piece = facts.piece
    reuse, bad = _asked(Question.REUSE, lambda: ask_reuse(facts))
    checks = [one for one in (reuse, bad) if one is not None]
    hydrogen, bad = _asked(Question.HYDROGEN, lambda: ask_hydrogen(piece))
    checks += [one for one in (None if hydrogen is None else hydrogen.check, bad) if one is not None]
    coat, bad = _asked(Question.PLATING, lambda: ask_plating(piece))
    fit, bad_mate = _asked(Question.PLATING, lambda: fit_of(None if coat is None else coat.check, facts))
    # Of what the mate wears and a fact that cannot be read the worse is said: one answer to each question.
    said = [one for one in (bad or bad_mate, fit) if one is not None]
    checks += [max(said, key=lambda one: severity(one.verdict.outcome))] if said else []
    try:
        # Where hydrogen or coat could not be judged, asking again tells which fact was at fault.
        plater = told_plater(piece, hydrogen or ask_hydrogen(piece), coat or _least_room(piece), reuse)
    except InvalidInput as refused:
        plater = careful_plater(str(refused))
    return checks, plater


def _of_place(facts: JointFacts) -> tuple[list[Check], ClampAnswer]:
    """The questions that are asked of the joint at its place."""
    checks: list[Check] = []
    clamp, bad = _asked(Question.TORQUE, lambda: ask_clamping(facts))
    if bad is not None:
        checks.append(bad)
        clamp = ClampAnswer((), TorqueFigure(None, refused=bad.verdict.reasons[0].text))
    assert clamp is not None
    stripping, bad = _asked(Question.STRIPPING, lambda: ask_stripping(facts, clamp.preload_high_n))
    checks += [*clamp.checks, *(one for one in (stripping, bad) if one is not None)]
    return checks, _withheld(clamp, checks)


def _withheld(clamp: ClampAnswer, checks: Sequence[Check]) -> ClampAnswer:
    """Give no figure where tightening to it strips the threads, clamps nothing or yields the bolt."""
    harmed = (Question.STRIPPING, Question.YIELDING)
    bad = [one for one in checks if one.question in harmed and one.verdict.outcome is Outcome.NOT_SOUND]
    if not bad or clamp.figure.torque_nm is None:
        return clamp
    return replace(clamp, figure=replace(clamp.figure, torque_nm=None, refused=f"No figure: {bad[0].says}"))


def _groups(preload_high_n: float | None) -> tuple[_Group, ...]:
    stripping = _Group(
        (Question.STRIPPING,), OF_STRIPPING, lambda facts: _stripping_tried(facts, preload_high_n)
    )
    return (*_GROUPS, stripping)


def _weighed(facts: JointFacts, checks: Sequence[Check], groups: Sequence[_Group]) -> list[Weighed]:
    """How much each missing fact moves the answers that are not sound and can be given at all."""
    found = []
    for group in groups:
        asked = [one for one in checks if one.question in group.questions]
        if any(one.verdict.outcome is not Outcome.SOUND and not _is_unread(one) for one in asked):
            found.append(weigh(facts, group.gaps, group.tried))
    return found


def _left_open(facts: JointFacts, checks: Sequence[Check], groups: Sequence[_Group]) -> list[Check]:
    """Leave open what is refused only because something is not known."""
    found = []
    for check in checks:
        if check.question in _LEFT_OPEN and check.verdict.outcome is Outcome.NOT_SOUND:
            group = next(one for one in groups if check.question in one.questions)
            if check.question in open_to_pass(facts, group.gaps, group.tried):
                found.append(_softened(facts, check))
                continue
        found.append(check)
    return found


def _softened(facts: JointFacts, check: Check) -> Check:
    why = Reason("Refused at the careful end only: what is not known decides.")
    verdict = replace(check.verdict, outcome=Outcome.NOT_PROVEN, reasons=(*check.verdict.reasons, why))
    needs = check.question is Question.TORQUE and bool(delivered_another(facts))
    return replace(check, verdict=verdict, needs_a_person=needs)


@dataclass(frozen=True, slots=True)
class _Answered:
    """What was asked of a joint, answered; what would help to know is not looked for yet."""

    facts: JointFacts
    checks: Sequence[Check]
    groups: Sequence[_Group]
    clamp: ClampAnswer
    plater: ForThePlater


def _answered_joint(facts: JointFacts) -> _Answered:
    of_piece, plater = _of_piece(facts)
    of_place, clamp = _of_place(facts)
    return _answered(facts, [*of_piece, *of_place], clamp, plater)


def _answered_piece(piece: PieceFacts) -> _Answered:
    facts = JointFacts(piece)
    checks, plater = _of_piece(facts)
    return _answered(facts, checks, ClampAnswer((), TorqueFigure(None, refused=_LOOSE)), plater)


def _answered(facts: JointFacts, checks: list[Check], clamp: ClampAnswer, plater: ForThePlater) -> _Answered:
    groups = _groups(clamp.preload_high_n)
    checks = _left_open(facts, _with_advice(facts.piece, checks), groups)
    return _Answered(facts, checks, groups, clamp, plater)


def _judged(answered: _Answered) -> JointJudgement:
    facts, checks = answered.facts, answered.checks
    weighed = _weighed(facts, checks, answered.groups)
    named = []
    for check in checks:
        most = check.missing
        if not _is_unread(check):
            most = next((said for one in weighed if (said := one.most_of(check.question))), most)
        named.append(replace(check, missing="" if check.verdict.outcome is Outcome.SOUND else most))
    ordered = sorted(named, key=lambda one: _order(one, facts.piece))
    # A fact that cannot be read, or a thread that is open, goes before what was only never said.
    stuck = next((one.missing for one in ordered if _is_unread(one)), "")
    otherwise = next((one.missing for one in ordered if one.missing), "")
    standing = _standing(answered)
    return JointJudgement(
        outcome=standing.outcome,
        says=standing.says,
        checks=tuple(ordered),
        matters_most=stuck or most_of_all(weighed) or otherwise,
        torque=answered.clamp.figure,
        plater=answered.plater,
        rank=standing.rank,
    )


def _standing(answered: _Answered) -> Standing:
    """What sorts a joint; it hangs on no missing fact, so that finding those can wait until one looks."""
    piece, checks = answered.facts.piece, answered.checks
    first = min(checks, key=lambda one: _order(one, piece))
    return Standing(
        outcome=max((one.verdict.outcome for one in checks), key=severity),
        says=first.says,
        rank=_order(first, piece),
        needs_a_person=any(one.needs_a_person for one in checks),
        unsettled=frozenset(one.question for one in checks if one.verdict.outcome is not Outcome.SOUND),
        lines=frozenset(open_lines(checks)),
    )


@lru_cache(maxsize=_KEPT)
def judge_joint(facts: JointFacts) -> JointJudgement:
    """Judge a threaded joint by all that is known of it.

    Parameters
    ----------
    facts : JointFacts
        What is known; what is not is taken at its careful end for the question asked.

    Returns
    -------
    JointJudgement
        One check for each question that arises. A fact that cannot be read leaves its questions not proven.
    """
    return _judged(_answered_joint(facts))


@lru_cache(maxsize=_KEPT)
def judge_piece(piece: PieceFacts) -> JointJudgement:
    """Judge a loose lot: reuse, hydrogen and plating, which ask for no place.

    Parameters
    ----------
    piece : PieceFacts
        What is known of it.

    Returns
    -------
    JointJudgement
        Without a torque.
    """
    return _judged(_answered_piece(piece))


@lru_cache(maxsize=_KEPT)
def rank_joint(facts: JointFacts) -> Standing:
    """Say where a threaded joint stands among others, in a third of the time that judging it takes.

    Parameters
    ----------
    facts : JointFacts
        What is known, as for `judge_joint`.

    Returns
    -------
    Standing
        As `judge_joint` would have it.
    """
    return _standing(_answered_joint(facts))


@lru_cache(maxsize=_KEPT)
def rank_piece(piece: PieceFacts) -> Standing:
    """Say where a loose lot stands among others.

    Parameters
    ----------
    piece : PieceFacts
        What is known of it, as for `judge_piece`.

    Returns
    -------
    Standing
        As `judge_piece` would have it.
    """
    return _standing(_answered_piece(piece))
