"""What a threaded joint comes to: one check for each question, and the joint as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

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
    """

    outcome: Outcome
    says: str
    rank: int
    needs_a_person: bool
    unsettled: frozenset[Question]
