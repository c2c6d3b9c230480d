"""What changed in the groups, counted over the pairings drawn: how many of each went, and how many came."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

from runningfit.core.photos.comparing.grouping import Grouped
from runningfit.core.photos.comparing.likeness import family
from runningfit.core.photos.comparing.pairings import Pairing, Pairings

_MORE_LIKELY = 0.5


@dataclass(frozen=True, slots=True)
class Change:
    """What changed by one pairing.

    Parameters
    ----------
    gone, came : Counter
        How many pieces of each group went, and how many came, swapped ones among them.
    swaps : Counter
        How many pieces of the first group went while one of the second came in place.
    within : Counter
        How many pieces of each group were exchanged for one that cannot be told from them.
    """

    gone: Counter[int]
    came: Counter[int]
    swaps: Counter[tuple[int, int]]
    within: Counter[int]


@dataclass(frozen=True)
class Changes:
    """What changed by each pairing drawn, and which groups are of one kind."""

    draws: tuple[Change, ...]
    of_one_kind: frozenset[tuple[int, int]]

    @classmethod
    def of(cls, pairings: Pairings, found: Grouped) -> Changes:
        """Count the changes of each pairing by groups.

        Parameters
        ----------
        pairings : Pairings
            The pairings.
        found : Grouped
            The groups.
        """
        of_one_kind = {
            (gone.number, came.number)
            for gone in found.groups
            for came in found.groups
            if gone.measured and came.measured and family(gone.kind) is family(came.kind)
        }
        return cls(tuple(_change(draw, found) for draw in pairings.draws), frozenset(of_one_kind))

    def gone_at_least(self, group: int, count: int) -> float:
        """The probability that so many or more of a group went."""
        return self._share(sum(draw.gone[group] >= count for draw in self.draws))

    def came_at_least(self, group: int, count: int) -> float:
        """The probability that so many or more of a group came."""
        return self._share(sum(draw.came[group] >= count for draw in self.draws))

    def within_at_least_one(self, group: int) -> float:
        """The probability that a piece of a group was exchanged for one nearly like it."""
        return self._share(sum(draw.within[group] > 0 for draw in self.draws))

    def went_and_came(self, gone: int, came: int, count: int) -> float:
        """The probability that so many or more of one group went and as many of another came."""
        return self._share(sum(draw.gone[gone] >= count <= draw.came[came] for draw in self.draws))

    @cached_property
    def swaps(self) -> Counter[tuple[int, int]]:
        """How often pieces of one group came in place of those of another, over all draws."""
        return sum((draw.swaps for draw in self.draws), Counter())

    @cached_property
    def likely_gone(self) -> Counter[int]:
        """For each group the largest count that more likely than not went."""
        groups = {group for draw in self.draws for group in draw.gone}
        return Counter({group: _largest(partial(self.gone_at_least, group)) for group in groups})

    @cached_property
    def likely_came(self) -> Counter[int]:
        """For each group the largest count that more likely than not came."""
        groups = {group for draw in self.draws for group in draw.came}
        return Counter({group: _largest(partial(self.came_at_least, group)) for group in groups})

    @cached_property
    def likely_swaps(self) -> Counter[tuple[int, int]]:
        """Which groups that went and came are likeliest a swap, those that came together most often first."""
        gone, came = Counter(self.likely_gone), Counter(self.likely_came)
        found: Counter[tuple[int, int]] = Counter()
        for (first, second), _ in sorted(self.swaps.items(), key=lambda one: (-one[1], one[0])):
            count = min(gone[first], came[second]) if (first, second) in self.of_one_kind else 0
            if count and self.went_and_came(first, second, count) >= _MORE_LIKELY:
                found[first, second] = count
                gone[first] -= count
                came[second] -= count
        return found

    def _share(self, times: int) -> float:
        return times / len(self.draws)


def _largest(chance: Callable[[int], float]) -> int:
    count = 0
    while chance(count + 1) >= _MORE_LIKELY:
        count += 1
    return count


def _change(draw: Pairing, found: Grouped) -> Change:
    gone = Counter(found.of_before[i] for i in draw.missing)
    came = Counter(found.of_after[j] for j in draw.added)
    swaps: Counter[tuple[int, int]] = Counter()
    within: Counter[int] = Counter()
    for i, j in draw.swapped:
        first, second = found.of_before[i], found.of_after[j]
        if first == second:
            within[first] += 1
        else:
            swaps[first, second] += 1
            gone[first] += 1
            came[second] += 1
    return Change(gone, came, swaps, within)
