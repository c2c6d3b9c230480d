"""Counts as the bench writes them: 9, 6 off, x6, 6 pcs, half a dozen."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.units.spoken import in_figures

LARGEST_COUNT = 100_000

_AFTER = r"(?:off|x|×|pcs?|pieces?|pces|nos?|ea|each|stk|st|stück|stueck|pièces?|stuks?)"
_BEFORE = r"(?:x|×|qty|quantity|no|nr|about|approx|circa|roughly|ca|(?:a\s+)?set\s+of)"
_COUNT = re.compile(
    rf"(?:{_BEFORE}\.?[\s:]*)?(?P<number>\d{{1,9}})(?:[.,]0{{1,2}})?\s*(?:{_AFTER}\.?)?", re.IGNORECASE
)
_DOZEN = re.compile(r"\b(?:doz|dz)\b\.?", re.IGNORECASE)
_PAIR = re.compile(r"(?:an?\s+|(?P<pairs>\d{1,4})\s+)?(?:pairs?|prs?)\b\.?(?:\s+of)?", re.IGNORECASE)
_SIGNED = re.compile(r"[-−–]\s*\d")
_FRACTIONAL = re.compile(r"\d+\s*[.,]\s*\d+|\d+\s*/\s*\d+|½|¼|¾")
_SURE_OF = re.compile(r"\b(?:about|approx|circa|roughly|ca)\b|\?|~", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of pieces, and whether it was said with doubt."""

    number: int
    doubt: bool = False


@dataclass(frozen=True, slots=True)
class CountUnknown:
    """Text that is no count, why, and what to do."""

    text: str
    reason: str
    remedy: str


@lru_cache(maxsize=2048)
def read_count(text: str) -> Count | CountUnknown:
    """Read how many pieces there are.

    Parameters
    ----------
    text : str
        Such as ``9``, ``9.0``, ``6 off``, ``x6``, ``6x``, ``6 pcs``, ``doz``, ``half a dozen``.

    Returns
    -------
    Count or CountUnknown
        A whole number from 1 to 100,000, or why there is none.
    """
    typed = text.strip()
    doubt = _SURE_OF.search(typed) is not None
    plain = typed.replace("?", "").replace("~", "").strip()
    if not plain:
        return CountUnknown(typed, "no count is given", "Count them.")
    if pair := _PAIR.fullmatch(in_figures(plain)):
        plain = str(2 * int(pair["pairs"] or 1))
    match = _COUNT.fullmatch(plain)
    if match is None:
        match = _COUNT.fullmatch(in_figures(_DOZEN.sub("dozen", plain)))
    number = int(match["number"]) if match else None
    if number is not None:
        if number > LARGEST_COUNT:
            return CountUnknown(
                typed, f"a count is at most {LARGEST_COUNT:,}", "Look whether a figure slipped."
            )
        if number == 0:
            return CountUnknown(typed, "a lot has at least one piece", "Count them, or leave the row out.")
        return Count(number, doubt)
    if _SIGNED.match(plain):
        return CountUnknown(typed, "a count cannot be negative", "Count them again.")
    if _FRACTIONAL.search(plain):
        return CountUnknown(
            typed, "a count is a whole number", "Count whole pieces; note broken ones as defects."
        )
    return CountUnknown(typed, "this is no number of pieces", "Count them.")
