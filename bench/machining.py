"""Whether what is promised of worn engines comes true: two thousand simulated ones, several times over.

    .venv/bin/python bench/machining.py [ENGINES] [SEED ...]

The simulator imports nothing from the computation. The oracle knows how its engines are distributed, and
reasons from the same readings; the clairvoyant knows each engine.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from runningfit.core.treatments.machining.cutting import Axis
from simulators.engine_oracle import foresee, known_of
from simulators.engine_trials import BORE_LIMITS, HONE, JOURNAL_LIMITS, Reliability, judged, machined
from simulators.engines import BORES, JOURNALS, Costs, Habits, Plan, drawn, read

ENGINES, SEEDS = 2000, (101, 102, 103)
TWO, FOUR = (0.0, 90.0), (0.0, 45.0, 90.0, 135.0)
ALONG = (5.0, 15.0, 25.0)
TRIALS = (
    ("bores, two directions, axis unknown", BORES, Plan(angles_deg=TWO), Axis.UNKNOWN, BORE_LIMITS),
    ("bores, four directions, original axis", BORES, Plan(angles_deg=FOUR), Axis.ORIGINAL, BORE_LIMITS),
    ("journals, four directions, original axis", JOURNALS, Plan(ALONG, FOUR), Axis.ORIGINAL, JOURNAL_LIMITS),
)


def trial(
    name: str, habits: Habits, plan: Plan, axis: Axis, limits: tuple[float, ...], count: int, seed: int
) -> dict[str, Reliability]:
    """Judge and machine engines, print how it went, and give what was said and came true."""
    chance, costs = np.random.default_rng(seed), Costs()
    engines = drawn(habits, chance, count)
    seen = read(habits, engines, plan, chance)
    began = time.perf_counter()
    each, together = judged(habits, engines, seen, limits)
    done = machined(habits, engines, seen, axis, costs, chance)
    took = time.perf_counter() - began
    known = foresee(habits, known_of(engines), seen, costs, HONE, axis.value, chance)
    rows = np.arange(count)
    oracle = done.costs[rows, known.costs.argmin(axis=1)]
    more = done.paid - oracle
    wise, ours = known.costs.min(axis=1).mean(), known.costs[rows, done.chosen].mean()
    mean, seer = oracle.mean(), done.costs.min(axis=1).mean()
    print(f"\n### {name}; seed {seed}, {count} engines, judged in {took:.0f} s")
    error = 100 * np.std(done.kept) / np.sqrt(count)
    print(
        f"start by cost: promised {100 * np.mean(done.promised):.2f} %, kept "
        f"{100 * np.mean(done.kept):.2f} % ± {error:.2f}"
    )
    print(
        f"smallest sure enough: promised {100 * np.mean(done.sure_promised):.2f} %, kept "
        f"{100 * np.mean(done.sure_kept):.2f} % of {len(done.sure_kept)}"
    )
    over, off = 100 * (done.paid.mean() / mean - 1), 100 * more.std() / np.sqrt(count) / mean
    print(
        f"cost {done.paid.mean():.1f}: {over:+.2f} % ± {off:.2f} over the oracle "
        f"({100 * (ours / wise - 1):+.2f} % in its own expectation), "
        f"{100 * (done.paid.mean() / seer - 1):+.2f} % over the clairvoyant; always the same start: "
        f"{', '.join(f'{one:.0f}' for one in done.costs.mean(axis=0))}",
        flush=True,
    )
    return {
        "within limits, each": each,
        "within limits, all together": together,
        "cleans up, each": done.each,
        "cleans up, all together": done.together,
    }


def main() -> int:
    """Run all trials for every seed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else ENGINES
    seeds = [int(one) for one in sys.argv[2:]] or list(SEEDS)
    for name, habits, plan, axis, limits in TRIALS:
        pooled: dict[str, Reliability] = {}
        for at, seed in enumerate(seeds):
            for what, found in trial(name, habits, plan, axis, limits, count, seed).items():
                pooled.setdefault(what, Reliability()).join(found, at * count)
        for what, found in pooled.items():
            print(f"\n{name}: {what}, {len(seeds)} x {count} engines\n{found.told()}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
