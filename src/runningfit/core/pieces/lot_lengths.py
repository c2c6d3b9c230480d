"""The length of a lot: as typed, in millimetres, and the standard length it means."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind, LengthBasis
from runningfit.core.pieces.understood import Meaning, Problem, Question
from runningfit.core.units import Length, LengthQuestion, LengthUnit, nominal_length, read_length

# Common practice, no source: no fastener of an engine is 13 inches long or more, few are longer than
# 6 inches, and none is shorter than 3 mm.
_NEVER_INCHES_FROM = 13.0
_SELDOM_INCHES_ABOVE = 6.0
_NEVER_MM_BELOW = 3.0
_VARIOUS = re.compile(
    r"\b(?:various|varied|var(?:y|ies)|mix(?:ed)?|misc\w*|assorted|all sorts|sundry|diverse?|versch\w*)\b",
    re.IGNORECASE,
)
_NOTHING = re.compile(r"[-–—/.\s]*|n/?a|none|nil", re.IGNORECASE)
_KINDS_THAT_NEED_A_LENGTH = frozenset(
    {Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.SLOTTED_SCREW, Kind.GRUB_SCREW, Kind.PIN, Kind.SPACER}
)
_METRIC = re.compile(r"\s*m\s?\d|.*mm\s*$", re.IGNORECASE)
_OVERALL = re.compile(r"\bover\s?all\b|\bo/a\b", re.IGNORECASE)
_UNDER_HEAD = re.compile(r"\bunder\s+(?:the\s+)?head\b|\bu/h\b", re.IGNORECASE)
_BARE = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")


@dataclass(frozen=True, slots=True)
class LotLength:
    """A length as understood: millimetres, the name of the standard length, and what is left to ask."""

    mm: float | None
    nominal: str | None
    problems: tuple[Problem, ...] = ()
    questions: tuple[Question, ...] = ()


@lru_cache(maxsize=2048)
def read_lot_length(
    text: str,
    *,
    kind: Kind | None,
    column_unit: LengthUnit | None,
    thread_unit: LengthUnit | None,
) -> LotLength:
    """Read the length of a lot; the unit is the one typed, else the column's, else that of its thread.

    Parameters
    ----------
    text : str
        As typed.
    kind : Kind or None
        What the pieces are; bolts, screws and studs need a length.
    column_unit : LengthUnit or None
        The unit in the heading of the column.
    thread_unit : LengthUnit or None
        The unit in which fasteners with such a thread are sold.

    Returns
    -------
    LotLength
        A bare number that can only be millimetres is read so, and said so.
    """
    typed = text.strip()
    if _NOTHING.fullmatch(typed):
        return _none_given(kind)
    if _VARIOUS.search(typed):
        problem = Problem(
            Meaning.LENGTH, "the lengths differ", typed, "Measure each and sort them by length."
        )
        return LotLength(None, None, (problem,))
    doubt = typed.endswith("?")
    plain = typed.rstrip("? ")
    unit = column_unit or thread_unit
    questions: list[Question] = []
    bare = float(plain.replace(",", ".")) if _BARE.fullmatch(plain) else None
    if bare is not None and unit is LengthUnit.INCH and bare >= _NEVER_INCHES_FROM:
        unit = LengthUnit.MM
        questions.append(Question(Meaning.LENGTH, f"{plain} can only be millimetres, and was read so."))
    elif bare is not None and unit is not None and _is_open(bare, unit, column_unit):
        unit = None
    try:
        reading = read_length(plain, default_unit=unit)
    except InvalidInput as error:
        problem = Problem(Meaning.LENGTH, "this is no length", typed, error.remedy or "Measure one.")
        return LotLength(None, None, (problem,))
    if isinstance(reading, LengthQuestion):
        return _asked(reading)
    if doubt:
        questions.append(Question(Meaning.LENGTH, f"'{typed}' was written with doubt: measure one."))
    return LotLength(reading.mm, _nominal(reading, thread_unit), (), tuple(questions))


def basis_said(text: str) -> LengthBasis | None:
    """The basis of a length where it was written beside it: 2 in under head, 50 mm overall.

    Parameters
    ----------
    text : str
        A length as typed.

    Returns
    -------
    LengthBasis or None
        None where nothing was said.
    """
    if _OVERALL.search(text):
        return LengthBasis.OVERALL
    return LengthBasis.UNDER_HEAD if _UNDER_HEAD.search(text) else None


def length_unit_of(sizes: tuple[str, ...]) -> LengthUnit | None:
    """The unit in which the lengths of fasteners of such a size are given.

    Parameters
    ----------
    sizes : tuple of str
        The threads it can be, or the size it fits, or a size that could not be read.

    Returns
    -------
    LengthUnit or None
        Millimetres for metric threads, inches for all others, B.A. included (common practice, no source);
        None if nothing is known.
    """
    metric = [_METRIC.match(size) is not None for size in sizes]
    if not metric or (any(metric) and not all(metric)):
        return None
    return LengthUnit.MM if all(metric) else LengthUnit.INCH


def _is_open(bare: float, unit: LengthUnit, column_unit: LengthUnit | None) -> bool:
    """Whether a number without a unit may as well be in the other unit; a heading settles it."""
    if column_unit is not None:
        return False
    if unit is LengthUnit.INCH:
        return bare > _SELDOM_INCHES_ABOVE
    return bare < _NEVER_MM_BELOW


def _asked(reading: LengthQuestion) -> LotLength:
    readings = tuple(f"{one.said} ({one.mm:.3f} mm)" for one in reading.readings)
    problem = Problem(
        Meaning.LENGTH,
        f"it can be read as {' or as '.join(readings)}",
        reading.typed,
        "Say which, or measure one.",
    )
    return LotLength(None, None, (problem,), (Question(Meaning.LENGTH, reading.question, readings),))


def _nominal(length: Length, thread_unit: LengthUnit | None) -> str:
    series = LengthUnit.INCH if length.unit is LengthUnit.INCH else thread_unit or length.unit
    standard = nominal_length(length.mm, series=series)
    return standard.said if standard is not None else length.said


def _none_given(kind: Kind | None) -> LotLength:
    if kind in _KINDS_THAT_NEED_A_LENGTH:
        return LotLength(None, None, (Problem(Meaning.LENGTH, "no length is given", "", "Measure one."),))
    return LotLength(None, None)
