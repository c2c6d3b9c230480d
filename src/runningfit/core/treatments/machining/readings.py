"""A bore or journal as two-point readings show it, each figure with what it may be off by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot, isfinite, sqrt
from typing import ClassVar, TypeAlias

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter, two_point_form
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.verdicts import Caution


@dataclass(frozen=True, slots=True)
class Pit:
    """A pit or score, deeper than the surface around it.

    Parameters
    ----------
    depth_mm : float
        How deep it is, along the radius [mm].
    u_mm : float
        Its standard uncertainty [mm]; by feel a third of the depth or more.
    at_depth_mm, at_angle_deg : float or None
        Where it lies, along the axis [mm] and around it [°]; where either is not told it may lie anywhere.
    everywhere : bool
        Whether pits as deep lie all over, also at the worst place.
    """

    depth_mm: float
    u_mm: float
    at_depth_mm: float | None = None
    at_angle_deg: float | None = None
    everywhere: bool = False

    def __post_init__(self) -> None:
        if not (isfinite(self.depth_mm) and isfinite(self.u_mm) and self.depth_mm >= 0 and self.u_mm >= 0):
            raise InvalidInput(
                "pits", needs="a depth and an uncertainty, neither of them negative",
                came=f"{self.depth_mm:g} and {self.u_mm:g} mm",
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offset:
    """How far the middle of the worst section lies from the original axis.

    Parameters
    ----------
    offset_mm : float
        Half the difference of the radii of both sides from the unworn rim or register; of a journal, half of
        what a dial shows over one turn about the axis on which it will be ground [mm].
    u_mm : float
        Its standard uncertainty, more than nothing [mm].
    at_angle_deg : float or None
        Towards which side: where a bore is widest from that axis, or a journal lowest [°]; none for the side
        worn most.
    """

    offset_mm: float
    u_mm: float
    at_angle_deg: float | None = None

    def __post_init__(self) -> None:
        if self.at_angle_deg is not None and not isfinite(self.at_angle_deg):
            raise InvalidInput(
                "direction of the offset", needs="an angle in degrees", came=f"{self.at_angle_deg:g}"
            )
        if not (isfinite(self.offset_mm) and isfinite(self.u_mm) and self.u_mm > 0):
            raise InvalidInput(
                "offset", needs="a length, and an uncertainty of more than nothing",
                came=f"{self.offset_mm:g} and {self.u_mm:g} mm",
            )  # fmt: skip


def _check(kind: str, name: str, points: Iterable[Diameter], u_reading_mm: float, u_shared_mm: float) -> None:
    if not (isfinite(u_reading_mm) and u_reading_mm > 0):
        raise InvalidInput(
            f"uncertainty of {kind} {name}", needs="more than nothing", came=f"{u_reading_mm:g} mm",
            remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
        )  # fmt: skip
    if not (isfinite(u_shared_mm) and u_shared_mm >= 0):
        raise InvalidInput(
            f"shared uncertainty of {kind} {name}", needs="not negative", came=f"{u_shared_mm:g} mm",
            remedy="It is what the setting ring and the certificate leave open.",
        )  # fmt: skip
    for one in points:
        if not all(isfinite(x) for x in (one.depth_mm, one.angle_deg, one.diameter_mm)) or not (
            one.diameter_mm > 0
        ):
            raise InvalidInput(
                f"reading of {kind} {name}", needs="numbers, and a diameter of more than nothing",
                came=f"{one.diameter_mm:g} mm at {one.depth_mm:g} mm, {one.angle_deg:g}°",
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _RoundReadings:
    """The diameters that were read in one bore or over one journal.

    Parameters
    ----------
    name : str
        The bore or journal, as the shop calls it.
    points : tuple of Diameter
        The readings; the same place may be read again.
    u_reading_mm : float
        The standard uncertainty of each reading that is its own: scatter and steps [mm].
    u_shared_mm : float
        That which all readings of the gauge share: ring or standard, certificate, temperature [mm].
    pits : tuple of Pit
        Pits and scores.
    offset : Offset or None
        How far the worn middle lies from the original axis, where it was read.
    wearing : Wearing
        What wears it.
    """

    name: str
    points: tuple[Diameter, ...]
    u_reading_mm: float
    u_shared_mm: float = 0.0
    pits: tuple[Pit, ...] = ()
    offset: Offset | None = None
    wearing: Wearing = Wearing.RINGS

    _said: ClassVar[str]

    def __post_init__(self) -> None:
        _check(self._said, self.name, self.points, self.u_reading_mm, self.u_shared_mm)


@dataclass(frozen=True, slots=True)
class BoreReadings(_RoundReadings):
    """The diameters that were read in one bore."""

    _said: ClassVar[str] = "bore"

    @property
    def outward(self) -> int:
        """Which way wear moves the diameter: a bore grows."""
        return 1


@dataclass(frozen=True, slots=True)
class JournalReadings(_RoundReadings):
    """The diameters that were read over one journal."""

    wearing: Wearing = Wearing.JOURNAL

    _said: ClassVar[str] = "journal"

    @property
    def outward(self) -> int:
        """Which way wear moves the diameter: a journal shrinks."""
        return -1


Readings: TypeAlias = BoreReadings | JournalReadings


@dataclass(frozen=True, slots=True)
class ReadForm:
    """The form of a bore or journal, each figure with its standard uncertainty.

    Parameters
    ----------
    max_mm, min_mm : Measured
        The largest and the smallest diameter read [mm], with what the gauge shares.
    taper_mm : Measured
        The mean diameter at the least depth less that at the greatest [mm].
    out_of_round_mm : Measured
        The largest difference within one depth [mm]; as a largest one it leans upward by the scatter.
    barrel_mm : Measured or None
        By how much the middle is wider than the line between both ends [mm].
    worst : Diameter
        Where it is worn most: the largest reading of a bore, the smallest of a journal.
    scatter_mm : float
        The out-of-round that a perfectly round piece would show on average [mm].
    cautions : tuple of Caution
        What such readings cannot see, and what is missing.
    """

    max_mm: Measured
    min_mm: Measured
    taper_mm: Measured
    out_of_round_mm: Measured
    barrel_mm: Measured | None
    worst: Diameter
    scatter_mm: float
    cautions: tuple[Caution, ...]


def form_of(readings: Readings) -> ReadForm:
    """Give the form of a bore or journal from its readings.

    Parameters
    ----------
    readings : BoreReadings or JournalReadings
        At each depth at least two directions.

    Returns
    -------
    ReadForm
        Taper, out-of-round, barrel, the ends and the worst place.

    Raises
    ------
    InvalidInput
        Fewer than two readings, or one that its size shows to be in another unit.

    Notes
    -----
    What the gauge shares drops out of every difference of its readings (JCGM 100:2008, F.1.2.3, from memory).
    Taper u² = u²/n₁ + u²/n₂, out-of-round u√2 for single readings; repeats count by their mean.
    """
    u = readings.u_reading_mm
    found = two_point_form(readings.points, u)
    places: dict[tuple[float, float], list[float]] = {}
    for one in readings.points:
        places.setdefault((one.depth_mm, one.angle_deg % 180.0), []).append(one.diameter_mm)
    of_depth = {
        section.depth_mm: sqrt(
            sum(1 / len(read) for (depth, _), read in places.items() if depth == section.depth_mm)
        )
        / sum(depth == section.depth_mm for depth, _ in places)
        * u
        for section in found.sections
    }
    means = {place: sum(read) / len(read) for place, read in places.items()}
    most, least = max(means, key=lambda place: means[place]), min(means, key=lambda place: means[place])
    wildest = max(found.sections, key=lambda section: section.out_of_round_mm)
    across = {place: value for place, value in means.items() if place[0] == wildest.depth_mm}
    ends = (max(across, key=lambda place: across[place]), min(across, key=lambda place: across[place]))
    worst = most if readings.outward > 0 else least
    first, last = found.sections[0].depth_mm, found.sections[-1].depth_mm
    own = {place: u / sqrt(len(read)) for place, read in places.items()}
    return ReadForm(
        Measured(means[most], hypot(own[most], readings.u_shared_mm)),
        Measured(means[least], hypot(own[least], readings.u_shared_mm)),
        Measured(found.taper_mm, hypot(of_depth[first], of_depth[last]) if first != last else 0.0),
        Measured(found.out_of_round_mm, hypot(own[ends[0]], own[ends[1]]) if ends[0] != ends[1] else 0.0),
        None if found.barrel_mm is None else _barrel(found.barrel_mm, of_depth),
        Diameter(*worst, means[worst]),
        found.scatter_mm,
        found.cautions,
    )  # fmt: skip


def _barrel(barrel_mm: float, of_depth: dict[float, float]) -> Measured:
    """The barrel with the uncertainty of its middle and of the line between both ends."""
    depths = sorted(of_depth)
    first, last = depths[0], depths[-1]
    most = 0.0
    for depth in depths[1:-1]:
        share = (depth - first) / (last - first)
        most = max(most, hypot(of_depth[depth], (1 - share) * of_depth[first], share * of_depth[last]))
    return Measured(barrel_mm, most)
