"""A reading as it is shown: in the unit of the gauge, as fine as it was read, with the other unit beside."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import Quantity
from runningfit.core.units import MM_PER_INCH, ForceUnit, LengthUnit, format_measured, read_force

# The units that a gauge of each quantity may stand on; what is kept is in the first of each.
UNITS_OF: dict[Quantity, tuple[str, ...]] = {
    Quantity.LENGTH: ("mm", "in"),
    Quantity.VOLUME: ("ml", "cc"),
    Quantity.MASS: ("g", "oz"),
    Quantity.FORCE: ("N", "kgf", "lbf"),
}
_G_PER_OZ = 28.349523125


@dataclass(frozen=True, slots=True)
class ShownValue:
    """A value in words: as the gauge said it, and in the other unit where there is one."""

    said: str
    other: str


def shown_value(value: float, quantity: Quantity, *, unit: str, step: float | None = None) -> ShownValue:
    """Write a value in the unit of its gauge, with the other one beside.

    Parameters
    ----------
    value : float
        In the unit in which the quantity is kept.
    quantity : Quantity
        What it is a value of.
    unit : str
        The unit to show first; one that is none of the quantity's shows the one in which it is kept.
    step : float or None
        The last place of the reading, in the unit in which the quantity is kept; none shows the usual one.

    Returns
    -------
    ShownValue
        The other unit is empty where nobody needs it.
    """
    units = UNITS_OF[quantity]
    first = unit if unit in units else units[0]
    if quantity is Quantity.LENGTH:
        other = LengthUnit.MM if first == LengthUnit.INCH else LengthUnit.INCH
        return ShownValue(
            format_measured(value, LengthUnit(first), step), format_measured(value, other, step)
        )
    said = _said(value, first, step)
    return ShownValue(said, _said(value, units[0], step) if _per(first) != 1.0 else "")


def in_unit(value: float, quantity: Quantity, unit: str) -> float:
    """Give a value in another unit of its quantity.

    Parameters
    ----------
    value : float
        In the unit in which the quantity is kept.
    quantity : Quantity
        What it is a value of.
    unit : str
        One of its units.

    Returns
    -------
    float
        In that unit.

    Raises
    ------
    InvalidInput
        It is none of its units.
    """
    if unit not in UNITS_OF[quantity]:
        raise InvalidInput("unit", needs=" or ".join(UNITS_OF[quantity]), came=unit)
    return value / _per(unit)


def _per(unit: str) -> float:
    """How much of the unit in which it is kept one of this unit is."""
    if unit == LengthUnit.INCH:
        return MM_PER_INCH
    if unit == "oz":
        return _G_PER_OZ
    return read_force(f"1 {unit}", default_unit=ForceUnit.N).force_n if unit in ("kgf", "lbf") else 1.0


def _said(value: float, unit: str, step: float | None) -> str:
    shown = value / _per(unit)
    if step is None:
        return f"{shown:.4g} {unit}"
    digits = min(max(0, -floor(log10(step / _per(unit)) + 0.301)), 6)
    return f"{shown:.{digits}f} {unit}"
