"""A reading as somebody types it or a gauge sends it: the value it means, or the doubt that it raises."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import log10

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.slips import Slip, slip_of
from runningfit.core.units import (
    ForceUnit,
    Length,
    LengthUnit,
    format_measured,
    read_force,
    read_length,
    read_offset,
)

_MM, _INCHES = LengthUnit.MM.value, LengthUnit.INCH.value
_MM_PER = {LengthUnit.MM: 1.0, LengthUnit.INCH: 25.4}
_ML_PER = {"ml": 1.0, "cc": 1.0, "cm3": 1.0, "cm³": 1.0, "l": 1000.0, "cu in": 16.387064, "in3": 16.387064}
_G_PER = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
_PLAIN = re.compile(r"([+-]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)")
_NOUGHT = re.compile(r"[+-]?0+(?:[.,]0*)?\s*(?:mm|in|inch|inches|thou|\")")
_WITH_UNIT = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([^\d\s].*)?")
_TABLES = {Quantity.VOLUME: (_ML_PER, "42.5 ml"), Quantity.MASS: (_G_PER, "412 g")}
# How far a diameter or length can lie from what it shall be before somebody is asked (common practice).
_FAR_SHARE = 0.05
# Above it a gap, a run-out or a hollow of a face was hardly read in the unit that it was typed in (common
# practice, no source).
_MOST_GAP_MM = 5.0


@dataclass(frozen=True, slots=True)
class TypedValue:
    """What a typed reading means.

    Parameters
    ----------
    value : float
        In the unit in which the quantity is kept.
    step : float
        The last place that was typed, in the same unit: as fine as the reading can be.
    """

    value: float
    step: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that is readable but hardly right; it is asked about, never mended.

    Parameters
    ----------
    why : str
        What is odd, in one sentence.
    instead : float or None
        What it may have meant, in the unit in which the quantity is kept; none where nothing suggests itself.
    typed_in : str
        The unit in which it was probably typed, mm or in; empty where it was hardly the unit that slipped.
    """

    why: str
    instead: float | None = None
    typed_in: str = ""


def read_value(text: str, *, kind: FeatureKind, unit: str, set_at_mm: float | None = None) -> TypedValue:
    """Read one reading.

    Parameters
    ----------
    text : str
        As typed, or as a gauge with a plug sends it.
    kind : FeatureKind
        What is measured.
    unit : str
        The unit that the gauge stands on, where the text names none: mm, in, ml, g, N, lbf and such.
    set_at_mm : float or None
        The size that a comparing gauge was set to [mm]; what it reads is then added, sign and all.

    Returns
    -------
    TypedValue
        The value, and its last place.

    Raises
    ------
    InvalidInput
        It cannot be read, or is nought or less where that cannot be.
    """
    written = " ".join(text.split())
    if not written:
        raise InvalidInput("reading", needs="a number", came="nothing", remedy="Read the gauge and type it.")
    if kind.quantity is Quantity.LENGTH:
        found = _length(written, unit, set_at_mm)
    elif kind.quantity is Quantity.FORCE:
        found = _force(written, unit)
    else:
        found = _by_table(written, unit, *_TABLES[kind.quantity])
    if found.value <= 0 and not kind.may_be_nothing:
        raise InvalidInput(
            "reading", needs="more than nothing", came=written,
            remedy="If the gauge compares with a setting, say to which size it was set."
            if kind.quantity is Quantity.LENGTH else "Check the gauge, and type it again.",
        )  # fmt: skip
    return found


def doubt_of(
    value: float,
    usual: float | None,
    *,
    kind: FeatureKind,
    unit: str,
    between_mm: tuple[float, float] | None = None,
) -> Doubt | None:
    """Say what is odd about a reading, beside what it was expected to be.

    Parameters
    ----------
    value : float
        The reading, in the unit in which the quantity is kept.
    usual : float or None
        The nominal size, or what the like features came to; none where nobody knows yet.
    kind : FeatureKind
        What is measured.
    unit : str
        The unit in which lengths are said, mm or in.
    between_mm : tuple of float or None
        Between which sizes such a thing lies in any engine [mm]; asked where there is no usual value.

    Returns
    -------
    Doubt or None
        None where nothing is odd; a run-out or a face has no usual value to be compared with.
    """
    if kind.may_be_nothing:
        return _doubt_of_gap(value, usual, kind, unit)
    if usual is None:
        return _doubt_of_unit(value, between_mm, kind, unit) if between_mm else None
    return _doubt_of_size(value, usual, kind, unit)


def _doubt_of_gap(value: float, usual: float | None, kind: FeatureKind, unit: str) -> Doubt | None:
    said = _said(value, kind, unit)
    if abs(value) > _MOST_GAP_MM:
        thousandths = value / 1000 if unit == LengthUnit.INCH else None
        return Doubt(f"{said} is much: typed in thousandths or hundredths?", thousandths)
    if kind is FeatureKind.GAP and usual is not None and slip_of(value, usual) is Slip.DECIMAL:
        power = 10.0 ** round(log10(usual / value))
        expected = _said(usual, kind, unit)
        return Doubt(f"{said} where about {expected} was expected: a slipped decimal point?", value * power)
    return None


def _doubt_of_unit(
    value: float, between_mm: tuple[float, float], kind: FeatureKind, unit: str
) -> Doubt | None:
    """The first reading of a set has nothing to be compared with but what engines have at all."""
    low, high = between_mm
    if low <= value <= high:
        return None
    why = f"{_said(value, kind, unit)} would be a strange size for it"
    if low <= value * 25.4 <= high:
        return Doubt(f"{why}: typed in inches?", value * 25.4, _INCHES)
    if low <= value / 25.4 <= high:
        return Doubt(f"{why}: typed in millimetres?", value / 25.4, _MM)
    return Doubt(f"{why}. Read it again.")


def _doubt_of_size(value: float, usual: float, kind: FeatureKind, unit: str) -> Doubt | None:
    said = _said(value, kind, unit)
    expected = _said(usual, kind, unit)
    slip = slip_of(value, usual)
    if slip is Slip.INCHES:
        return Doubt(f"{said} where about {expected} was expected: typed in inches?", value * 25.4, _INCHES)
    if slip is Slip.MILLIMETRES:
        return Doubt(f"{said} where about {expected} was expected: typed in millimetres?", value / 25.4, _MM)
    if slip is Slip.DECIMAL:
        power = 10.0 ** round(log10(usual / value))
        return Doubt(f"{said} where about {expected} was expected: a slipped decimal point?", value * power)
    share = _FAR_SHARE if kind.quantity is Quantity.LENGTH else 0.5
    if abs(value / usual - 1) > share:
        return Doubt(f"{said} is far from the {expected} that was expected. Read it again.")
    return None


def _said(value: float, kind: FeatureKind, unit: str) -> str:
    if kind.quantity is Quantity.LENGTH:
        return format_measured(value, LengthUnit(unit) if unit in set(LengthUnit) else LengthUnit.MM)
    return f"{value:.4g} {kind.quantity.unit}"


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _last_place(text: str) -> float:
    """The value of one step in the last place that was written."""
    after = re.split(r"[.,]", text)
    return 10.0 ** -len(after[1]) if len(after) == 2 else 1.0


def _length(text: str, unit: str, set_at_mm: float | None) -> TypedValue:
    if unit not in set(LengthUnit):
        raise InvalidInput("unit", needs="mm or in for a length", came=unit)
    stands_on = LengthUnit(unit)
    plain = _PLAIN.fullmatch(text)
    if plain:
        sign = -1.0 if plain[1] == "-" else 1.0
        value, step = (
            sign * _number(plain[2]) * _MM_PER[stands_on],
            _last_place(plain[2]) * _MM_PER[stands_on],
        )
        return TypedValue(value + (set_at_mm or 0.0), step)
    if _NOUGHT.fullmatch(text):
        return TypedValue(set_at_mm or 0.0, _step_in(text, stands_on))
    if set_at_mm is not None or text[0] in "+-":
        offset = read_offset(text, default_unit=stands_on)
        return TypedValue(offset + (set_at_mm or 0.0), _step_in(text, stands_on))
    length = read_length(text, default_unit=stands_on)
    if not isinstance(length, Length):
        raise InvalidInput(
            "reading", needs="one size", came=text,
            remedy="It can be read as " + " or ".join(one.said for one in length.readings) + ": type one.",
        )  # fmt: skip
    return TypedValue(length.mm, _step_in(text, stands_on))


def _step_in(text: str, stands_on: LengthUnit) -> float:
    """The last place of a text with words: thousandths where it says so, else of its longest decimal."""
    inches = bool(re.search(r"\"|''|\bin|inch", text)) or (stands_on is LengthUnit.INCH and "mm" not in text)
    if re.search(r"thou", text):
        return 0.0254
    decimals = re.findall(r"\d*[.,](\d+)", text)
    if decimals:
        return 10.0 ** -max(len(one) for one in decimals) * (25.4 if inches else 1.0)
    # A fraction of an inch is good to a 64th, a whole number of millimetres to one.
    return 25.4 / 64 if inches else 1.0


def _by_table(text: str, unit: str, per: dict[str, float], example: str) -> TypedValue:
    found = _WITH_UNIT.fullmatch(text)
    named = (found[2] or unit).strip().lower().rstrip(".") if found else ""
    if not found or named not in per:
        raise InvalidInput(
            "reading", needs=f"a number such as {example}", came=text,
            remedy=f"Units known here are {', '.join(per)}.",
        )  # fmt: skip
    return TypedValue(_number(found[1]) * per[named], _last_place(found[1]) * per[named])


def _force(text: str, unit: str) -> TypedValue:
    force = read_force(text, default_unit=ForceUnit(unit) if unit in set(ForceUnit) else None)
    number = re.search(r"\d+(?:[.,]\d*)?|[.,]\d+", text)
    typed = _number(number[0]) if number else 0.0
    step = _last_place(number[0]) * force.force_n / typed if number and typed else 1.0
    return TypedValue(force.force_n, step)
