"""The quick line: one lot in one line, typed or dictated, in whatever order comes to mind."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.areas import AreaFound, find_area
from runningfit.core.pieces.line_parts import LONGEST_LINE, LineParts, take_apart
from runningfit.core.pieces.lot_reading import LotText, ReadBefore, understand_lot
from runningfit.core.pieces.understood import Meaning, Question, Typed, UnderstoodLine
from runningfit.core.units import LengthUnit
from runningfit.core.units.spoken import in_figures

# How dictation writes the letters of a bag's code.
_LETTERS = {
    "ay": "A", "bee": "B", "be": "B", "see": "C", "sea": "C", "dee": "D", "ee": "E", "eff": "F", "gee": "G",
    "aitch": "H", "jay": "J", "kay": "K", "ell": "L", "em": "M", "en": "N", "pea": "P", "pee": "P",
    "queue": "Q", "cue": "Q", "are": "R", "ess": "S", "tee": "T", "tea": "T", "you": "U", "vee": "V",
    "why": "Y", "zed": "Z", "zee": "Z",
}  # fmt: skip
_LETTER = rf"(?:{'|'.join(_LETTERS)})"
_BAG = re.compile(
    rf"[,;]?\s*\b(?:in(?:to)?\s+|to\s+)?bag\s*(?:no\.?|number|:|#)?\s*"
    rf"(?P<code>(?:{_LETTER}\s+)+\d[\w-]*|[A-Za-z]{{1,4}}[\s-]?\d[\w-]*|\d[\w-]*|[A-Za-z]{{1,2}}\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Bagged:
    """A bag's code as understood and as typed, and the line without it."""

    code: str
    typed: str
    rest: str


@dataclass(frozen=True, slots=True)
class _Placed:
    """A known area named in a line, and the line without it."""

    area: str
    rest: str


def read_quick_line(
    text: str,
    *,
    known_areas: Sequence[str] = (),
    known_bags: Sequence[str] = (),
    default_unit: LengthUnit | None = None,
) -> UnderstoodLine:
    """Understand one line about one lot.

    Parameters
    ----------
    text : str
        Such as ``9 hex bolts 5/16-24 x inch and three eighths, clear, gear case, bag T1``.
    known_areas : sequence of str
        The areas of the job; found in any order of words and with one letter wrong.
    known_bags : sequence of str
        The codes of the bags of the job; found also without the word bag.
    default_unit : LengthUnit or None
        The unit of a length without one where the thread does not tell it.

    Returns
    -------
    UnderstoodLine
        Words that tell nothing else become remarks, so that none is lost.

    Raises
    ------
    InvalidInput
        If the line is empty, or longer than 1,000 characters.
    """
    line = " ".join(text.split())
    if not line:
        raise InvalidInput(
            "The quick line",
            needs="some words",
            came=text,
            remedy="Say how many, what, which thread and how long.",
        )
    if len(line) > LONGEST_LINE:
        raise InvalidInput(
            "The quick line",
            needs=f"at most {LONGEST_LINE:,} characters",
            came=f"{len(line):,} characters",
            remedy="Write one lot to a line, or import a list.",
        )
    bagged = _bag(line, tuple(known_bags))
    placed = _known_area(bagged.rest, known_areas)
    parts = take_apart(placed.rest)
    found = find_area(parts.left_over, tuple(known_areas))
    if placed.area:
        found = AreaFound(placed.area, parts.left_over)
    questions: tuple[Question, ...] = ()
    if found.guessed_from:
        questions = (
            Question(Meaning.AREA, f"'{found.guessed_from}' was read as {found.area}.", (found.area,)),
        )
    lot = understand_lot(
        LotText(
            count=parts.count,
            kind=parts.kind,
            size=parts.size,
            length=parts.length,
            finish=parts.finish,
            condition=parts.condition,
            remarks=", ".join(found.left_over),
            bag=bagged.code,
            area=found.area,
            default_unit=default_unit,
        ),
        ReadBefore(questions=questions, typed=_typed(parts, bagged, found.guessed_from or found.area)),
    )
    return UnderstoodLine.of(text, lot)


def _typed(parts: LineParts, bagged: _Bagged, area: str) -> tuple[Typed, ...]:
    pairs = (
        Typed(Meaning.COUNT, parts.count),
        Typed(Meaning.KIND, parts.kind),
        Typed(Meaning.SIZE, parts.size),
        Typed(Meaning.LENGTH, parts.length),
        Typed(Meaning.FINISH, parts.finish),
        Typed(Meaning.CONDITION, parts.condition),
        Typed(Meaning.AREA, area),
        Typed(Meaning.BAG, bagged.typed),
    )
    return tuple(pair for pair in pairs if pair.text)


def _bag(line: str, known: tuple[str, ...]) -> _Bagged:
    spoken = _in_code_figures(line)
    match = _BAG.search(spoken)
    if match is not None:
        code = _code(match["code"])
        known_code = next((one for one in known if one.lower() == code.lower()), None)
        return _Bagged(
            known_code or code,
            match["code"],
            f"{spoken[: match.start()]}, {spoken[match.end() :]}".strip(", "),
        )
    for code in sorted(known, key=len, reverse=True):
        named = re.search(rf"(?<![\w/.-]){re.escape(code)}(?![\w/.-])", line, re.IGNORECASE)
        if named is not None and re.search(r"[A-Za-z]", code):
            return _Bagged(code, named[0], f"{line[: named.start()]}, {line[named.end() :]}".strip(", "))
    return _Bagged("", "", line)


def _known_area(line: str, known: Sequence[str]) -> _Placed:
    """Take a known name of several words out first: the raw of the raw-water pump is no finish."""
    for area in sorted(known, key=len, reverse=True):
        words = re.findall(r"[^\W_]+", area)
        if len(words) < 2:
            continue
        name = r"[\s-]+".join(map(re.escape, words))
        named = re.search(rf"\b{name}\b", line, re.IGNORECASE)
        if named is not None:
            return _Placed(area, f"{line[: named.start()]}, {line[named.end() :]}".strip(", "))
    return _Placed("", line)


def _in_code_figures(line: str) -> str:
    """Only the words after 'bag' are turned into figures here: the parts of the line turn theirs."""
    head, word, tail = _partition_bag(line)
    return f"{head}{word}{in_figures(tail)}" if word else line


def _partition_bag(line: str) -> tuple[str, str, str]:
    match = re.search(r"\bbag\b\s*", line, re.IGNORECASE)
    return (line[: match.start()], match[0], line[match.end() :]) if match else (line, "", "")


def _code(said: str) -> str:
    words = said.split()
    letters = "".join(_LETTERS.get(word.lower(), word) for word in words)
    return letters.upper() if letters.isalnum() or "-" in letters else said
