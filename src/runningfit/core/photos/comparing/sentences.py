"""The sentences of a comparison."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.photos.comparing.answers import Added, Difference, Group, Missing, Swapped
from runningfit.core.photos.comparing.grouping import counted
from runningfit.core.photos.items import MeasuredPhoto

_NOTABLE_SCALE = 0.01
_SEVERAL = 6


def chance_words(probability: float) -> str:
    """Write a probability as it is read.

    Parameters
    ----------
    probability : float
        0 to 1.

    Returns
    -------
    str
        `93 %`; never 0 % or 100 %.
    """
    if probability > 0.99:
        return "over 99 %"
    return "under 1 %" if probability < 0.01 else f"{probability * 100:.0f} %"


def _are(count: int) -> str:
    return "is" if count == 1 else "are"


def missing_sentence(group: Group, count: int, probability: float) -> str:
    """Say that pieces of a group are missing.

    Parameters
    ----------
    group : Group
        The group.
    count : int
        How many.
    probability : float
        That so many or more are.

    Returns
    -------
    str
        `Missing: 1 of 4 hex bolts 3/8-16 UNC, 25.4 mm (over 99 %).`
    """
    return f"Missing: {_of(count, group, len(group.before))} ({chance_words(probability)})."


def added_sentence(group: Group, count: int, probability: float) -> str:
    """Say that pieces of a group were added.

    Parameters
    ----------
    group : Group
        The group.
    count : int
        How many.
    probability : float
        That so many or more were.
    """
    before = f", where there were {len(group.before)}" if group.before else ""
    return f"Added: {counted(group, count)}{before} ({chance_words(probability)})."


def _of(count: int, group: Group, whole: int) -> str:
    return counted(group, count) if count == whole else f"{count} of {counted(group, whole)}"


def swapped_sentence(
    gone: Group, came: Group, count: int, differs: Sequence[Difference], probability: float
) -> str:
    """Say that pieces of one group came in place of those of another.

    Parameters
    ----------
    gone, came : Group
        The group that went, and the one that came.
    count : int
        How many.
    differs : sequence of Difference
        In what they differ.
    probability : float
        That so many or more were swapped.
    """
    words = " and ".join(str(one) for one in differs)
    return (
        f"Swapped: {_of(count, gone, len(gone.before))} went, {counted(came, count)} came, "
        f"of another {words} ({chance_words(probability)})."
    )


def may_be_gone_sentence(group: Group, others: Sequence[Group], probability: float, *, more: bool) -> str:
    """Say that pieces of a group may have gone.

    Parameters
    ----------
    group : Group
        The group.
    others : sequence of Group
        The groups for which they may have been swapped.
    probability : float
        That it is so.
    more : bool
        Whether some of the group are known to have gone.
    """
    ways = "be missing"
    if others:
        ways += f", or have been swapped for: {' or '.join(one.name for one in others)}"
    return f"Not sure: {_one_of(group, len(group.before), more)} may {ways} ({chance_words(probability)})."


def may_be_added_sentence(group: Group, probability: float, *, more: bool) -> str:
    """Say that pieces of a group may have come.

    Parameters
    ----------
    group : Group
        The group.
    probability : float
        That it is so.
    more : bool
        Whether some of the group are known to have come.
    """
    which = _one_of(group, len(group.after), more)
    return f"Not sure: {which} may have been added ({chance_words(probability)})."


def _one_of(group: Group, whole: int, more: bool) -> str:
    return f"one {'more ' if more else ''}of {counted(group, whole)}" if whole > 1 else counted(group, 1)


def summary_of(
    before: int,
    after: int,
    missing: Sequence[Missing],
    added: Sequence[Added],
    swapped: Sequence[Swapped],
    complete: float,
) -> str:
    """Say the outcome of a comparison in one sentence.

    Parameters
    ----------
    before, after : int
        How many pieces the first and the second photo show.
    missing, added, swapped : sequence
        The findings.
    complete : float
        Probability that nothing is missing and nothing swapped.
    """
    findings = ((missing, "missing"), (added, "added"), (swapped, "swapped"))
    parts = [f"{count} {word}" for found, word in findings if (count := sum(one.count for one in found))]
    counts = f"{before} before, {after} after"
    if parts:
        return f"{counts}: {', '.join(parts)}."
    if complete >= 0.9:
        return f"{counts}: nothing is missing and nothing swapped ({chance_words(complete)})."
    return f"{counts}: it cannot be told whether all are there ({chance_words(complete)} that they are)."


def cautions_of(
    before: MeasuredPhoto, after: MeasuredPhoto, *, ratio: float | None, changed: bool, kept: float
) -> tuple[str, ...]:
    """Say what to mind about a comparison.

    Parameters
    ----------
    before, after : MeasuredPhoto
        Both photos.
    ratio : float or None
        Sizes of the second photo over those of the first.
    changed : bool
        Whether anything was found missing, added or swapped.
    kept : float
        How many pieces of the first photo are in the second, as expected.
    """
    cautions = []
    if changed:
        cautions.append(
            "Look whether each piece has its outline in both photos: one without counts as missing."
        )
    if ratio is not None and abs(ratio - 1) > _NOTABLE_SCALE:
        more = "larger" if ratio > 1 else "smaller"
        cautions.append(
            f"All sizes come out {abs(ratio - 1) * 100:.1f} % {more} in the second photo, which was taken "
            "for the scale of the prints: hold a steel rule against the rulers of both mats."
        )
    least = min(len(before.items), len(after.items))
    if least >= _SEVERAL and kept < least / 2:
        cautions.append("Less than half of the pieces agree: make sure that both photos show the same bag.")
    return tuple(cautions)
