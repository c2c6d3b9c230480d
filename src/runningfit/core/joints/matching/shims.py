"""Shims to valves: from the drawer first, bought least, each clearance as near the middle as that allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# A clearance is compared to a tenth of a micrometre, so that sums of decimals meet their limits.
_TICKS_PER_MM = 10_000
# Common practice, no source: shims are sold in steps of 0.05 mm.
USUAL_STEP_MM = 0.05
_MOST_GRADES = 10_000


class ShimOrigin(StrEnum):
    """Where a shim comes from."""

    STAYS = "stays"
    OTHER_VALVE = "another valve"
    DRAWER = "drawer"
    BOUGHT = "bought"


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve with the shim that is under it.

    Parameters
    ----------
    name : str
        What it is called.
    clearance_mm : float
        Its clearance now [mm].
    shim_mm : float
        Thickness of the shim that it was measured with [mm].
    least_mm, most_mm : float
        Limits of the clearance [mm].
    """

    name: str
    clearance_mm: float
    shim_mm: float
    least_mm: float
    most_mm: float

    def clearance_with_mm(self, thickness_mm: float) -> float:
        """The clearance with another shim [mm]: a thicker one leaves less."""
        return self.clearance_mm + self.shim_mm - thickness_mm


@dataclass(frozen=True, slots=True)
class DrawerShim:
    """Shims of one thickness in the drawer.

    Parameters
    ----------
    thickness_mm : float
        Their thickness [mm].
    count : int
        How many there are.
    """

    thickness_mm: float
    count: int


@dataclass(frozen=True, slots=True)
class Grades:
    """The thicknesses that can be bought.

    Parameters
    ----------
    first_mm, last_mm : float
        Thinnest and thickest [mm].
    step_mm : float
        Step between two [mm].

    Raises
    ------
    InvalidInput
        They are upside down, have no step, or are too many.
    """

    first_mm: float
    last_mm: float
    step_mm: float

    def __post_init__(self) -> None:
        if not (0 < self.first_mm <= self.last_mm and self.step_mm >= 1 / _TICKS_PER_MM):
            raise InvalidInput(
                "grades", needs="the thinnest before the thickest, and a step of 0.0001 mm or more",
                came=f"{self.first_mm:g} to {self.last_mm:g} mm by {self.step_mm:g} mm",
            )  # fmt: skip
        if self.last_mm - self.first_mm > _MOST_GRADES * self.step_mm:
            raise InvalidInput(
                "grades", needs=f"at most {_MOST_GRADES} thicknesses",
                came=f"{(self.last_mm - self.first_mm) / self.step_mm:.0f}",
                remedy="Look for a slipped decimal point.",
            )  # fmt: skip

    def thicknesses_mm(self) -> tuple[float, ...]:
        """All of them [mm], from the thinnest."""
        steps = floor((self.last_mm - self.first_mm) / self.step_mm + 1e-6)
        return tuple(round(self.first_mm + number * self.step_mm, 6) for number in range(steps + 1))


@dataclass(frozen=True, slots=True)
class ShimAssignment:
    """The shim of one valve.

    Parameters
    ----------
    valve : str
        The valve.
    shim_mm : float
        Its shim [mm].
    origin : ShimOrigin
        Where it comes from.
    of_valve : str
        The valve under which it is now, where it is under one.
    clearance_mm : float
        The clearance that it will leave [mm].
    probability_within : float or None
        That this lies within the limits, where the uncertainty was told.
    """

    valve: str
    shim_mm: float
    origin: ShimOrigin
    of_valve: str
    clearance_mm: float
    probability_within: float | None


@dataclass(frozen=True, slots=True)
class ShimPlan:
    """Shims for all valves.

    Parameters
    ----------
    assignments : tuple of ShimAssignment
        In the order of the valves.
    buy : tuple of DrawerShim
        What is to be bought.
    impossible : tuple of Valve
        The valves that no shim suits, neither at hand nor on sale.
    """

    assignments: tuple[ShimAssignment, ...]
    buy: tuple[DrawerShim, ...]
    impossible: tuple[Valve, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """One shim at hand, or one that may be bought."""

    thickness_mm: float
    origin: ShimOrigin
    of_valve: str = ""


@dataclass(frozen=True, slots=True)
class _Judge:
    """How a clearance is held against its limits."""

    u_mm: float | None
    least_probability: float

    def __post_init__(self) -> None:
        if self.u_mm is not None and not self.u_mm > 0:
            raise InvalidInput("uncertainty", needs="more than nothing", came=f"{self.u_mm:g} mm")
        if not 0 <= self.least_probability < 1 or (self.least_probability and self.u_mm is None):
            raise InvalidInput(
                "probability",
                needs="0 or more, less than 1, and the uncertainty of a clearance beside it",
                came=f"{self.least_probability:g}",
            )

    def within(self, valve: Valve, clearance_mm: float) -> float | None:
        """The probability that a clearance lies within the limits; none without an uncertainty."""
        if self.u_mm is None:
            return None
        return normal_below((valve.most_mm - clearance_mm) / self.u_mm) - normal_below(
            (valve.least_mm - clearance_mm) / self.u_mm
        )

    def off_middle(self, valve: Valve, thickness_mm: float) -> int | None:
        """How far from the middle of its limits a shim leaves the clearance, in ticks; none if unsuited."""
        clearance = round(valve.clearance_with_mm(thickness_mm) * _TICKS_PER_MM)
        least, most = round(valve.least_mm * _TICKS_PER_MM), round(valve.most_mm * _TICKS_PER_MM)
        sure = self.within(valve, clearance / _TICKS_PER_MM)
        if not least <= clearance <= most or (sure is not None and sure < self.least_probability):
            return None
        # A middle between two ticks counts as the further one.
        return (abs(2 * clearance - least - most) + 1) // 2


def usual_grades(valves: Sequence[Valve]) -> Grades:
    """Give the grades that are usually sold, around what these valves need.

    Parameters
    ----------
    valves : sequence of Valve
        The valves.

    Returns
    -------
    Grades
        In steps of 0.05 mm (common practice, no source).

    Raises
    ------
    InvalidInput
        There are no valves.
    """
    if not valves:
        raise InvalidInput("valves", needs="at least one", came="none")
    needs = [valve.clearance_with_mm(limit) for valve in valves for limit in (valve.least_mm, valve.most_mm)]
    first = max(1, floor(min(needs) / USUAL_STEP_MM)) * USUAL_STEP_MM
    return Grades(first, max(first, ceil(max(needs) / USUAL_STEP_MM) * USUAL_STEP_MM), USUAL_STEP_MM)


def plan_shims(
    valves: Sequence[Valve],
    drawer: Sequence[DrawerShim],
    grades: Grades,
    *,
    u_mm: float | None = None,
    least_probability: float = 0.0,
) -> ShimPlan:
    """Choose a shim for each valve.

    Parameters
    ----------
    valves : sequence of Valve
        The valves with the shims under them, which may change places.
    drawer : sequence of DrawerShim
        What lies in the drawer.
    grades : Grades
        What can be bought.
    u_mm : float or None
        Standard uncertainty of a clearance after the change [mm], where told.
    least_probability : float
        A shim suits only if the clearance lies within the limits at least so probably; 0 asks for no more
        than the limits.

    Returns
    -------
    ShimPlan
        Proven: no other plan leaves fewer valves without a shim; of those none buys fewer shims; of those
        none has a smaller sum of distances from the middle of the limits; of those none moves fewer shims.

    Raises
    ------
    InvalidInput
        A valve or a shim cannot be, or a name stands twice.

    Notes
    -----
    One assignment problem: each valve takes one piece at hand, or one of its own to buy; the aims, one below
    the other, are digits of one whole number, so that its least is exact (scipy's linear_sum_assignment).
    """
    _check(valves, drawer)
    judge = _Judge(u_mm, least_probability)
    from scipy.optimize import linear_sum_assignment

    at_hand = [_Piece(valve.shim_mm, ShimOrigin.OTHER_VALVE, valve.name) for valve in valves]
    at_hand += [
        _Piece(shim.thickness_mm, ShimOrigin.DRAWER)
        for shim in drawer
        for _ in range(min(shim.count, len(valves)))
    ]
    to_buy = [_best_bought(valve, grades, judge) for valve in valves]
    columns = linear_sum_assignment(_costs(valves, at_hand, to_buy, judge))[1]
    assignments, bought, impossible = [], dict[float, int](), []
    for row, (valve, column) in enumerate(zip(valves, columns, strict=True)):
        piece = at_hand[column] if column < len(at_hand) else to_buy[row]
        if piece is None or judge.off_middle(valve, piece.thickness_mm) is None:
            impossible.append(valve)
            continue
        if piece.origin is ShimOrigin.BOUGHT:
            bought[piece.thickness_mm] = bought.get(piece.thickness_mm, 0) + 1
        clearance_mm = valve.clearance_with_mm(piece.thickness_mm)
        within = judge.within(valve, clearance_mm)
        origin = ShimOrigin.STAYS if piece.of_valve == valve.name else piece.origin
        assignments.append(
            ShimAssignment(valve.name, piece.thickness_mm, origin, piece.of_valve, clearance_mm, within)
        )
    buy = tuple(DrawerShim(thickness, count) for thickness, count in sorted(bought.items()))
    return ShimPlan(tuple(assignments), buy, tuple(impossible))


def _costs(
    valves: Sequence[Valve], at_hand: Sequence[_Piece], to_buy: Sequence[_Piece | None], judge: _Judge
) -> NDArray[np.float64]:
    import numpy

    count = len(valves)
    widest = max((valve.most_mm - valve.least_mm) / 2 for valve in valves) * _TICKS_PER_MM
    moved, off = 1, count + 1
    buying = off * (count * (ceil(widest) + 1) + 1)
    nothing = buying * (count + 1)
    # All of these are whole numbers; floats count exactly to 2^53, which 10,000 valves do not reach.
    costs = numpy.full((count, len(at_hand) + 2 * count), numpy.inf)
    for row, valve in enumerate(valves):
        for column, piece in enumerate(at_hand):
            ticks = judge.off_middle(valve, piece.thickness_mm)
            if ticks is not None:
                costs[row, column] = ticks * off + (0 if piece.of_valve == valve.name else moved)
        bought = to_buy[row]
        if bought is not None:
            costs[row, len(at_hand) + row] = (
                buying + (judge.off_middle(valve, bought.thickness_mm) or 0) * off + moved
            )
        costs[row, len(at_hand) + count + row] = nothing
    return costs


def _best_bought(valve: Valve, grades: Grades, judge: _Judge) -> _Piece | None:
    suited = [
        (ticks, thickness)
        for thickness in grades.thicknesses_mm()
        if (ticks := judge.off_middle(valve, thickness)) is not None
    ]
    return _Piece(min(suited)[1], ShimOrigin.BOUGHT) if suited else None


def _check(valves: Sequence[Valve], drawer: Sequence[DrawerShim]) -> None:
    if not valves:
        raise InvalidInput("valves", needs="at least one", came="none")
    seen: set[str] = set()
    for valve in valves:
        if valve.name in seen:
            raise InvalidInput("valves", needs="each valve once", came=valve.name)
        seen.add(valve.name)
        if not 0 <= valve.least_mm < valve.most_mm:
            raise InvalidInput(
                f"valve {valve.name}", needs="the least clearance below the largest",
                came=f"{valve.least_mm:g} to {valve.most_mm:g} mm", remedy="The limits may be upside down.",
            )  # fmt: skip
        # Beyond these a reading has slipped: a clearance of the trade is tenths, a shim millimetres.
        if not 0 <= valve.clearance_mm <= 3:
            raise InvalidInput(
                f"valve {valve.name}", needs="a clearance from 0 to 3 mm", came=f"{valve.clearance_mm:g} mm",
                remedy="Look for a slipped decimal point, or inches under a heading of mm.",
            )  # fmt: skip
        _check_thickness(valve.shim_mm, f"valve {valve.name}")
    for shim in drawer:
        _check_thickness(shim.thickness_mm, "drawer")
        if shim.count < 0:
            raise InvalidInput("drawer", needs="a count of 0 or more", came=shim.count)


def _check_thickness(thickness_mm: float, where: str) -> None:
    if not 0.3 <= thickness_mm <= 20:
        raise InvalidInput(
            where, needs="a shim from 0.3 to 20 mm thick", came=f"{thickness_mm:g} mm",
            remedy="Look for a slipped decimal point; inches need a heading such as shim_in.",
        )  # fmt: skip
