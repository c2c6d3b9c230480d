"""Which grade of shell for which journal, so that each clearance lies nearest to the middle of its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.ranges import NormalAndRanges

# Common practice, no source: no shell of an engine is thicker than this, and none thinner.
_THINNEST_MM, _THICKEST_MM = 0.5, 20.0


@dataclass(frozen=True, slots=True)
class SizeBand:
    """A size as measured, or as a code stamped on a block or crank tells it.

    Parameters
    ----------
    low_mm, high_mm : float
        The limits of its code [mm]; alike where it was measured.
    u_mm : float
        The standard uncertainty of the reading [mm]; 0 where a code tells it.
    """

    low_mm: float
    high_mm: float
    u_mm: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.low_mm <= self.high_mm or self.u_mm < 0:
            raise InvalidInput(
                "size", needs="the least before the largest, and an uncertainty that is not negative",
                came=f"{self.low_mm:g} to {self.high_mm:g} mm, u {self.u_mm:g} mm",
            )  # fmt: skip
        if self.low_mm == self.high_mm and self.u_mm == 0:
            raise InvalidInput(
                "uncertainty", needs="more than nothing for a size that was measured", came="0",
                remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
            )  # fmt: skip

    @property
    def middle_mm(self) -> float:
        """The middle [mm]."""
        return (self.low_mm + self.high_mm) / 2

    @property
    def half_mm(self) -> float:
        """Half of the width of its code [mm]."""
        return (self.high_mm - self.low_mm) / 2


@dataclass(frozen=True, slots=True)
class ShellPlace:
    """A journal with the housing that carries it.

    Parameters
    ----------
    name : str
        What it is called, such as `main 2`.
    housing : SizeBand
        The bore of the housing without shells.
    journal : SizeBand
        The journal.
    shared_u_mm : float
        The standard uncertainty of what both readings share and what therefore cancels [mm]: it is part of
        each of their uncertainties.
    """

    name: str
    housing: SizeBand
    journal: SizeBand
    shared_u_mm: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.shared_u_mm <= min(self.housing.u_mm, self.journal.u_mm):
            raise InvalidInput(
                f"shared uncertainty of {self.name}",
                needs="0 to the smaller one of housing and journal",
                came=f"{self.shared_u_mm:g} mm",
            )

    @property
    def u_mm(self) -> float:
        """The standard uncertainty of housing less journal [mm]."""
        own = self.housing.u_mm**2 + self.journal.u_mm**2 - 2 * self.shared_u_mm**2
        return sqrt(max(0.0, own))


@dataclass(frozen=True, slots=True)
class ShellGrade:
    """A grade of shells.

    Parameters
    ----------
    name : str
        Its colour, letter or number.
    low_mm, high_mm : float
        The limits of the thickness of one shell [mm].
    """

    name: str
    low_mm: float
    high_mm: float

    def __post_init__(self) -> None:
        if not _THINNEST_MM <= self.low_mm <= self.high_mm <= _THICKEST_MM:
            raise InvalidInput(
                f"shell grade {self.name}",
                needs=f"a thickness from {_THINNEST_MM:g} to {_THICKEST_MM:g} mm, the least first",
                came=f"{self.low_mm:g} to {self.high_mm:g} mm",
                remedy="Check the decimal point, the unit and the order.",
            )


@dataclass(frozen=True, slots=True)
class ShellChoice:
    """Shells in one place.

    Parameters
    ----------
    place : str
        The place.
    upper, lower : str
        The grades of both shells; alike unless mixed pairs are allowed.
    clearance_mm : float
        The middle of the clearance that they leave [mm].
    low_mm, high_mm : float
        The clearance with all sizes at their bad ends and three standard uncertainties of the readings
        beside them [mm].
    probability_within : float
        That it lies within its limits [-].
    """

    place: str
    upper: str
    lower: str
    clearance_mm: float
    low_mm: float
    high_mm: float
    probability_within: float


@dataclass(frozen=True, slots=True)
class ShellPlan:
    """Shells for all journals.

    Parameters
    ----------
    choices : tuple of ShellChoice
        The best of each place, in the order of the places.
    second_best : tuple of ShellChoice or None
        The next best of each place; none where there is only one.
    impossible : tuple of str
        The places where no grade brings the middle of the clearance within its limits.
    """

    choices: tuple[ShellChoice, ...]
    second_best: tuple[ShellChoice | None, ...]
    impossible: tuple[str, ...]


def choose_shells(
    shell_places: Sequence[ShellPlace],
    shell_grades: Sequence[ShellGrade],
    bounds: Bounds,
    *,
    mixed: bool = False,
) -> ShellPlan:
    """Choose the grade of shells for each journal.

    Parameters
    ----------
    shell_places : sequence of ShellPlace
        Housings and journals, measured or by their codes.
    shell_grades : sequence of ShellGrade
        The grades that there are.
    bounds : Bounds
        The least and the largest clearance [mm].
    mixed : bool
        Whether the two shells of a place may be of neighbouring grades.

    Returns
    -------
    ShellPlan
        Each place with the grade whose clearance lies nearest to the middle of its limits; a place whose best
        still lies outside is in `impossible` and keeps its nearest choice in `choices`.

    Raises
    ------
    InvalidInput
        No places, no grades, a name twice, or only one limit.

    Notes
    -----
    Clearance = housing - upper - lower - journal, the shells as thick at their crowns as their grade says,
    crush left out. Thicknesses and codes lie evenly between their limits, readings normally.
    """
    if bounds.lower is None or bounds.upper is None:
        raise InvalidInput("limits", needs="a least and a largest clearance", came="one of them")
    _check(shell_places, shell_grades)
    middle_mm = (bounds.lower + bounds.upper) / 2
    pairs = _pairs(shell_grades, mixed=mixed)
    choices, seconds, impossible = [], list[ShellChoice | None](), []
    for place in shell_places:
        ranked = sorted(
            (_choice(place, *pair, bounds) for pair in pairs),
            key=lambda one: (round(abs(one.clearance_mm - middle_mm), 7), one.upper != one.lower),
        )
        choices.append(ranked[0])
        seconds.append(ranked[1] if len(ranked) > 1 else None)
        if not bounds.holds(ranked[0].clearance_mm):
            impossible.append(place.name)
    return ShellPlan(tuple(choices), tuple(seconds), tuple(impossible))


def _pairs(grades: Sequence[ShellGrade], *, mixed: bool) -> list[tuple[ShellGrade, ShellGrade]]:
    alike = [(one, one) for one in grades]
    by_thickness = sorted(grades, key=lambda one: one.low_mm + one.high_mm)
    return [*alike, *(pairwise(by_thickness) if mixed else ())]


def _choice(place: ShellPlace, upper: ShellGrade, lower: ShellGrade, limits: Bounds) -> ShellChoice:
    shells = [SizeBand(one.low_mm, one.high_mm) for one in (upper, lower)]
    sizes = (place.housing, *shells, place.journal)
    middle_mm = place.housing.middle_mm - sum(one.middle_mm for one in shells) - place.journal.middle_mm
    spread = NormalAndRanges(middle_mm, place.u_mm, tuple(one.half_mm for one in sizes))
    low, high = limits.ends
    reach = sum(one.half_mm for one in sizes) + 3 * place.u_mm
    within = spread.below(high) - spread.below(low)
    return ShellChoice(
        place.name, upper.name, lower.name, middle_mm, middle_mm - reach, middle_mm + reach, within
    )


def _check(places: Sequence[ShellPlace], grades: Sequence[ShellGrade]) -> None:
    named = {"places": [one.name for one in places], "grades": [one.name for one in grades]}
    for what, names in named.items():
        if not names:
            raise InvalidInput(what, needs="at least one", came="none")
        twice = [name for name in names if names.count(name) > 1]
        if twice:
            raise InvalidInput(what, needs="each name once", came=twice[0])
    for one in places:
        room_mm = (one.housing.middle_mm - one.journal.middle_mm) / 2
        if not _THINNEST_MM <= room_mm <= _THICKEST_MM:
            raise InvalidInput(
                one.name, needs=f"room for a shell of {_THINNEST_MM:g} to {_THICKEST_MM:g} mm on each side",
                came=f"housing {one.housing.middle_mm:g} and journal {one.journal.middle_mm:g} mm",
                remedy="Check the units and which is which.",
            )  # fmt: skip
