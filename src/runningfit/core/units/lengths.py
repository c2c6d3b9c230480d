"""Lengths as the trade writes and says them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from math import gcd
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.units.spoken import in_figures

# Exact by the international yard and pound agreement of 1959 (NIST SP 811:2008, appendix B.8).
MM_PER_INCH = 25.4
LONGEST_MM = 5000.0
# 5 m said in inches is 196.8504: to the nearest ten-thousandth, which may be half of one more.
_LONGEST_ROUNDED_MM = LONGEST_MM + 0.5e-4 * MM_PER_INCH
_LONGEST_TEXT = 80
_LARGEST_DENOMINATOR = 64


class LengthUnit(StrEnum):
    """The two units a length is thought in."""

    MM = "mm"
    INCH = "in"


@dataclass(frozen=True, slots=True)
class Length:
    """One length as understood, beside what was typed.

    Parameters
    ----------
    mm : float
        The length [mm].
    typed : str
        What was typed.
    unit : LengthUnit
        The unit it was meant in.
    said : str
        The form in which the trade writes it: `1 3/8 in`, `34.9 mm`, `0.250 in`.
    """

    mm: float
    typed: str
    unit: LengthUnit
    said: str


@dataclass(frozen=True, slots=True)
class LengthQuestion:
    """Text that can be read in more than one way, with the readings to choose from."""

    typed: str
    readings: tuple[Length, ...]
    question: str


_INCH = r"(?:\"|in\b\.?|ins\b\.?|inch\b|inches\b)"
_UNIT = (
    rf"(?P<unit>{_INCH}|mm\b|m/m\b|mms\b|millimet(?:re|er)s?\b|mills?\b|millies\b|cms?\b"
    r"|centimet(?:re|er)s?\b"
    r"|thous?\b|mils?\b)\.?"
)
_FRACTION = r"(?P<n>[0-9]{1,4})/(?P<d>[0-9]{1,4})"
_LONG = r"(?:\s*(?:long|lg\.?|u/h|under\s+(?:the\s+)?head|over\s?all|o/a))?"
_MIXED = re.compile(
    rf"(?:(?P<whole>[0-9]{{1,4}})\s*(?:{_INCH}\s*)?(?:and\b|-|\s)\s*)?{_FRACTION}"
    rf"\s*(?:of\s+)?(?:an?\s+)?(?:{_UNIT})?{_LONG}"
)
_ONE_AND = re.compile(rf"(?:an?\s+)?{_INCH}\s*(?:and\s+)?{_FRACTION}(?:\s*{_INCH})?{_LONG}")
_DOTTED = re.compile(rf"(?P<whole>[0-9]{{1,3}})[.,]{_FRACTION}\s*(?:{_UNIT})?{_LONG}")
_DECIMAL = re.compile(rf"(?P<value>[0-9]{{0,6}}(?:[.,][0-9]{{1,8}})|[0-9]{{1,6}})\s*(?:{_UNIT})?{_LONG}")
_ONE = re.compile(rf"an?\s+{_UNIT}{_LONG}")


def _refuse(typed: str, remedy: str, needs: str = "a length") -> NoReturn:
    raise InvalidInput(
        "length", needs=f"{needs} such as 1 3/8 in, 34.9 mm or 0.250 in", came=typed, remedy=remedy
    )


def _checked(mm: float, typed: str, unit: LengthUnit, said: str) -> Length:
    if mm <= 0:
        _refuse(typed, "Measure it again: a length is more than nothing.")
    if mm > _LONGEST_ROUNDED_MM:
        _refuse(
            typed, f"Check the unit: that would be {mm / 1000:.4g} m.", f"a length up to {LONGEST_MM:g} mm,"
        )
    return Length(mm, typed, unit, said)


def inch_fraction(sixty_fourths: int) -> str:
    """Write a number of sixty-fourths of an inch as a whole number and a fraction in lowest terms.

    Parameters
    ----------
    sixty_fourths : int
        Length [1/64 in], not negative.

    Returns
    -------
    str
        `1 3/8`, `3/8`, `2` or `0`.
    """
    whole, rest = divmod(sixty_fourths, 64)
    if not rest:
        return str(whole)
    common = gcd(rest, 64)
    fraction = f"{rest // common}/{64 // common}"
    return f"{whole} {fraction}" if whole else fraction


def _from_fraction(whole: str | None, n: str, d: str, typed: str) -> Length:
    """Make a length of a whole number and a fraction of inches."""
    over, under = int(n), int(d)
    if under < 2 or under > _LARGEST_DENOMINATOR or under & (under - 1):
        _refuse(
            typed, f"{n}/{d} is no fraction of an inch: use halves, quarters, 8ths, 16ths, 32nds or 64ths."
        )
    if over == 0 or (whole is not None and over >= under):
        _refuse(typed, f"{n}/{d} cannot follow a whole number: write it again.")
    sixty_fourths = int(whole or 0) * 64 + over * 64 // under
    mm = sixty_fourths * MM_PER_INCH / 64
    return _checked(mm, typed, LengthUnit.INCH, f"{inch_fraction(sixty_fourths)} in")


def _mm_spoken(unit: str | None) -> bool:
    return unit is not None and unit.startswith(("mm", "m/m", "mill", "cm", "centi"))


def _mixed(found: re.Match[str], typed: str) -> Length | LengthQuestion:
    """Read a whole number and a fraction; a fraction greater than one may have lost its space."""
    unit = found["unit"]
    if unit is not None and (_mm_spoken(unit) or unit.startswith(("thou", "mil"))):
        _refuse(typed, "Fractions are of an inch: write millimetres and thousandths with a decimal point.")
    whole, n, d = found["whole"], found["n"], found["d"]
    plain = _from_fraction(whole, n, d, typed)
    if whole is None and int(n) > int(d) and len(n) > 1 and n[1:] != "0" and 0 < int(n[1:]) < int(d):
        spaced = _from_fraction(n[0], n[1:], d, typed)
        return _question(typed, (spaced, plain))
    return plain


def _question(typed: str, readings: tuple[Length, ...]) -> LengthQuestion:
    both = " or ".join(reading.said for reading in readings)
    return LengthQuestion(typed, readings, f"'{typed}' can be {both}: which is it?")


def _dotted(found: re.Match[str], typed: str) -> Length | LengthQuestion:
    """Read `1.3/8`: a point for the space, or a decimal number of eighths."""
    if _mm_spoken(found["unit"]):
        _refuse(typed, "Fractions are of an inch: write millimetres with a decimal point.")
    spaced = _from_fraction(found["whole"], found["n"], found["d"], typed)
    decimal = f"{found['whole']}.{found['n']}"
    mm = float(decimal) / int(found["d"]) * MM_PER_INCH
    divided = Length(mm, typed, LengthUnit.INCH, f"{decimal}/{found['d']} in")
    return _question(typed, (spaced, divided))


def _trimmed(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".rstrip("0").rstrip(".")


def _decimal_as(number: str, unit: LengthUnit, typed: str) -> Length:
    """Make a length of a decimal number in one unit, written with a point and a leading nought."""
    shown = number if not number.startswith(".") else f"0{number}"
    value = float(number)
    return _checked(value * (MM_PER_INCH if unit is LengthUnit.INCH else 1.0), typed, unit, f"{shown} {unit}")


def _thousandths(number: str, typed: str) -> Length:
    value = float(number) / 1000
    said = _trimmed(value, 6)
    said = said if len(said.partition(".")[2]) >= 3 else f"{value:.3f}"
    return _checked(value * MM_PER_INCH, typed, LengthUnit.INCH, f"{said} in")


def _decimal(found: re.Match[str], typed: str, default_unit: LengthUnit | None) -> Length | LengthQuestion:
    """Read a decimal number in the unit written beside it, or in the default."""
    number, unit = found["value"].replace(",", "."), found["unit"]
    if unit is None:
        return _unmarked(found["value"], typed, default_unit)
    if unit.startswith("thou"):
        return _thousandths(number, typed)
    if unit.startswith("cm") or unit.startswith("centi"):
        mm = float(number) * 10
        return _checked(mm, typed, LengthUnit.MM, f"{_trimmed(mm, 6)} mm")
    if unit.startswith("mil") and not unit.startswith("mill"):
        # A mil is a millimetre to one bench and a thousandth of an inch to the next.
        return _question(typed, (_decimal_as(number, LengthUnit.MM, typed), _thousandths(number, typed)))
    return _decimal_as(number, LengthUnit.MM if _mm_spoken(unit) else LengthUnit.INCH, typed)


def _unmarked(written: str, typed: str, default_unit: LengthUnit | None) -> Length | LengthQuestion:
    """Read a number without a unit: in the default one, or ask."""
    number = written.replace(",", ".")
    if default_unit is None:
        if float(number) <= 0:
            _refuse(typed, "Measure it again: a length is more than nothing.")
        fitting = tuple(
            _decimal_as(number, unit, typed)
            for unit in (LengthUnit.INCH, LengthUnit.MM)
            if float(number) * (MM_PER_INCH if unit is LengthUnit.INCH else 1.0) <= _LONGEST_ROUNDED_MM
        )
        return _question(typed, fitting) if len(fitting) > 1 else _only(fitting, typed)
    reading = _decimal_as(number, default_unit, typed)
    thousands = re.fullmatch(r"([1-4]),([0-9]{3})", written)
    if thousands and default_unit is LengthUnit.MM:
        grouped = _decimal_as(thousands[1] + thousands[2], LengthUnit.MM, typed)
        return _question(typed, (reading, grouped))
    return reading


def _only(readings: tuple[Length, ...], typed: str) -> Length:
    if not readings:
        _refuse(typed, "Check the unit.", f"a length up to {LONGEST_MM:g} mm,")
    return readings[0]


def read_length(text: str, *, default_unit: LengthUnit | None) -> Length | LengthQuestion:
    """Read a length as the trade writes or says it.

    Parameters
    ----------
    text : str
        `1 3/8`, `1-3/8"`, `inch and three eighths`, `2¼`, `.250`, `34,9mm`, `3.49 cm`, `10 thou`.
    default_unit : LengthUnit or None
        The unit of a number without one; none makes such a number a question. Fractions are always inches.

    Returns
    -------
    Length or LengthQuestion
        The length, or the readings to choose from where there is more than one: `1.3/8`, `13/8` (which may
        have lost its space), `10 mil`, `1,250` with millimetres by default.

    Raises
    ------
    InvalidInput
        Nothing typed, no length, not more than nothing, longer than 5 m, or a fraction that no rule has.

    Notes
    -----
    Fractions may have halves to 64ths, powers of two, as steel rules have (common practice, no source).
    """
    if not text.strip():
        _refuse(text, "Type the length, or leave it out.")
    if len(text) > _LONGEST_TEXT:
        _refuse(text[:20] + "…", "Type the length alone.")
    words = re.sub(r"\s*/\s*", "/", " ".join(in_figures(text).lower().split()))
    words = words.replace("m/m", "mm").strip(" ,;")
    if re.match(r"(?:-|minus\b|\+|plus\b)", words):
        _refuse(text, "A length has no sign; an addition such as +10 thou belongs to a length.")
    if found := _MIXED.fullmatch(words):
        return _mixed(found, text)
    if found := _ONE_AND.fullmatch(words):
        return _from_fraction("1", found["n"], found["d"], text)
    if found := _DOTTED.fullmatch(words):
        return _dotted(found, text)
    if found := _DECIMAL.fullmatch(words):
        return _decimal(found, text, default_unit)
    if found := _ONE.fullmatch(words):
        one = _DECIMAL.fullmatch(f"1 {found['unit']}")
        if one is not None:
            return _decimal(one, text, default_unit)
    _refuse(text, "Type a number with in or mm, or a fraction of an inch.")


_SIGNS = {"+": 1, "plus": 1, "-": -1, "minus": -1, "over": 1, "oversize": 1, "under": -1, "undersize": -1}


def read_offset(text: str, *, default_unit: LengthUnit | None) -> float:
    """Read an addition to a size: `+10 thou`, `-0.25 mm`, `ten thou oversize`, `.010 under`.

    Parameters
    ----------
    text : str
        A length with a sign or a word for one; without either it adds.
    default_unit : LengthUnit or None
        The unit of a number without one.

    Returns
    -------
    float
        The addition [mm], negative when it takes away.

    Raises
    ------
    InvalidInput
        It is no length, or it can be read in two ways.
    """
    words = in_figures(text).strip().lower()
    sign = 1
    if found := re.match(r"(\+|-|plus\b|minus\b)\s*", words):
        sign, words = _SIGNS[found[1]], words[found.end() :]
    elif found := re.search(r"\s(oversize|undersize|over|under)$", words):
        sign, words = _SIGNS[found[1]], words[: found.start()]
    if re.fullmatch(rf"0*[.,]?0+\s*(?:{_UNIT})?", words):
        return 0.0
    try:
        length = read_length(words, default_unit=default_unit)
    except InvalidInput as error:
        raise InvalidInput(
            "offset", needs="an addition such as +10 thou", came=text, remedy=error.remedy
        ) from error
    if isinstance(length, LengthQuestion):
        raise InvalidInput(
            "offset",
            needs="an addition that reads one way, such as +10 thou",
            came=text,
            remedy="Write the unit.",
        )
    return sign * length.mm
