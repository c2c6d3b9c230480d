"""A tolerance zone as drawings write it, such as H7 or g6, and the two limits that it comes to."""

from __future__ import annotations

import re
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput

# ISO 286-1:2010, 4.3: holes have capitals, shafts small letters; I, L, O, Q and W (i, l, o, q, w) are not
# used.
LETTERS = (
    "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "j", "js", "k", "m", "n", "p", "r", "s", "t",
    "u", "v", "x", "y", "z", "za", "zb", "zc",
)  # fmt: skip
_ZONE = re.compile(r"(?P<letter>[A-Za-z]{1,2})\s?(?P<grade>[0-9]{1,2})")


@dataclass(frozen=True, slots=True)
class ToleranceZone:
    """A letter and a grade.

    Parameters
    ----------
    letter : str
        The letter in small: `h`, `js`, `za`.
    it_grade : int
        The standard tolerance grade, 1 to 18.
    is_hole : bool
        Whether it is a hole's (written with capitals).
    """

    letter: str
    it_grade: int
    is_hole: bool

    def __str__(self) -> str:
        """`H7`, `g6`."""
        return f"{self.letter.upper() if self.is_hole else self.letter}{self.it_grade}"


@dataclass(frozen=True, slots=True)
class SizeLimits:
    """By how much a size may differ from the nominal one.

    Parameters
    ----------
    said : str
        What they are the limits of: `hole H7`.
    upper_um, lower_um : float
        Upper and lower limit deviation [µm], with sign.
    status, source : str
        How far the figures were seen in print, and where.
    """

    said: str
    upper_um: float
    lower_um: float
    status: str
    source: str


def read_zone(text: str) -> ToleranceZone:
    """Read a tolerance zone.

    Parameters
    ----------
    text : str
        `H7` of a hole, `g6` of a shaft.

    Returns
    -------
    ToleranceZone
        The letter and the grade.

    Raises
    ------
    InvalidInput
        It is no zone, its letter is none of ISO 286, or capitals and small letters are mixed.
    """
    needs = "a letter and a grade: H7 of a hole, g6 of a shaft"
    found = _ZONE.fullmatch(text.strip())
    if found is None:
        raise InvalidInput("tolerance zone", needs=needs, came=text)
    letter, grade = found["letter"], int(found["grade"])
    if letter != letter.upper() and letter != letter.lower():
        raise InvalidInput(
            "tolerance zone", needs="capitals for a hole, small letters for a shaft", came=text,
            remedy=f"Write {letter.upper()}{grade} of a hole or {letter.lower()}{grade} of a shaft.",
        )  # fmt: skip
    if letter.lower() not in LETTERS:
        raise InvalidInput(
            "tolerance zone", needs=f"one of the letters {', '.join(LETTERS)}, capitals for a hole", came=text
        )
    return ToleranceZone(letter.lower(), grade, letter.isupper())
