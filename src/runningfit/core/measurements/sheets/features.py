"""What is measured on an engine: kinds of features, and the points at which each is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from math import isfinite

from runningfit.core.errors import InvalidInput

_MOST_POINTS = 200
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class Quantity(StrEnum):
    """What a reading is a value of; lengths are kept in mm, volumes in ml, masses in g, forces in N."""

    LENGTH = "length"
    VOLUME = "volume"
    MASS = "mass"
    FORCE = "force"

    @property
    def unit(self) -> str:
        """The unit in which values of it are kept."""
        return {"length": "mm", "volume": "ml", "mass": "g", "force": "N"}[self.value]


class FeatureKind(StrEnum):
    """What sort of thing is measured, and so at which points and for what form."""

    BORE = "bore"
    SHAFT = "shaft"
    FACE = "face"
    LENGTH = "length"
    GAP = "gap"
    RUNOUT = "runout"
    LOAD = "load"
    VOLUME = "volume"
    WEIGHT = "weight"

    @property
    def said(self) -> str:
        """The kind in words."""
        return {
            "bore": "bore or other round hole",
            "shaft": "journal, piston, stem or other round outside",
            "face": "flat face",
            "length": "length, width or thickness",
            "gap": "gap or play, by feeler or indicator",
            "runout": "run-out, turned in V-blocks",
            "load": "load of a spring at given heights",
            "volume": "volume by burette",
            "weight": "weight",
        }[self.value]

    @property
    def quantity(self) -> Quantity:
        """What its readings are values of."""
        return {
            FeatureKind.LOAD: Quantity.FORCE,
            FeatureKind.VOLUME: Quantity.VOLUME,
            FeatureKind.WEIGHT: Quantity.MASS,
        }.get(self, Quantity.LENGTH)

    @property
    def is_round(self) -> bool:
        """Whether it is read as diameters at depths and angles."""
        return self in (FeatureKind.BORE, FeatureKind.SHAFT)

    @property
    def may_be_nothing(self) -> bool:
        """Whether a reading of nought, or below it, can be right."""
        return self in (FeatureKind.FACE, FeatureKind.GAP, FeatureKind.RUNOUT)

    @property
    def is_size(self) -> bool:
        """Whether what is read is a size, which the gauge must span."""
        return self.quantity is Quantity.LENGTH and not self.may_be_nothing


@dataclass(frozen=True, slots=True)
class SheetPoint:
    """One point at which a feature is read.

    Parameters
    ----------
    key : str
        By which its readings are found again; never shown.
    said : str
        The point in words, as it is asked for.
    depth_mm : float or None
        How far along the axis, or the height at which a spring is pressed [mm].
    angle_deg : float or None
        In which direction across the axis [°].
    x_mm, y_mm : float or None
        Where on a face [mm].
    """

    key: str
    said: str
    depth_mm: float | None = None
    angle_deg: float | None = None
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Pattern:
    """At which points a kind of feature is read.

    Parameters
    ----------
    depths_mm : tuple of float
        Depths along a bore or journal, heights of a spring, or distances of the rows of a face [mm].
    angles_deg : tuple of float
        Directions across a bore or journal, or positions of a run-out [°]; for a face the distances of its
        columns [mm].
    places : int
        How many places a length, a gap, a volume or a weight is read at.
    """

    depths_mm: tuple[float, ...] = ()
    angles_deg: tuple[float, ...] = ()
    places: int = 1

    def __post_init__(self) -> None:
        for name, values in (("depths", self.depths_mm), ("angles", self.angles_deg)):
            if not all(isfinite(one) for one in values):
                raise InvalidInput(name, needs="finite numbers", came="one that is not")
            if len(set(values)) != len(values):
                raise InvalidInput(
                    name,
                    needs="each only once",
                    came=", ".join(f"{one:g}" for one in values),
                    remedy="A point can be read again on the sheet.",
                )
        if not 1 <= self.places <= _MOST_POINTS:
            raise InvalidInput("places", needs=f"1 to {_MOST_POINTS}", came=f"{self.places}")


def points_of(kind: FeatureKind, pattern: Pattern) -> tuple[SheetPoint, ...]:
    """Give the points at which a feature is read, in the order of reading.

    Parameters
    ----------
    kind : FeatureKind
        What sort of thing it is.
    pattern : Pattern
        Depths, angles or places.

    Returns
    -------
    tuple of SheetPoint
        Depth by depth and, at each, angle by angle.

    Raises
    ------
    InvalidInput
        The pattern lacks what this kind needs, or makes more points than anybody reads.
    """
    if len(pattern.depths_mm) * len(pattern.angles_deg) > _MOST_POINTS:
        raise InvalidInput(
            "points",
            needs=f"at most {_MOST_POINTS} for one feature",
            came=f"{len(pattern.depths_mm)} times {len(pattern.angles_deg)}",
        )
    if kind.is_round:
        _need(pattern.depths_mm, "depths", "at least one depth, such as 20, 60, 100")
        _need(pattern.angles_deg, "angles", "at least one direction, such as 0, 90")
        along = "down" if kind is FeatureKind.BORE else "along"
        square = kind is FeatureKind.BORE and all(angle % 90 == 0 for angle in pattern.angles_deg)
        return tuple(
            SheetPoint(
                f"{depth:g}@{angle:g}", f"{depth:g} mm {along}, {_direction(angle, square)}", depth, angle
            )
            for depth, angle in product(pattern.depths_mm, pattern.angles_deg)
        )
    if kind is FeatureKind.FACE:
        _need(pattern.depths_mm, "rows", "the distances of the rows in mm, such as 0, 80, 160")
        _need(pattern.angles_deg, "columns", "the distances of the columns in mm, such as 0, 100, 200")
        if len(pattern.depths_mm) > len(_LETTERS):
            raise InvalidInput("rows", needs=f"at most {len(_LETTERS)}", came=f"{len(pattern.depths_mm)}")
        return tuple(
            SheetPoint(f"{_LETTERS[row]}{column + 1}", f"{_LETTERS[row]}{column + 1}", x_mm=x, y_mm=y)
            for row, y in enumerate(pattern.depths_mm)
            for column, x in enumerate(pattern.angles_deg)
        )
    if kind is FeatureKind.RUNOUT:
        _need(pattern.angles_deg, "angles", "the positions of a turn, such as 0, 45, 90")
        return tuple(
            SheetPoint(f"@{angle:g}", f"turned to {angle:g}°", angle_deg=angle)
            for angle in pattern.angles_deg
        )
    if kind is FeatureKind.LOAD:
        _need(pattern.depths_mm, "heights", "the heights at which the spring is pressed")
        return tuple(
            SheetPoint(f"{height:g}", f"pressed to {height:g} mm", depth_mm=height)
            for height in pattern.depths_mm
        )
    return tuple(
        SheetPoint(f"{number}", "" if pattern.places == 1 else f"place {number}")
        for number in range(1, pattern.places + 1)
    )


def _need(values: Sequence[float], name: str, needs: str) -> None:
    if not values:
        raise InvalidInput(name, needs=needs, came="none")


def _direction(angle_deg: float, square: bool) -> str:
    """The two directions of a bore that the trade has words for, and all others by their angle."""
    if not square:
        return f"at {angle_deg:g}°"
    return "along the crank" if angle_deg % 180 == 0 else "across it (thrust)"
