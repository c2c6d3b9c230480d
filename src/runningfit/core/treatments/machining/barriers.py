"""What forbids a step: the wall that must be left, the hardened layer, and the maker's largest size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.decision import percent
from runningfit.core.measurements.normal import normal_below
from runningfit.core.treatments.machining.cutting import Cutting
from runningfit.core.treatments.machining.readings import Readings
from runningfit.core.units.said_lengths import SaidLength
from runningfit.core.verdicts import Caution, Reason


@dataclass(frozen=True, slots=True)
class Wall:
    """The wall of a bore where it is thinnest.

    Parameters
    ----------
    name : str
        The bore.
    thickness_mm, u_mm : float
        What was measured from the present surface, and its standard uncertainty, more than nothing [mm].
    least_mm : float
        What must be left [mm].
    source : str
        Where the least stands.
    """

    name: str
    thickness_mm: float
    u_mm: float
    least_mm: float
    source: str = ""

    def __post_init__(self) -> None:
        _check_layer(f"wall of bore {self.name}", self.thickness_mm, self.u_mm, self.least_mm)


@dataclass(frozen=True, slots=True)
class Case:
    """The hardened layer of a journal.

    Parameters
    ----------
    depth_mm, u_mm : float
        How deep it was made below the original surface, and its standard uncertainty [mm].
    least_mm : float
        What must be left of it [mm].
    nitrided : bool
        Whether it is nitrided, which is thin.
    source : str
        Where these stand.
    """

    depth_mm: float
    u_mm: float
    least_mm: float
    nitrided: bool = False
    source: str = ""

    def __post_init__(self) -> None:
        _check_layer("case", self.depth_mm, self.u_mm, self.least_mm)


@dataclass(frozen=True, slots=True)
class Barriers:
    """What may forbid a step.

    Parameters
    ----------
    most_mm : float or None
        The largest oversize or undersize that the maker allows [mm].
    walls : tuple of Wall
        Of bores whose wall was measured.
    case : Case or None
        Of journals with a hardened layer.
    source : str
        Where the largest size stands.
    """

    most_mm: float | None = None
    walls: tuple[Wall, ...] = ()
    case: Case | None = None
    source: str = ""

    def __post_init__(self) -> None:
        if self.most_mm is not None and not (isfinite(self.most_mm) and self.most_mm > 0):
            raise InvalidInput("largest step", needs="more than nothing", came=f"{self.most_mm:g} mm")


NO_BARRIERS = Barriers()


def _check_layer(name: str, thickness_mm: float, u_mm: float, least_mm: float) -> None:
    if not (isfinite(thickness_mm) and thickness_mm > 0 and isfinite(u_mm) and u_mm > 0 and least_mm >= 0):
        raise InvalidInput(
            name,
            needs="a thickness and an uncertainty of more than nothing, and a least that is not negative",
            came=f"{thickness_mm:g}, {u_mm:g} and {least_mm:g} mm",
        )  # fmt: skip


def forbids(
    step_mm: float,
    name: str,
    cutting: Cutting,
    barriers: Barriers,
    readings: Sequence[Readings],
    wanted: float,
) -> Reason | None:
    """Say what forbids a step for a bore or journal.

    Parameters
    ----------
    step_mm : float
        The oversize or undersize on diameter [mm].
    name : str
        The bore or journal.
    cutting : Cutting
        How it would be cut.
    barriers : Barriers
        What may forbid it.
    readings : sequence of BoreReadings or of JournalReadings
        Those of the engine.
    wanted : float
        How probable it must be that enough is left [-].

    Returns
    -------
    Reason or None
        What forbids it; None where nothing does.

    Notes
    -----
    Wall left = thickness - (nominal + step - smallest diameter read)/2, less the tool's error of centring;
    case left = depth - step/2. Both as normal values, one-sided (JCGM 106:2012, 7.3, from memory).
    """
    if barriers.most_mm is not None and step_mm > barriers.most_mm + 1e-9:
        source = f" ({barriers.source})" if barriers.source else ""
        return Reason.of("The maker allows ", said_size(barriers.most_mm), f" at most{source}.")
    if barriers.case is not None:
        case = barriers.case
        left = case.depth_mm - step_mm / 2
        enough = normal_below((left - case.least_mm) / case.u_mm)
        if enough < wanted:
            return _would_leave(
                "the hardened layer of ", case.depth_mm, case.u_mm, left, case.least_mm, enough
            )
    for wall in barriers.walls:
        if wall.name != name:
            continue
        smallest = min(point.diameter_mm for one in readings if one.name == name for point in one.points)
        cut = max(0.0, (cutting.nominal_mm + step_mm - smallest) / 2)
        left = wall.thickness_mm - cut
        u = (wall.u_mm**2 + cutting.centring_mm**2) ** 0.5
        enough = normal_below((left - wall.least_mm) / u)
        if enough < wanted:
            wall_of = f"the wall of bore {name}, "
            return _would_leave(wall_of, wall.thickness_mm, wall.u_mm, left, wall.least_mm, enough)
    return None


def said_size(size_mm: float) -> SaidLength:
    """Give a step or thickness with the figures that it has, for a sentence.

    Parameters
    ----------
    size_mm : float
        The size [mm].

    Returns
    -------
    SaidLength
        Said with four figures at most: `0.25 mm`, `0.01 in`.
    """
    return SaidLength(size_mm, 3, form=".4g")


def _would_leave(
    of: str, there_mm: float, u_mm: float, left_mm: float, least_mm: float, enough: float
) -> Reason:
    return Reason.of(
        f"Of {of}", SaidLength(there_mm, 3, bare=True, form=".4g"), " ± ", SaidLength(u_mm, 3, form=".2g"),
        " it would leave ", SaidLength(left_mm, 3, form=".3g"), ", ", said_size(least_mm),
        f" or more with {percent(enough)} only.",
    )  # fmt: skip


def barrier_cautions(barriers: Barriers, *, of_journals: bool) -> tuple[Caution, ...]:
    """Say what to mind where walls or hardened layers were not told, or are thin.

    Parameters
    ----------
    barriers : Barriers
        What was told.
    of_journals : bool
        Whether journals are cut, not bores.

    Returns
    -------
    tuple of Caution
        The cautions.
    """
    if not of_journals:
        if barriers.walls or barriers.most_mm is not None:
            return ()
        return (
            Caution(
                "Neither the maker's largest oversize nor the wall was told: have the wall measured "
                "(ultrasonically) where it is thinnest before boring."
            ),
        )
    found = []
    if barriers.case is None:
        found.append(
            Caution(
                "Whether the journals are case-hardened was not told: a ground-through case wears at once."
            )
        )
    elif barriers.case.nitrided:
        found.append(
            Caution.of(
                "A nitrided case is thin: ground beyond about ",
                SaidLength(0.08, 2, form=".2g"),
                " it must be nitrided again, which can crack it (an overhaul text and a tuner; secondary). "
                "Ask the grinder; have it crack-tested.",
            )
        )
    found.append(
        Caution("Grinding must leave the fillet's radius smooth: a sharp corner breaks the crankshaft.")
    )
    return tuple(found)
