"""How long matching, shims, chains by draws and the limits of a fit take, in the core and as a command."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from random import Random

SIDE, DRAWS, CONTRIBUTORS, VALVES = 200, 1_000_000, 20, 32
AIM_MATCH_MS, AIM_DRAWS_S, AIM_COMMAND_S = 50.0, 0.5, 0.4
TIMES = 9


def middle(work: Callable[[], object]) -> float:
    """Return the middle of several times [s], the first one, which loads scipy, left out."""
    work()
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return statistics.median(took)


def matching(chance: Random) -> tuple[float, float]:
    """Return how long the least total and the least largest cost of a matrix take [ms]."""
    from runningfit.core.joints.matching.assignment import CostTable, best_pairs

    names = tuple(str(number) for number in range(SIDE))
    costs = tuple(tuple(chance.uniform(0, 100) for _ in names) for _ in names)
    table = CostTable(names, names, costs)
    return (
        1000 * middle(lambda: best_pairs(table)),
        1000 * middle(lambda: best_pairs(table, bottleneck=True)),
    )


def shims(chance: Random) -> float:
    """Return how long shims for many valves from a full drawer take [ms]."""
    from runningfit.core.joints.matching.shims import DrawerShim, Grades, Valve, plan_shims

    valves = [
        Valve(str(number), round(chance.uniform(0.05, 0.35), 2), round(chance.uniform(2, 3), 2), 0.15, 0.25)
        for number in range(VALVES)
    ]
    drawer = [DrawerShim(round(2 + 0.02 * number, 2), 3) for number in range(50)]
    return 1000 * middle(lambda: plan_shims(valves, drawer, Grades(2.0, 3.5, 0.05)))


def chain() -> float:
    """Return how long the draws of a chain of unlike contributors take [s]."""
    from runningfit.core.joints.chains.chain import Chain, Contributor, Shape, solve_chain
    from runningfit.core.joints.chains.draws import draw_chain

    shapes = tuple(Shape)
    parts = tuple(
        Contributor(str(number), 1.0, 1.1, (-1.0) ** number, shapes[number % len(shapes)])
        for number in range(CONTRIBUTORS)
    )
    whole = Chain("gap", parts, -0.2, 0.2)
    solved = solve_chain(whole)
    return middle(lambda: draw_chain(whole, solved, DRAWS))


def command() -> float:
    """Return how long the limits of a fit take as a command [s]."""
    arguments = [sys.executable, "-m", "runningfit", "joint", "fit", "25 H7/g6", "--json"]
    return middle(lambda: subprocess.run(arguments, check=True, stdout=subprocess.DEVNULL))


def over(value: float, aim: float) -> str:
    """Return a mark where an aim is missed."""
    return " **over**" if value > aim else ""


def main() -> int:
    """Measure and print."""
    total, largest = matching(Random(5))
    drawn, fit = chain(), command()
    print("## Fits, chains and matching\n")
    print(
        f"{SIDE} × {SIDE} pairs with the next best: {total:.0f} ms{over(total, AIM_MATCH_MS)}, by the "
        "largest cost "
        f"{largest:.0f} ms. Aim: {AIM_MATCH_MS:.0f} ms. Shims for {VALVES} valves from 150: "
        f"{shims(Random(5)):.0f} ms. "
        f"A chain of {CONTRIBUTORS} by {DRAWS:,} draws: {drawn:.2f} s{over(drawn, AIM_DRAWS_S)}. Aim: "
        f"{AIM_DRAWS_S:g} s. "
        f"The command `joint fit`: {fit:.2f} s{over(fit, AIM_COMMAND_S)}. Aim: {AIM_COMMAND_S:g} s. Each "
        "the middle "
        f"of {TIMES}.\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
