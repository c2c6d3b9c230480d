"""Pairs and shims are the best there are: every other choice is tried on small cases."""

from __future__ import annotations

from itertools import permutations, product
from math import inf, isfinite
from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.assignment import CostTable, best_pairs, read_cost_table
from runningfit.core.joints.matching.shim_sheets import read_drawer, read_valves
from runningfit.core.joints.matching.shims import (
    DrawerShim,
    Grades,
    ShimOrigin,
    Valve,
    plan_shims,
    usual_grades,
)

WHOLE = st.integers(0, 12).map(float)


def table(costs: list[list[float]]) -> CostTable:
    return CostTable(
        tuple(f"r{row}" for row in range(len(costs))),
        tuple(f"c{column}" for column in range(len(costs[0]))),
        tuple(tuple(row) for row in costs),
    )


@st.composite
def cost_tables(draw: st.DrawFn) -> list[list[float]]:
    height, width = draw(st.integers(1, 5)), draw(st.integers(1, 5))
    cell = st.one_of(WHOLE, WHOLE, WHOLE, WHOLE, WHOLE, st.just(inf))
    return draw(st.lists(st.lists(cell, min_size=width, max_size=width), min_size=height, max_size=height))


def every_total(costs: list[list[float]]) -> list[tuple[float, float]]:
    """Largest cost and total of every full matching, by trying all."""
    if len(costs) > len(costs[0]):
        costs = [list(column) for column in zip(*costs, strict=True)]
    found = []
    for columns in permutations(range(len(costs[0])), len(costs)):
        cells = [costs[row][column] for row, column in enumerate(columns)]
        if all(map(isfinite, cells)):
            found.append((max(cells), sum(cells)))
    return found


@given(cost_tables())
def test_no_other_pairs_are_better_and_only_the_best_beat_the_next(costs: list[list[float]]) -> None:
    totals = sorted(total for _, total in every_total(costs))
    assume(totals)
    found = best_pairs(table(costs))
    assert found.total == totals[0]
    assert found.second_total == (totals[1] if len(totals) > 1 else None)
    assert set(found.second_pairs) != set(found.pairs)


@given(cost_tables())
def test_no_other_pairs_have_a_smaller_largest_cost(costs: list[list[float]]) -> None:
    ranked = sorted(every_total(costs))
    assume(ranked)
    found = best_pairs(table(costs), bottleneck=True)
    assert (found.largest, found.total) == ranked[0]
    second = None if found.second_largest is None else (found.second_largest, found.second_total)
    assert second == (ranked[1] if len(ranked) > 1 else None)


@given(cost_tables(), st.integers(-3, 3).map(float))
def test_the_pairs_do_not_hang_on_what_every_cost_has_in_common(
    costs: list[list[float]], more: float
) -> None:
    assume(every_total(costs))
    moved = best_pairs(table([[cost + more for cost in row] for row in costs]))
    there = min(len(costs), len(costs[0]))
    assert moved.total == pytest.approx(best_pairs(table(costs)).total + more * there)


@given(st.integers(2, 5), st.integers(1, 3), st.randoms(use_true_random=False))
def test_who_has_too_few_partners_is_named(height: int, wider: int, chance: Random) -> None:
    costs = [[float(chance.randint(0, 12)) for _ in range(height + wider)] for _ in range(height)]
    for row in chance.sample(range(height), 2):
        costs[row] = [costs[row][0], *[inf] * (height + wider - 1)]
    crowd = ", ".join(f"r{number}" for number, row in enumerate(costs) if inf in row)
    with pytest.raises(InvalidInput, match=rf"a partner for everybody; '2 \({crowd}\) that only c0 may"):
        best_pairs(table(costs))
    turned = [list(column) for column in zip(*costs, strict=True)]
    with pytest.raises(InvalidInput, match=rf"'2 \({crowd.replace('r', 'c')}\) that only r0 may"):
        best_pairs(table(turned))


def test_the_probability_weighs_the_pairs_that_are_exchanged() -> None:
    # Two pairs are exchanged, so four costs with u = 1 stand against a gap of 2: Phi(1).
    found = best_pairs(table([[1, 5, 9], [5, 3, 9], [9, 9, 1]]), u_cost=1.0)
    assert found.second_total == pytest.approx(found.total + 6)
    assert found.probability_best == pytest.approx(0.99865, abs=1e-5)
    assert found.changed == 2


@pytest.mark.parametrize("u_cost", [0.0, -1.0])
def test_an_uncertainty_of_nothing_is_refused(u_cost: float) -> None:
    with pytest.raises(InvalidInput, match="uncertainty needs more than nothing"):
        best_pairs(table([[1, 2], [3, 4]]), u_cost=u_cost)


def test_the_largest_cost_takes_no_uncertainty() -> None:
    with pytest.raises(InvalidInput, match="matching by the total"):
        best_pairs(table([[1, 2], [3, 4]]), bottleneck=True, u_cost=1.0)


@pytest.mark.parametrize(
    "text",
    [
        "piston,bore 1,bore 2\nA,1,2\nB,2.5,x\n",
        "piston;bore 1;bore 2\nA;1;2\nB;2,5;\n",
        "\ufeff# from the bench\n,bore 1,bore 2\n\nA,1,2\nB,2.5,-\n",
    ],
)
def test_a_matrix_is_read_as_spreadsheets_save_it(text: str) -> None:
    read = read_cost_table(text.encode())
    assert read == CostTable(("A", "B"), ("bore 1", "bore 2"), ((1.0, 2.0), (2.5, inf)))


def test_a_matrix_of_numbers_alone_is_named_by_its_places() -> None:
    read = read_cost_table(b"4,1,3\n2,0,5\n3,2,2\n")
    assert (read.row_names, read.column_names) == (("1", "2", "3"), ("1", "2", "3"))


def test_a_forbidden_pair_in_the_first_row_makes_no_heading() -> None:
    read = read_cost_table(b"4,x,3\n2,0,5\n3,2,2\n")
    assert read.costs == ((4.0, inf, 3.0), (2.0, 0.0, 5.0), (3.0, 2.0, 2.0))
    assert read_cost_table(b",1,2\n1,3,x\n").column_names == ("1", "2")


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "at least one row"),
        (b"\xff\xfe\x00", "CSV file in UTF-8"),
        (b",A,B\n1,2\n", "line 2 needs 2 costs"),
        (b",A,B\n1,2,zwei\n", "line 2 needs a number, or x"),
        (b",A,B\n1,2,1e400\n", "line 2 needs a number, or x"),
        (b",A,A\n1,2,3\n", "each column under its own name"),
        (b",A,B\n1,2,3\n1,2,3\n", "each row under its own name"),
        (b",A,B\n", "each row under its own name"),
    ],
)
def test_a_matrix_that_is_none_is_refused(data: bytes, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        read_cost_table(data)


GRADES = Grades(2.0, 3.0, 0.1)


@st.composite
def engines(draw: st.DrawFn) -> tuple[list[Valve], list[DrawerShim]]:
    hundredths = st.integers(200, 300).map(lambda number: number / 100)
    valves = [
        Valve(
            f"v{number}",
            draw(st.integers(0, 60)) / 100,
            draw(hundredths),
            0.15,
            0.15 + draw(st.integers(4, 12)) / 100,
        )
        for number in range(draw(st.integers(1, 4)))
    ]
    drawer = draw(st.lists(st.builds(DrawerShim, hundredths, st.integers(0, 2)), max_size=3))
    return valves, drawer


def best_by_trying(valves: list[Valve], drawer: list[DrawerShim]) -> tuple[int, int, int]:
    """Valves without a shim, shims bought, and distance from the middle [0.1 µm], at best."""
    pieces = [valve.shim_mm for valve in valves]
    pieces += [shim.thickness_mm for shim in drawer for _ in range(shim.count)]
    best = (len(valves) + 1, 0, 0)

    def distance(valve: Valve, thickness: float) -> int | None:
        left = round((valve.clearance_mm + valve.shim_mm - thickness) * 1e4)
        low, high = round(valve.least_mm * 1e4), round(valve.most_mm * 1e4)
        return (abs(2 * left - low - high) + 1) // 2 if low <= left <= high else None

    bought = [
        [one for grade in range(20, 31) if (one := distance(valve, grade / 10)) is not None]
        for valve in valves
    ]
    for choice in product([*range(len(pieces)), -1], repeat=len(valves)):
        used = [piece for piece in choice if piece >= 0]
        if len(set(used)) < len(used):
            continue
        none = buys = off = 0
        for valve, piece, sold in zip(valves, choice, bought, strict=True):
            one = distance(valve, pieces[piece]) if piece >= 0 else min(sold, default=None)
            none += one is None
            buys += piece < 0 and one is not None
            off += one or 0
        best = min(best, (none, buys, off))
    return best


@given(engines())
def test_no_other_plan_of_shims_is_better(engine: tuple[list[Valve], list[DrawerShim]]) -> None:
    valves, drawer = engine
    plan = plan_shims(valves, drawer, GRADES)
    middle = {valve.name: (valve.least_mm + valve.most_mm) / 2 for valve in valves}
    off = sum(int(abs(one.clearance_mm - middle[one.valve]) * 1e4 + 0.6) for one in plan.assignments)
    bought = sum(shim.count for shim in plan.buy)
    assert (len(plan.impossible), bought, off) == best_by_trying(valves, drawer)
    at_hand = sorted(
        [valve.shim_mm for valve in valves]
        + [shim.thickness_mm for shim in drawer for _ in range(shim.count)]
    )
    for one in plan.assignments:
        limits = next(valve for valve in valves if valve.name == one.valve)
        assert limits.least_mm - 1e-9 <= one.clearance_mm <= limits.most_mm + 1e-9
        if one.origin is not ShimOrigin.BOUGHT:
            at_hand.remove(one.shim_mm)


def test_shims_may_change_places_and_each_says_where_it_comes_from() -> None:
    valves = [
        Valve("1", 0.10, 2.50, 0.15, 0.25),
        Valve("2", 0.30, 2.40, 0.15, 0.25),
        Valve("3", 0.2, 2.7, 0.15, 0.25),
    ]
    plan = plan_shims(valves, [], GRADES)
    assert [(one.valve, one.shim_mm, one.origin, one.of_valve) for one in plan.assignments] == [
        ("1", 2.40, ShimOrigin.OTHER_VALVE, "2"),
        ("2", 2.50, ShimOrigin.OTHER_VALVE, "1"),
        ("3", 2.70, ShimOrigin.STAYS, "3"),
    ]
    assert plan.buy == ()


def test_to_be_surer_it_buys_more() -> None:
    valves = [Valve("1", 0.16, 2.50, 0.15, 0.25)]
    easy = plan_shims(valves, [], GRADES, u_mm=0.01)
    assert easy.assignments[0].origin is ShimOrigin.STAYS
    assert easy.assignments[0].probability_within == pytest.approx(0.8413, abs=1e-4)
    finer = Grades(2.0, 3.0, 0.01)
    sure = plan_shims(valves, [], finer, u_mm=0.01, least_probability=0.95)
    assert sure.assignments[0].origin is ShimOrigin.BOUGHT
    assert (sure.assignments[0].probability_within or 0) > 0.95


def test_a_valve_that_no_shim_suits_is_named_and_the_others_served() -> None:
    valves = [Valve("1", 0.2, 2.5, 0.15, 0.25), Valve("2", 2.9, 2.5, 0.15, 0.25)]
    plan = plan_shims(valves, [], GRADES)
    assert [one.valve for one in plan.assignments] == ["1"]
    assert plan.impossible == (valves[1],)


def test_the_usual_grades_reach_what_the_valves_need() -> None:
    grades = usual_grades([Valve("1", 0.10, 2.50, 0.15, 0.25), Valve("2", 0.30, 2.40, 0.15, 0.25)])
    assert grades.thicknesses_mm() == (2.35, 2.40, 2.45, 2.50, 2.55)


def test_the_sheets_of_valves_and_drawer_are_read_with_their_units() -> None:
    (valve,) = read_valves(b"Valve,Clearance (in),Shim in,min (thou),max mm\n1 in,0.008,0.098,6,0.25\n")
    assert valve.name == "1 in"
    sizes = (valve.clearance_mm, valve.shim_mm, valve.least_mm, valve.most_mm)
    assert sizes == pytest.approx((0.2032, 2.4892, 0.1524, 0.25))
    plain = read_valves(b"valve;clearance_mm;shim_mm\n1;0,2;2,5\n", (0.15, 0.25))
    assert plain == (Valve("1", 0.2, 2.5, 0.15, 0.25),)
    aimed = read_valves(b"valve,clearance_mm,shim_mm,target_mm,tolerance_mm\n1,0.2,2.5,0.2,0.05\n")
    assert (aimed[0].least_mm, aimed[0].most_mm) == pytest.approx((0.15, 0.25))
    aimed = read_valves(b"valve,clearance_mm,shim_mm,target_mm\n1,0.2,2.5,0.2\n")
    assert (aimed[0].least_mm, aimed[0].most_mm) == pytest.approx((0.175, 0.225))
    assert read_drawer(b"shim_mm,count\n2.5,3\n") == (DrawerShim(2.5, 3),)
    assert read_drawer(b"thickness_mm\n2.5\n2.6\n") == (DrawerShim(2.5, 1), DrawerShim(2.6, 1))


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"valve,clearance_mm\n1,0.2\n", "Add shim to the first row"),
        (b"valve,clearance_mm,shim_mm\n1,0.2,2.5\n", "the columns min and max, or target"),
        (b"valve,clearance_mm,shim_mm,min\n1,0.2,2.5,0.1\n", "the columns min and max, or target"),
        (b"valve,clearance_mm,gap,shim,min,max\n1,1,1,1,1,1\n", "one column of clearance"),
        (b"valve,clearance,shim,min,max\n1,,2.5,0.15,0.25\n", "line 2 needs a number for the clearance"),
        (b"valve,clearance,shim,min,max\n1,0.2,thick,0.15,0.25\n", "line 2 needs a number for the shim"),
        (b"clearance,shim,min,max,valve\n0.2,2.5,0.15,0.25\n", "line 2 needs a name; nothing came"),
    ],
)
def test_a_sheet_of_valves_that_is_none_is_refused(data: bytes, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        read_valves(data)


@pytest.mark.parametrize(
    ("grades", "match"),
    [
        ((3.0, 2.0, 0.1), "the thinnest before the thickest"),
        ((2.0, 3.0, 0.0), "a step of 0.0001 mm or more"),
        ((2.0, 3.0, float("nan")), "a step of 0.0001 mm or more"),
        ((2.0, 20.0, 0.0001), "at most 10000 thicknesses; '180000' came"),
    ],
)
def test_grades_that_cannot_be_are_refused(grades: tuple[float, float, float], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        Grades(*grades)


def test_half_a_shim_is_refused() -> None:
    with pytest.raises(InvalidInput, match="a whole number of shims"):
        read_drawer(b"shim,count\n2.5,0.5\n")


@pytest.mark.parametrize(
    ("valve", "match"),
    [
        (Valve("1", 0.2, 2.5, 0.25, 0.15), "upside down"),
        (Valve("1", 8.0, 2.5, 0.15, 0.25), "a slipped decimal point, or inches"),
        (Valve("1", 0.2, 0.098, 0.15, 0.25), "inches need a heading"),
        (Valve("1", 0.2, 250, 0.15, 0.25), "a slipped decimal point"),
    ],
)
def test_a_slipped_reading_is_noticed(valve: Valve, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        plan_shims([valve], [], GRADES)


@pytest.mark.parametrize(
    ("options", "match"),
    [
        ({"u_mm": 0.0}, "uncertainty needs more than nothing"),
        ({"least_probability": 0.95}, "the uncertainty of a clearance beside it"),
        ({"u_mm": 0.01, "least_probability": 1.0}, "less than 1"),
    ],
)
def test_a_certainty_that_cannot_be_is_refused(options: dict[str, float], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        plan_shims([Valve("1", 0.2, 2.5, 0.15, 0.25)], [], GRADES, **options)


def test_a_valve_twice_and_none_at_all_are_refused() -> None:
    valve = Valve("1", 0.2, 2.5, 0.15, 0.25)
    with pytest.raises(InvalidInput, match="each valve once"):
        plan_shims([valve, valve], [], GRADES)
    with pytest.raises(InvalidInput, match="at least one"):
        plan_shims([], [], GRADES)
    with pytest.raises(InvalidInput, match="at least one"):
        usual_grades([])
