"""The print scale as people write it: a factor, per cent, or what the mat's ruler measures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.checking import LEAST_SCALE, MOST_SCALE
from runningfit.core.units import LengthQuestion, LengthUnit, read_length

_NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
_PAIR = re.compile(rf"(?P<came>{_NUMBER})\s*(?:mm)?\s*(?:/|:|of|out of|for)\s*(?P<of>{_NUMBER})\s*(?:mm)?")
_ONE = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>%|per ?cent|mm)?")
_INCHES = re.compile(r"\bin(?:ch(?:es)?)?\b|[\"″]|\d\s+\d+/\d+")


@dataclass(frozen=True, slots=True)
class PrintScale:
    """A print scale as understood.

    Parameters
    ----------
    value : float
        Millimetres of the print for each millimetre as designed.
    understood_as : str
        How what was typed was read, for the person to look at.
    """

    value: float
    understood_as: str


def read_print_scale(text: str, *, rulers_mm: Sequence[float]) -> PrintScale:
    """Read a print scale as people write it.

    Parameters
    ----------
    text : str
        `0.985` or `0,985` is a factor, `98.5` or `98.5 %` per cent, `197/200` or `197 of 200 mm` what a ruler
        measures of what it should; `197` or `7 3/4 in` is what the ruler measures that is nearest.
    rulers_mm : sequence of float
        The lengths of the mat's rulers as designed [mm].

    Returns
    -------
    PrintScale

    Raises
    ------
    InvalidInput
        It cannot be read, or is no scale that a printer can come to (0.9 to 1.1).
    """
    plain = " ".join(text.lower().replace("’", "'").split()).rstrip(".")
    pair, one = _PAIR.fullmatch(plain), _ONE.fullmatch(plain)
    if _INCHES.search(plain):
        return _by_ruler(_inches_mm(text, plain), text, rulers_mm)
    if pair:
        came, of = _number(pair["came"]), _number(pair["of"])
        if of <= 0:
            _refuse(text, rulers_mm)
        return _checked(came / of, f"{came:g} measured of {of:g}", text, rulers_mm)
    if not one:
        _refuse(text, rulers_mm)
    number, unit = _number(one["number"]), one["unit"] or ""
    if unit == "mm" or (not unit and number > 100 * MOST_SCALE):
        return _by_ruler(number, text, rulers_mm)
    if unit or number > 10:
        return _checked(number / 100, f"{number:g} per cent", text, rulers_mm)
    return _checked(number, f"a factor of {number:g}", text, rulers_mm)


def _by_ruler(measured_mm: float, text: str, rulers_mm: Sequence[float]) -> PrintScale:
    ruler_mm = min(rulers_mm, key=lambda length: abs(measured_mm / length - 1), default=0.0)
    if not ruler_mm:
        _refuse(text, rulers_mm)
    said = f"{measured_mm:.4g} mm measured on the ruler of {ruler_mm:g} mm"
    return _checked(measured_mm / ruler_mm, said, text, rulers_mm)


def _inches_mm(text: str, plain: str) -> float:
    read = read_length(plain, default_unit=LengthUnit.INCH)
    if isinstance(read, LengthQuestion):
        raise InvalidInput("print scale", needs="one length", came=text, remedy="Measure it in millimetres.")
    return read.mm


def _number(written: str) -> float:
    return float(written.replace(",", "."))


def _checked(value: float, understood_as: str, text: str, rulers_mm: Sequence[float]) -> PrintScale:
    if not LEAST_SCALE <= value <= MOST_SCALE:
        _refuse(text, rulers_mm, f", which is {value:.3f} ({understood_as})")
    return PrintScale(round(value, 5), understood_as)


def _refuse(text: str, rulers_mm: Sequence[float], read: str = "") -> NoReturn:
    rulers = " or ".join(f"{length:g} mm" for length in rulers_mm) or "the length printed beside it"
    raise InvalidInput(
        "print scale",
        needs=f"what the mat's ruler measures of its {rulers}, or a factor of {LEAST_SCALE} to {MOST_SCALE}",
        came=f"{text.strip()[:40]}{read}",
        remedy="Hold a steel rule against the printed ruler and type what you read, such as 197/200.",
    )
