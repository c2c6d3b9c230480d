"""Weighed pairs lose the least metal there is to lose: every other pairing is tried on small cases."""

from __future__ import annotations

from itertools import permutations
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.weights import WeighedPart, pair_by_weight, read_weighed_parts

PARTS = st.lists(
    st.builds(WeighedPart, st.just("x"), st.integers(600, 620).map(float), st.integers(0, 8).map(float)),
    min_size=4,
    max_size=4,
)


def named(parts: list[WeighedPart], letter: str) -> list[WeighedPart]:
    return [
        WeighedPart(f"{letter}{number}", part.weight_g, part.removable_g) for number, part in enumerate(parts)
    ]


@given(PARTS, PARTS, st.integers(0, 3).map(float))
def test_no_other_pairing_takes_off_less(
    rods: list[WeighedPart], pistons: list[WeighedPart], tolerance_g: float
) -> None:
    rods, pistons = named(rods, "r"), named(pistons, "p")
    least = inf
    for order in permutations(pistons):
        pairs = [
            (rod.weight_g + one.weight_g, rod.removable_g + one.removable_g)
            for rod, one in zip(rods, order, strict=True)
        ]
        target = min(weight for weight, _ in pairs)
        off = [max(0.0, weight - target - tolerance_g) for weight, _ in pairs]
        if all(one <= room for one, (_, room) in zip(off, pairs, strict=True)):
            least = min(least, sum(off))
    plan = pair_by_weight(rods, pistons, tolerance_g)
    assert (inf if plan is None else plan.removed_g) == pytest.approx(least)
    if plan is not None:
        spare = {part.name: part.removable_g for part in (*rods, *pistons)}
        after = [pair.weight_g - pair.off_one_g - pair.off_other_g for pair in plan.pairs]
        assert max(after) - min(after) <= tolerance_g + 1e-9
        assert all(0 <= pair.off_one_g <= spare[pair.one] + 1e-9 for pair in plan.pairs)
        assert all(0 <= pair.off_other_g <= spare[pair.other] + 1e-9 for pair in plan.pairs)


def test_weighed_parts_are_read_and_slips_refused() -> None:
    parts = read_weighed_parts(b"name,weight_g,removable_g\nA,612.5,5\n", "Rods")
    assert parts == (WeighedPart("A", 612.5, 5.0),)
    assert read_weighed_parts(b"name,weight_g\nA,612.5\n", "Rods") == (WeighedPart("A", 612.5, 0.0),)
    with pytest.raises(InvalidInput, match=r"the columns name, weight_g; 'a, b' came\. Add name, weight_g"):
        read_weighed_parts(b"a,b\n1,2\n", "Rods")
    with pytest.raises(InvalidInput, match="as many of the one"):
        pair_by_weight(parts, [], 1.0)
    with pytest.raises(InvalidInput, match="each part once"):
        pair_by_weight(parts * 2, parts * 2, 1.0)
    with pytest.raises(InvalidInput, match="less than that to take off"):
        pair_by_weight([WeighedPart("A", 5.0, 6.0)], parts, 1.0)
    with pytest.raises(InvalidInput, match="tolerance needs not less than nothing"):
        pair_by_weight(parts, parts, -1.0)
    with pytest.raises(InvalidInput, match="line 2 needs a name"):
        read_weighed_parts(b"weight_g,name\n612.5\n", "Rods")
    four = [WeighedPart(str(index), weight, 5.0) for index, weight in enumerate((612.0, 613.0, 61.4, 611.0))]
    with pytest.raises(
        InvalidInput, match=r"part 2 needs a weight about as the others, 612 g; .* slipped decimal"
    ):
        pair_by_weight(four, four, 1.0)
