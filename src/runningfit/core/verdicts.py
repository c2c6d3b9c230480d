"""The one form in which every computation that a person acts on answers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from runningfit.core.units import LengthUnit, SentencePart, sentence


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
        The sentence, as it is shown; its lengths in millimetres.
    source : str
        The standard, page or measurement behind it; empty where the sentence itself says it.
    parts : tuple of str or SaidLength
        The same as words and lengths, so that it can be said in another unit; empty where it has no lengths.
    """

    text: str
    source: str = ""
    parts: tuple[SentencePart, ...] = ()

    @classmethod
    def of(cls, *parts: SentencePart, source: str = "") -> Reason:
        """Make a reason of words and lengths.

        Parameters
        ----------
        *parts : str or SaidLength
            Words and lengths, in their order.
        source : str
            The standard, page or measurement behind it.

        Returns
        -------
        Reason
            Its text in millimetres.
        """
        return cls(sentence(parts, LengthUnit.MM), source, parts)

    def in_unit(self, unit: LengthUnit) -> Reason:
        """Say it in a unit.

        Parameters
        ----------
        unit : LengthUnit
            The unit of its lengths.

        Returns
        -------
        Reason
            The same reason.
        """
        return replace(self, text=sentence(self.parts, unit)) if self.parts else self


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence that stands where the act is planned, on the screen and on the paper.

    Parameters
    ----------
    text : str
        The sentence, as it is shown; its lengths in millimetres.
    parts : tuple of str or SaidLength
        The same as words and lengths; empty where it has no lengths.
    """

    text: str
    parts: tuple[SentencePart, ...] = ()

    @classmethod
    def of(cls, *parts: SentencePart) -> Caution:
        """Make a caution of words and lengths.

        Parameters
        ----------
        *parts : str or SaidLength
            Words and lengths, in their order.

        Returns
        -------
        Caution
            Its text in millimetres.
        """
        return cls(sentence(parts, LengthUnit.MM), parts)

    def in_unit(self, unit: LengthUnit) -> Caution:
        """Say it in a unit.

        Parameters
        ----------
        unit : LengthUnit
            The unit of its lengths.

        Returns
        -------
        Caution
            The same caution.
        """
        return replace(self, text=sentence(self.parts, unit)) if self.parts else self


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

    def in_unit(self, unit: LengthUnit) -> Verdict:
        """Say its reasons and cautions in a unit; its value stays as it is.

        Parameters
        ----------
        unit : LengthUnit
            The unit of the lengths in them.

        Returns
        -------
        Verdict
            The same verdict.
        """
        return replace(
            self,
            reasons=tuple(one.in_unit(unit) for one in self.reasons),
            cautions=tuple(one.in_unit(unit) for one in self.cautions),
        )
