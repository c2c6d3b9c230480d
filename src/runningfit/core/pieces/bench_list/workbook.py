"""An XLSX workbook into a table, after its ZIP container has been found harmless."""

from __future__ import annotations

import dataclasses
import datetime
import io
import math
import re
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import IO, Any

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list.tables import (
    MAX_CELL_CHARACTERS,
    MAX_COLUMNS,
    MAX_ROWS,
    Cell,
    Row,
    Table,
    too_many_columns,
    too_many_rows,
    trimmed,
)

MAX_UNPACKED_BYTES = 150_000_000
MAX_MEMBER_BYTES = 80_000_000
MAX_SHARED_TEXT_BYTES = 20_000_000
MAX_MEMBERS = 2_000
MAX_FILLED_CELLS = 300_000
# Deflate reaches about 1000:1 on repeated bytes; sheets of repeated rows stay below 100:1.
MAX_RATIO = 200
_RATIO_MATTERS_FROM_BYTES = 2_000_000

_SAVE_AS = "Save it from the spreadsheet as .xlsx or .csv and read that."
_CHUNK = 1 << 20
_SHEET_MEMBER = re.compile(r"xl/worksheets/[^/]+\.xml$")
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s+ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')
_ROW = re.compile(rb"<(?:\w+:)?row[\s>/]")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>/]")
# A cell that holds something; formatting alone reaches to the sheet's edge.
_FILLED = re.compile(rb'<(?:\w+:)?c\s[^>]*?\br="([A-Z]{1,3})(\d{1,7})"[^>]*>\s*<(?:\w+:)?(?:v|f|is)[\s/>]')
_DECLARATION = re.compile(rb"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)
_FRACTION_FORMAT = re.compile(r"\?/[?\d]|#/#|/\d")
_MOST_MERGED_CELLS = 20_000


@dataclass(frozen=True, slots=True)
class _Scan:
    """What the sheet's own XML says: rows, filled columns, computed cells, and cells covered by a merge."""

    rows: int
    width: int
    has_formulas: bool
    covered_by: dict[tuple[int, int], str]


def read_workbook(data: bytes, *, filename: str) -> Table:
    """Read the fullest visible sheet of an XLSX workbook: stored values of computed cells, dates as dates.

    Parameters
    ----------
    data : bytes
        The whole file.
    filename : str
        Its name, for messages.

    Returns
    -------
    Table
        With the row numbers of the sheet as line numbers.

    Raises
    ------
    InvalidInput
        If the container is damaged, unpacks to too much, is no workbook, or the sheet is too large.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as container:
            _refuse_bomb(container, filename)
            scans = {name: _scan(container, name, filename) for name in _sheet_members(container)}
        return _read(data, filename, scans)
    except InvalidInput:
        raise
    except (MemoryError, RecursionError):
        raise
    # openpyxl lets many kinds of error through when a part of the workbook is missing or damaged.
    except Exception as error:
        raise InvalidInput(
            "The bench list",
            needs="a whole XLSX workbook",
            came=f"{filename}, which is damaged or no workbook ({type(error).__name__})",
            remedy=_SAVE_AS,
        ) from error


def _refuse_bomb(container: zipfile.ZipFile, filename: str) -> None:
    members = container.infolist()
    names = {member.filename for member in members}
    if "xl/workbook.xml" not in names and not any(name.startswith("xl/") for name in names):
        what = "an OpenDocument sheet" if "content.xml" in names else "a ZIP file that holds no workbook"
        raise InvalidInput(
            "The bench list", needs="a CSV or XLSX file", came=f"{filename}, {what}", remedy=_SAVE_AS
        )
    unpacked = sum(member.file_size for member in members)
    packed = max(1, sum(member.compress_size for member in members))
    shared = sum(member.file_size for member in members if member.filename.endswith("sharedStrings.xml"))
    too_much = (
        unpacked > MAX_UNPACKED_BYTES
        or any(member.file_size > MAX_MEMBER_BYTES for member in members)
        or shared > MAX_SHARED_TEXT_BYTES
        or len(members) > MAX_MEMBERS
        or any(
            member.file_size > _RATIO_MATTERS_FROM_BYTES
            and member.file_size > MAX_RATIO * max(1, member.compress_size)
            for member in members
        )
    )
    if too_much:
        raise InvalidInput(
            "The bench list",
            needs=f"a workbook that unpacks to at most {MAX_UNPACKED_BYTES // 1_000_000} MB of plain sheets",
            came=f"{filename}, unpacking to {unpacked / 1e6:,.0f} MB ({unpacked / packed:,.0f}-fold)",
            remedy="Copy the rows of the bench list into a new workbook, or save the sheet as .csv.",
        )
    for member in members:
        if member.filename.endswith((".xml", ".rels")):
            with container.open(member) as part:
                head = part.read(4096).replace(b"\x00", b"")
            if _DECLARATION.search(head):
                raise InvalidInput(
                    "The bench list",
                    needs="a workbook as spreadsheets write it",
                    came=f"{filename}, whose part {member.filename} declares entities of its own",
                    remedy=_SAVE_AS,
                )


def _sheet_members(container: zipfile.ZipFile) -> list[str]:
    return [name for name in container.namelist() if _SHEET_MEMBER.match(name)]


def _scan(container: zipfile.ZipFile, name: str, filename: str) -> _Scan:
    """Look through a sheet's XML once, in pieces, before anything is built from it."""
    elements = rows = cells = width = last = 0
    has_formulas = False
    covered: dict[tuple[int, int], str] = {}
    with container.open(name) as part:
        for text in _in_pieces(part):
            elements += len(_ROW.findall(text))
            has_formulas = has_formulas or _FORMULA.search(text) is not None
            for filled in _FILLED.finditer(text):
                cells += 1
                width = max(width, _column_index(filled[1].decode()) + 1)
                number = int(filled[2])
                rows, last = rows + (number != last), number
                if width > MAX_COLUMNS:
                    raise too_many_columns(filename, number, width)
            for match in _MERGED.finditer(text):
                _cover(covered, match)
    if rows > MAX_ROWS:
        raise too_many_rows(filename, rows)
    if cells > MAX_FILLED_CELLS:
        raise InvalidInput(
            "The bench list",
            needs=f"at most {MAX_FILLED_CELLS:,} filled cells",
            came=f"{filename} with {cells:,}",
            remedy="Delete the columns that tell nothing of the hardware, or save the sheet as .csv.",
        )
    # Some programs leave the places out of the cells; then only the rows can be counted.
    return _Scan(rows or elements, width, has_formulas, covered)


def _in_pieces(part: IO[bytes]) -> Iterator[bytes]:
    """The text in pieces that end before a cell begins, so that no cell's beginning is cut in two."""
    rest = b""
    while chunk := part.read(_CHUNK):
        text = rest + chunk
        cut = max(text.rfind(b"<c "), 0) or max(text.rfind(b"<"), 0)
        yield text[:cut]
        rest = text[cut:][-_CHUNK:]
    yield rest


def _cover(covered: dict[tuple[int, int], str], match: re.Match[bytes]) -> None:
    left, top, right, bottom = (part.decode() for part in match.groups())
    first_column, last_column = _column_index(left), min(_column_index(right), MAX_COLUMNS)
    for row in range(int(top), min(int(bottom), 2 * MAX_ROWS) + 1):
        for column in range(first_column, last_column + 1):
            if len(covered) >= _MOST_MERGED_CELLS:
                return
            if (row, column) != (int(top), first_column):
                covered[(row, column)] = f"{left}{top}"


def _column_index(letters: str) -> int:
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - ord("A") + 1
    return index - 1


def _read(data: bytes, filename: str, scans: dict[str, _Scan]) -> Table:
    import openpyxl

    with warnings.catch_warnings():
        # openpyxl warns of parts that it leaves out (validation lists, conditional formats): no values.
        warnings.simplefilter("ignore")
        values = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        try:
            sheets = [
                sheet for sheet in values.worksheets if sheet.sheet_state == "visible"
            ] or values.worksheets
            if not sheets:
                raise InvalidInput(
                    "The bench list", needs="a workbook with a sheet", came=filename, remedy=_SAVE_AS
                )
            scan_of = {sheet.title: scans.get(_member(sheet), _Scan(0, 0, False, {})) for sheet in sheets}
            chosen = max(sheets, key=lambda sheet: scan_of[sheet.title].rows)
            scan = scan_of[chosen.title]
            others = [sheet.title for sheet in sheets if sheet is not chosen and scan_of[sheet.title].rows]
            formulas: Iterator[tuple[Any, ...]] | None = None
            if scan.has_formulas:
                written = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
                written[chosen.title].reset_dimensions()
                formulas = iter(written[chosen.title].iter_rows(max_col=scan.width or MAX_COLUMNS + 1))
            # Some programs write a wrong extent into the sheet; openpyxl would believe it.
            chosen.reset_dimensions()
            rows = tuple(_rows(chosen, formulas, scan, filename, values.epoch))
        finally:
            values.close()
    notes = [f"Of the workbook, the sheet '{chosen.title}' was read."] if others else []
    if others:
        notes.append("Not read: " + ", ".join(f"'{title}'" for title in others) + ".")
    return Table(rows, filename, sheet=chosen.title, notes=tuple(notes))


def _member(sheet: Any) -> str:
    """The name of the sheet's part inside the container."""
    return str(getattr(sheet, "_worksheet_path", "")).lstrip("/")


def _rows(
    sheet: Any,
    formulas: Iterator[tuple[Any, ...]] | None,
    scan: _Scan,
    filename: str,
    epoch: datetime.datetime,
) -> Iterator[Row]:
    from openpyxl.utils import get_column_letter

    kept = 0
    shown = dict.fromkeys(scan.covered_by.values(), "")
    for number, cells in enumerate(sheet.iter_rows(max_col=scan.width or MAX_COLUMNS + 1), start=1):
        written = next(formulas, ()) if formulas is not None else ()
        if all(cell.value is None for cell in cells) and all(cell.value is None for cell in written):
            # Formatting filled down to the sheet's end leaves a million empty ones.
            continue
        row: list[Cell] = []
        for index, cell in enumerate(cells):
            value = cell.value
            formula = written[index].value if index < len(written) else None
            covering = scan.covered_by.get((number, index))
            if value is None and formula is None and covering is None:
                row.append(Cell(""))
            else:
                read = _cell(value, cell.number_format or "", formula, covering, epoch)
                at = f"{get_column_letter(index + 1)}{number}"
                if at in shown:
                    shown[at] = read.text
                elif covering and covering.rstrip("0123456789") == at.rstrip("0123456789"):
                    read = dataclasses.replace(read, merged_text=shown[covering])
                row.append(read)
        trimmed_row = trimmed(row)
        if len(trimmed_row) > MAX_COLUMNS:
            raise too_many_columns(filename, number, len(trimmed_row))
        kept += 1
        if kept > MAX_ROWS:
            raise too_many_rows(filename, kept, at_least=True)
        yield Row(number, trimmed_row)


def _cell(
    value: Any, number_format: str, formula: Any, covering: str | None, epoch: datetime.datetime
) -> Cell:
    note = f"merged with {covering}, whose value it shows" if covering else ""
    is_formula = isinstance(formula, str) and formula.startswith("=")
    if is_formula:
        note = f"computed by {formula}"
        if value is None:
            return Cell(str(formula), note=f"computed by {formula}, but the file holds no result")
    elif formula is not None and not isinstance(
        formula, (str, int, float, bool, datetime.date, datetime.time)
    ):
        note = "computed by an array formula"
    match value:
        case None:
            return Cell("", note=note)
        case bool():
            return Cell("TRUE" if value else "FALSE", note=note)
        case int() | float():
            return _number_cell(float(value), number_format, note)
        case datetime.datetime():
            return Cell(_date_text(value), value.date(), number_format, note)
        case datetime.date():
            return Cell(value.isoformat(), value, number_format, note)
        case datetime.time():
            # A time is a number below one day that was formatted as a clock.
            if value == datetime.time():
                return Cell("0", note=note)
            return Cell(value.isoformat(), note=note)
        case datetime.timedelta():
            return Cell(_date_text(epoch + value), (epoch + value).date(), number_format, note)
    text = str(value).replace("\u00a0", " ").strip()
    if len(text) > MAX_CELL_CHARACTERS:
        text, note = (
            text[:MAX_CELL_CHARACTERS],
            f"cut after {MAX_CELL_CHARACTERS:,} of {len(text):,} characters",
        )
    return Cell(text, note=note)


def _number_cell(value: float, number_format: str, note: str) -> Cell:
    if not math.isfinite(value):
        return Cell(str(value), note=note)
    plain = str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if _FRACTION_FORMAT.search(number_format) and not value.is_integer():
        nearest = Fraction(value).limit_denominator(64)
        whole, part = divmod(nearest, 1)
        if abs(float(nearest) - value) < 1e-6 and 64 % part.denominator == 0 and value > 0:
            shown = f"{int(whole)} {part}" if whole else str(part)
            return Cell(shown, note=note or f"the number {plain} shown as a fraction")
    return Cell(plain, note=note)


def _date_text(value: datetime.datetime) -> str:
    return value.date().isoformat() if value.time() == datetime.time() else value.isoformat(sep=" ")
