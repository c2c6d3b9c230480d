"""Sheets of numbers as a spreadsheet saves them: rows with their line numbers, and numbers in cells."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.units import MM_PER_INCH

_MOST_CELLS = 4_000_000
_DELIMITERS = (";", "\t", ",")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][-+]?[0-9]+)?")
_MM_PER = {
    "mm": 1.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
    "um": 0.001,
    "µm": 0.001,
}


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row of a sheet.

    Parameters
    ----------
    line_number : int
        Where it begins in the file, from 1.
    cells : tuple of str
        Its cells, without blanks around them.
    """

    line_number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column found by its heading.

    Parameters
    ----------
    index : int
        Where it stands, from 0.
    mm_per_unit : float
        How many millimetres a number in it means, by the unit in the heading.
    """

    index: int
    mm_per_unit: float


def read_sheet(data: bytes, name: str) -> tuple[SheetRow, ...]:
    """Read the rows of a CSV file; blank ones and those that begin with # are left out.

    Parameters
    ----------
    data : bytes
        The whole file, in UTF-8; cells parted by commas, semicolons or tabs.
    name : str
        What the file is, for messages.

    Returns
    -------
    tuple of SheetRow
        The rows.

    Raises
    ------
    InvalidInput
        It is no such text, or empty.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as refused:
        raise InvalidInput(
            name,
            needs="a CSV file in UTF-8",
            came="bytes that are no such text",
            remedy="Save it as CSV UTF-8.",
        ) from refused
    lines = text.splitlines()
    first = next((line for line in lines if line.strip() and not line.lstrip().startswith("#")), "")
    delimiter = next((one for one in _DELIMITERS if one in first), ",")
    reader = csv.reader(lines, delimiter=delimiter)
    found = []
    for fields in reader:
        cells = tuple(field.strip() for field in fields)
        if any(cells) and not cells[0].startswith("#"):
            found.append(SheetRow(reader.line_num, cells))
    if not found:
        raise InvalidInput(name, needs="at least one row", came="an empty file")
    if sum(len(row.cells) for row in found) > _MOST_CELLS:
        raise InvalidInput(name, needs=f"at most {_MOST_CELLS:,} cells", came="more than that")
    return tuple(found)


def number_in(text: str) -> float | None:
    """Read a cell as a number.

    Parameters
    ----------
    text : str
        The cell; a decimal comma is read as well.

    Returns
    -------
    float or None
        The number; none where it is none.
    """
    number = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else inf
    return number if isfinite(number) else None


def find_columns(
    row: SheetRow, name: str, called: Mapping[str, Sequence[str]], optional: frozenset[str] = frozenset()
) -> dict[str, Column]:
    """Find columns by their headings, such as `clearance_mm` or `Shim (in)`.

    Parameters
    ----------
    row : SheetRow
        The row of headings.
    name : str
        What the file is, for messages.
    called : Mapping of str to sequence of str
        What each column may be called, by its meaning.
    optional : frozenset of str
        The meanings that may be missing.

    Returns
    -------
    dict
        The columns by their meaning.

    Raises
    ------
    InvalidInput
        A column is missing, or stands there twice.
    """
    found: dict[str, Column] = {}
    for index, heading in enumerate(row.cells):
        words = [word for word in re.split(r"[\s_()\[\],/]+", heading.lower()) if word]
        unit = words.pop() if words and words[-1] in _MM_PER else "mm"
        plain = " ".join(words)
        for meaning, names in called.items():
            if plain in names:
                if meaning in found:
                    raise InvalidInput(name, needs=f"one column of {names[0]}", came=heading)
                found[meaning] = Column(index, _MM_PER[unit])
    needed = {
        meaning: names[0].replace(" ", "_") for meaning, names in called.items() if meaning not in optional
    }
    missing = [shown for meaning, shown in needed.items() if meaning not in found]
    if missing:
        raise InvalidInput(
            name,
            needs=f"the columns {', '.join(needed.values())}",
            came=", ".join(row.cells),
            remedy=f"Add {', '.join(missing)} to the first row; lengths with the unit behind, as in shim_mm.",
        )
    return found


def size_in(row: SheetRow, column: Column, name: str, what: str) -> float:
    """Read a size in a row.

    Parameters
    ----------
    row : SheetRow
        The row.
    column : Column
        Where it stands, and in what unit.
    name : str
        What the file is, for messages.
    what : str
        What the size is called, for messages.

    Returns
    -------
    float
        The size [mm].

    Raises
    ------
    InvalidInput
        The cell is empty or no number.
    """
    text = row.cells[column.index] if column.index < len(row.cells) else ""
    number = number_in(text)
    if number is None:
        raise InvalidInput(f"{name}, line {row.line_number}", needs=f"a number for the {what}", came=text)
    return number * column.mm_per_unit


def name_in(row: SheetRow, column: Column, name: str) -> str:
    """Read a name in a row.

    Parameters
    ----------
    row : SheetRow
        The row.
    column : Column
        Where it stands.
    name : str
        What the file is, for messages.

    Returns
    -------
    str
        The name.

    Raises
    ------
    InvalidInput
        The cell is empty or missing.
    """
    text = row.cells[column.index] if column.index < len(row.cells) else ""
    if not text:
        raise InvalidInput(
            f"{name}, line {row.line_number}", needs="a name", came=text, remedy="Number them if need be."
        )
    return text
