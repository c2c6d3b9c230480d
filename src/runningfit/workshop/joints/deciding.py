"""What a person's decision covers: the answers that were on the screen when it was made, and no others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

from runningfit.core.treatments.threaded_joint.answers import (
    Check,
    JointJudgement,
    OpenLine,
    Question,
    Standing,
    line_key,
    open_line,
)
from runningfit.core.verdicts import Outcome

USE = "use"
# How much of the verdict's first line a decision keeps.
SAID_KEPT = 300


class Decision(Protocol):
    """A decision, as a row or as read for a list."""

    @property
    def choice(self) -> str: ...
    @property
    def outcome(self) -> str: ...
    @property
    def said(self) -> str: ...
    @property
    def keys(self) -> frozenset[str]: ...


def not_seen(decision: Decision | None, verdict: JointJudgement | Standing) -> tuple[OpenLine, ...]:
    """Return the answers, not sound or not proven, that came after a decision; none where nobody decided."""
    if decision is None:
        return ()
    keys = decision.keys
    return tuple(line for line in verdict.lines if not keys.issuperset(line.keys))


def stands(decision: Decision | None, verdict: JointJudgement | Standing) -> bool:
    """Return whether a decision still covers all that is to be decided.

    Who uses the pieces takes on each fault by itself, so that the decision outlives one that was mended; any
    other choice answers the verdict as a whole.
    """
    if decision is None or not_seen(decision, verdict):
        return False
    if decision.choice == USE and verdict.lines:
        return True
    return decision.outcome == verdict.outcome and decision.said == verdict.says[:SAID_KEPT]


def unseen_words(decision: Decision, line: OpenLine) -> str:
    """Say what of an answer came after a decision, in the sentences that were not on the screen."""
    came = [text for text, key in zip(line.told, line.keys, strict=True) if key not in decision.keys]
    # The first sentence of an answer is its first reason as well.
    return " ".join(list(dict.fromkeys(came))[:2])


def is_used_in_spite_of(decision: Decision | None, check: Check) -> bool:
    """Return whether a person saw this very answer and uses the pieces all the same."""
    return decision is not None and decision.choice == USE and decision.keys.issuperset(open_line(check).keys)


def kept_lines(judgement: JointJudgement) -> list[dict[str, Any]]:
    """Return the answers that a decision is made on, as it keeps them."""
    return [
        {
            "keys": list(line.keys),
            "question": line.question.value,
            "outcome": line.outcome.value,
            "says": line.says,
        }
        for line in judgement.lines
    ]


@dataclass(frozen=True, slots=True)
class Changed:
    """An answer that is another now than on the page that was shown.

    Parameters
    ----------
    question : Question
        Which.
    before : Outcome or None
        How it was answered; none where it was not asked.
    now : Check or None
        The answer now; none where it is not asked any more.
    """

    question: Question
    before: Outcome | None
    now: Check | None


def verdict_shown(judgement: JointJudgement) -> str:
    """Return by what a form knows the verdict that its page shows: the keys of all its answers."""
    return ",".join(line_key(check) for check in judgement.checks)


def changed_since(shown: str, judgement: JointJudgement) -> list[Changed]:
    """Return which answers are others than on the page that was shown; none where all are the same.

    Parameters
    ----------
    shown : str
        As `verdict_shown` gave it; what cannot be read counts as nothing shown.
    """
    before: dict[Question, Outcome] = {}
    for key in shown.split(","):
        question, _, rest = key.partition(":")
        outcome = rest.partition(":")[0]
        if question in set(Question) and outcome in set(Outcome):
            before[Question(question)] = Outcome(outcome)
    keys = set(shown.split(","))
    found = [
        Changed(check.question, before.get(check.question), check)
        for check in judgement.checks
        if line_key(check) not in keys
    ]
    asked = {check.question for check in judgement.checks}
    return found + [Changed(question, was, None) for question, was in before.items() if question not in asked]
