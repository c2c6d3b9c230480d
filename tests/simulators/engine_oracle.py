"""One who knows how the simulated engines are distributed, and reasons from the readings without error.

It draws engines from their distribution given what was read, by a Markov chain, and so knows with what
probability each step cleans up. It cannot look at the truth. All lengths are millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simulators.engine_costs import Costs, costs_of, cut_order
from simulators.engines import (
    OF_BORE,
    OF_ENGINE,
    Array,
    Engines,
    Flags,
    Habits,
    Plan,
    Seen,
    Surfaces,
    bends,
    centres,
    chosen_axis,
    diameters,
    formed,
    pits,
    step_needed,
    widest,
    with_pits,
)

_SLOPE = 1e-4
_KEEP = 0.93
_BURN_IN, _BETWEEN = 200, 20
_PITS_TRIED = 400


@dataclass(frozen=True)
class Known:
    """What the oracle may know of engines: which bores there are, which stood wet, and the gauges."""

    used: Flags
    wet: Flags
    own_u: Array
    shared_u: Array


@dataclass(frozen=True)
class Foreseen:
    """What the oracle foresees.

    costs: the expected cost of beginning with each step (engine, step). cleans: with what probability all
    bores of an engine clean up at each step. largest, smallest: draws of the ends of each bore's diameters
    (draw, engine, bore).
    """

    costs: Array
    cleans: Array
    largest: Array
    smallest: Array


def known_of(engines: Engines) -> Known:
    """What may be known of engines without looking at the truth."""
    return Known(engines.used, engines.wet, engines.own_u, engines.shared_u)


def foresee(
    habits: Habits, known: Known, seen: Seen, costs: Costs, stock: float, axis: str,
    chance: np.random.Generator, draws: int = 48, machinings: int = 4,
) -> Foreseen:  # fmt: skip
    """Foresee costs and probabilities from the readings alone."""
    count = len(known.used)
    chain = _Chain(habits, known, seen, chance)
    chain.walk(_BURN_IN)
    expected = np.zeros((count, len(costs.steps)))
    cleans = np.zeros_like(expected)
    largest, smallest = [], []
    order = cut_order(habits, seen, known.used)
    for _ in range(draws):
        chain.walk(_BETWEEN)
        surfaces = chain.surfaces()
        for _ in range(machinings):
            engines = _imagined(habits, known, seen, surfaces, chance)
            worn = chosen_axis(axis, count, chance)
            at = centres(habits, surfaces, engines.bent, worn, chance)
            needed = step_needed(habits, engines, at, stock, fine=False)
            expected += costs_of(costs, needed, known.used, order)
            most = np.where(known.used, needed, -np.inf).max(axis=1)
            cleans += most[:, None] <= np.array(costs.steps)
        low, high = widest(habits, _imagined(habits, known, seen, surfaces, chance), fine=False)
        smallest.append(low)
        largest.append(high)
    done = draws * machinings
    return Foreseen(expected / done, cleans / done, np.array(largest), np.array(smallest))


def _imagined(
    habits: Habits, known: Known, seen: Seen, surfaces: Surfaces, chance: np.random.Generator
) -> Engines:
    """Engines of drawn surfaces, with pits as the needle leaves them possible and a shaft bent at random."""
    numbers = known.used.sum(axis=1)
    nothing = np.zeros(known.used.shape)
    bare = Engines(
        surfaces, known.used, known.wet, nothing, nothing, nothing,
        bends(habits, chance, numbers, known.used.shape[1]), known.own_u, known.shared_u, nothing[:, 0],
    )  # fmt: skip
    return with_pits(bare, *_pits_given(habits, known, seen, chance))


def _pits_given(
    habits: Habits, known: Known, seen: Seen, chance: np.random.Generator
) -> tuple[Array, Array, Array]:
    """Pits drawn given what the needle read: candidates from their distribution, weighed by the reading."""
    read, shape = seen.pits, seen.pits.shape
    _, angle, along = pits(habits, chance, known.wet, (shape[0], shape[1]))
    there = (chance.random((*shape, _PITS_TRIED)) < habits.pitted) & known.wet[:, None, None]
    tried = np.where(
        there, habits.pit * np.exp(habits.pit_spread * chance.standard_normal((*shape, _PITS_TRIED))), 0.0
    )
    off = np.hypot(habits.pit_share * tried, habits.pit_end)
    shown = np.exp(-0.5 * ((read[..., None] - tried) / off) ** 2) / off
    unfelt = 0.5 * (1 + np.tanh(0.8 * (habits.pit_felt - tried) / off))
    weight = np.where(read[..., None] > 0, shown * (tried > 0), np.where(tried > 0, unfelt, 1.0)) + 1e-300
    summed = np.cumsum(weight, axis=-1)
    at = (summed < summed[..., -1:] * chance.random((*shape, 1))).sum(axis=-1)
    chosen = np.take_along_axis(tried, np.minimum(at, _PITS_TRIED - 1)[..., None], axis=-1)[..., 0]
    angle = np.where(np.isnan(seen.pit_angle), angle, seen.pit_angle)
    return chosen, angle, np.where(np.isnan(seen.pit_depth), along, seen.pit_depth)


class _Chain:
    """A Markov chain for each engine, over the standard normal numbers of which it is made.

    Steps keep the normal distribution that fits the readings best near their most probable engine, and are
    accepted so that the chain keeps the true one.
    """

    def __init__(self, habits: Habits, known: Known, seen: Seen, chance: np.random.Generator) -> None:
        self.habits, self.known, self.seen, self.chance = habits, known, seen, chance
        self.count, self.bores = known.used.shape
        self.u = np.hypot(known.own_u, habits.step / np.sqrt(12))
        self.plan: Plan = seen.plan
        self.weight = np.where(known.used, 1.0, 0.0)[..., None] / self.u[:, None, None]
        self.middle = self._most_probable()
        self.root = self._root(self.middle)
        self.back = np.linalg.cholesky(self.root)
        self.at = self.middle + self._noise()
        self.level = self._level(self.at)

    def surfaces(self) -> Surfaces:
        """The surfaces where the chains stand."""
        return formed(self.habits, *self._split(self.at))

    def walk(self, steps: int) -> None:
        """Let every chain take some steps, now and then an independent one."""
        for step in range(steps):
            keep = 0.0 if step % 5 == 4 else _KEEP
            tried = self.middle + keep * (self.at - self.middle) + np.sqrt(1 - keep**2) * self._noise()
            level = self._level(tried)
            taken = np.log(self.chance.random(self.count)) < level - self.level
            self.at = np.where(taken[:, None], tried, self.at)
            self.level = np.where(taken, level, self.level)

    def _noise(self) -> Array:
        normal = self.chance.standard_normal(self.at.shape if hasattr(self, "at") else self.middle.shape)
        return np.asarray(np.linalg.solve(self.back.swapaxes(1, 2), normal[..., None])[..., 0])

    def _split(self, at: Array) -> tuple[Array, Array]:
        return at[:, :OF_ENGINE], at[:, OF_ENGINE:].reshape(self.count, self.bores, OF_BORE)

    def _misses(self, at: Array) -> Array:
        """Readings less what an engine would show, in standard deviations of one reading."""
        engine, bore = self._split(at)
        shown = diameters(self.habits, formed(self.habits, engine, bore), self.plan)
        shown = shown + (self.known.shared_u * engine[:, 0])[:, None, None, None]
        missed = (self.seen.diameters - shown).reshape(self.count, self.bores, -1)
        return np.asarray(missed * self.weight)

    def _level(self, at: Array) -> Array:
        """Logarithm of the true density over that which the steps keep."""
        missed, away = self._misses(at), at - self.middle
        true = -0.5 * ((missed**2).sum(axis=(1, 2)) + (at**2).sum(axis=1))
        kept = -0.5 * np.einsum("ni,nij,nj->n", away, self.root, away)
        return np.asarray(true - kept)

    def _slopes(self, at: Array) -> tuple[Array, Array]:
        """Misses, and how they change with each number (engine, reading, number)."""
        here = self._misses(at)
        per = here.shape[2]
        slopes = np.zeros((self.count, self.bores, per, at.shape[1]))
        for number in range(OF_ENGINE):
            moved = at.copy()
            moved[:, number] += _SLOPE
            slopes[..., number] = (self._misses(moved) - here) / _SLOPE
        for number in range(OF_BORE):
            moved = at.copy()
            moved[:, OF_ENGINE + number :: OF_BORE] += _SLOPE
            change = (self._misses(moved) - here) / _SLOPE
            for bore in range(self.bores):
                slopes[:, bore, :, OF_ENGINE + bore * OF_BORE + number] = change[:, bore]
        shape = (self.count, self.bores * per)
        return here.reshape(shape), slopes.reshape(*shape, at.shape[1])

    def _root(self, at: Array) -> Array:
        slopes = self._slopes(at)[1]
        return np.asarray(np.eye(at.shape[1]) + slopes.swapaxes(1, 2) @ slopes)

    def _most_probable(self) -> Array:
        """Gauss-Newton steps, each halved until it helps."""
        at = np.zeros((self.count, OF_ENGINE + self.bores * OF_BORE))

        def depth(tried: Array) -> Array:
            return np.asarray((self._misses(tried) ** 2).sum(axis=(1, 2)) + (tried**2).sum(axis=1))

        best = depth(at)
        for _ in range(25):
            here, slopes = self._slopes(at)
            turned = slopes.swapaxes(1, 2)
            down = np.linalg.solve(
                np.eye(at.shape[1]) + turned @ slopes,
                -(turned @ here[..., None])[..., 0][..., None] - at[..., None],
            )[..., 0]
            share = np.ones(self.count)
            for _ in range(6):
                tried = at + share[:, None] * down
                found = depth(tried)
                better = found < best
                at = np.where(better[:, None], tried, at)
                best = np.where(better, found, best)
                share = np.where(better, 0.0, share / 2)
        return at
