"""Codes of bags: short enough to stamp on a metal tag, and not to be misread from one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import product

from runningfit.core.errors import InvalidInput

LONGEST_CODE = 12
# Left out: what a worn stamp makes alike (0 O Q D, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V) and the vowels, so that no
# code becomes a word.
LETTERS = "CFHJKMNPRTWXY"
FIGURES = "3479"
# Pairs that are read as something else than a bag.
_PAIRS_LEFT_OUT = frozenset({"FC", "FK", "HH", "HJ", "KK", "KF", "PM", "TT", "WC", "XX"})
_CODE = re.compile(r"[A-Z0-9](?:[A-Z0-9.-]*[A-Z0-9])?")
_ALIKE = str.maketrans("OQDILZSGBV", "000112568U")


def normal_code(typed: str, *, argument: str = "bag") -> str:
    """Return a bag's code in the one form in which it is kept: capitals, no spaces.

    Parameters
    ----------
    typed : str
        As a person writes it, such as ``t1`` or ``GC 4``.
    argument : str
        The name of the value in the error.

    Raises
    ------
    InvalidInput
        It has other signs than letters and figures, or more than twelve.
    """
    code = re.sub(r"[\s_]+", "", unicodedata.normalize("NFKC", typed)).upper()
    if not _CODE.fullmatch(code) or len(code) > LONGEST_CODE:
        raise InvalidInput(
            argument,
            needs=f"a code of letters and figures, at most {LONGEST_CODE}, such as T1",
            came=typed.strip(),
            remedy="Leave it empty for a code that is easy to stamp.",
        )
    return code


@lru_cache(maxsize=4096)
def looks_of(code: str) -> str:
    """Return what is left of a code when look-alikes are taken for each other, as on a worn tag."""
    return re.sub(r"[.-]", "", code).translate(_ALIKE)


def free_code(taken: Iterable[str]) -> str:
    """Return the shortest code that none of those taken could be mistaken for."""
    looks = {looks_of(code) for code in taken}
    return next(code for code in _in_order() if looks_of(code) not in looks)


def _in_order() -> Iterator[str]:
    """Every code the shop can give: one or two letters, then one or two figures; over 3,000 in all."""
    singles = list(LETTERS)
    pairs = [a + b for a, b in product(LETTERS, LETTERS) if a + b not in _PAIRS_LEFT_OUT]
    for letters, places in ((singles, 1), (singles, 2), (pairs, 1), (pairs, 2)):
        for letter, figures in product(letters, product(FIGURES, repeat=places)):
            yield letter + "".join(figures)
    raise InvalidInput("bag", needs="a free code", came="none left", remedy="Type a code of your own.")
