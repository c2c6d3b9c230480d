"""Which step to start at, so that it costs least in the end, whatever the tool finds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.measurements.conformity.decision import percent
from runningfit.core.treatments.machining.barriers import said_size
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp
from runningfit.core.treatments.machining.prices import Prices, StepPrice
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Into how many groups a reading of the side sorts what may be found.
_GROUPS = 16


@dataclass(frozen=True, slots=True)
class Start:
    """What it comes to, to start at a step.

    Parameters
    ----------
    step_mm : float
        The step [mm].
    names : tuple of str
        For which bores or journals.
    expected : float
        What it costs on average, with all that follows, in money.
    weighed : float
        The same with what the steps used up would have been worth later; by this starts are compared.
    low, high : float
        The 5th and the 95th percentile of that.
    cleans_up : float
        The probability that all of them are clean at this step [-].
    rescue : float
        The probability that one at least is not clean at the largest step [-].
    """

    step_mm: float
    names: tuple[str, ...]
    expected: float
    weighed: float
    low: float
    high: float
    cleans_up: float
    rescue: float


@dataclass(frozen=True, slots=True)
class Choice:
    """The step to start at.

    Parameters
    ----------
    best : tuple of Start
        One for all, or one for each where each may have its own.
    second : Start or None
        The next cheapest; where each may have its own, the one change that costs least.
    dearer_by : float or None
        By how much the second is dearer, steps used up weighed in, in money.
    starts : tuple of Start
        All that were compared, the cheapest first.
    expected : float
        What the best costs on average, in money.
    side_worth : float
        What it is worth to know how far the worn middles lie off, before starting, in money.
    all_worth : float
        What it would be worth to know the surfaces fully; no reading is worth more.
    read_side : bool or None
        Whether that reading is worth its price; none where no price was told.
    verdict : Verdict
        The same as a verdict.
    """

    best: tuple[Start, ...]
    second: Start | None
    dearer_by: float | None
    starts: tuple[Start, ...]
    expected: float
    side_worth: float
    all_worth: float
    read_side: bool | None
    verdict: Verdict


def choose_step(found: CleanUp, prices: Prices) -> Choice | CannotTell:
    """Choose the step to start at: of all bores, of all main journals, or of all rod journals.

    Parameters
    ----------
    found : CleanUp
        How probably each step cleans up.
    prices : Prices
        What the steps cost.

    Returns
    -------
    Choice or CannotTell
        The cheapest start on average, the second and why; or what is missing.

    Notes
    -----
    In each draw: cut to the step, the one that needs most first; where one is not clean, all go on to the
    next step, and what was cut and what of the parts cannot be given back is lost; those that the largest
    step does not clean are rescued. Bores, mains and rods are sets of their own: the cheapest of each is
    the cheapest of all. The worth of a reading is what the best choice after it costs less than
    the best choice before it, on average over what it may show (expected value of information).
    """
    names = found.needed.names
    groups = [tuple(range(len(names)))] if prices.alike else [(index,) for index in range(len(names))]
    chosen: list[list[_Counted]] = []
    for group in groups:
        steps = _buyable(found, prices, [names[index] for index in group])
        if isinstance(steps, CannotTell):
            return steps
        chosen.append(
            sorted(
                _count(found, prices, steps, group), key=lambda one: (one.start.weighed, one.start.step_mm)
            )
        )
    best = tuple(one[0].start for one in chosen)
    changes = [(one[1].start.weighed - one[0].start.weighed, one[1].start) for one in chosen if len(one) > 1]
    dearer, second = min(changes, key=lambda change: change[0]) if changes else (None, None)
    expected = sum(one.expected for one in best)
    side_worth, all_worth = (sum(worth) for worth in zip(*(_worths(one) for one in chosen), strict=True))
    read_side = None if prices.side_reading is None else side_worth > prices.side_reading
    starts = tuple(one.start for each in chosen for one in each)
    return Choice(
        best, second, dearer, starts, expected, side_worth, all_worth, read_side,
        _verdict(found, prices, best, second, dearer, side_worth, read_side),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Counted:
    """A start with what it costs in each draw, and what a reading of the side would show there."""

    start: Start
    costs: Floats
    metal: Floats
    side: Floats


def _buyable(found: CleanUp, prices: Prices, names: Sequence[str]) -> list[StepPrice] | CannotTell:
    """The steps that have a price and are not forbidden for any of these, from the smallest."""
    by_size = {one.step_mm: one for one in prices.steps}
    allowed = [one.step_mm for one in found.steps if not any(name in names for name, _ in one.forbidden)]
    if not allowed:
        why = next(why for name, why in found.steps[0].forbidden if name in names)
        return CannotTell(
            Reason.of("Every step is forbidden: ", *why.parts), "Have it rescued, or look for another part."
        )
    missing = [step for step in allowed if step not in by_size]
    if missing:
        listed = [part for step in missing for part in (", ", said_size(step))][1:]
        return CannotTell(
            Reason.of("No price for ", *listed, "."),
            "Ask what parts and cutting cost for every step that is allowed, or leave the step out.",
        )
    return [by_size[step] for step in allowed]


def _count(
    found: CleanUp, prices: Prices, steps: Sequence[StepPrice], group: tuple[int, ...]
) -> list[_Counted]:
    """What each start costs in each draw, counted from the largest step down."""
    import numpy as np

    needs = found.needed.best_mm[list(group)]
    # The one that needs most is cut first, so that the others are not spoilt for nothing.
    needs = needs[np.argsort(-needs.mean(axis=1), kind="stable")]
    count = len(needs)
    draws = needs.shape[1]
    side = found.needed.side_mm[list(group)].max(axis=0)
    names = tuple(found.needed.names[index] for index in group)
    counted: list[_Counted] = []
    last = steps[-1]
    left = (needs > last.step_mm + 1e-6).sum(axis=0)
    # Where the largest step is not enough, the clean ones keep it and the others are rescued.
    after = prices.rescue * left + count * last.parts
    for number, step in enumerate(reversed(steps)):
        dirty = needs > step.step_mm + 1e-6
        clean = ~dirty.any(axis=0)
        cut = np.full(draws, count) if number == 0 else np.where(clean, count, dirty.argmax(axis=0) + 1)
        cost = prices.each_visit + step.cutting * cut
        metal = np.full(draws, prices.metal * count * (len(steps) - 1.0 - number))
        if number == 0:
            cost = cost + after
        else:
            spoilt = step.lost * step.parts * count + counted[-1].costs
            cost = cost + np.where(clean, step.parts * count, spoilt)
            metal = np.where(clean, metal, counted[-1].metal)
        low, high = np.quantile(cost, [0.05, 0.95])
        start = Start(
            step.step_mm, names, float(cost.mean()), float((cost + metal).mean()), float(low), float(high),
            float(clean.mean()), float((left > 0).mean()),
        )  # fmt: skip
        counted.append(_Counted(start, cost, metal, side))
    return counted


def _worths(counted: Sequence[_Counted]) -> tuple[float, float]:
    """What it is worth to read the side, and to know all, before starting.

    The best start after a reading is chosen on one half of the draws and counted on the other, so that luck
    is not taken for knowledge.
    """
    import numpy as np

    costs = np.array([one.costs + one.metal for one in counted])
    blind = counted[0].start.weighed
    groups = np.array_split(np.argsort(counted[0].side, kind="stable"), _GROUPS)
    total = 0.0
    for group in groups:
        for chosen, held in ((group[::2], group[1::2]), (group[1::2], group[::2])):
            best = int(costs[:, chosen].mean(axis=1).argmin())
            total += float(costs[best, held].sum())
    return max(0.0, blind - total / costs.shape[1]), blind - float(costs.min(axis=0).mean())


def _verdict(
    found: CleanUp,
    prices: Prices,
    best: tuple[Start, ...],
    second: Start | None,
    dearer: float | None,
    side_worth: float,
    read_side: bool | None,
) -> Verdict:
    reasons = [_told(one, any(step.step_mm > one.step_mm for step in found.steps)) for one in best]
    if second is not None and dearer is not None:
        who = "" if prices.alike else f" for {', '.join(second.names)}"
        reasons.append(
            Reason.of(
                "Second best is ",
                said_size(second.step_mm),
                f"{who}: {second.expected:.2f} on average, dearer by {dearer:.2f} with the steps used up "
                f"weighed in; it cleans up with {percent(second.cleans_up)}.",
            )
        )
    if read_side is not None and prices.side_reading is not None:
        advice = "read it first" if read_side else "not worth its price"
        worth = f"worth {side_worth:.2f} on average" if side_worth >= 0.005 else "worth nothing"
        reasons.append(
            Reason(
                f"To know how far the worn middles lie off the original axis is {worth} "
                f"and costs {prices.side_reading:.2f}: {advice}."
            )
        )
    cautions = [*found.verdict.cautions]
    spoiling = [one for one in prices.steps if one.lost > 0]
    if spoiling:
        cautions.append(
            Caution(
                "Buy the parts when the bore is clean, not before: what is bought for a spoilt step is lost."
            )
        )
    sure = min(one.cleans_up for one in best)
    return Verdict(
        Outcome.SOUND_AFTER_TREATMENT,
        best[0].step_mm if len({one.step_mm for one in best}) == 1 else None,
        "mm",
        None,
        sure,
        tuple(reasons),
        tuple(cautions),
    )


def _told(one: Start, larger: bool) -> Reason:
    after = "the next step follows" if larger else "those are rescued"
    span = f"{one.low:.2f} to {one.high:.2f}"
    mostly = f" (mostly {span})" if f"{one.low:.2f}" != f"{one.high:.2f}" else ""
    return Reason.of(
        f"{', '.join(one.names)}: start at ",
        said_size(one.step_mm),
        f", {one.expected:.2f} on average with all that may follow{mostly}. "
        f"It cleans up with {percent(one.cleans_up)}; if not, {after}; with {percent(one.rescue)} no step is "
        "enough: a liner or another part is needed.",
    )
