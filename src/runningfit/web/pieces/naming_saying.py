"""How an identification is said on a page: each candidate in words, as a number and as a drawn bar."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.pieces.identification import Identification
from runningfit.core.standards import Thread
from runningfit.core.units import MM_PER_INCH

MOST_SHOWN = 6
LEAST_SHOWN = 0.005
# Words for a probability, from the highest down; the number always stands beside them.
_WORDS = (
    (0.98, "almost surely"),
    (0.9, "very likely"),
    (0.6, "likely"),
    (0.35, "may well be"),
    (0.1, "may be"),
    (0.02, "unlikely"),
)


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """One candidate as a line shows it.

    Parameters
    ----------
    designation, words, number : str
        Its name, how likely it is in words, and as a number.
    bar : float
        The length of its bar, 0 to 100.
    other_names : str
        What else it is called.
    basics : str
        Its outside diameter and pitch.
    """

    designation: str
    words: str
    number: str
    bar: float
    other_names: str = ""
    basics: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """An identification as a page shows it."""

    lines: tuple[CandidateLine, ...]
    rest: CandidateLine
    first_two: tuple[str, ...]
    tell_apart: str
    twins: tuple[str, ...]
    prior: str
    reasons: tuple[str, ...]


def said(found: Identification) -> Said:
    """Say an identification."""
    shown = [one for one in found.candidates if one.probability >= LEAST_SHOWN][:MOST_SHOWN]
    shown = shown or list(found.candidates[:1])
    lines = tuple(
        CandidateLine(
            one.designation,
            in_words(one.probability),
            as_number(one.probability),
            bar(one.probability),
            " or ".join(one.other_names),
            basics(one.thread),
        )
        for one in shown
    )
    none = found.none_of_these
    return Said(
        lines=lines,
        rest=CandidateLine("none of these", in_words(none), as_number(none), bar(none)),
        first_two=tuple(one.designation for one in shown[:2]),
        tell_apart=found.tell_apart,
        twins=tuple(" and ".join(group) for group in found.twins),
        prior=found.prior,
        reasons=tuple(reason.text for reason in found.reasons),
    )


def in_words(probability: float) -> str:
    """Say how likely something is."""
    return next((words for least, words in _WORDS if probability >= least), "hardly")


def as_number(probability: float) -> str:
    """Write a probability with two places, never as certain."""
    if probability > 0.995:
        return "over 0.99"
    return "under 0.01" if probability < 0.005 else f"{probability:.2f}"


def bar(probability: float) -> float:
    """Return the length of a bar of 100 units, never quite nothing."""
    return round(max(probability * 100, 0.6), 1)


def basics(thread: Thread) -> str:
    """Say the outside diameter and the pitch of a thread, in its own unit first."""
    if thread.tpi is not None:
        inches = thread.major_mm / MM_PER_INCH
        return f"{inches:.4f} in ({thread.major_mm:.2f} mm), {thread.tpi:g} tpi"
    return f"{thread.major_mm:g} mm, pitch {thread.pitch_mm:g} mm"
