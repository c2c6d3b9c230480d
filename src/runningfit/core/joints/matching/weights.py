"""Parts that are weighed together, such as pistons on rods: paired so that the least metal is taken off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.sheets import find_columns, name_in, read_sheet, size_in
from runningfit.core.measurements.slips import odd_one

_TICKS_PER_G = 1000
# Parts of one sort that differ by more than this share are not of one sort, or one was misread.
_MOST_APART = 0.5
_COLUMNS = {
    "name": ("name", "part", "number", "rod", "piston"),
    "weight": ("weight g", "weight", "grams", "g"),
    "removable": ("removable g", "removable", "spare g", "may lose g"),
}


@dataclass(frozen=True, slots=True)
class WeighedPart:
    """A part on the scale.

    Parameters
    ----------
    name : str
        What it is called.
    weight_g : float
        Its weight [g].
    removable_g : float
        How much metal may be taken off it [g].
    """

    name: str
    weight_g: float
    removable_g: float


@dataclass(frozen=True, slots=True)
class WeighedPair:
    """Two parts that go together.

    Parameters
    ----------
    one, other : str
        Their names.
    weight_g : float
        What they weigh together now [g].
    off_one_g, off_other_g : float
        What is to be taken off each [g]; the one with more to spare gives first.
    """

    one: str
    other: str
    weight_g: float
    off_one_g: float
    off_other_g: float


@dataclass(frozen=True, slots=True)
class WeightPlan:
    """Pairs that end at one weight.

    Parameters
    ----------
    pairs : tuple of WeighedPair
        In the order of the first parts.
    target_g : float
        The weight of the lightest pair [g]; the others are brought to at most the tolerance above it.
    removed_g : float
        What is taken off in all [g].
    spread_before_g : float
        Heaviest less lightest pair before anything is taken off [g].
    """

    pairs: tuple[WeighedPair, ...]
    target_g: float
    removed_g: float
    spread_before_g: float


def read_weighed_parts(data: bytes, name: str) -> tuple[WeighedPart, ...]:
    """Read a sheet of weighed parts.

    Parameters
    ----------
    data : bytes
        A CSV file with the columns name, weight_g and, where metal may be taken off, removable_g.
    name : str
        What the file is, for messages.

    Returns
    -------
    tuple of WeighedPart
        The parts.

    Raises
    ------
    InvalidInput
        A column or a cell is missing.
    """
    rows = read_sheet(data, name)
    columns = find_columns(rows[0], name, _COLUMNS, frozenset({"removable"}))
    spare = columns.get("removable")
    return tuple(
        WeighedPart(
            name_in(row, columns["name"], name),
            size_in(row, columns["weight"], name, "weight"),
            0.0 if spare is None else size_in(row, spare, name, "metal that may be taken off"),
        )
        for row in rows[1:]
    )


def pair_by_weight(
    first_parts: Sequence[WeighedPart], other_parts: Sequence[WeighedPart], tolerance_g: float
) -> WeightPlan | None:
    """Pair two sorts of parts so that all pairs weigh alike with the least metal taken off.

    Parameters
    ----------
    first_parts, other_parts : sequence of WeighedPart
        As many of the one as of the other.
    tolerance_g : float
        By how much the pairs may differ afterwards [g].

    Returns
    -------
    WeightPlan or None
        Proven least; none where no pairing stays within what may be taken off.

    Raises
    ------
    InvalidInput
        The numbers differ, a name stands twice, or a weight cannot be.

    Notes
    -----
    Metal is only taken off, so the lightest pair sets the target T, and a pair of weight w gives max(0, w - T
    - tolerance). For each T that some pair weighs, heaviest first, the pairs allowed weigh at least T and
    have the metal to reach T + tolerance; among them one assignment (scipy's linear_sum_assignment) has the
    least removed.
    """
    _check(first_parts, other_parts, tolerance_g)
    ticks = [[round((a.weight_g + b.weight_g) * _TICKS_PER_G) for b in other_parts] for a in first_parts]
    room = [[round((a.removable_g + b.removable_g) * _TICKS_PER_G) for b in other_parts] for a in first_parts]
    slack = round(tolerance_g * _TICKS_PER_G)
    found = _least_removed(ticks, room, slack)
    if found is None:
        return None
    together = [ticks[row][column] for row, column in enumerate(found)]
    target = min(together)
    pairs = []
    for (row, column), weight in zip(enumerate(found), together, strict=True):
        off = max(0, weight - target - slack) / _TICKS_PER_G
        one, other = first_parts[row], other_parts[column]
        from_one = min(off, one.removable_g) if one.removable_g >= other.removable_g else 0.0
        from_other = min(off - from_one, other.removable_g)
        from_one = off - from_other
        pairs.append(WeighedPair(one.name, other.name, weight / _TICKS_PER_G, from_one, from_other))
    return WeightPlan(
        tuple(pairs),
        target / _TICKS_PER_G,
        sum(pair.off_one_g + pair.off_other_g for pair in pairs),
        (max(together) - target) / _TICKS_PER_G,
    )


def _least_removed(ticks: list[list[int]], room: list[list[int]], slack: int) -> list[int] | None:
    """The partner of each first part; none where the metal does not suffice."""
    import numpy
    from scipy.optimize import linear_sum_assignment

    weights, spare = numpy.array(ticks), numpy.array(room)
    # Every pairing weighs the same in all.
    all_together = int(weights.diagonal().sum())
    best: list[int] | None = None
    least = float("inf")
    for target in numpy.unique(weights)[::-1]:
        if all_together - len(ticks) * (int(target) + slack) >= least:
            break
        off = numpy.maximum(weights - target - slack, 0)
        allowed = (weights >= target) & (off <= spare)
        try:
            rows, columns = linear_sum_assignment(numpy.where(allowed, off.astype(float), numpy.inf))
        except ValueError:
            # No pairing is allowed at this target.
            continue
        removed = float(off[rows, columns].sum())
        if removed < least:
            least, best = removed, [int(column) for column in columns]
    return best


def _check(
    first_parts: Sequence[WeighedPart], other_parts: Sequence[WeighedPart], tolerance_g: float
) -> None:
    if not first_parts or len(first_parts) != len(other_parts):
        raise InvalidInput(
            "parts", needs="as many of the one as of the other",
            came=f"{len(first_parts)} and {len(other_parts)}",
        )  # fmt: skip
    for parts in (first_parts, other_parts):
        if len({part.name for part in parts}) < len(parts):
            raise InvalidInput("parts", needs="each part once", came=", ".join(part.name for part in parts))
        for part in parts:
            if not (isfinite(part.weight_g) and 0 <= part.removable_g < part.weight_g):
                raise InvalidInput(
                    f"part {part.name}", needs="a weight, and less than that to take off",
                    came=f"{part.weight_g:g} g and {part.removable_g:g} g",
                )  # fmt: skip
        odd = odd_one([part.weight_g for part in parts], _MOST_APART)
        if odd is not None:
            index, usual_g, slip = odd
            raise InvalidInput(
                f"part {parts[index].name}", needs=f"a weight about as the others, {usual_g:.5g} g",
                came=f"{parts[index].weight_g:.5g} g", remedy=f"Was it {slip or 'misread'}? Weigh it again.",
            )  # fmt: skip
    if not (isfinite(tolerance_g) and tolerance_g >= 0):
        raise InvalidInput("tolerance", needs="not less than nothing", came=f"{tolerance_g:g} g")
