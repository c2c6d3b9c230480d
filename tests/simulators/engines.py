"""Engines as they come in: bores and journals worn, pitted, read with one gauge, and machined true again.

Nothing here comes from the computation that this is held against. Surfaces are radii over angle and depth;
whether a cut cleans up is looked at point by point on them. All lengths are millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
# Standard normal numbers of which an engine is made: its own, and those of each of its bores or journals.
OF_ENGINE, OF_BORE = 7, 13


@dataclass(frozen=True)
class Habits:
    """How the engines of a shop lie. Every figure is common practice, no source, for the reason beside it."""

    # A middling motor: four to six bores, 85 mm wide, rings running over 90 mm of them.
    nominal: float = 85.0
    fewest: int = 4
    most: int = 6
    length: float = 100.0
    # +1: wear makes a bore larger; -1: a journal smaller.
    sign: int = 1
    # A maker works within 25 µm, and one machine's setting shows in all bores of a block.
    made_low: float = 0.0
    made_high: float = 0.025
    made_own: float = 0.004
    # Radial loss at the worst place: 50 µm in the middle, from a good engine's 15 to a worn-out one's 150;
    # bores of one engine are alike, but for a dry one.
    worn: float = 0.05
    worn_spread: float = 0.55
    worn_own: float = 0.3
    # The other thrust side loses some share of what the major one loses, and the sides across less still.
    minor: float = 0.55
    minor_spread: float = 0.8
    across: float = 0.25
    across_spread: float = 0.5
    # Wear dies away below the top ring's reversal, to a rest at the bottom; a ridge stays above it.
    top: float = 10.0
    top_spread: float = 1.0
    ridge: float = 1.0
    decay: float = 28.0
    decay_spread: float = 0.35
    floor: float = 0.12
    floor_spread: float = 0.5
    # The thrust side lies across the crankshaft, give or take what rods and pins do.
    thrust_deg: float = 90.0
    thrust_spread_deg: float = 8.0
    # Castings move and chucks press, and four bolts pull around each bore: radial half-heights of two to five
    # lobes, and of a barrel.
    two_lobes: float = 0.004
    three_lobes: float = 0.003
    four_lobes: float = 0.0015
    five_lobes: float = 0.0015
    barrel: float = 0.003
    # One engine in three stood wet; then two bores in three are pitted, some tenths of a millimetre at worst.
    wet: float = 0.33
    pitted: float = 0.67
    pit: float = 0.06
    pit_spread: float = 0.7
    # A pit is read by a needle: by its share and its end; what is shallower than this nobody feels.
    pit_share: float = 0.1
    pit_end: float = 0.008
    pit_felt: float = 0.015
    # Every second operator notes where the pit lies.
    place_told: float = 0.5
    # A bar finds the original axis from deck and main line, or the worn one from the bore near its top.
    centring: float = 0.012
    worn_centre_depth: float = 20.0
    # A bent crankshaft: how far its middle journal stands off the line of the outer ones.
    bend: float = 0.0
    # What a dial errs by in each direction, when the shaft is turned between centres.
    dial: float = 0.004
    # Gauges: a good and a plain bore gauge, and what its setting ring errs by; the shop knows which it holds.
    gauges: tuple[tuple[float, float], ...] = ((0.002, 0.0015), (0.003, 0.003), (0.005, 0.004))
    step: float = 0.001


BORES = Habits()
# Journals are ground truer, wear on the loaded side and evenly along, seldom rust, and bend with the crank.
JOURNALS = Habits(
    nominal=50.0, length=30.0, sign=-1, made_low=-0.013, made_high=0.0, made_own=0.003, worn=0.02,
    worn_spread=0.7, minor=0.3, across=0.3, top=0.0, top_spread=0.01, decay=60.0, floor=0.5,
    two_lobes=0.0015, three_lobes=0.001, four_lobes=0.0007, five_lobes=0.0007, barrel=0.002, wet=0.1,
    pit=0.03, bend=0.04, gauges=((0.0015, 0.001), (0.003, 0.002)),
)  # fmt: skip


@dataclass(frozen=True)
class Plan:
    """Where the operator reads: depths, just below the ridge first, and angles across."""

    depths: tuple[float, ...] = (13.0, 50.0, 92.0)
    angles_deg: tuple[float, ...] = (0.0, 90.0)


@dataclass(frozen=True)
class Surfaces:
    """Radial surfaces: rows are engines, columns their bores or journals; lobes end in cosine and sine."""

    size: Array
    peak: Array
    minor: Array
    across: Array
    thrust: Array
    decay: Array
    floor: Array
    top: Array
    two: Array
    three: Array
    four: Array
    five: Array
    barrel: Array

    def some(self, rows: slice | NDArray[np.intp]) -> Surfaces:
        """Only these engines."""
        return Surfaces(**{one.name: getattr(self, one.name)[rows] for one in fields(self)})


@dataclass(frozen=True)
class Engines:
    """Engines as they truly are, and what the shop holds to measure them."""

    surfaces: Surfaces
    used: Flags
    wet: Flags
    pit: Array
    pit_angle: Array
    pit_depth: Array
    bent: Array
    own_u: Array
    shared_u: Array
    setting: Array


@dataclass(frozen=True)
class Seen:
    """What the operator wrote down.

    Diameters (engine, bore, depth, angle); the depth of pits, nothing where none was felt; and where they
    lie, no number where that was not written down.
    """

    plan: Plan
    diameters: Array
    pits: Array
    pit_angle: Array
    pit_depth: Array


def _share(middle: float, spread: float, normal: Array) -> Array:
    """A share between nothing and all, logistic-normal."""
    odds = middle / (1 - middle) * np.exp(spread * normal)
    return np.asarray(odds / (1 + odds))


def _even(normal: Array) -> Array:
    """An even number from 0 to 1 out of a normal one (a logistic near the normal integral, to 0.01)."""
    return np.asarray(1 / (1 + np.exp(-1.702 * normal)))


def formed(habits: Habits, engine: Array, bore: Array) -> Surfaces:
    """Make surfaces of standard normal numbers: (engines, OF_ENGINE) and (engines, bores, OF_BORE).

    The first number of an engine is its gauge's setting error and changes no surface.
    """
    e = engine[:, None, :]
    made = habits.made_low + (habits.made_high - habits.made_low) * _even(e[..., 1])
    loose = np.ones(bore.shape[:2])
    return Surfaces(
        size=habits.nominal + made + habits.made_own * bore[..., 0],
        peak=habits.worn * np.exp(habits.worn_spread * e[..., 2] + habits.worn_own * bore[..., 1]),
        minor=_share(habits.minor, habits.minor_spread, 0.8 * e[..., 3] + 0.6 * bore[..., 2]),
        across=_share(habits.across, habits.across_spread, e[..., 4]) * loose,
        thrust=np.radians(habits.thrust_deg + habits.thrust_spread_deg * bore[..., 3]),
        decay=habits.decay * np.exp(habits.decay_spread * e[..., 5]) * loose,
        floor=_share(habits.floor, habits.floor_spread, e[..., 6]) * loose,
        top=habits.top + habits.top_spread * bore[..., 4],
        two=habits.two_lobes / np.sqrt(2) * bore[..., 5:7],
        three=habits.three_lobes / np.sqrt(2) * bore[..., 7:9],
        four=habits.four_lobes / np.sqrt(2) * bore[..., 11:13],
        five=habits.five_lobes * np.stack([np.sin(bore[..., 9]), np.cos(bore[..., 9])], axis=-1),
        barrel=habits.barrel * bore[..., 10],
    )


def lost(habits: Habits, s: Surfaces, angle: Array, depth: Array) -> Array:
    """How far the surface lies beyond the original radius, where metal is gone; angle and depth broadcast."""

    def of(one: Array) -> Array:
        return one.reshape(one.shape + (1,) * max(angle.ndim - 2, 0))

    def lobes(pair: Array, count: int) -> Array:
        return of(pair[..., 0]) * np.cos(count * angle) + of(pair[..., 1]) * np.sin(count * angle)

    lean = np.cos(angle - of(s.thrust))
    side = np.where(lean > 0, 1.0, of(s.minor)) - of(s.across)
    around = of(s.across) + side * lean * lean
    below = depth - of(s.top)
    fade = of(s.floor) + (1 - of(s.floor)) * np.exp(-np.maximum(below, 0) / of(s.decay))
    fade = fade * np.where(below < 0, np.exp(-((below / habits.ridge) ** 2)), 1.0)
    bulge = of(s.barrel) * (1 - (2 * depth / habits.length - 1) ** 2)
    return np.asarray(
        of(s.peak) * fade * around
        + lobes(s.two, 2)
        + lobes(s.three, 3)
        + lobes(s.four, 4)
        + lobes(s.five, 5)
        + bulge
    )


def drawn(habits: Habits, chance: np.random.Generator, count: int) -> Engines:
    """Draw engines."""
    bores = habits.most
    engine = chance.standard_normal((count, OF_ENGINE))
    surfaces = formed(habits, engine, chance.standard_normal((count, bores, OF_BORE)))
    numbers = chance.integers(habits.fewest, habits.most + 1, count)
    used = np.arange(bores)[None, :] < numbers[:, None]
    wet = chance.random(count) < habits.wet
    gauges = np.array(habits.gauges)[chance.integers(0, len(habits.gauges), count)]
    pit, angle, depth = pits(habits, chance, wet, (count, bores))
    return Engines(
        surfaces, used, wet, pit, angle, depth, bends(habits, chance, numbers, bores), gauges[:, 0],
        gauges[:, 1], gauges[:, 1] * engine[:, 0],
    )  # fmt: skip


def pits(
    habits: Habits, chance: np.random.Generator, wet: Flags, shape: tuple[int, int]
) -> tuple[Array, Array, Array]:
    """The deepest pit of each bore (nothing where there is none), and where it lies."""
    there = (chance.random(shape) < habits.pitted) & wet[:, None]
    deep = habits.pit * np.exp(habits.pit_spread * chance.standard_normal(shape))
    return (
        np.where(there, deep, 0.0),
        chance.uniform(0, 2 * np.pi, shape),
        chance.uniform(habits.top, habits.length, shape),
    )


def bends(habits: Habits, chance: np.random.Generator, numbers: NDArray[np.int_], bores: int) -> Array:
    """How far each journal stands off the machine's axis as the shaft is bent (engine, journal, x and y)."""
    along = np.sin(np.pi * np.arange(bores)[None, :] / np.maximum(numbers[:, None] - 1, 1))
    return habits.bend * chance.standard_normal((len(numbers), 1, 2)) * along[..., None]


def diameters(habits: Habits, s: Surfaces, plan: Plan) -> Array:
    """The true two-point diameters at the places of a plan (engine, bore, depth, angle)."""
    angle = np.radians(np.array(plan.angles_deg))[None, None, None, :]
    depth = np.array(plan.depths)[None, None, :, None]
    both = lost(habits, s, angle, depth) + lost(habits, s, angle + np.pi, depth)
    return np.asarray(s.size[..., None, None] + habits.sign * both)


def read(habits: Habits, engines: Engines, plan: Plan, chance: np.random.Generator) -> Seen:
    """Read the places of a plan with the shop's gauge, whose setting is off by the same everywhere."""
    true = diameters(habits, engines.surfaces, plan)
    noise = engines.own_u[:, None, None, None] * chance.standard_normal(true.shape)
    shown = true + engines.setting[:, None, None, None] + noise
    felt = needled(habits, engines.pit, chance)
    told = (felt > 0) & (chance.random((len(felt), 1)) < habits.place_told)
    angle, depth = (np.where(told, one, np.nan) for one in (engines.pit_angle, engines.pit_depth))
    return Seen(plan, np.round(shown / habits.step) * habits.step, felt, angle, depth)


def needled(habits: Habits, pit: Array, chance: np.random.Generator) -> Array:
    """What a needle reads of pits, nothing where they are not felt."""
    share = np.exp(habits.pit_share * chance.standard_normal(pit.shape))
    shown = pit * share + habits.pit_end * chance.standard_normal(pit.shape)
    return np.where((pit > 0) & (shown > habits.pit_felt), np.round(shown, 2), 0.0)


def widest(
    habits: Habits, engines: Engines, between: tuple[float, float] | None = None, *, fine: bool = True
) -> tuple[Array, Array]:
    """The least and the largest two-point diameter: between two depths, or anywhere below the ridge."""
    turned = np.radians(np.arange(0, 180, 3.0 if fine else 10.0))[None, None, None, :]
    least, most = [], []
    for rows in _chunks(len(engines.used)):
        s = engines.surfaces.some(rows)
        along = _depths(habits, s, fine=fine)
        if between is not None:
            along = np.linspace(*between, 25 if fine else 4)[None, None, :, None]
        both = lost(habits, s, turned, along) + lost(habits, s, turned + np.pi, along)
        across = s.size[..., None, None] + habits.sign * both
        least.append(across.min(axis=(2, 3)))
        most.append(across.max(axis=(2, 3)))
    return np.concatenate(least), np.concatenate(most)


def centres(habits: Habits, s: Surfaces, bent: Array, worn: Flags, chance: np.random.Generator) -> Array:
    """Where the machine's axis lies in each bore, from the original one (engine, bore, x and y)."""
    turned = np.radians(np.arange(0, 360, 10.0))[None, None, :]
    there = lost(habits, s, turned, np.full((1, 1, 1), habits.worn_centre_depth))
    middle = 2 * np.stack([(there * np.cos(turned)).mean(axis=2), (there * np.sin(turned)).mean(axis=2)], -1)
    scatter = habits.centring * chance.standard_normal((*s.size.shape, 2))
    return np.asarray(np.where(worn[:, None, None], middle, -bent) + scatter)


def sidedness(habits: Habits, chance: np.random.Generator, count: int = 3000) -> tuple[float, float, float]:
    """What a shop finds that reads offsets: how much more one side was worn, as a share of the wear.

    The mean over engines worn so far that they are machined for it, the standard deviation, and the
    correlation of two bores of one engine. A bore is worn so far more often where both of its sides are, so
    that these are less one-sided than others.
    """
    s = drawn(habits, chance, count).surfaces
    depth = np.full((1, 1), habits.top + 2.0)
    one, other = (lost(habits, s, s.thrust + turn, depth) for turn in (0.0, np.pi))
    worn = (one + other > 2 * habits.worn).all(axis=1)
    share = np.clip((one - other) / (one + other), 0.0, 1.0)[worn]
    off = share - share.mean()
    pairs = (off.sum(axis=1) ** 2 - (off**2).sum(axis=1)).mean() / (off.shape[1] * (off.shape[1] - 1))
    return float(share.mean()), float(share.std()), float(np.clip(pairs / share.var(), 0.0, 1.0))


def run_out(habits: Habits, engines: Engines, chance: np.random.Generator) -> tuple[Array, Array]:
    """What a dial shows of each journal about the grinder's axis: half of its travel, and the low side."""
    turned = np.radians(np.arange(0, 360, 10.0))[None, None, :]
    there = lost(habits, engines.surfaces, turned, np.full((1, 1, 1), habits.length / 2))
    middle = 2 * np.stack([(there * np.cos(turned)).mean(axis=2), (there * np.sin(turned)).mean(axis=2)], -1)
    shown = middle + engines.bent + habits.dial * chance.standard_normal((*middle.shape[:2], 2))
    return np.hypot(shown[..., 0], shown[..., 1]), np.arctan2(shown[..., 1], shown[..., 0])


def chosen_axis(axis: str, count: int, chance: np.random.Generator) -> Flags:
    """Which engines are set up on the worn axis: all, none, or as a shop happens to do that nobody asked."""
    if axis == "unknown":
        return chance.random(count) < 0.5
    return np.full(count, axis == "worn")


def step_needed(habits: Habits, engines: Engines, centre: Array, stock: float, *, fine: bool = True) -> Array:
    """The oversize (undersize) on diameter from which each bore cleans up and leaves the stock for honing."""
    turned = np.radians(np.arange(0, 360, 2.0 if fine else 6.0))[None, None, None, :]
    found = []
    for rows in _chunks(len(engines.used)):
        s, c = engines.surfaces.some(rows), centre[rows][:, :, None, None, :]
        along = _depths(habits, s, fine=fine)
        away = lost(habits, s, turned, along) - c[..., 0] * np.cos(turned) - c[..., 1] * np.sin(turned)
        angle, depth, deep = engines.pit_angle[rows], engines.pit_depth[rows], engines.pit[rows]
        at_pit = lost(habits, s, angle, depth) + deep
        at_pit = at_pit - centre[rows][..., 0] * np.cos(angle) - centre[rows][..., 1] * np.sin(angle)
        worst = np.maximum(away.max(axis=(2, 3)), np.where(deep > 0, at_pit, -np.inf))
        found.append(habits.sign * (s.size - habits.nominal) + 2 * worst + stock)
    return np.concatenate(found)


def _depths(habits: Habits, s: Surfaces, *, fine: bool) -> Array:
    """Depths from where each bore is worn most to its end: (engine, bore, depth, 1)."""
    share = np.array(
        (0, 0.01, 0.02, 0.04, 0.07, 0.1, 0.15, *np.linspace(0.2, 1, 14)) if fine else (0, 0.3, 1)
    )
    top = s.top[..., None, None]
    return np.asarray(top + (habits.length - top) * share[:, None])


def _chunks(count: int, size: int = 64) -> list[slice]:
    return [slice(start, start + size) for start in range(0, count, size)]


def with_pits(engines: Engines, pit: Array, angle: Array, depth: Array) -> Engines:
    """The same engines with other pits."""
    return replace(engines, pit=pit, pit_angle=angle, pit_depth=depth)


def straightened(engines: Engines) -> Engines:
    """The same engines with straight shafts."""
    return replace(engines, bent=np.zeros_like(engines.bent))
