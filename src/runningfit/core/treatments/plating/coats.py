"""How thick a coat of plating is: as it was typed, or as a class of a standard has it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import SIGMAS_5_TO_95
from runningfit.core.standards.tables import rows
from runningfit.core.units.lengths import MM_PER_INCH

# A class names the least thickness. A plater aims above it, and a piece comes out at up to about twice the
# least (common practice, no source).
_MOST_OVER_LEAST = 2.0
# How much the coat differs from place to place on one thread, as a share of its mean (common practice, no
# source): current crowds at crests and ends.
TANK_UNEVENNESS = 0.15
# A gauge that goes along the whole thread meets its thickest place. Of ten places drawn from a normal
# distribution the largest lies 1.5388 standard deviations above the mean, with 0.5868 (order statistics).
_THICKEST_ABOVE, _THICKEST_SPREAD = 1.53875, 0.58681


@dataclass(frozen=True, slots=True)
class Coat:
    """The thickness of a coat on the surface, and how sure it is.

    Parameters
    ----------
    low_mm, high_mm : float
        5th and 95th percentile of its mean on the thread [mm]; the same where it is exact.
    unevenness : float
        Standard deviation from place to place on one thread, as a share of the mean.
    said : str
        As it is shown.
    note : str
        Where the range comes from, if it was not typed.
    """

    low_mm: float
    high_mm: float
    unevenness: float = 0.0
    said: str = ""
    note: str = ""

    @property
    def mean_mm(self) -> float:
        """Its mean [mm]."""
        return (self.low_mm + self.high_mm) / 2

    @property
    def thickest_mm(self) -> float:
        """What its thickest place on a thread has, in the mean [mm]."""
        return self.mean_mm * (1 + _THICKEST_ABOVE * self.unevenness)

    @property
    def u_thickest_mm(self) -> float:
        """The standard deviation of that [mm]."""
        of_mean = (self.high_mm - self.low_mm) / SIGMAS_5_TO_95
        grown = 1 + _THICKEST_ABOVE * self.unevenness
        placed = _THICKEST_SPREAD * self.unevenness
        square = (of_mean * grown) ** 2 + (self.mean_mm * placed) ** 2 + (of_mean * placed) ** 2
        return float(square**0.5)

    def scaled(self, factor: float) -> Coat:
        """The same coat, thicker or thinner in all."""
        return Coat(self.low_mm * factor, self.high_mm * factor, self.unevenness, self.said, self.note)


NO_COAT = Coat(0.0, 0.0, said="none")

_MM_PER: Mapping[str, float] = {
    **dict.fromkeys(("um", "µm", "μm", "micron", "microns", "mu"), 0.001),
    "mm": 1.0,
    **dict.fromkeys(("thou", "mil", "mils"), MM_PER_INCH / 1000),
    **dict.fromkeys(("in", '"', "inch", "inches"), MM_PER_INCH),
}
_NUMBER = r"(?:[0-9]{1,6}(?:[.,][0-9]{1,8})?|[.,][0-9]{1,8})"
_THICKNESS = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<first>[a-zµμ\"]+)?(?:\s*(?:\.\.|to|-|–|…)\s*(?P<high>{_NUMBER}))?\s*"
    r"(?P<unit>[a-zµμ\"]+)?"
)
_NEEDS = "a coat such as 5um, 5..8um or 0.0002in"


def read_coat(text: str, *, argument: str = "thickness") -> Coat:
    """Read the thickness of a coat, or the range in which it lies.

    Parameters
    ----------
    text : str
        `5um`, `5..8um`, `0.0002in`, `0.3 thou`. A range is the 5th and the 95th percentile.
    argument : str
        What it is called where it is refused.

    Returns
    -------
    Coat
        Even over the thread, as it was typed.

    Raises
    ------
    InvalidInput
        No number, no unit, two units, less than nothing, or a range the wrong way round.
    """
    plain = " ".join(text.lower().split())
    if plain.startswith(("-", "minus")):
        raise InvalidInput(argument, needs=_NEEDS, came=text, remedy="A coat cannot be less than nothing.")
    found = _THICKNESS.fullmatch(plain) if len(plain) <= 40 else None
    if found is None:
        raise InvalidInput(argument, needs=_NEEDS, came=text[:40], remedy="Type a number and its unit.")
    units = {unit for unit in (found["first"], found["unit"]) if unit}
    if len(units) > 1:
        raise InvalidInput(argument, needs=_NEEDS, came=text, remedy="Give both ends in one unit.")
    per = _MM_PER.get(units.pop()) if units else None
    if per is None:
        raise InvalidInput(argument, needs=_NEEDS, came=text, remedy="Write the unit: um, mm, thou or in.")
    low = float(found["low"].replace(",", ".")) * per
    high = float(found["high"].replace(",", ".")) * per if found["high"] else low
    if high < low:
        raise InvalidInput(argument, needs=_NEEDS, came=text, remedy="The thinner end goes first.")
    return checked_coat(Coat(low, high, said=_said(low, high)), argument=argument)


def _said(low_mm: float, high_mm: float) -> str:
    low, high = 1000 * low_mm, 1000 * high_mm
    return f"{low:.4g} µm" if low == high else f"{low:.4g} to {high:.4g} µm"


def checked_coat(coat: Coat, *, argument: str = "thickness") -> Coat:
    """Refuse a coat that cannot be.

    Parameters
    ----------
    coat : Coat
        Any coat.
    argument : str
        What it is called where it is refused.

    Returns
    -------
    Coat
        The same.

    Raises
    ------
    InvalidInput
        It is no number, less than nothing, or its range is the wrong way round.
    """
    if not (isfinite(coat.low_mm) and isfinite(coat.high_mm) and 0 <= coat.low_mm <= coat.high_mm):
        raise InvalidInput(
            argument,
            needs="nothing or more [mm], the thinner end first",
            came=coat.low_mm,
            remedy="Measure it.",
        )
    if not (isfinite(coat.unevenness) and 0 <= coat.unevenness < 1):
        raise InvalidInput("unevenness", needs="a share from 0 to 1", came=coat.unevenness, remedy="")
    return coat


def coat_of_class(standard: str, name: str) -> Coat:
    """Give the coat that a class of a standard leaves on a thread.

    Parameters
    ----------
    standard : str
        `ASTM B633`, `ASTM B766`, `ASTM F1941` or `QQ-P-416`.
    name : str
        The class or code: `SC2`, `8`, `Fe/Zn 5`, `2`.

    Returns
    -------
    Coat
        From its least thickness to twice that, uneven as tank plating is (common practice, no source); the
        least thickness is the standard's.

    Raises
    ------
    InvalidInput
        No such standard or class in the table; those that there are are named.
    """
    table = rows("plating_thickness_classes_collected_2026")
    of_standard = [row for row in table if row["standard"].lower() == standard.strip().lower()]
    if not of_standard:
        known = ", ".join(dict.fromkeys(row["standard"] for row in table))
        raise InvalidInput("standard", needs=f"one of {known}", came=standard, remedy="Or say the thickness.")
    wanted = name.strip().lower().removeprefix("class").removeprefix("type").strip()
    for row in of_standard:
        if wanted in {row["class"].lower(), row["class"].lower().removeprefix("fe/zn ")}:
            least = float(row["least_um"]) / 1000
            most = _MOST_OVER_LEAST * least
            note = (
                f"{row['standard']} ({row['edition']}) {row['class']}: at least {row['least_um']} µm "
                f"[{row['source']}, {row['status']}]; up to twice that, uneven: common practice, no source"
            )
            return Coat(least, most, TANK_UNEVENNESS, _said(least, most), note)
    classes = ", ".join(row["class"] for row in of_standard)
    raise InvalidInput(
        "class of plating", needs=f"one of {standard}: {classes}", came=name, remedy="Or say the thickness."
    )
