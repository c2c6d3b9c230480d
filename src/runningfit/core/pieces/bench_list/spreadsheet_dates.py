"""Sizes that a spreadsheet has turned into dates, read back: 3/8 that became 8 March."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list.tables import Cell
from runningfit.core.pieces.designations import read_thread
from runningfit.core.standards import thread

_MONTHS = {
    "jan": 1, "feb": 2, "fév": 2, "fev": 2, "mar": 3, "mär": 3, "mrz": 3, "mrt": 3, "maa": 3, "apr": 4,
    "avr": 4, "may": 5, "mai": 5, "mei": 5, "jun": 6, "juin": 6, "jul": 7, "juil": 7, "aug": 8, "aoû": 8,
    "aou": 8, "sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12, "déc": 12,
}  # fmt: skip
_LONGEST_MONTH_KEY = 4
_DAY_MONTH = re.compile(r"(\d{1,2})[-. /]+([^\W\d_]{3,10})\.?(?:[-. /]+(\d{4}|\d{2}))?")
_MONTH_NUMBER = re.compile(r"([^\W\d_]{3,10})\.?[-. /]+(\d{1,2})")
_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[ T]00:00(?::00)?(?:\.0+)?)?")
_NUMERIC = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})(?: 0?0:00(?::00)?)?")
_SERIAL = re.compile(r"\d{5}(?:\.0)?")
_FIRST_DAY = datetime.date(1899, 12, 30)
_SERIALS = range(36526, 55154)
_LAST_MONTH = 12
# Numbered screws have 24 threads to the inch or more: 10-24 became 24 October, 8-32 August 1932.
_COARSEST_NUMBERED = 24
_DENOMINATORS = frozenset({2, 4, 8, 16, 32, 64})
# A date hides a pitch in its year only where that thread is in general use: 3/8 typed in 2026 is no 3/8-26.
_SERIES_WITH_A_TYPED_PITCH = frozenset({"UNC", "UNF", "BSW", "BSF"})
_SIXTY_FOURTHS = re.compile(r"0?[.,]\d+|[1-3][.,]\d+")


@dataclass(frozen=True, slots=True)
class _DateParts:
    """A date by its parts; the year is None where none is shown."""

    day: int | None
    month: int
    year: int | None
    number: int | None = None


def sizes_behind(cell: Cell, *, threaded: bool) -> tuple[str, ...] | None:
    """The sizes that a spreadsheet can have turned into the date in this cell.

    Parameters
    ----------
    cell : Cell
        Of a column of sizes or threads.
    threaded : bool
        Whether the pieces have a thread, so that a pitch may be hidden in the year.

    Returns
    -------
    tuple of str or None
        Each as it was probably typed, most probable first; None if the cell holds no date.
    """
    parts = _parts(cell)
    if parts is None:
        return None
    found = [f"{upper}/{lower}" for upper, lower in _fractions(parts, cell.date_format)]
    if threaded and parts.year is not None and parts.day is not None and not _shows_no_year(cell.date_format):
        pitch = parts.year % 100
        for upper, lower in _proper((parts.month, parts.day), (parts.day, parts.month)):
            found.append(f"{upper}/{lower}-{pitch}")
    if threaded:
        found += _numbered(parts)
    elif not found:
        found += _mixed_numbers(parts, cell.date_format)
    return tuple(one for one in dict.fromkeys(found) if _is_a_size(one))


def lengths_behind(cell: Cell) -> tuple[str, ...] | None:
    """The lengths that a spreadsheet can have turned into the date in this cell.

    Parameters
    ----------
    cell : Cell
        Of a column of lengths.

    Returns
    -------
    tuple of str or None
        Each as it was probably typed, most probable first; None if the cell holds no date.
    """
    parts = _parts(cell)
    if parts is None:
        return None
    found = [f"{upper}/{lower}" for upper, lower in _fractions(parts, cell.date_format)]
    return tuple(dict.fromkeys(found + _mixed_numbers(parts, cell.date_format)))


def is_date(cell: Cell) -> bool:
    """Whether a cell holds a date, in a workbook or written out.

    Parameters
    ----------
    cell : Cell
        Of any column.

    Returns
    -------
    bool
        Five-figure day numbers count as well.
    """
    return _parts(cell) is not None


def fraction_behind(text: str) -> str | None:
    """The fraction that a bare decimal size is: 0.375 is 3/8.

    Parameters
    ----------
    text : str
        Of a column of sizes.

    Returns
    -------
    str or None
        None unless it is a whole number of 64ths of an inch, below 4.
    """
    if not _SIXTY_FOURTHS.fullmatch(text.strip()):
        return None
    value = Fraction(text.strip().replace(",", "."))
    if value == 0 or (value * 64).denominator != 1:
        return None
    whole, part = divmod(value, 1)
    if not part:
        return str(int(whole))
    return f"{int(whole)} {part}" if whole else str(part)


def _parts(cell: Cell) -> _DateParts | None:
    if cell.date is not None:
        return _DateParts(cell.date.day, cell.date.month, cell.date.year)
    text = cell.text.strip()
    if match := _DAY_MONTH.fullmatch(text):
        month = _month(match[2])
        year = int(match[3]) if match[3] else None
        return _checked(int(match[1]), month, year) if month else None
    if match := _MONTH_NUMBER.fullmatch(text):
        month = _month(match[1])
        return _DateParts(None, month, None, int(match[2])) if month else None
    if match := _ISO.fullmatch(text):
        return _checked(int(match[3]), int(match[2]), int(match[1]))
    if match := _NUMERIC.fullmatch(text):
        first, second, year = int(match[1]), int(match[2]), int(match[3])
        return _checked(first, second, year) or _checked(second, first, year)
    if _SERIAL.fullmatch(text) and int(float(text)) in _SERIALS:
        date = _FIRST_DAY + datetime.timedelta(days=int(float(text)))
        return _DateParts(date.day, date.month, date.year)
    return None


def _checked(day: int, month: int, year: int | None) -> _DateParts | None:
    return _DateParts(day, month, year) if 1 <= day <= 31 and 1 <= month <= 12 else None


def _month(name: str) -> int | None:
    lowered = name.lower()
    for length in (_LONGEST_MONTH_KEY, 3):
        if (month := _MONTHS.get(lowered[:length])) is not None:
            return month
    return None


def _shows_no_year(date_format: str) -> bool:
    """Spreadsheets give a date typed without a year a form that shows none."""
    return bool(date_format) and "y" not in date_format.lower()


def _fractions(parts: _DateParts, date_format: str) -> list[tuple[int, int]]:
    if parts.day is None:
        number = parts.number or 0
        return _proper((parts.month, number), (number, parts.month))
    shows_no_day = bool(date_format) and "d" not in date_format.lower()
    pairs = [] if shows_no_day else [(parts.month, parts.day), (parts.day, parts.month)]
    # A number that may be a day or a month never becomes a year: 1/4 is 4 January, and no January 2004.
    if parts.year is not None and parts.day == 1 and parts.year % 100 > _LAST_MONTH:
        pairs.append((parts.month, parts.year % 100))
    return _proper(*pairs)


def _mixed_numbers(parts: _DateParts, date_format: str) -> list[str]:
    """Whole numbers with a fraction: 1-3/8 became 3 January or 1 March 2008."""
    if parts.year is None or parts.day is None or _shows_no_year(date_format):
        return []
    lower = parts.year % 100
    pairs = ((parts.month, parts.day), (parts.day, parts.month))
    return [f"{whole} {upper}/{lower}" for whole, upper in pairs if _proper((upper, lower))]


def _numbered(parts: _DateParts) -> list[str]:
    """Numbered screw sizes with their pitch."""
    if parts.day is None:
        pitch = parts.number or 0
    else:
        pitch = parts.year % 100 if parts.day == 1 and parts.year is not None else parts.day
    return [f"{parts.month}-{pitch}"] if pitch >= _COARSEST_NUMBERED else []


def _proper(*pairs: tuple[int, int]) -> list[tuple[int, int]]:
    return [
        (upper, lower)
        for upper, lower in pairs
        if lower in _DENOMINATORS and 0 < upper < lower and gcd(upper, lower) == 1
    ]


def _is_a_size(text: str) -> bool:
    try:
        reading = read_thread(text)
    except InvalidInput:
        return "-" not in text
    if "-" not in text:
        return True
    return any(thread(one).series in _SERIES_WITH_A_TYPED_PITCH for one in reading.candidates)
