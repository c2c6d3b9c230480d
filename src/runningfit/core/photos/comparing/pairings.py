"""Which piece of one photo may be which of the other: pairings drawn by their probability."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import TYPE_CHECKING

import numpy as np

from runningfit.core.photos.comparing.likeness import Likeness, family, likeness

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from runningfit.core.photos.items import PhotoItem

    Grid = NDArray[np.float64]

# Of a bag that went away and came back; common practice, no source.
LOST, SWAPPED, ADDED = 0.03, 0.03, 0.02
_FEWEST_ADDED = 0.2
# Scales of two photos differ by about this share; now and then a print was fitted to its page.
_SCALE_SPREAD, _MISPRINT_SPREAD, _MISPRINTED = 0.003, 0.02, 0.1
_SCALE_STEPS = (0.0, 0.0015, 0.003, 0.0045, 0.006, 0.009, 0.012, 0.016, 0.02, 0.025, 0.03, 0.04, 0.05)
_LEAST_WEIGHT, _LEAST_PAIR = 0.02, 1e-5
_DRAWS, _SEED = 1500, 31
# Moves before the first draw and between draws: so many for each possible pair, within bounds.
_FIRST_MOVES, _MOST_FIRST_MOVES = 5, 10_000
_MOVES_BETWEEN, _LEAST_BETWEEN, _MOST_BETWEEN = 0.25, 100, 400


@dataclass(frozen=True, slots=True)
class Pairing:
    """One way in which the pieces of both photos may belong together.

    Parameters
    ----------
    same, swapped : tuple of tuple of int
        Pairs (before, after), counted from 0; a missing and an added piece of one kind are a swap too.
    missing, added : tuple of int
        Pieces without a partner.
    """

    same: tuple[tuple[int, int], ...]
    swapped: tuple[tuple[int, int], ...]
    missing: tuple[int, ...]
    added: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Pairings:
    """Ways in which the pieces may belong together, each as often as it is probable.

    Parameters
    ----------
    draws : tuple of Pairing
        The ways.
    scale_ratio : float
        Sizes of the second photo over those of the first, at its mean.
    scale_known : bool
        Whether pairs of pieces tell the ratio.
    """

    draws: tuple[Pairing, ...]
    scale_ratio: float
    scale_known: bool


@dataclass(frozen=True, slots=True)
class _Odds:
    """Odds of each pair against leaving both alone, the share of them that is a swap, whether of one kind."""

    pairs: Grid
    swaps: Grid
    of_one_kind: NDArray[np.bool_]


def draw_pairings(
    before: Sequence[PhotoItem], after: Sequence[PhotoItem], *, look_may_change: bool
) -> Pairings:
    """Draw ways in which the pieces of two photos may belong together.

    Parameters
    ----------
    before, after : sequence of PhotoItem
        The pieces of the first and the second photo.
    look_may_change : bool
        True leaves looks out.

    Returns
    -------
    Pairings
        The same for the same pieces: chance starts from one seed.

    Notes
    -----
    Each piece is lost with the probability `LOST`, and another of its kind comes in its place with that of
    `SWAPPED`; pieces are added as a Poisson process with `ADDED` for each that was there. Over the ratio of
    the scales is summed on a grid, each value weighed by its best pairing; within each, a Metropolis walk
    over pairings pairs, parts and exchanges partners.
    """
    if not before or not after:
        left = Pairing((), (), tuple(range(len(before))), tuple(range(len(after))))
        return Pairings((left,), 1.0, scale_known=False)
    scales = _scales(before, after, look_may_change=look_may_change)
    best = max(scales, key=lambda one: one[1])
    chance = _even(np.random.default_rng(_SEED))
    draws: list[Pairing] = []
    for ratio, weight in scales:
        odds = _odds(before, after, ratio, look_may_change=look_may_change)
        draws.extend(_walk(odds, chance, round(_DRAWS * weight)))
    known = any(one.sizes != type(one.sizes)() for one in before) and best[1] > 0
    return Pairings(tuple(draws), sum(ratio * weight for ratio, weight in scales), scale_known=known)


def _odds(
    before: Sequence[PhotoItem], after: Sequence[PhotoItem], ratio: float, *, look_may_change: bool
) -> _Odds:
    found: Likeness = likeness(before, after, scale_ratio=ratio, look_may_change=look_may_change)
    alone = LOST * max(ADDED * len(before), _FEWEST_ADDED)
    same, swapped = (1 - LOST - SWAPPED) * found.same, SWAPPED * found.swapped
    both = same + swapped
    kinds = [
        np.array(["" if one.could_not is not None else family(one.kind) for one in side])
        for side in (before, after)
    ]
    of_one_kind = (kinds[0][:, None] == kinds[1][None, :]) & (kinds[0] != "")[:, None]
    return _Odds(both / alone, swapped / both, of_one_kind)


def _scales(
    before: Sequence[PhotoItem], after: Sequence[PhotoItem], *, look_may_change: bool
) -> list[tuple[float, float]]:
    """Ratios of the scales with their weights, which come to 1."""
    steps = sorted({sign * step for step in _SCALE_STEPS for sign in (-1, 1)})
    scores = [_score(before, after, step, look_may_change=look_may_change) for step in steps]
    # Finer about the best, where many pieces tell the ratio more narrowly than the steps are wide.
    best = steps[int(np.argmax(scores))]
    finer = [best + share * 0.0003 for share in (-4, -3, -2, -1, 1, 2, 3, 4)]
    scores += [_score(before, after, step, look_may_change=look_may_change) for step in finer]
    steps += finer
    order = np.argsort(steps)
    at, score = np.array(steps)[order], np.array(scores)[order]
    weights = np.exp(score - score.max()) * np.gradient(at)
    weights /= weights.sum()
    weights[weights < _LEAST_WEIGHT] = 0
    weights /= weights.sum()
    return [(exp(step), float(weight)) for step, weight in zip(at, weights, strict=True) if weight > 0]


def _score(
    before: Sequence[PhotoItem], after: Sequence[PhotoItem], step: float, *, look_may_change: bool
) -> float:
    from scipy.optimize import linear_sum_assignment

    odds = _odds(before, after, exp(step), look_may_change=look_may_change)
    gains = np.maximum(np.log(odds.pairs), 0.0)
    rows, columns = linear_sum_assignment(gains, maximize=True)
    prior = sum(
        share / spread * exp(-((step / spread) ** 2) / 2)
        for share, spread in ((1 - _MISPRINTED, _SCALE_SPREAD), (_MISPRINTED, _MISPRINT_SPREAD))
    )
    return float(gains[rows, columns].sum()) + log(prior)


def _even(generator: np.random.Generator) -> Iterator[float]:
    """Numbers from 0 to below 1 without end."""
    while True:
        yield from generator.random(10_000).tolist()


def _walk(odds: _Odds, chance: Iterator[float], draws: int) -> Iterator[Pairing]:
    """Walk over pairings, each as often as it is probable."""
    walk = _Walk(odds, chance)
    for _ in range(min(_FIRST_MOVES * len(walk.pairs), _MOST_FIRST_MOVES)):
        walk.step()
    between = round(min(max(_MOVES_BETWEEN * len(walk.pairs), _LEAST_BETWEEN), _MOST_BETWEEN))
    for _ in range(draws):
        for _ in range(between if walk.pairs else 0):
            walk.step()
        yield walk.pairing()


class _Walk:
    """A pairing that moves by Metropolis steps; each proposes one possible pair, evenly."""

    def __init__(self, odds: _Odds, chance: Iterator[float]) -> None:
        from scipy.optimize import linear_sum_assignment

        self.odds = odds.pairs.tolist()
        self.swaps = odds.swaps.tolist()
        self.of_one_kind = odds.of_one_kind.tolist()
        self.pairs = [(int(i), int(j)) for i, j in np.argwhere(odds.pairs > _LEAST_PAIR)]
        self.possible = set(self.pairs)
        self.chance = chance
        self.after_of: list[int | None] = [None] * odds.pairs.shape[0]
        self.before_of: list[int | None] = [None] * odds.pairs.shape[1]
        gains = np.maximum(np.log(odds.pairs), 0.0)
        for i, j in zip(*linear_sum_assignment(gains, maximize=True), strict=True):
            if gains[i, j] > 0:
                self.after_of[i], self.before_of[j] = int(j), int(i)

    def step(self) -> None:
        i, j = self.pairs[int(next(self.chance) * len(self.pairs))]
        j_old, i_old = self.after_of[i], self.before_of[j]
        if j_old == j:
            if self._taken(1 / self.odds[i][j]):
                self.after_of[i] = self.before_of[j] = None
            return
        ratio = self.odds[i][j]
        if j_old is not None:
            ratio /= self.odds[i][j_old]
        if i_old is not None:
            ratio /= self.odds[i_old][j]
        crossed = i_old is not None and j_old is not None
        if crossed:
            if (i_old, j_old) not in self.possible:
                return
            ratio *= self.odds[i_old][j_old]
        if not self._taken(ratio):
            return
        if j_old is not None:
            self.before_of[j_old] = i_old if crossed else None
        if i_old is not None:
            self.after_of[i_old] = j_old if crossed else None
        self.after_of[i], self.before_of[j] = j, i

    def _taken(self, ratio: float) -> bool:
        return ratio >= 1 or next(self.chance) < ratio

    def pairing(self) -> Pairing:
        """The pairing as it stands, each pair drawn to be one piece or a swap."""
        same: list[tuple[int, int]] = []
        swapped: list[tuple[int, int]] = []
        for i, j in enumerate(self.after_of):
            if j is not None:
                (swapped if next(self.chance) < self.swaps[i][j] else same).append((i, j))
        missing = [i for i, j in enumerate(self.after_of) if j is None]
        added = [j for j, i in enumerate(self.before_of) if i is None]
        for i in tuple(missing):
            near = [j for j in added if self.of_one_kind[i][j]]
            if near:
                best = max(near, key=lambda j: self.odds[i][j])
                swapped.append((i, best))
                missing.remove(i)
                added.remove(best)
        return Pairing(tuple(same), tuple(swapped), tuple(missing), tuple(added))
