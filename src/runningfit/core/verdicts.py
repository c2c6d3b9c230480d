"""The one form in which every computation that a person acts on answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """What a verdict comes to; "cannot tell" is one of the answers."""

    SOUND = "sound"
    SOUND_AFTER_TREATMENT = "sound_after_treatment"
    NOT_SOUND = "not_sound"
    NOT_PROVEN = "not_proven"


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence with its numbers, and where it comes from.

    Parameters
    ----------
    text : str
        The sentence, as it is shown.
    source : str
        The standard, page or measurement behind it; empty where the sentence itself says it.
    """

    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence that stands where the act is planned, on the screen and on the paper.

    Parameters
    ----------
    text : str
        The sentence, as it is shown.
    """

    text: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer of a computation: what it comes to, the value behind it, the reasons and the cautions.

    Parameters
    ----------
    outcome : Outcome
        What it comes to.
    value : float or None
        The computed value, where there is one.
    unit : str
        The unit of the value.
    uncertainty : float or None
        Its standard uncertainty, in the same unit.
    probability : float or None
        The probability that the outcome holds, 0 to 1, where one is meant.
    reasons : tuple of Reason
        Why, in the order of their weight.
    cautions : tuple of Caution
        What to mind, whatever the outcome.
    """

    outcome: Outcome
    value: float | None = None
    unit: str = ""
    uncertainty: float | None = None
    probability: float | None = None
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Caution, ...] = ()
