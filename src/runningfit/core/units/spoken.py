"""Numbers and fractions spoken in words, written in figures."""

from __future__ import annotations

import re

_ONES = {
    "zero": 0, "nought": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_PARTS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4, "eighth": 8,
    "eighths": 8, "eights": 8, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
# Two words for one denominator: "five thirty seconds", "one sixty fourth".
_LONG_PARTS = {
    ("thirty", "second"): 32,
    ("thirty", "seconds"): 32,
    ("sixty", "fourth"): 64,
    ("sixty", "fourths"): 64,
}
_DOZEN = frozenset({"dozen", "doz", "doz.", "dz", "dz."})
_INCH_WORDS = frozenset({"in", "in.", "ins", "inch", "inches"})
_NUMBER_WORDS = frozenset(_ONES) | frozenset(_TENS) | frozenset(_PARTS) | {"second", "seconds", "hundred"}

# One character each, as a keyboard or a telephone sets them.
_ONE_SIGN = str.maketrans(
    {
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
        "⅓": " 1/3", "⅔": " 2/3", "⅕": " 1/5", "⅖": " 2/5", "⅗": " 3/5", "⅘": " 4/5", "⅙": " 1/6",
        "⅚": " 5/6", "⁄": "/", "∕": "/", "″": '"', "“": '"', "”": '"', "„": '"', "‟": '"', "＂": '"',
        "ʺ": '"', "′": "'", "’": "'", "‘": "'", "´": "'", "×": "x", "✕": "x", "‐": "-", "‑": "-",
        "‒": "-", "–": "-", "—": "-", "−": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
    }
)  # fmt: skip
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
_SET_FRACTION = re.compile("([⁰¹²³⁴⁵⁶⁷⁸⁹]+)/([₀₁₂₃₄₅₆₇₈₉]+)")
_JOINED = re.compile(r"(?<=[a-z])-(?=[a-z])", re.IGNORECASE)


def plain_signs(text: str) -> str:
    """Write fraction characters, primes, dashes and odd spaces with the signs of a plain keyboard.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The same text; `2¼` becomes `2 1/4`.
    """
    plain = text.translate(_ONE_SIGN)
    plain = _SET_FRACTION.sub(lambda found: " " + found[0].translate(_SUPERSCRIPTS), plain)
    return plain.replace("''", '"')


class _Words:
    """The words of a line and where the reader stands in them."""

    def __init__(self, text: str) -> None:
        self._words = _split_joined(text).split()
        self.at = 0

    def __bool__(self) -> bool:
        return self.at < len(self._words)

    def raw(self, ahead: int = 0) -> str:
        """Return the word as written, or nothing past the end."""
        place = self.at + ahead
        return self._words[place] if place < len(self._words) else ""

    def bare(self, ahead: int = 0) -> str:
        """Return the word in small letters without its closing comma; a comma before it ends a phrase."""
        if ahead and self.raw(ahead - 1)[-1:] in {",", ";", ":"}:
            return ""
        return self.raw(ahead).rstrip(",;:").lower()

    def tail(self, taken: int) -> str:
        """Return the punctuation that closes the last of the words taken."""
        last = self.raw(taken - 1)
        return last[len(last.rstrip(",;:")) :]


def _split_joined(text: str) -> str:
    """Part `twenty-four` and `three-eighths`, but no other hyphened word."""
    words = []
    for word in text.split():
        pieces = _JOINED.split(word)
        spoken = len(pieces) > 1 and all(p.lower().rstrip(",;:") in _NUMBER_WORDS for p in pieces)
        words.append(" ".join(pieces) if spoken else word)
    return " ".join(words)


def _below_hundred(words: _Words, ahead: int) -> tuple[int, int] | None:
    """Read a number word up to ninety-nine; return its value and how many words it took."""
    word = words.bare(ahead)
    if word in _TENS:
        if (word, words.bare(ahead + 1)) in _LONG_PARTS:
            return None
        one = _ONES.get(words.bare(ahead + 1), 0)
        return (_TENS[word] + one, 2) if 0 < one < 10 else (_TENS[word], 1)
    return (_ONES[word], 1) if word in _ONES else None


def _whole(words: _Words) -> tuple[int, int] | None:
    """Read a whole number in words, hundreds and dozens included."""
    first = _below_hundred(words, 0)
    if first is None and re.fullmatch(r"[0-9]{1,3}", words.raw()) and words.bare(1) in _DOZEN:
        first = (int(words.bare()), 1)
    if first is None:
        if words.bare() == "half" and words.bare(1) == "a" and words.bare(2) in _DOZEN:
            return 6, 3
        if words.bare() in {"a", "dozen"} and (words.bare() == "dozen" or words.bare(1) == "dozen"):
            return 12, 1 if words.bare() == "dozen" else 2
        if words.bare() == "a" and words.bare(1) == "hundred":
            first = (1, 1)
        else:
            return None
    value, taken = first
    if words.bare(taken) in _DOZEN:
        return value * 12, taken + 1
    if words.bare(taken) == "hundred":
        value, taken = value * 100, taken + 1
        rest_at = taken + 1 if words.bare(taken) == "and" else taken
        rest = _below_hundred(words, rest_at)
        if rest is not None and not _part(words, rest_at + rest[1]):
            value, taken = value + rest[0], rest_at + rest[1]
    return value, taken


def _part(words: _Words, ahead: int) -> tuple[int, int] | None:
    """Read a denominator word; return it and how many words it took."""
    pair = (words.bare(ahead), words.bare(ahead + 1))
    if pair in _LONG_PARTS:
        return _LONG_PARTS[pair], 2
    return (_PARTS[pair[0]], 1) if pair[0] in _PARTS else None


def _fraction(words: _Words) -> tuple[str, int] | None:
    """Read `three eighths`, `3 eighths`, `a half`, `half an inch`; return it in figures."""
    first = words.bare()
    number: tuple[int, int] | None = _below_hundred(words, 0)
    if number is None and first.isascii() and first.isdigit():
        number = (int(first), 1)
    if number is not None:
        # "twenty one sixteenths" counts sixteenths; "twenty three eighths" cannot be told and counts too.
        part = _part(words, number[1])
        if number[0] > 1 and words.bare(number[1]) == "half":
            # Twelve half nuts are no twelve halves.
            part = None
        return (f"{number[0]}/{part[0]}", number[1] + part[1]) if part else None
    article = first in {"a", "an"}
    part = _part(words, 1 if article else 0)
    if part is None:
        return None
    taken = part[1] + (1 if article else 0)
    after = taken + 1 if words.bare(taken) == "of" else taken
    of_an_inch = words.bare(after) in _INCH_WORDS or (
        words.bare(after) in {"a", "an"} and words.bare(after + 1) in _INCH_WORDS
    )
    return (f"1/{part[0]}", taken) if article or of_an_inch else None


def _decimals(words: _Words, ahead: int) -> tuple[str, int]:
    """Read the digits spoken after `point`."""
    digits, taken = "", 0
    while (word := words.bare(ahead + taken)) in _ONES or word == "oh":
        digits += "0" if word == "oh" else str(_ONES[word])
        taken += 1
    if not digits and words.bare(ahead) in _TENS and (spoken := _below_hundred(words, ahead)):
        return str(spoken[0]), spoken[1]
    return digits, taken


def _in_figures_here(words: _Words) -> tuple[str, int] | None:
    """Read whatever number the words begin with; return it in figures and how many words it took."""
    if fraction := _fraction(words):
        return fraction
    whole = _whole(words)
    pointed = whole[1] if whole else 0
    if words.bare(pointed) == "point":
        digits, taken = _decimals(words, pointed + 1)
        if digits:
            return f"{whole[0] if whole else 0}.{digits}", pointed + 1 + taken
    return (str(whole[0]), whole[1]) if whole else None


def in_figures(text: str) -> str:
    """Write the numbers and fractions spoken in a line in figures, and leave every other word alone.

    Parameters
    ----------
    text : str
        Text as typed or dictated.

    Returns
    -------
    str
        `nine bolts five sixteenths twenty four` becomes `9 bolts 5/16 24`; dozens are multiplied out.
    """
    words = _Words(plain_signs(text))
    written: list[str] = []
    while words:
        number = _in_figures_here(words)
        if number is None:
            written.append(words.raw())
            words.at += 1
        else:
            figures, taken = number
            written.append(figures + words.tail(taken))
            words.at += taken
    return " ".join(written)
