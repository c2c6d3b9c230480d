"""How a bore or journal would be cut: to which steps, on which axis, and what finishing must still take."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from runningfit.core.errors import InvalidInput


class Axis(StrEnum):
    """On which axis the tool is set."""

    ORIGINAL = "original"
    WORN = "worn"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class OneSided:
    """How much more one side may be worn than the other, as a share of the wear.

    No diameter shows it: unless offsets are read, what is taken here goes straight into every probability of
    cutting on the original axis. A shop that has read offsets before can tell its own figures: those of bores
    worn so far that they were machined, since these are mostly worn on both sides.

    Parameters
    ----------
    least, most : float
        From 0, both sides alike, to 1, all of it on one side [-].
    usual, spread : float or None
        The mean and the standard deviation of a beta distribution between both [-]; of either that is not
        told, what is usual of bores or of journals (see `needed_steps`).
    alike : float
        The correlation of what is drawn of two bores of one engine, from 0 to 1 [-] (0.5 is common practice,
        no source).
    """

    least: float = 0.0
    most: float = 1.0
    usual: float | None = None
    spread: float | None = None
    alike: float = 0.5

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most <= 1:
            raise InvalidInput(
                "one-sided wear", needs="a least and a most, in this order, from 0 to 1",
                came=f"{self.least:g} and {self.most:g}",
            )  # fmt: skip
        if self.usual is not None and not self.least < self.usual < self.most:
            raise InvalidInput(
                "usual one-sided wear", needs="to lie between the least and the most", came=f"{self.usual:g}"
            )
        if self.spread is not None and not 0 < self.spread < (self.most - self.least) / 2:
            raise InvalidInput(
                "spread of one-sided wear", needs="more than 0, and less than half of what is possible",
                came=f"{self.spread:g}",
            )  # fmt: skip
        if not 0 <= self.alike <= 1:
            raise InvalidInput("likeness of one-sided wear", needs="0 to 1", came=f"{self.alike:g}")


@dataclass(frozen=True, slots=True)
class Cutting:
    """How the bores, or the journals, of an engine would be cut.

    Parameters
    ----------
    nominal_mm : float
        The size as made [mm]; steps count from it.
    steps_mm : tuple of float
        The oversizes of a bore or the undersizes of a journal, on diameter, each more than nothing [mm].
    hone_mm : float
        What must remain on diameter for honing or polishing once the surface is clean [mm].
    axis : Axis
        On which axis the tool is set.
    on_original : float
        Where the axis is unknown: how probable the original one is [-].
    one_sided : OneSided
        How much more one side may be worn.
    centring_mm : float
        The standard deviation of the tool's axis from the one meant, in each direction [mm].
    original_mm : float or None
        The size before wear, where the unworn rim was read [mm]; otherwise the nominal.
    """

    nominal_mm: float
    steps_mm: tuple[float, ...]
    hone_mm: float = 0.0
    axis: Axis = Axis.UNKNOWN
    on_original: float = 0.5
    one_sided: OneSided = OneSided()
    centring_mm: float = 0.0
    original_mm: float | None = None

    def __post_init__(self) -> None:
        if not (isfinite(self.nominal_mm) and self.nominal_mm > 0):
            raise InvalidInput("nominal", needs="more than nothing", came=f"{self.nominal_mm:g} mm")
        steps = self.steps_mm
        if not steps or not all(isfinite(one) and 0 < one < self.nominal_mm / 4 for one in steps):
            raise InvalidInput(
                "oversizes or undersizes", needs="steps of more than nothing, and small against the nominal",
                came=", ".join(f"{one:g} mm" for one in steps) or "none",
                remedy="They are on diameter, such as 0.25 mm or 10 thou.",
            )  # fmt: skip
        if list(steps) != sorted(set(steps)):
            raise InvalidInput(
                "oversizes or undersizes", needs="each once, from the least to the largest",
                came=", ".join(f"{one:g} mm" for one in steps),
            )  # fmt: skip
        for name, value in (("honing stock", self.hone_mm), ("centring", self.centring_mm)):
            if not (isfinite(value) and value >= 0):
                raise InvalidInput(name, needs="not negative", came=f"{value:g} mm")
        if not 0 <= self.on_original <= 1:
            raise InvalidInput("chance of the original axis", needs="0 to 1", came=f"{self.on_original:g}")
        if self.original_mm is not None and not abs(self.original_mm - self.nominal_mm) < self.nominal_mm / 4:
            raise InvalidInput("original size", needs="about the nominal", came=f"{self.original_mm:g} mm")


def usual_centring(most_off_mm: float) -> float:
    """Give the standard deviation of a tool's axis from by how much it may be off.

    Parameters
    ----------
    most_off_mm : float
        Plus or minus, as a machine shop says it [mm].

    Returns
    -------
    float
        Half of it: what "may be" is two standard deviations (common practice, no source) [mm].
    """
    return most_off_mm / 2
