"""Names of strength grades: from what stands on a head, or what somebody says, to a grade of a standard."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows


class GradeStandard(StrEnum):
    """The standard that a grade belongs to."""

    SAE_J429 = "SAE J429"
    ISO_898_1 = "ISO 898-1"
    BRITISH_LETTERS = "BS 1768"


@dataclass(frozen=True, slots=True)
class GradeName:
    """A grade by its standard and name, not yet of any size.

    Parameters
    ----------
    standard : GradeStandard
        The standard.
    name : str
        The grade, class or letter: `5`, `8.8`, `R`.
    """

    standard: GradeStandard
    name: str

    def __str__(self) -> str:
        """`SAE J429 5`, `ISO 898-1 8.8`, `BS 1768 R`."""
        return f"{self.standard} {self.name}"


# The folder of the table of each standard.
FOLDERS = {
    GradeStandard.SAE_J429: "sae_j429_edition_not_stated",
    GradeStandard.ISO_898_1: "iso_898_1_2013",
    GradeStandard.BRITISH_LETTERS: "bs_1768_1963",
}
_SAE = re.compile(r"(?:sae[\s-]*)?(?:j\s*429(?::\d{4})?[\s-]*)?(?:grade|gr\.?|g)?\s*(?P<name>[1258](?:\.2)?)")
_ISO = re.compile(
    r"(?:en\s*)?(?:iso|iso\s*898(?:[-/\s]1)?(?::\d{4})?)?\s*(?:class|grade|property class)?\s*"
    r"(?P<name>\d{1,2}\.\d)"
)
_BRITISH = re.compile(
    r"(?:bs\s*(?:1768|1083)?|british)?\s*(?:grade|letter)?\s*['\"]?(?P<name>[abprstvxy])['\"]?"
)
_LINES = {"none": ("1", "2"), "no mark": ("1", "2"), "unmarked": ("1", "2"), "3": ("5",), "6": ("8",)}
_LINE_MARK = re.compile(r"(?P<count>3|6|three|six)\s*(?:radial\s*)?(?:lines?|dashes|marks|ticks|strokes)")
_COUNTS = {"three": "3", "six": "6"}
_NAMED = {
    GradeStandard.SAE_J429: re.compile(r"\bsae\b|j\s*429"),
    GradeStandard.ISO_898_1: re.compile(r"\biso\b|\b898\b"),
    GradeStandard.BRITISH_LETTERS: re.compile(r"\bbs\b|\b(?:1768|1083)\b"),
}
_TONS = re.compile(r"(?P<tons>\d{2})[\s-]*tons?(?:f?/in2|\s*steel)?")
# What people write round a grade or a mark: `marked R`, `S grade`, `8.8 bolts`.
_ROUND = re.compile(r"^(?:marked|mark|stamped)\s+|\s+(?:grade|mark|marked|stamped|steel|bolts?)$")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_NEEDS = "a strength grade such as SAE J429 5, ISO 898-1 8.8 or BS 1768 R"


def _plain(text: str) -> str:
    plain = " ".join(text.lower().replace("_", " ").split()).strip(" .,;:")
    return _DECIMAL_COMMA.sub(".", _ROUND.sub("", plain))


def _known(standard: GradeStandard) -> tuple[str, ...]:
    """Names of the grades of a standard, in the order of its table."""
    column = "letter" if standard is GradeStandard.BRITISH_LETTERS else "grade"
    return tuple(dict.fromkeys(row[column] for row in rows(FOLDERS[standard])))


def _letter_of_tons(plain: str) -> GradeName | None:
    """The letter of a strength in tons to the square inch: `45 ton` is R; of A and B the first."""
    found = _TONS.fullmatch(plain)
    standard = GradeStandard.BRITISH_LETTERS
    if found is None:
        return None
    letters = (
        row["letter"]
        for row in rows(FOLDERS[standard])
        if row["unit"] == "tonf/in2" and row["tensile_low"] == found["tons"]
    )
    letter = next(letters, None)
    return None if letter is None else GradeName(standard, letter)


def known_grades() -> tuple[GradeName, ...]:
    """Every grade of the tables.

    Returns
    -------
    tuple of GradeName
        Standard by standard, in the order of the tables.
    """
    return tuple(GradeName(standard, name) for standard in GradeStandard for name in _known(standard))


def grades_of_marking(marking: str) -> tuple[GradeName, ...]:
    """Name the grades that a head marking can mean.

    Parameters
    ----------
    marking : str
        What stands on the head: `3 radial lines`, `none`, `8.8`, `R`.

    Returns
    -------
    tuple of GradeName
        All it can mean; a bare head is SAE J429 grade 1 or 2, or of no grade at all.

    Raises
    ------
    InvalidInput
        No such marking is known.
    """
    plain = _plain(marking)
    lines = _LINE_MARK.fullmatch(plain)
    key = _COUNTS.get(lines["count"], lines["count"]) if lines else plain
    if key in _LINES and (lines or not key.isdigit()):
        return tuple(GradeName(GradeStandard.SAE_J429, name) for name in _LINES[key])
    for pattern, standard in ((_ISO, GradeStandard.ISO_898_1), (_BRITISH, GradeStandard.BRITISH_LETTERS)):
        found = pattern.fullmatch(plain)
        if found and found["name"].upper() in _known(standard):
            return (GradeName(standard, found["name"].upper()),)
    raise InvalidInput(
        "marking",
        needs="a head marking such as 3 radial lines, 8.8, R or none",
        came=marking,
        remedy="Draw or photograph it, and take the grade as not known.",
    )


def read_grade(text: str) -> GradeName:
    """Read the name of a strength grade.

    Parameters
    ----------
    text : str
        `SAE J429 5`, `grade 8`, `ISO 898-1 10.9`, `12,9`, `BS 1768 R`, `marked T`, `55 ton`.

    Returns
    -------
    GradeName
        The grade.

    Raises
    ------
    InvalidInput
        It is no grade of the tables.
    """
    plain = _plain(text)
    for pattern, standard in (
        (_SAE, GradeStandard.SAE_J429),
        (_ISO, GradeStandard.ISO_898_1),
        (_BRITISH, GradeStandard.BRITISH_LETTERS),
    ):
        found = pattern.fullmatch(plain)
        if found is None:
            continue
        name = found["name"].upper()
        if name in _known(standard):
            return GradeName(standard, name)
        raise _has_not(standard, text)
    if (by_tons := _letter_of_tons(plain)) is not None:
        return by_tons
    for standard, named in _NAMED.items():
        if named.search(plain):
            raise _has_not(standard, text)
    raise InvalidInput(
        "grade", needs=_NEEDS, came=text, remedy="Leave it out if it is not known: it is then the weakest."
    )


def _has_not(standard: GradeStandard, text: str) -> InvalidInput:
    return InvalidInput(
        "grade",
        needs=f"one of {standard}: {', '.join(_known(standard))}",
        came=text,
        remedy="Read the head again, or leave the grade out: it is then taken as the weakest.",
    )
