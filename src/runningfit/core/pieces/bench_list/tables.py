"""A table as it stands in a file: rows of cells with their true line numbers, and notes on the reading."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import PurePath

from runningfit.core.errors import InvalidInput

MAX_FILE_BYTES = 20_000_000
MAX_ROWS = 20_000
MAX_COLUMNS = 60
MAX_CELL_CHARACTERS = 4_000

_ARGUMENT = "The bench list"
_OLE_MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ZIP_MAGIC = b"PK\x03\x04"
_FOREIGN_MAGIC = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"7z\xbc\xaf", "a compressed file"),
    (b"Rar!", "a compressed file"),
)
_SAVE_AS = "Save it from the spreadsheet as .xlsx or .csv and read that."


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text as typed or shown, a date it holds in a workbook and in which form, and a note.

    A cell below others that it is merged with has no text of its own; `merged_text` is what it shows.
    """

    text: str
    date: datetime.date | None = None
    date_format: str = ""
    note: str = ""
    merged_text: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table, with the number of the line on which it begins in the file, from 1."""

    line_number: int
    cells: tuple[Cell, ...]

    @property
    def is_blank(self) -> bool:
        """Whether no cell holds anything."""
        return not any(cell.text.strip() for cell in self.cells)

    def cell(self, index: int) -> Cell:
        """The cell at that column, from 0; an empty one beyond the row's end."""
        return self.cells[index] if index < len(self.cells) else Cell("")


@dataclass(frozen=True, slots=True)
class Table:
    """A whole table, with how it was read: encoding, delimiter, sheet, and notes for the person."""

    rows: tuple[Row, ...]
    filename: str
    encoding: str | None = None
    delimiter: str | None = None
    sheet: str | None = None
    notes: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """The number of columns of the widest row."""
        return max((len(row.cells) for row in self.rows), default=0)


def read_table(data: bytes, *, filename: str) -> Table:
    """Read a bench list from the bytes of a CSV or XLSX file; what the bytes are decides, not the name.

    Parameters
    ----------
    data : bytes
        The whole file, at most 20 MB.
    filename : str
        Its name, for messages.

    Returns
    -------
    Table
        Rows with their line numbers; wholly blank rows are kept.

    Raises
    ------
    InvalidInput
        If the file is empty, too large, has more than 20,000 rows or 60 columns, or is no such table.
    """
    if len(data) > MAX_FILE_BYTES:
        raise InvalidInput(
            _ARGUMENT,
            needs=f"a file of at most {MAX_FILE_BYTES // 1_000_000} MB",
            came=f"{filename} with {len(data) / 1e6:.1f} MB",
            remedy="Split it, or leave out pictures and other sheets.",
        )
    suffix = PurePath(filename).suffix.lower()
    if data.startswith(_ZIP_MAGIC):
        from runningfit.core.pieces.bench_list import workbook

        table = workbook.read_workbook(data, filename=filename)
    elif data.startswith(_OLE_MAGIC):
        raise InvalidInput(
            _ARGUMENT,
            needs="a CSV or XLSX file",
            came=f"{filename}, an old .xls workbook or one locked with a password",
            remedy=_SAVE_AS + " Take a password off first.",
        )
    elif suffix in {".xls", ".xlsx", ".xlsm", ".ods"} and b"\x00" in data[:4096]:
        raise InvalidInput(
            _ARGUMENT,
            needs="a CSV or XLSX file",
            came=f"{filename}, whose content is no such workbook",
            remedy=f"The file may be damaged. {_SAVE_AS}",
        )
    else:
        for magic, what in _FOREIGN_MAGIC:
            if data.startswith(magic):
                raise InvalidInput(
                    _ARGUMENT, needs="a CSV or XLSX file", came=f"{filename}, {what}", remedy=_SAVE_AS
                )
        from runningfit.core.pieces.bench_list import delimited

        table = delimited.read_delimited(data, filename=filename)
    if all(row.is_blank for row in table.rows):
        raise InvalidInput(
            _ARGUMENT,
            needs="at least one row with something in it",
            came=f"{filename} with 0 rows",
            remedy="Look whether the right file and sheet were saved.",
        )
    return table


def too_many_rows(filename: str, count: int, *, at_least: bool = False) -> InvalidInput:
    """The error for a table with more rows than can be looked through.

    Parameters
    ----------
    filename : str
        The file's name.
    count : int
        The rows counted.
    at_least : bool
        Whether counting stopped there.

    Returns
    -------
    InvalidInput
        To be raised.
    """
    came = f"{filename} with {'at least ' if at_least else ''}{count:,} rows"
    return InvalidInput(
        _ARGUMENT,
        needs=f"at most {MAX_ROWS:,} rows",
        came=came,
        remedy="Split it into several files, and look for empty rows filled down to the end.",
    )


def too_many_columns(filename: str, line_number: int, count: int) -> InvalidInput:
    """The error for a row with more columns than a bench list has.

    Parameters
    ----------
    filename : str
        The file's name.
    line_number : int
        The line of the row.
    count : int
        Its columns.

    Returns
    -------
    InvalidInput
        To be raised.
    """
    return InvalidInput(
        _ARGUMENT,
        needs=f"at most {MAX_COLUMNS} columns",
        came=f"{filename} with {count:,} columns in line {line_number}",
        remedy="Keep the columns of the bench list and delete the others.",
    )


def trimmed(cells: list[Cell]) -> tuple[Cell, ...]:
    """The cells without the empty ones at the end of the row.

    Parameters
    ----------
    cells : list of Cell
        A row as read.

    Returns
    -------
    tuple of Cell
        Up to the last one that holds or notes something.
    """
    end = len(cells)
    while end and not cells[end - 1].text.strip() and not cells[end - 1].note:
        end -= 1
    return tuple(cells[:end])
