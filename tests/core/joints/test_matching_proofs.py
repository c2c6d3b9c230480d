"""Optima of matching that are proven otherwise than by the code: by hand, by duality, and by another solver.

No page of the references prints an optimum of weights matched to pairs in figures. There is a published one
in a formula: where there is metal enough, the theorem on rearrangements says which pairing is best, for any
number of pairs. Beyond it one small case is proven here by hand, pairs by prices that no pairing can beat,
and larger cases are solved again as integer programs by scipy's HiGHS, from another formulation than that of
the code.
"""

from __future__ import annotations

from itertools import product
from random import Random

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from runningfit.core.joints.matching.assignment import CostTable, best_pairs
from runningfit.core.joints.matching.weights import WeighedPart, pair_by_weight


def parts(letter: str, *weights: float, spare: float = 20.0) -> list[WeighedPart]:
    return [WeighedPart(f"{letter}{number}", weight, spare) for number, weight in enumerate(weights, 1)]


def test_three_rods_and_pistons_proven_by_hand() -> None:
    """All together weigh 3027 g, so bringing all pairs to T takes off 3027 - 3T: the largest T is wanted.

    T is at most 3027/3 = 1009. At 1009 every pair would weigh just that, and rod 604 has no piston of 405.
    At 1008 rod 604 needs 404 at least, so it takes 409; then rod 600 needs 408, and there is none. At 1007
    604 + 403, 600 + 409 and 611 + 400 all reach it: 6 g come off, and less is impossible.
    """
    plan = pair_by_weight(parts("r", 600, 604, 611), parts("p", 400, 403, 409), 0.0)
    assert plan is not None
    assert (plan.target_g, plan.removed_g) == (1007.0, 6.0)
    assert [(pair.one, pair.other) for pair in plan.pairs] == [("r1", "p3"), ("r2", "p2"), ("r3", "p1")]


def grams(least: int, most: int) -> st.SearchStrategy[float]:
    return st.integers(10 * least, 10 * most).map(lambda tenths: tenths / 10)


@given(
    st.lists(st.tuples(grams(600, 630), grams(400, 420)), min_size=1, max_size=24),
    st.randoms(use_true_random=False),
)
def test_with_metal_enough_the_heaviest_goes_with_the_lightest(
    weights: list[tuple[float, float]], chance: Random
) -> None:
    """Where all may be taken off, all pairs come down to the lightest: what is left is n times its weight.

    Of all ways to pair two rows of numbers none has a larger least sum than to pair them in opposite orders:
    of two pairs in like order the lightest with the lightest weighs less than either pair when they are
    crossed (Hardy, Littlewood and Polya, Inequalities, 1934, chapter X, on rearrangements; from memory).
    """
    rods, pistons = [rod for rod, _ in weights], [piston for _, piston in weights]
    lightest = min(map(sum, zip(sorted(rods), sorted(pistons, reverse=True), strict=True)))
    chance.shuffle(rods)
    chance.shuffle(pistons)
    plan = pair_by_weight(parts("r", *rods, spare=300.0), parts("p", *pistons, spare=300.0), 0.0)
    assert plan is not None
    assert plan.target_g == pytest.approx(lightest)
    assert plan.removed_g == pytest.approx(sum(rods) + sum(pistons) - len(rods) * lightest, abs=1e-6)


def test_three_pairs_proven_by_prices() -> None:
    """Prices u of rows and v of columns with u + v no more than any cost: no pairing costs less than all."""
    costs = ((4.0, 1.0, 3.0), (2.0, 0.0, 5.0), (3.0, 2.0, 2.0))
    u, v = (1.0, 0.0, 1.0), (2.0, 0.0, 1.0)
    assert all(u[row] + v[column] <= costs[row][column] for row, column in product(range(3), repeat=2))
    found = best_pairs(CostTable(("a", "b", "c"), ("1", "2", "3"), costs))
    assert found.total == sum(u) + sum(v) == 5.0


def least_removed(rods: list[WeighedPart], pistons: list[WeighedPart], tolerance: float) -> float | None:
    """The least metal by an integer program: who pairs with whom, how light the lightest is, what comes off.

    Minimise the sum of off over pairs with T no more than any pair weighs, off at least what a pair weighs
    above T + tolerance, and no more than there is to take.
    """
    count = len(rods)
    weight = numpy.array([[rod.weight_g + one.weight_g for one in pistons] for rod in rods])
    spare = numpy.array([[rod.removable_g + one.removable_g for one in pistons] for rod in rods])
    chosen, whole = count * count, count * count + count + 1
    lines, low, high = [], [], []

    def add(line: numpy.ndarray, least: float, most: float) -> None:
        lines.append(line)
        low.append(least)
        high.append(most)

    for at in range(count):
        row, column = numpy.zeros(whole), numpy.zeros(whole)
        row[at * count : (at + 1) * count] = 1
        column[at:chosen:count] = 1
        add(row, 1, 1)
        add(column, 1, 1)
        weighs, room = numpy.zeros(whole), numpy.zeros(whole)
        weighs[at * count : (at + 1) * count] = weight[at]
        room[at * count : (at + 1) * count] = -spare[at]
        lightest, off = numpy.zeros(whole), numpy.zeros(whole)
        lightest[-1], off[chosen + at] = 1, 1
        add(weighs - lightest, 0, numpy.inf)
        add(weighs - lightest - off, -numpy.inf, tolerance)
        add(room + off, -numpy.inf, 0)
    cost = numpy.zeros(whole)
    cost[chosen : chosen + count] = 1
    integral = numpy.zeros(whole, dtype=int)
    integral[:chosen] = 1
    upper = numpy.full(whole, numpy.inf)
    upper[:chosen] = 1
    found = milp(
        cost,
        integrality=integral,
        bounds=Bounds(numpy.zeros(whole), upper),
        constraints=LinearConstraint(numpy.array(lines), low, high),
    )
    return float(found.fun) if found.success else None


@pytest.mark.parametrize("seed", range(12))
def test_eight_rods_and_pistons_agree_with_an_integer_program(seed: int) -> None:
    chance = Random(seed)
    rods = [WeighedPart(f"r{at}", chance.randint(6000, 6150) / 10, chance.randint(0, 8)) for at in range(8)]
    pistons = [
        WeighedPart(f"p{at}", chance.randint(4000, 4100) / 10, chance.randint(0, 6)) for at in range(8)
    ]
    tolerance = chance.choice([0.0, 0.5, 2.0])
    plan, least = pair_by_weight(rods, pistons, tolerance), least_removed(rods, pistons, tolerance)
    assert (plan is None) == (least is None)
    if plan is not None:
        assert plan.removed_g == pytest.approx(least, abs=1e-5)


@pytest.mark.parametrize("seed", range(6))
def test_twelve_pairs_agree_with_an_integer_program(seed: int) -> None:
    chance = Random(seed)
    count = 12
    costs = [[chance.randint(0, 60) / 2 for _ in range(count)] for _ in range(count)]
    names = tuple(str(at) for at in range(count))
    found = best_pairs(CostTable(names, names, tuple(map(tuple, costs))))
    rows = [numpy.kron(numpy.eye(count)[at], numpy.ones(count)) for at in range(count)]
    columns = [numpy.kron(numpy.ones(count), numpy.eye(count)[at]) for at in range(count)]
    solved = milp(
        numpy.array(costs).ravel(),
        integrality=numpy.ones(count * count, dtype=int),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(numpy.array([*rows, *columns]), 1, 1),
    )
    assert solved.success
    assert found.total == pytest.approx(float(solved.fun))
