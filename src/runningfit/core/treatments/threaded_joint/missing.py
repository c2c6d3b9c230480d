"""Which missing fact would change a judgement most: each is tried at its ends, all others going well."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.gaps import Gap
from runningfit.core.verdicts import Outcome

_SEVERITY = {
    Outcome.SOUND: 0,
    Outcome.SOUND_AFTER_TREATMENT: 1,
    Outcome.NOT_PROVEN: 2,
    Outcome.NOT_SOUND: 3,
}
# How much a question counts where two facts move two answers alike: what hurts before what is done again.
_WEIGHT = {
    Question.REUSE: 1.0,
    Question.HYDROGEN: 1.2,
    Question.STRIPPING: 1.0,
    Question.YIELDING: 0.9,
    Question.PLATING: 0.8,
    Question.TORQUE: 0.5,
}
_WORTH_SAYING = 0.02
# How bad the answer to each question is.
Tried: TypeAlias = Mapping[Question, float]


def severity(outcome: Outcome) -> int:
    """Rank an outcome.

    Parameters
    ----------
    outcome : Outcome
        What a verdict comes to.

    Returns
    -------
    int
        The worse, the larger: 0 to 3.
    """
    return _SEVERITY[outcome]


@dataclass(frozen=True, slots=True)
class Weighed:
    """How much each missing fact moves the answers to some questions.

    Parameters
    ----------
    moved : Mapping
        For each question, by what is called how, the move from the best to the worst [-].
    """

    moved: Mapping[Question, Mapping[str, float]] = field(default_factory=dict)

    def most_of(self, question: Question) -> str:
        """Name the fact that moves one answer most; empty where none moves it."""
        moves = self.moved.get(question, {})
        best = max(moves, key=moves.__getitem__, default="")
        return best if best and moves[best] > _WORTH_SAYING else ""


def most_of_all(weighed: Sequence[Weighed]) -> str:
    """Name the fact that moves all answers together most.

    Parameters
    ----------
    weighed : sequence of Weighed
        Of every group of questions.

    Returns
    -------
    str
        Empty where none is missing or none would move anything.
    """
    total: dict[str, float] = {}
    for one in weighed:
        for question, moves in one.moved.items():
            for said, move in moves.items():
                total[said] = total.get(said, 0.0) + _WEIGHT[question] * move
    best = max(total, key=total.__getitem__, default="")
    return best if best and total[best] > _WORTH_SAYING else ""


def badness(check: Check, share: float) -> float:
    """Give how bad an answer is, as one number.

    Parameters
    ----------
    check : Check
        The answer.
    share : float
        How near it comes to the next worse outcome, 0 to 1.

    Returns
    -------
    float
        From 0, sound by far, to just below 4.
    """
    return severity(check.verdict.outcome) + 0.9 * share


def _bad(tried: Callable[[JointFacts], Tried], facts: JointFacts) -> Tried | None:
    try:
        return tried(facts)
    except InvalidInput:
        # An end that cannot be with the facts that are known, such as a grade that is not made in that size.
        return None


def _is_missing(gap: Gap, facts: JointFacts) -> bool:
    """Whether a fact is missing; one that hangs on another that cannot be read is not asked for yet."""
    try:
        return gap.is_missing(facts) and bool(gap.said(facts))
    except InvalidInput:
        return False


def _put(change: Callable[[JointFacts], JointFacts], facts: JointFacts) -> JointFacts:
    try:
        return change(facts)
    except InvalidInput:
        return facts


def weigh(facts: JointFacts, gaps: Sequence[Gap], tried: Callable[[JointFacts], Tried]) -> Weighed:
    """Find how much each missing fact moves the answers to some questions.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    gaps : sequence of Gap
        The facts that these questions ask for.
    tried : callable
        Asks them, and gives how bad the answers are.

    Returns
    -------
    Weighed
        Nothing where nothing is missing. Every missing fact is put at its good end, then each by itself at
        its bad one, so that facts which only tell together are still told apart.
    """
    missing = [gap for gap in gaps if _is_missing(gap, facts)]
    best = facts
    for gap in missing:
        best = _put(gap.good, best)
    at_best = _bad(tried, best)
    if at_best is None:
        return Weighed()
    moved: dict[Question, dict[str, float]] = {}
    blocked = {question for gap in missing for question in gap.blocks}
    for gap in missing:
        for question, bad in (_bad(tried, _put(gap.bad, best)) or {}).items():
            # Before a fact is known without which there is no answer, the others do not help.
            if question not in blocked or question in gap.blocks:
                moved.setdefault(question, {})[gap.said(facts)] = bad - at_best.get(question, 0.0)
    return Weighed(moved)


def open_to_pass(
    facts: JointFacts, gaps: Sequence[Gap], tried: Callable[[JointFacts], Tried]
) -> frozenset[Question]:
    """Find which questions need not be refused, should what is missing turn out well.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    gaps : sequence of Gap
        The facts that these questions ask for.
    tried : callable
        Asks them, and gives how bad the answers are.

    Returns
    -------
    frozenset of Question
        None where nothing is missing but what refines.
    """
    best = facts
    for gap in gaps:
        if not gap.refines and _is_missing(gap, facts):
            best = _put(gap.good, best)
    refused = severity(Outcome.NOT_SOUND)
    return frozenset(question for question, bad in (_bad(tried, best) or {}).items() if bad < refused)
