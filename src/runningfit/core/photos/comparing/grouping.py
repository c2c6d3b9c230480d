"""Pieces of two photos put into groups that cannot be told apart, and what each group is called."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from runningfit.core.photos.comparing.answers import Group
from runningfit.core.photos.comparing.likeness import Likeness, family, likeness
from runningfit.core.photos.comparing.pairings import Pairings
from runningfit.core.photos.items import Estimate, PhotoItem, ThreadChance
from runningfit.core.pieces.kinds import Kind, label

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Two groups are one where this many of their pieces may well be pieces of the other, and both compete.
_SHARED_PIECES = 0.4
_NAMED_THREAD, _SURE_THREAD = 0.2, 0.9
_MOST_THREADS = 3
# Lengths of a group that lie apart by more than this many uncertainties are told as a range.
_WIDE = 3.0


@dataclass(frozen=True, slots=True)
class Grouped:
    """The groups, and the number of the group of each piece.

    Parameters
    ----------
    groups : tuple of Group
        In the order of their sizes.
    of_before, of_after : tuple of int
        For each piece of the first and the second photo, the number of its group.
    """

    groups: tuple[Group, ...]
    of_before: tuple[int, ...]
    of_after: tuple[int, ...]


def grouped(before: Sequence[PhotoItem], after: Sequence[PhotoItem], pairings: Pairings) -> Grouped:
    """Put the pieces of two photos into groups that cannot be told apart.

    Parameters
    ----------
    before, after : sequence of PhotoItem
        The pieces of the first and the second photo.
    pairings : Pairings
        The ways in which they may belong together.

    Returns
    -------
    Grouped
        Groups by average linkage of the likelihood that two pieces are of one make; groups between which
        pieces may have gone either way are one.
    """
    count = len(before)
    clusters = _rejoined(_clusters(before, after, pairings.scale_ratio), count, pairings)
    clusters.sort(key=lambda cluster: _order(cluster, before, after))
    groups = []
    places = [0] * (count + len(after))
    for number, cluster in enumerate(clusters, start=1):
        ours = [place for place in cluster if place < count]
        theirs = [place - count for place in cluster if place >= count]
        groups.append(_group(number, [before[at] for at in ours], [after[at] for at in theirs]))
        for place in cluster:
            places[place] = number
    return Grouped(tuple(groups), tuple(places[:count]), tuple(places[count:]))


def _clusters(before: Sequence[PhotoItem], after: Sequence[PhotoItem], ratio: float) -> list[list[int]]:
    """Join the two likeliest clusters until none is likelier to be of one make than of two."""
    items = [*before, *after]
    blocks = [
        [
            _one_make(likeness(first, second, scale_ratio=scale, one_make=True))
            for second, scale in zip((before, after), scales, strict=True)
        ]
        for first, scales in ((before, (1.0, ratio)), (after, (1 / ratio, 1.0)))
    ]
    gain: NDArray[np.float64] = np.block(blocks)
    unmeasured = np.array([one.could_not is not None for one in items], dtype=bool)
    gain[unmeasured, :] = gain[:, unmeasured] = -np.inf
    gain[np.ix_(unmeasured, unmeasured)] = 1.0
    np.fill_diagonal(gain, -np.inf)
    clusters: list[list[int]] = [[place] for place in range(len(items))]
    while len(clusters) > 1:
        first, second = sorted(int(at) for at in np.unravel_index(int(np.argmax(gain)), gain.shape))
        if gain[first, second] <= 0:
            break
        ours, theirs = len(clusters[first]), len(clusters[second])
        joined = (ours * gain[first] + theirs * gain[second]) / (ours + theirs)
        gain[first], gain[:, first] = joined, joined
        gain[first, first] = -np.inf
        gain = np.delete(np.delete(gain, second, axis=0), second, axis=1)
        clusters[first] += clusters.pop(second)
    return clusters


def _one_make(found: Likeness) -> NDArray[np.float64]:
    """Log odds that two pieces are of one make rather than of one kind, or of any."""
    odds: NDArray[np.float64] = np.log(found.same / (found.swapped + 1))
    return odds


def _rejoined(clusters: list[list[int]], count: int, pairings: Pairings) -> list[list[int]]:
    """Join clusters that compete for the same pieces of the other photo."""
    of = {place: at for at, cluster in enumerate(clusters) for place in cluster}
    flows = np.zeros((len(clusters), len(clusters)))
    for draw in pairings.draws:
        for i, j in draw.same:
            flows[of[i], of[count + j]] += 1 / len(pairings.draws)
    flows += flows.T
    leader = list(range(len(clusters)))

    def led(at: int) -> int:
        while leader[at] != at:
            at = leader[at]
        return at

    sides = [({place < count for place in cluster}) for cluster in clusters]
    for first in range(len(clusters)):
        for second in range(first):
            if flows[first, second] >= _SHARED_PIECES and sides[first] & sides[second]:
                leader[led(first)] = led(second)
    joined: dict[int, list[int]] = {}
    for at, cluster in enumerate(clusters):
        joined.setdefault(led(at), []).extend(cluster)
    return [sorted(cluster) for cluster in joined.values()]


def _order(
    cluster: Sequence[int], before: Sequence[PhotoItem], after: Sequence[PhotoItem]
) -> tuple[object, ...]:
    items = [*before, *after]
    first = items[cluster[0]]
    kinds = list(Kind)
    major, length = (
        0.0 if size is None else size.value_mm for size in (first.sizes.major, first.sizes.length)
    )
    return (first.could_not is not None, kinds.index(family(first.kind)), -major, -length, cluster[0])


def _group(number: int, before: Sequence[PhotoItem], after: Sequence[PhotoItem]) -> Group:
    items = [*before, *after]
    measured = all(one.could_not is None for one in items)
    kind = _likeliest([one.kind for one in items])
    threads = _threads(items)
    lengths = [one.sizes.length for one in items if one.sizes.length is not None]
    return Group(
        number,
        _name(kind, 1, _details(items, threads, lengths)) if measured else unmeasured(1),
        kind,
        threads,
        _together(lengths),
        tuple(one.number for one in before),
        tuple(one.number for one in after),
        measured,
    )


def counted(group: Group, count: int) -> str:
    """Write so many pieces of a group.

    Parameters
    ----------
    group : Group
        The group.
    count : int
        How many.

    Returns
    -------
    str
        `2 hex bolts 3/8-16 UNC, 25.4 mm`.
    """
    if not group.measured:
        return f"{count} {unmeasured(count)}"
    return label(group.kind, count) + group.name.removeprefix(label(group.kind, 1).removeprefix("1 "))


def unmeasured(count: int) -> str:
    """Say pieces that could not be measured.

    Parameters
    ----------
    count : int
        How many; it only decides the plural.
    """
    return f"piece{'' if count == 1 else 's'} that could not be measured"


def _name(kind: Kind, count: int, details: str) -> str:
    return f"{label(kind, count).removeprefix(f'{count} ')}{details}"


def _likeliest(kinds: Sequence[Kind]) -> Kind:
    return max(sorted(set(kinds)), key=kinds.count)


def _threads(items: Sequence[PhotoItem]) -> tuple[ThreadChance, ...]:
    told = [one.threads for one in items if one.threads]
    chances: dict[str, float] = {}
    for threads in told:
        for one in threads:
            chances[one.designation] = chances.get(one.designation, 0.0) + one.probability / len(told)
    ranked = sorted(chances.items(), key=lambda one: (-one[1], one[0]))[:_MOST_THREADS]
    return tuple(ThreadChance(name, chance) for name, chance in ranked)


def _together(sizes: Sequence[Estimate]) -> Estimate | None:
    if not sizes:
        return None
    weights = [1 / max(one.u_mm, 1e-3) ** 2 for one in sizes]
    mean = sum(one.value_mm * weight for one, weight in zip(sizes, weights, strict=True)) / sum(weights)
    scatter = sum((one.value_mm - mean) ** 2 for one in sizes) / len(sizes)
    return Estimate(mean, max(1 / sqrt(sum(weights)), sqrt(scatter / len(sizes))))


def _details(items: Sequence[PhotoItem], threads: Sequence[ThreadChance], lengths: Sequence[Estimate]) -> str:
    named = [one for one in threads if one.probability >= _NAMED_THREAD]
    thread = " or ".join(one.designation for one in named)
    if thread and sum(one.probability for one in named) < _SURE_THREAD:
        thread = f", probably {thread}"
    elif thread:
        thread = f" {thread}"
    parts = [size for size in (_span(lengths), *_others(items, bare=not lengths)) if size]
    return thread + "".join(f", {part}" for part in parts)


def _others(items: Sequence[PhotoItem], *, bare: bool) -> Iterable[str]:
    """Sizes that tell a piece without a length: a washer by its outside, a nut by its flats."""
    if not bare:
        return
    for name, words in (("outside", "outside"), ("inside", "inside"), ("head_across_flats", "across flats")):
        span = _span([size for one in items if (size := getattr(one.sizes, name)) is not None])
        if span:
            yield f"{span} {words}"


def _span(sizes: Sequence[Estimate]) -> str:
    if not sizes:
        return ""
    low, high = min(one.value_mm for one in sizes), max(one.value_mm for one in sizes)
    if high - low > _WIDE * max(one.u_mm for one in sizes) and f"{low:.1f}" != f"{high:.1f}":
        return f"{low:.1f} to {high:.1f} mm"
    together = _together(sizes)
    return "" if together is None else f"{together.value_mm:.1f} mm"
