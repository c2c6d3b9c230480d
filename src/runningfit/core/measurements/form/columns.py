"""Sheets of numbers in columns whose headings name them with their unit: lengths, angles, loads."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.units import MM_PER_INCH

_MM_PER = {
    "mm": 1.0, "um": 1e-3, "µm": 1e-3, "μm": 1e-3, "micron": 1e-3, "microns": 1e-3, "cm": 10.0,
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, "thou": MM_PER_INCH / 1000,
}  # fmt: skip
_DEGREES = {"deg", "°", "degree", "degrees"}
_N_PER = {
    "n": 1.0,
    "kn": 1000.0,
    "lbf": 4.4482216152605,
    "lb": 4.4482216152605,
    "kgf": 9.80665,
    "kg": 9.80665,
}
_HEADING = re.compile(r"\s*(?P<name>[a-z]+)[\s_(\[]*(?P<unit>[a-zµμ°]*)[)\].]*\s*")
_NAMES = {
    "x": "x", "y": "y", "z": "z", "height": "z", "angle": "angle", "radius": "radius", "r": "radius",
    "depth": "depth", "diameter": "diameter", "reading": "reading", "indicator": "reading",
    "length": "length", "load": "load", "force": "load",
}  # fmt: skip
_LABELS = {"bore", "journal", "cylinder", "name"}
_LONGEST = 2_000_000


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet as columns of millimetres, degrees or newtons.

    Parameters
    ----------
    columns : dict of str to list of float
        The columns by their names [mm, °, N].
    lines : list of int
        The line of each row in its file, from 1.
    labels : list of str
        What each row belongs to, such as a bore; empty texts where no column says so.
    """

    columns: dict[str, list[float]]
    lines: list[int]
    labels: list[str]


def sheet_rows(text: str) -> list[tuple[int, list[str]]]:
    """Give the rows of a text that hold something.

    Parameters
    ----------
    text : str
        Cells parted by commas, semicolons or tabs; rows that begin with # are left out.

    Returns
    -------
    list of tuple of int and list of str
        Each with its line in the file.

    Raises
    ------
    InvalidInput
        It is too long, or empty.
    """
    if len(text) > _LONGEST:
        refuse("at most 2 000 000 characters", f"{len(text)}", "Leave out every other point.")
    head = next((line for line in text.splitlines() if line.strip() and line.lstrip()[0] != "#"), "")
    divider = next((mark for mark in ("\t", ";", ",") if mark in head), ",")
    found = [
        (line, cells)
        for line, cells in enumerate(csv.reader(text.splitlines(), delimiter=divider), start=1)
        if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#")
    ]
    if not found:
        refuse("rows of numbers", "an empty one")
    return found


def read_columns(text: str, wanted: Sequence[tuple[str, ...]], bare: tuple[str, ...] = ()) -> Sheet:
    """Read a sheet of numbers.

    Parameters
    ----------
    text : str
        A heading with units such as `depth_mm,angle_deg,diameter_mm`, and rows of numbers below it.
    wanted : sequence of tuple of str
        The sets of columns that will do, the first that is there is read.
    bare : tuple of str
        What the columns are where there is no heading, lengths in millimetres; none asks for a heading.

    Returns
    -------
    Sheet
        The columns wanted.

    Raises
    ------
    InvalidInput
        A heading that is not understood, or a cell that is empty or no number.
    """
    rows = sheet_rows(text)
    heading = [cell.strip() for cell in rows[0][1]]
    if any(re.search(r"[A-Za-z]", re.sub(r"(?i)\d+\.?\d*e[-+]?\d+", "", cell)) for cell in heading):
        labelled = [at for at, cell in enumerate(heading) if cell.lower() in _LABELS]
        numbers = ["" if at in labelled else cell for at, cell in enumerate(heading)]
        units = dict(_told(cell, wanted) for cell in numbers if cell)
        if len(units) < sum(bool(cell) for cell in numbers) or len(labelled) > 1:
            refuse("each column once", ", ".join(heading))
        order = [_told(cell, wanted)[0] if cell else "" for cell in numbers]
        rows = rows[1:]
    else:
        labelled = []
        if not bare:
            refuse(f"a heading such as {_shown(wanted[0])}", ", ".join(heading))
        if len(heading) != len(bare):
            refuse(
                f"{len(bare)} columns, or a heading", f"{len(heading)} columns without one",
                f"Write {','.join(f'{name}_mm' for name in bare)} above them.",
            )  # fmt: skip
        units, order = dict.fromkeys(bare, 1.0), list(bare)
    names = next((names for names in wanted if set(names) <= set(units)), None)
    if names is None:
        refuse(f"the columns {' or '.join(map(_shown, wanted))}", ", ".join(heading))
    columns: dict[str, list[float]] = {name: [] for name in names}
    for line, cells in rows:
        for name in names:
            at = order.index(name)
            cell = cells[at] if at < len(cells) else ""
            columns[name].append(number_in(cell, line, name) * units[name])
    labels = [
        cells[labelled[0]].strip() if labelled and labelled[0] < len(cells) else "" for _, cells in rows
    ]
    return Sheet(columns, [line for line, _ in rows], labels)


def _shown(names: Sequence[str]) -> str:
    return ",".join(f"{name}_{ {'angle': 'deg', 'load': 'n'}.get(name, 'mm') }" for name in names)


def _told(cell: str, wanted: Sequence[tuple[str, ...]]) -> tuple[str, float]:
    """The column that a heading means, and its unit in millimetres or degrees."""
    found = _HEADING.fullmatch(cell.lower())
    name = _NAMES.get(found["name"]) if found else None
    if found is None or name is None:
        known = dict.fromkeys(name for names in wanted for name in names)
        refuse(f"a heading of {', '.join(known)} with a unit", cell, f"Such as {_shown(wanted[0])}.")
    unit = found["unit"]
    if name == "load":
        if unit and unit not in _N_PER:
            refuse(f"a unit of force: {', '.join(_N_PER)}", cell)
        return name, _N_PER[unit] if unit else 1.0
    if name == "angle":
        if unit and unit not in _DEGREES:
            refuse("angles in degrees", cell)
        return name, 1.0
    if unit and unit not in _MM_PER:
        refuse(f"a unit of length: {', '.join(_MM_PER)}", cell)
    return name, _MM_PER[unit] if unit else 1.0


def number_in(cell: str, line: int, name: str) -> float:
    """Read a cell as a number; a decimal comma is read as well.

    Parameters
    ----------
    cell : str
        The cell.
    line : int
        Its line in the file.
    name : str
        The name of its column, for the message.

    Returns
    -------
    float
        The number, finite.

    Raises
    ------
    InvalidInput
        It is none.
    """
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        refuse(f"a number in line {line} under {name}", cell.strip(), "Type it again, or take the row out.")
    return value


def refuse(needs: str, came: str, remedy: str = "") -> NoReturn:
    """Refuse a sheet.

    Parameters
    ----------
    needs, came, remedy : str
        As of `InvalidInput`.

    Raises
    ------
    InvalidInput
        Always.
    """
    raise InvalidInput("sheet", needs=needs, came=came, remedy=remedy)
