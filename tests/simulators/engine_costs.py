"""What machining simulated engines costs, whichever step the shop begins with.

Nothing here comes from the computation that this is held against. All lengths are millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from simulators.engines import Array, Flags, Habits, Seen


@dataclass(frozen=True)
class Costs:
    """What the shop pays, in any money; each figure common practice, no source: only the ratios matter."""

    steps: tuple[float, ...] = (0.25, 0.5, 0.75, 1.0)
    # For each bore: a piston with rings costs much the same in every step, boring and honing somewhat less.
    piston: float = 60.0
    machining: float = 45.0
    # Pistons of a step that did not clean up go back at a loss, and the block is set up again.
    returned: float = 0.35
    set_up: float = 60.0
    # Each step taken is one fewer for the next rebuild, for each bore.
    step_used: float = 15.0
    # A bore that no step cleans up is sleeved.
    liner: float = 220.0


def cut_order(habits: Habits, seen: Seen, used: Flags) -> NDArray[np.intp]:
    """The order in which the shop cuts: first what by its readings and pits needs most."""
    most = (habits.sign * seen.diameters).max(axis=(2, 3)) + 2 * seen.pits
    return np.asarray(np.argsort(np.where(used, -most, np.inf), axis=1, kind="stable"))


def costs_of(costs: Costs, needed: Array, used: Flags, order: NDArray[np.intp]) -> Array:
    """What it costs to begin with each step and go on until all bores clean up (engine, step).

    One step for all bores. The shop stops cutting a step at the first bore that it does not clean up, and all
    go to the next. Where the last step does not clean a bore up, that bore is sleeved and bored to it.
    """
    count = used.sum(axis=1)
    turned = np.take_along_axis(np.where(used, needed, -np.inf), order, axis=1)
    found = np.empty((len(used), len(costs.steps)))
    after = np.zeros(len(used))
    for at in reversed(range(len(costs.steps))):
        dirty = turned > costs.steps[at]
        ends = ~dirty.any(axis=1) | (at == len(costs.steps) - 1)
        cut = np.where(ends, count, dirty.argmax(axis=1) + 1)
        good = count * (costs.piston + at * costs.step_used) + dirty.sum(axis=1) * costs.liner
        spoilt = count * costs.piston * costs.returned + after
        found[:, at] = costs.set_up + cut * costs.machining + np.where(ends, good, spoilt)
        after = found[:, at]
    return found
