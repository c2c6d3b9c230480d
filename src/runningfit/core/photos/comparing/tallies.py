"""How often an event came among the pairings drawn: so many of a group missing, added, or swapped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from runningfit.core.photos.comparing.grouping import Grouped
from runningfit.core.photos.comparing.pairings import Pairing, Pairings

_MORE_LIKELY = 0.5


@dataclass(frozen=True, slots=True)
class Tally:
    """How often each count of one event came.

    Parameters
    ----------
    key : tuple of int
        The numbers of the groups that the event is about.
    counts : Counter
        For each count how many draws had it.
    draws : int
        How many draws there were.
    """

    key: tuple[int, ...]
    counts: Counter[int]
    draws: int

    def at_least(self, count: int) -> float:
        """The probability of so many or more."""
        return sum(times for seen, times in self.counts.items() if seen >= count) / self.draws

    @property
    def likely(self) -> int:
        """The largest count that is more likely than not reached."""
        count = 0
        while self.at_least(count + 1) >= _MORE_LIKELY:
            count += 1
        return count


def tallied(pairings: Pairings, events: Callable[[Pairing], Iterable[tuple[int, ...]]]) -> tuple[Tally, ...]:
    """Count events over all pairings drawn.

    Parameters
    ----------
    pairings : Pairings
        The pairings.
    events : callable
        Gives the events of one pairing, each by the numbers of its groups.

    Returns
    -------
    tuple of Tally
        One for each event that came at all, in the order of the groups.
    """
    counts: dict[tuple[int, ...], Counter[int]] = {}
    for draw in pairings.draws:
        for key, count in Counter(events(draw)).items():
            counts.setdefault(key, Counter())[count] += 1
    return tuple(Tally(key, counts[key], len(pairings.draws)) for key in sorted(counts))


def swapped_between(draw: Pairing, found: Grouped) -> Iterator[tuple[int, int]]:
    """Give the swaps of a pairing between groups: the group that went, and the one that came.

    Parameters
    ----------
    draw : Pairing
        The pairing.
    found : Grouped
        The groups.
    """
    for i, j in draw.swapped:
        if found.of_before[i] != found.of_after[j]:
            yield found.of_before[i], found.of_after[j]
