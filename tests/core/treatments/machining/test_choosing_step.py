"""Which step to start at: sums by hand, and a walk through each draw in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi

import numpy as np
import pytest

from core.treatments.machining.bores import NOMINAL_MM, bore
from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.barriers import Barriers
from runningfit.core.treatments.machining.choosing import Choice, choose_step
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp, clean_up
from runningfit.core.treatments.machining.cutting import Axis, Cutting
from runningfit.core.treatments.machining.prices import Prices, StepPrice
from runningfit.core.treatments.machining.readings import BoreReadings

STEPS = (0.25, 0.5)


def known(wear_mm: float, name: str = "1") -> BoreReadings:
    """A round bore whose diameter is known, but not how much of the wear lies on one side."""
    points = tuple(
        Diameter(depth, angle, NOMINAL_MM + wear_mm)
        for depth in (10.0, 50.0, 90.0)
        for angle in (0.0, 60.0, 120.0)
    )
    return BoreReadings(name, points, 0.0001)


def found(*readings: BoreReadings, steps: tuple[float, ...] = STEPS, axis: Axis = Axis.ORIGINAL) -> CleanUp:
    return clean_up(readings, Cutting(NOMINAL_MM, steps, 0.05, axis, original_mm=NOMINAL_MM))


def priced(
    parts: float = 40.0,
    cutting: float = 30.0,
    *,
    lost: float = 1.0,
    steps: tuple[float, ...] = STEPS,
    **more: object,
) -> Prices:
    whole = Prices(tuple(StepPrice(step, parts, cutting, lost) for step in steps), 300.0, step_kept=0.0)
    return replace(whole, **more)  # type: ignore[arg-type]


def chosen(readings: CleanUp, prices: Prices) -> Choice:
    choice = choose_step(readings, prices)
    assert isinstance(choice, Choice)
    return choice


# 0.15 of wear and 0.05 to hone: the first step cleans up where at most a third more lies on one side, which
# has 1 - (2/3)⁴ (1 + 4/3) by the density 20 s (1 - s)³; the second surely.
CLEAN = 1 - (2 / 3) ** 4 * (1 + 4 / 3)
THIRD = known(0.15)


def test_a_step_that_mostly_fails_is_dearer_than_the_next() -> None:
    choice = chosen(found(THIRD), priced())
    assert [one.step_mm for one in choice.starts] == [0.5, 0.25]
    assert choice.starts[0].expected == pytest.approx(70.0)
    # 30 and, where it is clean, 40; where it is not, 40 lost and 30 and 40 again.
    assert choice.starts[1].expected == pytest.approx(30 + 40 * CLEAN + (1 - CLEAN) * (40 + 70), rel=0.02)
    assert choice.dearer_by == pytest.approx(30 + 40 * CLEAN + (1 - CLEAN) * 110 - 70, rel=0.03)
    assert choice.second == choice.starts[1]
    assert choice.verdict.value == 0.5


def test_metal_kept_for_later_can_turn_it_round() -> None:
    choice = chosen(found(THIRD), priced(1.0, 1.0, lost=0.0, step_kept=100.0))
    assert choice.best[0].step_mm == 0.25
    assert choice.best[0].cleans_up == pytest.approx(CLEAN, abs=0.02)
    assert choice.best[0].expected == pytest.approx(1 + CLEAN + (1 - CLEAN) * 2, rel=0.02)


def test_a_sum_that_cannot_vary_and_a_worth_of_nothing_are_not_said_twice() -> None:
    prices = priced(side_reading=10.0)
    sure = chosen(found(known(0.02), axis=Axis.WORN), prices)
    said = " ".join(reason.text for reason in sure.verdict.reasons)
    assert "70.00 on average with all that may follow. It cleans up" in said
    assert "mostly" not in said
    assert "is worth nothing and costs 10.00: not worth its price" in said


def test_what_a_reading_of_the_side_is_worth() -> None:
    # Blind: 70 and 30 for the step used up. Knowing: 70 and, where the first does not clean up, 30.
    prices = priced(step_kept=30.0, side_reading=5.0)
    choice = chosen(found(THIRD), prices)
    assert choice.side_worth == pytest.approx(30 * CLEAN, abs=1.7)
    assert choice.all_worth == pytest.approx(30 * CLEAN, abs=0.5)
    assert choice.read_side is True
    assert chosen(found(THIRD), replace(prices, side_reading=20.0)).read_side is False
    # On the worn axis evenly from 1 - 8/(3 pi) to 0.6 of s, of the density above, is left. More than a third
    # of the wear is too much: then 70 more are spent, and knowing all saves that.
    left = np.linspace(1 / 3, 0.6, 20_001)
    least = 1 / (3 * left)
    fails = float(np.trapezoid((1 - least) ** 4 * (1 + 4 * least), left)) / (0.6 - 1 + 8 / (3 * pi))
    worn = chosen(found(THIRD, axis=Axis.WORN), prices)
    assert worn.all_worth == pytest.approx(70 * fails, abs=0.5)
    assert 0.0 <= worn.side_worth <= worn.all_worth
    assert worn.read_side is False


def test_bores_of_their_own_size_are_chosen_each() -> None:
    choice = chosen(found(known(0.02), known(0.2, "2")), priced(alike=False))
    assert [(one.names, one.step_mm) for one in choice.best] == [(("1",), 0.25), (("2",), 0.5)]
    assert choice.expected == pytest.approx(140.0, rel=0.02)
    assert choice.verdict.value is None
    together = chosen(found(known(0.02), known(0.2, "2")), priced())
    assert [one.step_mm for one in together.best] == [0.5]


def test_what_no_step_cleans_up_is_rescued() -> None:
    choice = chosen(found(known(0.9), known(0.1, "2")), priced())
    assert choice.best[0].rescue == 1.0
    # Both are cut to the largest step and get its parts; one has a liner.
    assert choice.best[0].expected == pytest.approx(2 * 70 + 300)
    assert "a liner or another part" in choice.verdict.reasons[0].text


def walked(needs: Sequence[Sequence[float]], prices: Prices, start: int) -> float:
    """What a start costs on average, by walking through each draw; the bores come worst first."""
    total = 0.0
    for draw in zip(*needs, strict=True):
        for number in range(start, len(prices.steps)):
            step, last = prices.steps[number], number == len(prices.steps) - 1
            total += prices.each_visit
            dirty = 0
            for need in draw:
                total += step.cutting
                dirty += need > step.step_mm + 1e-6
                if dirty and not last:
                    break
            if not dirty or last:
                total += step.parts * len(draw) + prices.rescue * dirty
                break
            total += step.parts * len(draw) * step.lost
    return total / len(needs[0])


def test_each_draw_walked_through_gives_the_same_costs() -> None:
    steps = (0.15, 0.2, 0.25, 0.3)
    up = found(
        *(bore(str(number), top_mm=0.06 + 0.02 * number) for number in range(3)),
        steps=steps,
        axis=Axis.UNKNOWN,
    )
    prices = Prices(
        tuple(StepPrice(step, 30 + 10 * number, 20 + number, 0.5) for number, step in enumerate(steps)),
        120.0,
        15.0,
    )
    needs = sorted(up.needed.best_mm.tolist(), key=lambda one: -sum(one))
    by_step = {one.step_mm: one.expected for one in chosen(up, prices).starts}
    for number, step in enumerate(steps):
        assert by_step[step] == pytest.approx(walked(needs, prices, number), rel=1e-9)


def test_without_a_price_or_a_step_it_cannot_tell() -> None:
    missing = choose_step(found(THIRD), priced(steps=(0.25,)))
    assert isinstance(missing, CannotTell)
    assert missing.reason == "No price for 0.5 mm."
    walled = clean_up([THIRD], Cutting(NOMINAL_MM, STEPS, 0.05), barriers=Barriers(most_mm=0.2))
    none = choose_step(walled, priced())
    assert isinstance(none, CannotTell)
    assert "Every step is forbidden" in none.reason
    some = clean_up([THIRD], Cutting(NOMINAL_MM, STEPS, 0.05), barriers=Barriers(most_mm=0.3))
    assert [one.step_mm for one in chosen(some, priced()).starts] == [0.25]


def test_prices_that_cannot_be_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"price of 0\.25 mm needs prices that are not negative"):
        StepPrice(0.25, -1.0, 2.0)
    with pytest.raises(InvalidInput, match=r"price of 0\.25 mm needs a share lost of 0 to 1"):
        StepPrice(0.25, 1.0, 2.0, 1.5)
    with pytest.raises(InvalidInput, match="prices needs one price for each step"):
        Prices((StepPrice(0.25, 1.0, 2.0), StepPrice(0.25, 1.0, 2.0)), 1.0)
    with pytest.raises(InvalidInput, match="prices needs figures that are not negative"):
        Prices((), -1.0)
