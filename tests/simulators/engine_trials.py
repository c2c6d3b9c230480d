"""Simulated engines judged by the computation, and how often what it promised came true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.choosing import Choice, choose_step
from runningfit.core.treatments.machining.clean_up import clean_up
from runningfit.core.treatments.machining.cutting import Axis, Cutting, OneSided
from runningfit.core.treatments.machining.judging import WearLimits, judge_wear
from runningfit.core.treatments.machining.prices import Prices, StepPrice
from runningfit.core.treatments.machining.readings import (
    BoreReadings,
    JournalReadings,
    Offset,
    Pit,
    Readings,
)
from simulators.engine_costs import Costs, costs_of, cut_order
from simulators.engines import (
    Array,
    Engines,
    Habits,
    Seen,
    centres,
    chosen_axis,
    run_out,
    sidedness,
    step_needed,
    widest,
)

HONE = 0.05

# Wear limits as makers print them, beyond the nominal size; an engine is judged against each of them.
BORE_LIMITS = (0.05, 0.075, 0.1, 0.125, 0.15, 0.2, 0.25)
JOURNAL_LIMITS = (0.01, 0.02, 0.03, 0.04, 0.05, 0.075)


@dataclass
class Reliability:
    """What was said with which probability, what came true, and to which engine it belongs."""

    said: list[float] = field(default_factory=list)
    true: list[bool] = field(default_factory=list)
    engine: list[int] = field(default_factory=list)

    def add(self, said: float, true: bool, engine: int) -> None:
        """Add one."""
        self.said.append(said)
        self.true.append(true)
        self.engine.append(engine)

    def join(self, other: Reliability, first_engine: int) -> None:
        """Add all of another, whose engines count from some number on."""
        self.said.extend(other.said)
        self.true.extend(other.true)
        self.engine.extend(first_engine + one for one in other.engine)

    def deciles(self) -> list[tuple[int, float, float, float]]:
        """For each decile how many there are, the mean said, the share true, and its standard error.

        What belongs to one engine is not independent: the errors of its bores are added before they are
        squared.
        """
        said, true, engine = np.array(self.said), np.array(self.true, dtype=float), np.array(self.engine)
        found = []
        for decile in range(10):
            here = np.minimum((10 * said).astype(int), 9) == decile
            count = int(here.sum())
            if not count:
                found.append((0, 0.0, 0.0, 0.0))
                continue
            off = np.bincount(engine[here], true[here] - said[here])
            chance = (said[here] * (1 - said[here])).sum()
            error = float(np.sqrt(max((off**2).sum(), chance))) / count
            found.append((count, float(said[here].mean()), float(true[here].mean()), error))
        return found

    def told(self) -> str:
        """A table to read."""
        return "\n".join(
            f"  {decile}  {count:6d}  said {100 * said:5.1f}  true {100 * true:5.1f}  off "
            f"{100 * (true - said):+5.1f} ± {100 * error:.1f}"
            for decile, (count, said, true, error) in enumerate(self.deciles())
        )


def readings_of(
    habits: Habits, engines: Engines, seen: Seen, row: int, run_out: tuple[Array, Array] | None = None
) -> list[Readings]:
    """The readings of an engine as the computation takes them, with what a dial showed if one did."""
    found: list[Readings] = []
    kind = BoreReadings if habits.sign > 0 else JournalReadings
    for bore in map(int, np.flatnonzero(engines.used[row])):
        points = tuple(
            Diameter(depth, angle, float(seen.diameters[row, bore, i, j]))
            for i, depth in enumerate(seen.plan.depths)
            for j, angle in enumerate(seen.plan.angles_deg)
        )
        pits = (_pit(habits, seen, row, bore),) if seen.pits[row, bore] else ()
        own = float(np.hypot(engines.own_u[row], habits.step / np.sqrt(12)))
        offset = None
        if run_out is not None:
            far, towards = (float(one[row, bore]) for one in run_out)
            offset = Offset(far, habits.dial, float(np.degrees(towards)))
        found.append(kind(str(bore + 1), points, own, float(engines.shared_u[row]), pits, offset))
    return found


def _pit(habits: Habits, seen: Seen, row: int, bore: int) -> Pit:
    deep = float(seen.pits[row, bore])
    u = float(np.hypot(habits.pit_share * deep, habits.pit_end))
    if np.isnan(seen.pit_angle[row, bore]):
        return Pit(deep, u)
    return Pit(deep, u, float(seen.pit_depth[row, bore]), float(np.degrees(seen.pit_angle[row, bore])))


@dataclass
class Judge:
    """Judges engines against limits: each bore by itself, and all bores of each engine together."""

    habits: Habits
    engines: Engines
    limits: Sequence[float]
    least: Array
    most: Array
    each: Reliability = field(default_factory=Reliability)
    together: Reliability = field(default_factory=Reliability)

    @classmethod
    def of(
        cls,
        habits: Habits,
        engines: Engines,
        seen: Seen,
        limits: Sequence[float],
        *,
        everywhere: bool = False,
    ) -> Judge:
        """Look at the true surfaces: between the depths that are read, or everywhere."""
        between = None if everywhere else (min(seen.plan.depths), max(seen.plan.depths))
        return cls(habits, engines, limits, *widest(habits, engines, between))

    def judge(self, readings: Sequence[Readings], row: int) -> None:
        """Judge one engine against every limit, and note what is true."""
        made, sign = self.habits.nominal, self.habits.sign
        for worn in self.limits:
            low, high = sorted((made - sign * 0.015, made + sign * worn))
            said = judge_wear(readings, WearLimits(Bounds(low, high)))
            true = (self.least[row] >= low) & (self.most[row] <= high)
            for one in said.each:
                self.each.add(one.probability_within, bool(true[int(one.name) - 1]), row)
            self.together.add(said.probability_within, bool(true[self.engines.used[row]].all()), row)


def judged(
    habits: Habits, engines: Engines, seen: Seen, limits: Sequence[float], *, everywhere: bool = False
) -> tuple[Reliability, Reliability]:
    """Judge engines against limits: each bore by itself, and all bores of each engine together."""
    judge = Judge.of(habits, engines, seen, limits, everywhere=everywhere)
    for row in range(len(engines.used)):
        judge.judge(readings_of(habits, engines, seen, row), row)
    return judge.each, judge.together


@dataclass
class Machined:
    """How the steps did: those of each bore, of each engine, and those recommended; and what it all cost.

    promised, kept: the probability of the step chosen by cost, and whether it cleaned up. sure: the same for
    the smallest step that was sure enough, where there was one. costs: what each engine came to by the choice
    of the computation, and what beginning with each step would have cost.
    """

    each: Reliability = field(default_factory=Reliability)
    together: Reliability = field(default_factory=Reliability)
    promised: list[float] = field(default_factory=list)
    kept: list[bool] = field(default_factory=list)
    sure_promised: list[float] = field(default_factory=list)
    sure_kept: list[bool] = field(default_factory=list)
    chosen: list[int] = field(default_factory=list)
    costs: Array = field(default_factory=lambda: np.empty((0, 0)))

    @property
    def paid(self) -> Array:
        """What each engine came to."""
        return np.asarray(self.costs[np.arange(len(self.chosen)), self.chosen])


def prices_of(costs: Costs) -> Prices:
    """The prices as the computation takes them."""
    steps = tuple(StepPrice(one, costs.piston, costs.machining, costs.returned) for one in costs.steps)
    return Prices(steps, costs.liner, costs.set_up, step_kept=costs.step_used)


def one_sided_of(habits: Habits) -> OneSided:
    """What a shop that reads offsets has found in engines before these."""
    usual, spread, alike = sidedness(habits, np.random.default_rng(9))
    return OneSided(usual=usual, spread=spread, alike=alike)


def machined(
    habits: Habits, engines: Engines, seen: Seen, axis: Axis, costs: Costs, chance: np.random.Generator, *,
    told: OneSided | None = None, judge: Judge | None = None, dial: bool = False,
) -> Machined:  # fmt: skip
    """Have the step of each engine chosen, machine it, and see.

    told: how one-sided such engines wear, as the shop found; else as the computation takes it. judge: judges
    the same engines at once, which is faster than to do it apart. dial: whether the run-out of each journal
    is read.
    """
    worn = chosen_axis(axis.value, len(engines.used), chance)
    at = centres(habits, engines.surfaces, engines.bent, worn, chance)
    needed = step_needed(habits, engines, at, HONE)
    score = Machined(costs=costs_of(costs, needed, engines.used, cut_order(habits, seen, engines.used)))
    cutting = Cutting(
        habits.nominal, costs.steps, HONE, axis, one_sided=told or OneSided(), centring_mm=habits.centring
    )
    shown = run_out(habits, engines, chance) if dial else None
    prices = prices_of(costs)
    for row in range(len(engines.used)):
        readings = readings_of(habits, engines, seen, row, shown)
        if judge is not None:
            judge.judge(readings, row)
        found = clean_up(readings, cutting)
        most = needed[row][engines.used[row]].max()
        for step in found.steps:
            score.together.add(step.together.best, bool(most <= step.step_mm), row)
            for name, chance_of in step.each:
                score.each.add(chance_of.best, bool(needed[row, int(name) - 1] <= step.step_mm), row)
        choice = choose_step(found, prices)
        assert isinstance(choice, Choice)
        score.chosen.append(costs.steps.index(choice.best[0].step_mm))
        score.promised.append(choice.best[0].cleans_up)
        score.kept.append(bool(most <= choice.best[0].step_mm))
        if isinstance(found.chosen, float):
            sure = next(one for one in found.steps if one.step_mm == found.chosen)
            score.sure_promised.append(sure.together.best)
            score.sure_kept.append(bool(most <= found.chosen))
    return score
