"""Classes of nuts, and which class a bolt asks for; how strong a nut of a class is, no source here tells."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grade_names import GradeName, GradeStandard, read_grade


class NutStandard(StrEnum):
    """The standard that a class of nuts belongs to."""

    ISO_898_2 = "ISO 898-2"
    SAE_J995 = "SAE J995"


@dataclass(frozen=True, slots=True)
class NutClass:
    """A class of nuts.

    Parameters
    ----------
    standard : NutStandard
        Whose it is.
    number : int
        The class: that of the strongest bolt it suits; 0 for a thin nut of class 04 or 05, which suits none.
    """

    standard: NutStandard
    number: int


# From memory: ISO 898-2:2012 table 2, SAE J995 table 1.
_CLASSES = {NutStandard.ISO_898_2: (0, 5, 6, 8, 9, 10, 12), NutStandard.SAE_J995: (2, 5, 8)}
_WORDS = re.compile(
    r"(?:(?P<sae>(?:sae\s*)?j\s*995|sae)|(?P<iso>(?:en\s*)?iso(?:\s*898(?:[-/\s]2)?)?))?[\s,]*"
    r"(?:class|grade|property class)?\s*(?P<name>04|05|\d{1,2})"
)
_THIN = frozenset({"04", "05"})


def read_nut_class(text: str) -> NutClass | None:
    """Read the class of a nut.

    Parameters
    ----------
    text : str
        `8`, `class 10`, `ISO 898-2 8`, `SAE J995 5`, or the grade of the bolt it is sold for, `8.8`; empty is
        not known.

    Returns
    -------
    NutClass or None
        None where nobody said, where no mark is on it, and for British letters. A bare number is a class of
        ISO 898-2, but 2 of SAE J995, which alone has it.

    Raises
    ------
    InvalidInput
        It is no class of either.
    """
    plain = " ".join(text.lower().replace("_", " ").split()).strip(" .,;:")
    if plain in {"", "none", "no mark", "unmarked", "plain", "unknown"}:
        return None
    found = _WORDS.fullmatch(plain)
    if found is not None:
        number = 0 if found["name"] in _THIN else int(found["name"])
        standard = NutStandard.SAE_J995 if found["sae"] or (number == 2 and not found["iso"]) else None
        standard = standard or NutStandard.ISO_898_2
        if number in _CLASSES[standard]:
            return NutClass(standard, number)
    elif (bolt := _grade_said(plain)) is not None:
        return nut_for(bolt)
    raise InvalidInput(
        "nut class",
        needs="a class of nuts such as 8, ISO 898-2 10 or SAE J995 5",
        came=text,
        remedy="Leave it out if it is not known.",
    )


def _grade_said(text: str) -> GradeName | None:
    try:
        return read_grade(text)
    except InvalidInput:
        return None


def nut_for(bolt: GradeName) -> NutClass | None:
    """Name the least class of nut that a bolt asks for.

    Parameters
    ----------
    bolt : GradeName
        The grade of the bolt.

    Returns
    -------
    NutClass or None
        Of ISO 898-1 the number before the point, at least 5; of SAE J429 the grade itself, at least 2 (both
        from memory). None for British letters.
    """
    number = int(bolt.name.split(".")[0]) if bolt.name[0].isdigit() else 0
    if bolt.standard is GradeStandard.ISO_898_1:
        return NutClass(NutStandard.ISO_898_2, max(number, 5))
    if bolt.standard is GradeStandard.SAE_J429:
        return NutClass(NutStandard.SAE_J995, max(number, 2))
    return None
