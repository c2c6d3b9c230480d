"""What one press of a caliper's button counts as: a standard length, or a question."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.units import (
    Length,
    LengthQuestion,
    LengthUnit,
    format_length,
    neighbours,
    nominal_length,
    read_length,
)

# Common practice, no source: a fastener of an engine is neither shorter nor longer than this.
SHORTEST_MM = 3.0
LONGEST_MM = 300.0
MM_PER_UNIT = {LengthUnit.INCH: 25.4, LengthUnit.MM: 1.0}
# A caliper shows hundredths of a millimetre, and thousandths of an inch or finer, so the number of places
# tells when it stands on the other unit than the sheet (common practice, no source).
_MM_PLACES = 2
_LIKE_MM_ABOVE = 4.0
_LIKE_INCHES_BELOW = 13.0

_CHANNEL = re.compile(r"^\d{2}[A-Z](?=[+-]\d)")
_READING = re.compile(
    r"(?P<sign>[+-])?(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit>mm\b|inch\b|in\b|\")?(?P<rest>\D*)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class CaliperReading:
    """What a caliper sent: a number in a unit; nought and less are kept, to be asked about.

    Parameters
    ----------
    mm : float
        The reading [mm].
    number : float or None
        The bare number, where the unit was not sent along with it.
    places : int
        How many places it has behind the point.
    """

    mm: float
    number: float | None
    places: int


@dataclass(frozen=True, slots=True)
class TallyChoice:
    """A length that a press may count as, and how the trade writes it."""

    mm: float
    said: str


@dataclass(frozen=True, slots=True)
class TallyReading:
    """What a press counts as; a question means that nobody has said yet, with the lengths to choose from.

    Parameters
    ----------
    mm : float
        The reading [mm].
    length : TallyChoice or None
        The standard length, None while it is asked.
    question : str
        Empty when there is none.
    choices : tuple of TallyChoice
        What it may count as; empty when it can be no piece at all.
    """

    mm: float
    length: TallyChoice | None
    question: str = ""
    choices: tuple[TallyChoice, ...] = ()


def read_caliper(text: str, *, unit: LengthUnit) -> CaliperReading:
    """Read what a caliper types: digits with a point or a comma, perhaps a unit and words behind it.

    Parameters
    ----------
    text : str
        `34.91`, `34,91 mm`, `+034.90`, `1.3750in`, or a length typed by hand as `1 3/8`.
    unit : LengthUnit
        The unit the caliper stands on, for a number without one.

    Returns
    -------
    CaliperReading
        Nought and negative readings too.

    Raises
    ------
    InvalidInput
        It is no single reading; two that ran into each other (`34.934.9`) are refused.
    """
    typed = " ".join(text.split())
    if "/" in typed:
        return CaliperReading(_by_hand(typed, unit).mm, None, 0)
    found = _READING.fullmatch(_CHANNEL.sub("", typed.upper()))
    if found is None:
        _refuse(text)
    number = float(found["number"].replace(",", ".")) * (-1 if found["sign"] == "-" else 1)
    places = len(re.split("[.,]", found["number"])[1]) if re.search("[.,]", found["number"]) else 0
    if found["unit"] is None:
        return CaliperReading(number * MM_PER_UNIT[unit], number, places)
    said = LengthUnit.MM if found["unit"].lower() == "mm" else LengthUnit.INCH
    return CaliperReading(number * MM_PER_UNIT[said], None, places)


def read_press(text: str, *, unit: LengthUnit, series: LengthUnit) -> TallyReading:
    """Find what one press counts as.

    Parameters
    ----------
    text : str
        What the caliper typed.
    unit : LengthUnit
        The unit the caliper stands on.
    series : LengthUnit
        Whether the pieces come in inch or in metric lengths.

    Returns
    -------
    TallyReading
        The standard length, or a question when the reading lies between two, is absurd for a fastener, or
        looks as if the caliper stood on the other unit.

    Raises
    ------
    InvalidInput
        It is no single reading.
    """
    reading = read_caliper(text, unit=unit)
    if reading.mm <= 0:
        return TallyReading(
            reading.mm, None, f"The caliper said {format_length(reading.mm, unit)}. Measure it again."
        )
    other = _other_unit(reading, unit)
    shown = format_length(reading.mm, unit)
    if not SHORTEST_MM <= reading.mm <= LONGEST_MM:
        extreme = "short" if reading.mm < SHORTEST_MM else "long"
        question = f"{shown} is very {extreme}. Which length is it?"
        choices = (*_other_choice(other, series), TallyChoice(reading.mm, shown))
        return TallyReading(reading.mm, None, question, choices)
    near = nominal_length(reading.mm, series=series)
    if other is not None and _stands_on_other(reading, unit):
        own = near or _between(reading.mm, series)[0]
        own_choice = TallyChoice(own.mm, own.said)
        wrong = "millimetres" if unit is LengthUnit.INCH else "inches"
        question = f"'{text.strip()}' looks as if the caliper stood on {wrong}. Which length is it?"
        return TallyReading(reading.mm, None, question, (*_other_choice(other, series), own_choice))
    if near is not None:
        return TallyReading(reading.mm, TallyChoice(near.mm, near.said))
    choices = tuple(dict.fromkeys((*_between(reading.mm, series), TallyChoice(reading.mm, shown))))
    return TallyReading(reading.mm, None, f"{shown} lies between two lengths. Which is it?", choices)


def _refuse(text: str) -> NoReturn:
    raise InvalidInput(
        "reading",
        needs="one length such as 34.91 or 1.375 in",
        came=text.strip()[:40],
        remedy="Press the button again.",
    )


def _by_hand(typed: str, unit: LengthUnit) -> Length:
    length = read_length(typed, default_unit=unit)
    if isinstance(length, LengthQuestion):
        raise InvalidInput(
            "reading",
            needs="a length that reads one way",
            came=typed[:40],
            remedy="Write it as 1 3/8 in or 34.9 mm.",
        )
    return length


def _between(mm: float, series: LengthUnit) -> tuple[TallyChoice, ...]:
    around = neighbours(mm, series)
    return tuple(TallyChoice(one.mm, one.said) for one in (around.below, around.above) if one is not None)


def _other_unit(reading: CaliperReading, unit: LengthUnit) -> float | None:
    """The length [mm] if the caliper stood on the other unit, where that can be a fastener."""
    if reading.number is None:
        return None
    mm = reading.number * MM_PER_UNIT[LengthUnit.MM if unit is LengthUnit.INCH else LengthUnit.INCH]
    return mm if SHORTEST_MM <= mm <= LONGEST_MM else None


def _stands_on_other(reading: CaliperReading, unit: LengthUnit) -> bool:
    if reading.number is None:
        return False
    if unit is LengthUnit.INCH:
        return reading.places == _MM_PLACES and reading.number > _LIKE_MM_ABOVE
    return reading.places > _MM_PLACES and reading.number < _LIKE_INCHES_BELOW


def _other_choice(mm: float | None, series: LengthUnit) -> tuple[TallyChoice, ...]:
    if mm is None:
        return ()
    near = nominal_length(mm, series=series)
    if near is not None:
        return (TallyChoice(near.mm, near.said),)
    return _between(mm, series)
