"""Which piston runs in which bore: every clearance as near the middle of its limits as that allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.assignment import CostTable, Matching, Pair, best_pairs
from runningfit.core.measurements.normal import normal_below
from runningfit.core.measurements.slips import slip_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_DRAWS = 20_000
# Any seed will do; the same one, so that the same readings give the same answer.
_SEED = 20
# Common practice, no source: no running fit is looser than a fiftieth of its size and a millimetre.
_LOOSEST_SHARE, _LOOSEST_MM = 0.02, 1.0
# Sizes are compared to a tenth of a micrometre, so that float dust makes no second best.
_PLACES = 4


@dataclass(frozen=True, slots=True)
class SizedPart:
    """A bore, or what shall run in one.

    Parameters
    ----------
    name : str
        What it is called.
    size_mm : float
        Its diameter [mm].
    own_u_mm : float
        The standard uncertainty that is its own [mm], without what it shares with the others.
    """

    name: str
    size_mm: float
    own_u_mm: float


@dataclass(frozen=True, slots=True)
class RunningPair:
    """One bore with what runs in it.

    Parameters
    ----------
    hole, shaft : str
        Their names.
    clearance_mm : float
        The clearance on diameter [mm].
    u_mm : float
        Its standard uncertainty [mm].
    off_middle_mm : float
        How far it lies from the middle of the limits [mm].
    probability_within : float
        That it lies within the limits [-].
    """

    hole: str
    shaft: str
    clearance_mm: float
    u_mm: float
    off_middle_mm: float
    probability_within: float


@dataclass(frozen=True, slots=True)
class RunningPairs:
    """The best pairing and the next.

    Parameters
    ----------
    best, second : tuple of RunningPair
        In the order of the bores; the second is empty where no other pairing exists.
    best_cost_mm, second_cost_mm : float or None
        By the aim: the largest distance from the middle, or the sum of all [mm].
    changed : tuple of str
        The bores that the second gives another partner.
    probability_best : float or None
        That the best is truly no worse than the second, whatever the readings err by; none without a second.
    left_over : tuple of str
        Who has no partner, where there are more of the one than of the other.
    """

    best: tuple[RunningPair, ...]
    second: tuple[RunningPair, ...]
    best_cost_mm: float
    second_cost_mm: float | None
    changed: tuple[str, ...]
    probability_best: float | None
    left_over: tuple[str, ...]


def running_pairs(
    holes: Sequence[SizedPart],
    shafts: Sequence[SizedPart],
    *,
    least_mm: float,
    most_mm: float,
    shared_u_mm: float = 0.0,
    bottleneck: bool = True,
) -> RunningPairs:
    """Pair bores with what runs in them.

    Parameters
    ----------
    holes, shafts : sequence of SizedPart
        The bores, and the pistons or journals.
    least_mm, most_mm : float
        The limits of the clearance on diameter [mm].
    shared_u_mm : float
        The standard uncertainty by which all clearances err together [mm].
    bottleneck : bool
        Whether the worst pair shall lie as near the middle as it can, and only then the sum of all; else the
        sum alone.

    Returns
    -------
    RunningPairs
        Proven best by that aim, with the next best.

    Raises
    ------
    InvalidInput
        None of the one or of the other, a name twice, limits upside down, or sizes that cannot run in each
        other.

    Notes
    -----
    Assignment over |clearance - middle| (see `best_pairs`). That the best is the better one is counted over
    20,000 draws of the readings' own errors, normal, and one shared by all.
    """
    _check(holes, shafts, least_mm, most_mm, shared_u_mm)
    middle_mm = (least_mm + most_mm) / 2
    costs = tuple(
        tuple(round(abs(hole.size_mm - shaft.size_mm - middle_mm), _PLACES) for shaft in shafts)
        for hole in holes
    )
    names = tuple(one.name for one in holes), tuple(one.name for one in shafts)
    found = best_pairs(CostTable(*names, costs), bottleneck=bottleneck)

    def told(pairs: Sequence[Pair]) -> tuple[RunningPair, ...]:
        by_hole, by_shaft = ({one.name: one for one in parts} for parts in (holes, shafts))
        return tuple(
            _pair(by_hole[one.row], by_shaft[one.column], least_mm, most_mm, shared_u_mm) for one in pairs
        )

    paired = {one.row for one in found.pairs}, {one.column for one in found.pairs}
    before = {one.row: one.column for one in found.pairs}
    return RunningPairs(
        told(found.pairs),
        told(found.second_pairs),
        found.largest if bottleneck else found.total,
        found.second_largest if bottleneck else found.second_total,
        tuple(one.row for one in found.second_pairs if before.get(one.row) != one.column),
        _probability(found, holes, shafts, middle_mm, shared_u_mm, bottleneck),
        tuple(
            name for all_of, some in zip(names, paired, strict=True) for name in all_of if name not in some
        ),
    )


def _pair(hole: SizedPart, shaft: SizedPart, least: float, most: float, shared_u: float) -> RunningPair:
    clearance = hole.size_mm - shaft.size_mm
    u = sqrt(hole.own_u_mm**2 + shaft.own_u_mm**2 + shared_u**2)
    within = (
        normal_below((most - clearance) / u) - normal_below((least - clearance) / u)
        if u > 0
        else float(least <= clearance <= most)
    )
    return RunningPair(
        hole.name, shaft.name, clearance, u, round(abs(clearance - (least + most) / 2), _PLACES), within
    )


def _probability(
    found: Matching,
    holes: Sequence[SizedPart],
    shafts: Sequence[SizedPart],
    middle_mm: float,
    shared_u_mm: float,
    bottleneck: bool,
) -> float | None:
    """How often the best is no worse than the second when the readings err as they may."""
    if not found.second_pairs:
        return None
    import numpy

    draw = numpy.random.default_rng(_SEED)
    moved = draw.standard_normal((_DRAWS, 1)) * shared_u_mm
    sizes = [
        numpy.array([one.size_mm for one in parts])
        + draw.standard_normal((_DRAWS, len(parts))) * numpy.array([one.own_u_mm for one in parts])
        for parts in (holes, shafts)
    ]
    row_at, column_at = ({one.name: at for at, one in enumerate(parts)} for parts in (holes, shafts))

    def off(pairs: Sequence[Pair]) -> NDArray[np.float64]:
        rows = [row_at[one.row] for one in pairs]
        columns = [column_at[one.column] for one in pairs]
        distances = numpy.abs(sizes[0][:, rows] - sizes[1][:, columns] + moved - middle_mm)
        summed: NDArray[np.float64] = distances.max(axis=1) if bottleneck else distances.sum(axis=1)
        return summed

    # Where both pairings share their worst pair they are equal, but for the last bits of a float.
    return float(numpy.mean(off(found.pairs) <= off(found.second_pairs) + 1e-9))


def _check(
    holes: Sequence[SizedPart], shafts: Sequence[SizedPart], least: float, most: float, shared_u: float
) -> None:
    for parts, what in ((holes, "bores"), (shafts, "parts that run in them")):
        if not parts or len({one.name for one in parts}) < len(parts):
            raise InvalidInput(
                what, needs="at least one, each under its own name", came=", ".join(o.name for o in parts)
            )
    if not (isfinite(least) and isfinite(most) and least < most):
        raise InvalidInput(
            "limits", needs="the least clearance below the largest", came=f"{least:g} to {most:g} mm",
            remedy="They may be upside down.",
        )  # fmt: skip
    if not all(isfinite(u) and u >= 0 for u in (shared_u, *(one.own_u_mm for one in (*holes, *shafts)))):
        raise InvalidInput("uncertainty", needs="finite figures that are not negative", came="others")
    for hole in holes:
        for shaft in shafts:
            apart = abs(hole.size_mm - shaft.size_mm)
            if apart > max(_LOOSEST_MM, _LOOSEST_SHARE * hole.size_mm):
                slip = slip_of(shaft.size_mm, hole.size_mm)
                raise InvalidInput(
                    f"{hole.name} and {shaft.name}", needs="sizes that run in each other",
                    came=f"{hole.size_mm:g} and {shaft.size_mm:g} mm",
                    remedy=f"Was one of them {slip}?" if slip else "Check units and decimals.",
                )  # fmt: skip
