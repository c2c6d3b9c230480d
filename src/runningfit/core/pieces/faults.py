"""Faults that are counted in the middle of other words."""

from __future__ import annotations

import re
from functools import lru_cache

from runningfit.core.pieces.condition import Defect, read_condition

_MAY_COUNT = re.compile(
    r"\d|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|dozen|both|all|half)\b",
    re.IGNORECASE,
)
_SHARE = re.compile(r"\b(?:all|half)\b", re.IGNORECASE)


@lru_cache(maxsize=2048)
def counted_faults(text: str, count: int | None = None) -> tuple[Defect, ...]:
    """The faults in a text that are known as such and counted; a number of anything else is none.

    Parameters
    ----------
    text : str
        Such as ``2 sheared``, ``all bent``; ``12 to the inch by gauge`` holds none.
    count : int or None
        How many pieces the lot has, for faults said of all or half of it.

    Returns
    -------
    tuple of Defect
        Each with its count.
    """
    if not _MAY_COUNT.search(text):
        return ()
    return tuple(
        defect
        for defect in read_condition(text, count if _SHARE.search(text) else None).defects
        if defect.count is not None and read_condition(defect.what, None).defects
    )
