"""Lengths as they are shown, in the unit a person chose and with the other one beside it."""

from __future__ import annotations

from math import floor, isfinite, log10

from runningfit.core.errors import InvalidInput
from runningfit.core.units.lengths import MM_PER_INCH, LengthUnit, inch_fraction

_NEAR_A_64TH_IN = 0.0005


def _trimmed(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def format_length(mm: float, unit: LengthUnit) -> str:
    """Write a length in a unit.

    Parameters
    ----------
    mm : float
        The length, or a difference of two [mm].
    unit : LengthUnit
        The unit to show.

    Returns
    -------
    str
        Inches as a fraction within 0.0005 in of a 64th, else with up to four decimals (`1 3/8 in`,
        `0.1234 in`); millimetres with up to three (`34.925 mm`).

    Raises
    ------
    InvalidInput
        The length is not a finite number.
    """
    if not isfinite(mm):
        raise InvalidInput("length", needs="a finite number [mm]", came=mm, remedy="Measure it again.")
    if unit is LengthUnit.MM:
        return f"{_trimmed(mm, 3)} mm"
    inches = mm / MM_PER_INCH
    nearest = round(abs(inches) * 64)
    if abs(abs(inches) - nearest / 64) <= _NEAR_A_64TH_IN and (nearest or not inches):
        sign = "-" if inches < 0 else ""
        return f"{sign}{inch_fraction(nearest)} in"
    return f"{_trimmed(inches, 4)} in"


def both_units(mm: float, preferred: LengthUnit) -> str:
    """Write a length in the preferred unit with the other one in brackets.

    Parameters
    ----------
    mm : float
        The length [mm].
    preferred : LengthUnit
        The unit to show first.

    Returns
    -------
    str
        `1 3/8 in (34.925 mm)` or `34.925 mm (1 3/8 in)`.

    Raises
    ------
    InvalidInput
        The length is not a finite number.
    """
    other = LengthUnit.MM if preferred is LengthUnit.INCH else LengthUnit.INCH
    return f"{format_length(mm, preferred)} ({format_length(mm, other)})"


def format_measured(mm: float, unit: LengthUnit, step_mm: float | None = None) -> str:
    """Write a measured size, never as a fraction and never finer or coarser than it was read.

    Parameters
    ----------
    mm : float
        The size, or a difference of two [mm].
    unit : LengthUnit
        The unit to show.
    step_mm : float or None
        The step of the gauge [mm]; none shows 0.001 mm or 0.0001 in.

    Returns
    -------
    str
        `79.413 mm`, `3.1265 in`.

    Raises
    ------
    InvalidInput
        The size is not a finite number.
    """
    if not isfinite(mm):
        raise InvalidInput("size", needs="a finite number [mm]", came=mm, remedy="Measure it again.")
    value = mm if unit is LengthUnit.MM else mm / MM_PER_INCH
    usual = 3 if unit is LengthUnit.MM else 4
    if step_mm:
        step = step_mm if unit is LengthUnit.MM else step_mm / MM_PER_INCH
        usual = min(max(1, -floor(log10(step) + 0.301)), 6)
    text = f"{value:.{usual}f}"
    return f"{'0' if not float(text) else text} {unit.value}"
