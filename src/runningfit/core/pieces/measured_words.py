"""What is measured of a thread, as a person types it or a caliper sends it: diameters, leaves, turns."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.units import MM_PER_INCH, Length, LengthQuestion, LengthUnit, read_length

# A bare number is taken in the unit in which it can be a thread that hands can hold; outside of this the
# unit is written. 16BA is 0.79 mm; 1 3/4 in is 44.45 mm.
SMALLEST_MM, LARGEST_MM = 0.7, 45.0
FINEST_PITCH_MM, COARSEST_PITCH_MM = 0.15, 8.5
_TPI = re.compile(
    r"(?P<number>[0-9]{1,3}(?:[.,][0-9])?|[0-9]{1,2}\s*(?:1/2|½))\s*"
    r"(?P<unit>t\.?p\.?i\.?|tp|t|threads?(?:\s+(?:per|to the)\s+inch)?|(?:per|to the)\s+inch|mm)?"
)
_MM_PITCH = re.compile(r"(?P<number>[0-9]?[.,][0-9]{1,3}|[0-9](?:[.,][0-9]{1,3})?)\s*(?P<mm>mm)?")


@dataclass(frozen=True, slots=True)
class GaugeLeaf:
    """A leaf of a pitch gauge.

    Parameters
    ----------
    pitch_mm : float
        The pitch it stands for [mm].
    tpi : float or None
        Threads per inch; none for a metric leaf.
    said : str
        As it is stamped: `24 tpi`, `1.25 mm`.
    """

    pitch_mm: float
    tpi: float | None
    said: str


def read_measured(
    text: str, *, default_unit: LengthUnit, low_mm: float = SMALLEST_MM, high_mm: float = LARGEST_MM
) -> Length:
    """Read a measured size; a number without a unit is taken in the unit in which it can be one.

    Parameters
    ----------
    text : str
        `7.87`, `.3098`, `5/16`, `7.87mm`, `0.3098 in`.
    default_unit : LengthUnit
        The unit where both can be.
    low_mm, high_mm : float
        Between what sizes a bare number can lie [mm]; a number with its unit may be any length.

    Returns
    -------
    Length
        The size, with the unit it was taken in.

    Raises
    ------
    InvalidInput
        No length, one that reads two ways, or a bare number that is no such size in either unit.
    """
    read = read_length(text, default_unit=None)
    if isinstance(read, Length):
        return read
    units = {reading.unit for reading in read.readings}
    if len(units) < 2 or len(read.readings) > 2:
        raise InvalidInput("size", needs="a size that reads one way", came=text, remedy=read.question)
    return _plausible(read, default_unit, low_mm, high_mm)


def _plausible(read: LengthQuestion, default_unit: LengthUnit, low_mm: float, high_mm: float) -> Length:
    fitting = {reading.unit: reading for reading in read.readings if low_mm <= reading.mm <= high_mm}
    if not fitting:
        raise InvalidInput(
            "size",
            needs=f"a size from {low_mm:g} to {high_mm:g} mm, or one with its unit",
            came=read.typed,
            remedy="Write in or mm behind it.",
        )
    return fitting.get(default_unit) or next(iter(fitting.values()))


def read_leaf(text: str) -> GaugeLeaf:
    """Read which leaf of a pitch gauge fits.

    Parameters
    ----------
    text : str
        `24`, `24 tpi`, `11 1/2`, `1.25`, `1.25mm`. A whole number from 7 on counts threads per inch, a
        decimal number up to 8 is millimetres; a whole number of 4, 5 or 6 needs its unit.

    Returns
    -------
    GaugeLeaf
        The leaf.

    Raises
    ------
    InvalidInput
        It is no leaf, or can be two.
    """
    words = " ".join(text.lower().split())
    metric = _MM_PITCH.fullmatch(words)
    if metric and (metric["mm"] or "." in words or "," in words or int(words) <= 3):
        return _metric_leaf(float(metric["number"].replace(",", ".")), text)
    found = _TPI.fullmatch(words)
    if found is None or found["unit"] == "mm":
        _refuse(text, "Type what is stamped on it.")
    tpi = _per_inch(found["number"])
    if found["unit"] is None and tpi in (4, 5, 6):
        _refuse(text, f"Write {tpi:g} tpi or {tpi:g} mm.")
    pitch_mm = MM_PER_INCH / tpi if tpi else 0.0
    if not FINEST_PITCH_MM <= pitch_mm <= COARSEST_PITCH_MM:
        _refuse(text, "Leaves run from 3 to 160 threads per inch.")
    return GaugeLeaf(pitch_mm, tpi, f"{tpi:g} tpi")


def _metric_leaf(pitch_mm: float, text: str) -> GaugeLeaf:
    if not FINEST_PITCH_MM <= pitch_mm <= COARSEST_PITCH_MM:
        _refuse(text, f"Metric leaves run from {FINEST_PITCH_MM:g} to {COARSEST_PITCH_MM:g} mm.")
    return GaugeLeaf(pitch_mm, None, f"{pitch_mm:g} mm")


def _per_inch(number: str) -> float:
    for half in ("1/2", "½"):
        if number.endswith(half):
            return float(number.removesuffix(half)) + 0.5
    return float(number.replace(",", "."))


def _refuse(text: str, remedy: str) -> NoReturn:
    raise InvalidInput("leaf", needs="a leaf such as 24, 24 tpi, 1.25 or 1.25 mm", came=text, remedy=remedy)
