"""What two photos leave open: groups that may have changed, and pieces that could not be measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from runningfit.core.photos.answers import Fault
from runningfit.core.photos.comparing.answers import CannotTell, Group
from runningfit.core.photos.comparing.grouping import counted
from runningfit.core.photos.comparing.sentences import (
    chance_words,
    may_be_added_sentence,
    may_be_gone_sentence,
)
from runningfit.core.photos.comparing.tallies import Changes
from runningfit.core.photos.items import MeasuredPhoto

# Less likely than this is not worth a sentence.
_WORTH_SAYING = 0.08
_CALIPER = "Lay a caliper and a thread gauge on these pieces."


def left_open(
    changes: Changes, groups: Sequence[Group], before: MeasuredPhoto, after: MeasuredPhoto
) -> tuple[CannotTell, ...]:
    """Say what the two photos leave open.

    Parameters
    ----------
    changes : Changes
        What changed by each pairing drawn.
    groups : sequence of Group
        The groups.
    before, after : MeasuredPhoto
        Both photos.

    Returns
    -------
    tuple of CannotTell
        Groups of which more may be missing, swapped or added than was found likely; then pieces that were
        not measured.
    """
    gone = list(_maybe_gone(changes, groups))
    mentioned = {number for one in gone for number in one.groups}
    came = [one for one in _maybe_came(changes, groups) if mentioned.isdisjoint(one.groups)]
    return (*gone, *came, *_exchanged(changes, groups), *_unmeasured(groups, before, after))


def _maybe_gone(changes: Changes, groups: Sequence[Group]) -> Iterator[CannotTell]:
    for group in groups:
        stated = changes.likely_gone[group.number]
        chance = changes.gone_at_least(group.number, stated + 1)
        if chance < _WORTH_SAYING:
            continue
        swapped_for = [
            second
            for (first, second), times in sorted(changes.swaps.items())
            if first == group.number
            and (times / len(changes.draws) - changes.likely_swaps[first, second] >= _WORTH_SAYING / 2)
        ]
        others = [groups[number - 1] for number in swapped_for]
        yield CannotTell(
            (group.number, *swapped_for),
            chance,
            may_be_gone_sentence(group, others, chance, more=stated > 0),
            _CALIPER,
        )


def _maybe_came(changes: Changes, groups: Sequence[Group]) -> Iterator[CannotTell]:
    for group in groups:
        stated = changes.likely_came[group.number]
        chance = changes.came_at_least(group.number, stated + 1)
        if chance >= _WORTH_SAYING:
            yield CannotTell(
                (group.number,), chance, may_be_added_sentence(group, chance, more=stated > 0), _CALIPER
            )


def _exchanged(changes: Changes, groups: Sequence[Group]) -> Iterator[CannotTell]:
    """Groups in which a piece may have been exchanged for one that is nearly like it."""
    for group in groups:
        chance = changes.within_at_least_one(group.number)
        if chance >= _WORTH_SAYING:
            yield CannotTell(
                (group.number,),
                chance,
                f"Not sure: of {counted(group, len(group.after))} one may have been exchanged for one nearly "
                f"like it ({chance_words(chance)}).",
                _CALIPER,
            )


def _unmeasured(groups: Sequence[Group], before: MeasuredPhoto, after: MeasuredPhoto) -> Iterator[CannotTell]:
    for group in groups:
        if not group.measured:
            yield CannotTell(
                (group.number,),
                None,
                f"{_said(group)}, which may be any of the pieces.",
                "Lay them flat and apart from the others, and take the photo again.",
            )
    for photo, name in ((before, "first"), (after, "second")):
        touching = [
            one.number
            for one in photo.items
            if one.could_not is not None and one.could_not.fault is Fault.PIECES_TOUCH
        ]
        if touching:
            yield CannotTell(
                (),
                None,
                f"Pieces touch in the {name} photo (outline {', '.join(map(str, touching))}); each outline "
                "was counted as one piece, though it holds more.",
                "Lay the pieces apart and take the photo again.",
            )


def _said(group: Group) -> str:
    sides = [(group.before, "first"), (group.after, "second")]
    parts = [f"{len(numbers)} in the {name} photo" for numbers, name in sides if numbers]
    return f"Some pieces could not be measured, {' and '.join(parts)}"
