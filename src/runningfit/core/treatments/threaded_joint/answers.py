"""What a threaded joint comes to: one check for each question, and the joint as a whole."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256

from runningfit.core.joints.bolted import Percentiles
from runningfit.core.treatments.embrittlement import Bake
from runningfit.core.verdicts import Outcome, Verdict


class Question(StrEnum):
    """What is asked of a joint, in the order in which a wrong answer hurts."""

    REUSE = "reuse"
    HYDROGEN = "hydrogen"
    STRIPPING = "stripping"
    YIELDING = "yielding"
    PLATING = "plating"
    TORQUE = "torque"


@dataclass(frozen=True, slots=True)
class Check:
    """The answer to one question.

    Parameters
    ----------
    question : Question
        Which.
    says : str
        The answer in one short line, with its number.
    verdict : Verdict
        All of it.
    missing : str
        The fact whose lack matters most to this answer, as a person would say it; empty where none does.
    needs_a_person : bool
        Whether somebody must act or decide before work goes on.
    """

    question: Question
    says: str
    verdict: Verdict
    missing: str = ""
    needs_a_person: bool = False


@dataclass(frozen=True, slots=True)
class OpenLine:
    """An answer that is not sound or waits for somebody, so that a person may decide on it.

    Parameters
    ----------
    told : tuple of str
        What it says and each of its reasons.
    keys : tuple of str
        The same by question and digest, in the same order: who saw all of these saw it, even where one has
        gone since.
    question : Question
        Which.
    outcome : Outcome
        How it was answered.
    says : str
        The answer in one line.
    needs_a_person : bool
        Whether somebody must act or decide before work goes on.
    """

    told: tuple[str, ...]
    keys: tuple[str, ...]
    question: Question
    outcome: Outcome
    says: str
    needs_a_person: bool


def line_key(check: Check) -> str:
    """Give the key by which an answer is known again.

    Parameters
    ----------
    check : Check
        The answer.

    Returns
    -------
    str
        Its question, its outcome, and a digest of what it says with every reason: a second fault that only
        stands among the reasons makes another key.
    """
    return f"{check.question}:{check.verdict.outcome}:{_digest(chr(10).join(_told(check)))}"


def open_line(check: Check) -> OpenLine:
    """Give an answer as a person decides on it.

    Parameters
    ----------
    check : Check
        The answer.

    Returns
    -------
    OpenLine
        With all that it tells.
    """
    told = _told(check)
    keys = tuple(f"{check.question}:{_digest(text)}" for text in told)
    return OpenLine(told, keys, check.question, check.verdict.outcome, check.says, check.needs_a_person)


def _told(check: Check) -> tuple[str, ...]:
    return (check.says, *(reason.text for reason in check.verdict.reasons))


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:12]


def open_lines(checks: Iterable[Check]) -> tuple[OpenLine, ...]:
    """Pick the answers on which a person may decide.

    Parameters
    ----------
    checks : iterable of Check
        Of one joint.

    Returns
    -------
    tuple of OpenLine
        What is not sound, not proven, or needs a person, in the order of the checks.
    """
    stands_open = (Outcome.NOT_SOUND, Outcome.NOT_PROVEN)
    return tuple(open_line(one) for one in checks if one.verdict.outcome in stands_open or one.needs_a_person)


@dataclass(frozen=True, slots=True)
class TorqueFigure:
    """What a torque sheet prints of a joint.

    Parameters
    ----------
    torque_nm : Percentiles or None
        The figure and its range [N m]; none where none is safe or none can be given yet.
    ratio_if_unchanged : Percentiles or None
        Clamp that the maker's figure gives now, over what it was meant to give.
    refused : str
        Why there is no figure; empty where there is one.
    """

    torque_nm: Percentiles | None
    ratio_if_unchanged: Percentiles | None = None
    refused: str = ""


@dataclass(frozen=True, slots=True)
class ForThePlater:
    """What the outside shop must be told of one lot.

    Parameters
    ----------
    hardness : str
        How hard the pieces are or may be, and how that is known.
    bake : Bake or None
        The baking that must follow; none where none is needed.
    do : tuple of str
        What must be done, in its order.
    must_not : tuple of str
        What must not be done: acid, blasting, and where.
    mask : tuple of str
        What must be kept free of the coat.
    thickest_um : float or None
        The largest coat with which the thread still assembles [um]; none where no thread is coated.
    do_not_send : str
        Why these pieces must not go for this work at all; empty where they may.
    wasted : str
        Why the work would be thrown away on them, though it does no harm; empty where it would not.
    """

    hardness: str = ""
    bake: Bake | None = None
    do: tuple[str, ...] = ()
    must_not: tuple[str, ...] = ()
    mask: tuple[str, ...] = ()
    thickest_um: float | None = None
    do_not_send: str = ""
    wasted: str = ""


@dataclass(frozen=True, slots=True)
class JointJudgement:
    """What a joint comes to.

    Parameters
    ----------
    outcome : Outcome
        The worst of its checks.
    says : str
        The check that matters most, in one line.
    checks : tuple of Check
        What needs a person first.
    matters_most : str
        The missing fact that would change most; empty where nothing is missing.
    torque : TorqueFigure
        For the torque sheet.
    plater : ForThePlater
        For the consignment note.
    rank : int
        For sorting: the lower, the sooner a person must look.
    """

    outcome: Outcome
    says: str
    checks: tuple[Check, ...]
    matters_most: str
    torque: TorqueFigure
    plater: ForThePlater
    rank: int

    @property
    def lines(self) -> tuple[OpenLine, ...]:
        """Return the answers on which a person may decide."""
        return open_lines(self.checks)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a joint stands among others: of its judgement what sorts it, without what would help to know.

    Parameters
    ----------
    outcome : Outcome
        The worst of its checks.
    says : str
        The check that matters most, in one line.
    rank : int
        For sorting: the lower, the sooner a person must look.
    needs_a_person : bool
        Whether somebody must act or decide before work goes on.
    unsettled : frozenset of Question
        The questions whose answer is not sound.
    lines : frozenset of OpenLine
        The answers on which a person may decide.
    """

    outcome: Outcome
    says: str
    rank: int
    needs_a_person: bool
    unsettled: frozenset[Question]
    lines: frozenset[OpenLine]
