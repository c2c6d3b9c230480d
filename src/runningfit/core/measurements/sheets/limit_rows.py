"""Rows of a sheet of limits: columns recognised by their headings, each row understood or named as faulty."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from runningfit.core.errors import InvalidInput

_COLUMNS: dict[str, tuple[str, ...]] = {
    "set": ("set", "part", "item", "feature", "where"),
    "what": ("what", "limit of", "dimension", "quantity"),
    "state": ("state", "for", "condition", "new or worn", "new or wear"),
    "at": ("at", "height", "at height"),
    "lower": ("lower", "min", "minimum", "from", "lowest"),
    "upper": ("upper", "max", "maximum", "to", "highest"),
    "page": ("page", "source", "manual page"),
}
_WHAT: dict[str, tuple[str, ...]] = {
    "size": (
        "",
        "size",
        "diameter",
        "bore",
        "length",
        "value",
        "clearance",
        "gap",
        "load",
        "weight",
        "volume",
    ),
    "out_of_round": ("out of round", "ovality", "roundness", "out of roundness"),
    "taper": ("taper",),
    "flatness": ("flatness", "warp", "warpage", "distortion"),
    "rate": ("rate", "spring rate", "stiffness"),
    "spread": ("spread", "difference", "difference among them", "variation"),
}
_STATE: dict[str, tuple[str, ...]] = {
    "new": ("new", "for new parts", "new part", "new parts", "standard", "std"),
    "wear": ("wear", "wear limit", "worn", "limit", "service limit", "used", "max wear"),
}


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One row of a sheet of limits.

    Parameters
    ----------
    line_number : int
        Where it stands in the file, from 1.
    cells : mapping of str to str
        What was typed, by column: set, what, state, at, lower, upper, page.
    what, state : str
        Understood: size, out_of_round, taper, flatness, rate or spread; new or wear. Empty where faulty.
    faults : tuple of str
        A sentence for each thing that keeps it from being used.
    """

    line_number: int
    cells: Mapping[str, str]
    what: str = ""
    state: str = ""
    faults: tuple[str, ...] = field(default=())


def limit_rows(rows: Sequence[tuple[int, Sequence[str]]]) -> tuple[LimitRow, ...]:
    """Understand a table of limits whose first filled row that names a set column heads it.

    Parameters
    ----------
    rows : sequence of (int, sequence of str)
        Line numbers and the texts of the cells.

    Returns
    -------
    tuple of LimitRow
        Every filled row below the headings; faulty ones with what is wrong.

    Raises
    ------
    InvalidInput
        No row heads the columns, or one column is headed twice.
    """
    for place, (_number, cells) in enumerate(rows):
        columns = _headings(cells)
        if {"set", "page"} <= columns.keys() and columns.keys() & {"lower", "upper"}:
            below = rows[place + 1 :]
            return tuple(
                _understood(number, {name: _cell(row, index) for name, index in columns.items()})
                for number, row in below
                if any(text.strip() for text in row)
            )
    raise InvalidInput(
        "headings", needs="a row with set, what, state, lower, upper and page",
        came=", ".join(text for text in rows[0][1] if text.strip()) if rows else "nothing",
        remedy="Write these words above the columns; what and state may be left out.",
    )  # fmt: skip


def _headings(cells: Sequence[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for index, text in enumerate(cells):
        plain = _plain(text)
        for name, words in _COLUMNS.items():
            if plain in words:
                if name in found:
                    raise InvalidInput("headings", needs="each column only once", came=f"{text} twice")
                found[name] = index
    return found


def _understood(line_number: int, cells: Mapping[str, str]) -> LimitRow:
    faults = []
    if not cells["set"]:
        faults.append("It names no set.")
    what = _meant(cells.get("what", ""), _WHAT)
    if what is None:
        faults.append(f"“{cells['what']}” is none of size, out of round, taper, flatness, difference.")
    state = _meant(cells.get("state", "") or "wear", _STATE)
    if state is None:
        faults.append(f"“{cells['state']}” is neither new nor wear.")
    if not cells.get("lower") and not cells.get("upper"):
        faults.append("It has neither a lower nor an upper limit.")
    if not cells["page"]:
        faults.append("It names no page.")
    return LimitRow(line_number, cells, what or "", state or "", tuple(faults))


def _meant(text: str, words: Mapping[str, tuple[str, ...]]) -> str | None:
    plain = _plain(text)
    return next((name for name, known in words.items() if plain in known), None)


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9]+", " ", text.casefold()).split())


def _cell(row: Sequence[str], index: int) -> str:
    return " ".join(row[index].split()) if index < len(row) else ""
