"""What two photos leave open: groups that may have changed, and pieces that could not be measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from runningfit.core.photos.answers import Fault
from runningfit.core.photos.comparing.answers import CannotTell, Group
from runningfit.core.photos.comparing.grouping import Grouped, counted
from runningfit.core.photos.comparing.pairings import Pairing, Pairings
from runningfit.core.photos.comparing.sentences import chance_words, may_be_sentence
from runningfit.core.photos.comparing.tallies import Tally, swapped_between, tallied
from runningfit.core.photos.items import MeasuredPhoto

# Less likely than this is not worth a sentence.
_WORTH_SAYING = 0.08
_CALIPER = "Lay a caliper and a thread gauge on these pieces."


def left_open(
    pairings: Pairings, found: Grouped, before: MeasuredPhoto, after: MeasuredPhoto
) -> tuple[CannotTell, ...]:
    """Say what the two photos leave open.

    Parameters
    ----------
    pairings : Pairings
        The ways in which the pieces may belong together.
    found : Grouped
        The groups.
    before, after : MeasuredPhoto
        Both photos.

    Returns
    -------
    tuple of CannotTell
        Groups of which more may be missing, swapped or added than was found likely; then pieces that were
        not measured.
    """
    swaps = tallied(pairings, lambda draw: swapped_between(draw, found))
    gone = tallied(pairings, lambda draw: ((found.of_before[i],) for i in draw.missing))
    came = tallied(pairings, lambda draw: ((found.of_after[j],) for j in draw.added))
    told: list[CannotTell] = []
    mentioned: set[int] = set()
    for one in _maybe(pairings, found, gone, swaps, side=0):
        mentioned.update(one.groups)
        told.append(one)
    told.extend(
        one for one in _maybe(pairings, found, came, swaps, side=1) if mentioned.isdisjoint(one.groups)
    )
    return (*told, *_exchanged(pairings, found), *_unmeasured(found, before, after))


def _maybe(
    pairings: Pairings, found: Grouped, alone: Sequence[Tally], swaps: Sequence[Tally], *, side: int
) -> Iterator[CannotTell]:
    """Groups of which more may have gone (side 0) or come (side 1) than was found likely."""

    def events(draw: Pairing) -> Iterator[tuple[int]]:
        pieces, of = (draw.added, found.of_after) if side else (draw.missing, found.of_before)
        yield from ((of[at],) for at in pieces)
        yield from ((key[side],) for key in swapped_between(draw, found))

    for tally in tallied(pairings, events):
        (number,) = tally.key
        stated = sum(one.likely for one in (*alone, *swaps) if _own(one, number, side))
        chance = tally.at_least(stated + 1)
        if chance < _WORTH_SAYING:
            continue
        others = [
            one.key[1 - side]
            for one in swaps
            if one.key[side] == number and one.at_least(one.likely + 1) >= _WORTH_SAYING / 2
        ]
        by_itself = any(
            one.key == (number,) and one.at_least(one.likely + 1) >= _WORTH_SAYING / 2 for one in alone
        )
        groups = [found.groups[at - 1] for at in (number, *others)]
        yield CannotTell(
            (number, *others),
            chance,
            may_be_sentence(groups[0], groups[1:], chance, more=stated > 0, came=bool(side), alone=by_itself),
            _CALIPER,
        )


def _own(tally: Tally, number: int, side: int) -> bool:
    return tally.key[0] == number if len(tally.key) == 1 else tally.key[side] == number


def _exchanged(pairings: Pairings, found: Grouped) -> Iterator[CannotTell]:
    """Groups in which a piece may have been exchanged for one that is nearly like it."""

    def events(draw: Pairing) -> Iterator[tuple[int]]:
        for i, j in draw.swapped:
            if found.of_before[i] == found.of_after[j]:
                yield (found.of_before[i],)

    for tally in tallied(pairings, events):
        chance = tally.at_least(1)
        if chance >= _WORTH_SAYING:
            group = found.groups[tally.key[0] - 1]
            yield CannotTell(
                (group.number,),
                chance,
                f"Of {counted(group, len(group.after))} one may have been exchanged for one nearly like it "
                f"({chance_words(chance)}): their sizes in the two photos agree poorly.",
                _CALIPER,
            )


def _unmeasured(found: Grouped, before: MeasuredPhoto, after: MeasuredPhoto) -> Iterator[CannotTell]:
    for group in found.groups:
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
