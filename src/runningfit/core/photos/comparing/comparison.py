"""The comparison itself: from two measured photos to findings, each with its probability and its sentence."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.photos.answers import Fault
from runningfit.core.photos.comparing.answers import (
    Added,
    Comparison,
    Difference,
    Group,
    Missing,
    Swapped,
)
from runningfit.core.photos.comparing.grouping import grouped
from runningfit.core.photos.comparing.leaving_open import left_open
from runningfit.core.photos.comparing.pairings import draw_pairings
from runningfit.core.photos.comparing.sentences import (
    added_sentence,
    cautions_of,
    missing_sentence,
    summary_of,
    swapped_sentence,
)
from runningfit.core.photos.comparing.tallies import Changes
from runningfit.core.photos.items import MeasuredPhoto, PhotoItem

# Lengths apart by more than this many uncertainties of both differ; threads that share less than this do.
_APART, _THREADS_SHARED = 2.0, 0.3
_NO_PIECE = frozenset({Fault.NOT_A_PIECE})


def compare(before: MeasuredPhoto, after: MeasuredPhoto, *, look_may_change: bool = True) -> Comparison:
    """Say what is missing, added or swapped between two photos of one bag, the pieces lying anywhere.

    Parameters
    ----------
    before, after : MeasuredPhoto
        The bag as it was, and as it is.
    look_may_change : bool
        True where the pieces were at a plater or cleaned in between, so that looks say nothing.

    Returns
    -------
    Comparison
        Findings by groups of pieces that cannot be told apart, and what the photos leave open.

    Notes
    -----
    Under the assumptions of `pairings.draw_pairings`. Of a swap the photos tell that one piece went and
    another of its kind came, not that the one took the place of the other: its probability is that of both.
    The probabilities hold for the pieces that the photos show: a piece that was not outlined counts as
    missing, which a caution says.
    """
    ours, theirs = _pieces(before), _pieces(after)
    pairings = draw_pairings(ours, theirs, look_may_change=look_may_change)
    found = grouped(ours, theirs, pairings)
    groups = found.groups
    changes = Changes.of(pairings, found)
    missing, added, swapped = _missing(changes, groups), _added(changes, groups), _swapped(changes, groups)
    complete = sum(not draw.missing and not draw.swapped for draw in pairings.draws) / len(pairings.draws)
    return Comparison(
        len(ours),
        len(theirs),
        groups,
        missing,
        added,
        swapped,
        left_open(changes, groups, before, after),
        complete,
        pairings.scale_ratio if pairings.scale_known else None,
        summary_of(len(ours), len(theirs), missing, added, swapped, complete),
        cautions_of(
            before,
            after,
            ratio=pairings.scale_ratio if pairings.scale_known else None,
            changed=bool(missing or added or swapped),
            kept=sum(len(draw.same) for draw in pairings.draws) / len(pairings.draws),
        ),
    )


def _pieces(photo: MeasuredPhoto) -> tuple[PhotoItem, ...]:
    return tuple(one for one in photo.items if one.could_not is None or one.could_not.fault not in _NO_PIECE)


def _missing(changes: Changes, groups: Sequence[Group]) -> tuple[Missing, ...]:
    found = []
    for group in groups:
        gone = changes.likely_gone[group.number]
        count = gone - sum(n for (first, _), n in changes.likely_swaps.items() if first == group.number)
        if count:
            chance = changes.gone_at_least(group.number, gone)
            found.append(Missing(group.number, count, chance, missing_sentence(group, count, chance)))
    return tuple(found)


def _added(changes: Changes, groups: Sequence[Group]) -> tuple[Added, ...]:
    found = []
    for group in groups:
        came = changes.likely_came[group.number]
        count = came - sum(n for (_, second), n in changes.likely_swaps.items() if second == group.number)
        if count:
            chance = changes.came_at_least(group.number, came)
            found.append(Added(group.number, count, chance, added_sentence(group, count, chance)))
    return tuple(found)


def _swapped(changes: Changes, groups: Sequence[Group]) -> tuple[Swapped, ...]:
    found = []
    for (first, second), count in sorted(changes.likely_swaps.items()):
        gone, came = groups[first - 1], groups[second - 1]
        chance = changes.went_and_came(first, second, count)
        differs = differences(gone, came)
        sentence = swapped_sentence(gone, came, count, differs, chance)
        found.append(Swapped(first, second, count, differs, chance, sentence))
    return tuple(found)


def differences(gone: Group, came: Group) -> tuple[Difference, ...]:
    """Say in what two groups differ.

    Parameters
    ----------
    gone, came : Group
        The pieces that went and those that came in their place.

    Returns
    -------
    tuple of Difference
        Thread and length where both are known and apart; another size where neither is.
    """
    found = []
    if gone.threads and came.threads:
        theirs = {one.designation: one.probability for one in came.threads}
        shared = sum(min(one.probability, theirs.get(one.designation, 0.0)) for one in gone.threads)
        if shared < _THREADS_SHARED:
            found.append(Difference.THREAD)
    if gone.length is not None and came.length is not None:
        apart = abs(gone.length.value_mm - came.length.value_mm)
        if apart > _APART * (gone.length.u_mm**2 + came.length.u_mm**2) ** 0.5:
            found.append(Difference.LENGTH)
    return tuple(found) or (Difference.SIZE,)
