"""Whether what is promised of worn engines comes true: two thousand simulated ones, several times over.

    .venv/bin/python bench/machining.py [ENGINES] [SEED ...]
    .venv/bin/python bench/machining.py --no-oracle 2100 201 b2
    .venv/bin/python bench/machining.py --sides-untold b4
    .venv/bin/python bench/machining.py --no-oracle --workers 16 100 {301..340} b4
    .venv/bin/python bench/machining.py --page

The simulator imports nothing from the computation. The oracle knows how its engines are distributed, and
reasons from the same readings; the clairvoyant knows each engine. The oracle takes most of the time. Names of
trials choose some of them; `--workers` tries so many seeds at a time; `--page` is a brief section for
docs/performance.md.

How one-sided such engines wear no diameter shows: the computation is told what a shop that reads offsets
would have found in engines before; with `--sides-untold` it takes what it does otherwise.
"""

from __future__ import annotations

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from runningfit.core.treatments.machining.cutting import Axis
from simulators.engine_costs import Costs
from simulators.engine_oracle import foresee, known_of
from simulators.engine_trials import (
    BORE_LIMITS,
    HONE,
    JOURNAL_LIMITS,
    Judge,
    Reliability,
    machined,
    one_sided_of,
)
from simulators.engines import BORES, JOURNALS, Habits, Plan, drawn, read

ENGINES, SEEDS = 2000, (101, 102, 103)
BRIEF_ENGINES, BRIEF_SEED = 100, 104
TWO, FOUR = (0.0, 90.0), (0.0, 45.0, 90.0, 135.0)
GROUND = Costs(steps=(0.1, 0.2, 0.3, 0.5))


@dataclass(frozen=True)
class Trial:
    """Engines of a kind, how they are read, and on which axis they are machined."""

    said: str
    habits: Habits
    plan: Plan
    axis: Axis
    limits: tuple[float, ...]
    costs: Costs = field(default_factory=Costs)
    dial: bool = False


# What bends a shaft no diameter shows: where it may be bent, a dial is held to each journal.
JOURNALS_READ = Plan((5.0, 15.0, 25.0), FOUR)
TRIALS = {
    "b2": Trial(
        "bores, two directions, axis unknown", BORES, Plan(angles_deg=TWO), Axis.UNKNOWN, BORE_LIMITS
    ),
    "b2w": Trial(
        "bores, two directions, worn axis", BORES, Plan(angles_deg=TWO), Axis.WORN, BORE_LIMITS
    ),
    "b4": Trial(
        "bores, four directions, original axis", BORES, Plan(angles_deg=FOUR), Axis.ORIGINAL, BORE_LIMITS
    ),
    "j4": Trial(
        "journals of straight shafts, four directions, original axis", replace(JOURNALS, bend=0.0),
        JOURNALS_READ, Axis.ORIGINAL, JOURNAL_LIMITS, GROUND,
    ),
    "j4bent": Trial(
        "journals of bent shafts, four directions and a dial, original axis", JOURNALS,
        JOURNALS_READ, Axis.ORIGINAL, JOURNAL_LIMITS, GROUND, dial=True,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Scored:
    """How a trial went: promises that came true, and what the choices cost over those of the oracle [%]."""

    reliable: dict[str, Reliability]
    promised: float
    kept: float
    kept_error: float
    over: float | None


def tried(trial: Trial, count: int, seed: int, *, oracle: bool, sides_told: bool = True) -> Scored:
    """Judge and machine engines, and see."""
    chance, costs, habits = np.random.default_rng(seed), trial.costs, trial.habits
    engines = drawn(habits, chance, count)
    seen = read(habits, engines, trial.plan, chance)
    judge = Judge.of(habits, engines, seen, trial.limits)
    told = one_sided_of(habits) if sides_told else None
    done = machined(habits, engines, seen, trial.axis, costs, chance, told=told, judge=judge, dial=trial.dial)
    over = None
    # The oracle holds no dial to the journals.
    if oracle and not trial.dial:
        known = foresee(habits, known_of(engines), seen, costs, HONE, trial.axis.value, chance)
        rows = np.arange(count)
        wise = done.costs[rows, known.costs.argmin(axis=1)]
        ours, best = known.costs[rows, done.chosen].mean(), known.costs.min(axis=1).mean()
        over = 100 * (ours / best - 1)
        off, more = 100 * (done.paid - wise).std() / np.sqrt(count) / wise.mean(), done.paid.mean()
        print(
            f"  cost {more:.1f}: {100 * (more / wise.mean() - 1):+.2f} % ± {off:.2f} over the oracle "
            f"({over:+.2f} % in its own expectation), "
            f"{100 * (more / done.costs.min(axis=1).mean() - 1):+.2f} % over the clairvoyant; always the "
            f"same start: {', '.join(f'{one:.0f}' for one in done.costs.mean(axis=0))}",
            file=sys.stderr,
        )
    reliable = {
        "within limits, each": judge.each,
        "within limits, all together": judge.together,
        "cleans up, each": done.each,
        "cleans up, all together": done.together,
    }
    error = float(100 * np.std(done.kept) / np.sqrt(count))
    return Scored(reliable, float(100 * np.mean(done.promised)), float(100 * np.mean(done.kept)), error, over)


def page() -> None:
    """Print a section of docs/performance.md, from few engines."""
    print("## Promises about worn engines\n")
    print(
        f"{BRIEF_ENGINES} simulated engines each; few, so a decile is only known to some points. "
        "`bench/machining.py` tries thousands. How one-sided such engines wear, which no diameter shows, is "
        "told as a shop would find that read offsets before.\n"
    )
    print("| engines | promised % | kept % | dearer than the oracle % | furthest decile, in its errors |")
    print("|---|---|---|---|---|")
    for name in ("b2", "b4", "j4"):
        done = tried(TRIALS[name], BRIEF_ENGINES, BRIEF_SEED, oracle=True)
        far = max(
            abs(true - said) / error
            for one in done.reliable.values()
            for count, said, true, error in one.deciles()
            if count
        )
        print(
            f"| {TRIALS[name].said} | {done.promised:.1f} | {done.kept:.1f} ± {done.kept_error:.1f} "
            f"| {done.over:+.1f} | {far:.1f} |"
        )
    print()


def timed(work: tuple[str, int, int, bool, bool]) -> tuple[Scored, float]:
    """Try engines of one seed, and say how many seconds it took."""
    name, count, seed, oracle, sides_told = work
    began = time.perf_counter()
    done = tried(TRIALS[name], count, seed, oracle=oracle, sides_told=sides_told)
    return done, time.perf_counter() - began


def main() -> int:
    """Run trials for every seed."""
    words = sys.argv[1:]
    if "--page" in words:
        page()
        return 0
    oracle, sides_told, workers = "--no-oracle" not in words, "--sides-untold" not in words, 1
    if "--workers" in words:
        at = words.index("--workers")
        workers = int(words.pop(at + 1))
    numbers = [int(one) for one in words if one.isdigit()]
    names = [one for one in words if one in TRIALS] or list(TRIALS)
    count, seeds = (numbers or [ENGINES])[0], numbers[1:] or list(SEEDS)
    with ProcessPoolExecutor(workers) as crew:
        for name in names:
            pooled: dict[str, Reliability] = {}
            work = [(name, count, seed, oracle, sides_told) for seed in seeds]
            for at, (done, seconds) in enumerate(crew.map(timed, work)):
                print(
                    f"{TRIALS[name].said}; seed {seeds[at]}, {count} engines, {seconds:.0f} s: "
                    f"promised {done.promised:.2f} %, kept {done.kept:.2f} % ± {done.kept_error:.2f}"
                    + ("" if done.over is None else f", {done.over:+.2f} % over the oracle"),
                    flush=True,
                )
                for what, found in done.reliable.items():
                    pooled.setdefault(what, Reliability()).join(found, at * count)
            for what, found in pooled.items():
                print(
                    f"\n{TRIALS[name].said}: {what}, {len(seeds)} x {count} engines\n{found.told()}",
                    flush=True,
                )
    return 0


if __name__ == "__main__":
    sys.exit(main())
