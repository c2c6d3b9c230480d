"""Delimited text into a table: encoding, delimiter and quotes found out from the bytes themselves."""

from __future__ import annotations

import codecs
import re
from collections import Counter
from dataclasses import dataclass

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

DELIMITERS = (",", ";", "\t", "|")
# A quoted cell with more line breaks than this is a stray quotation mark (an inch mark, mostly), no text.
_LONGEST_QUOTED_CELL_LINES = 20
_SAMPLE_RECORDS = 60
_SAMPLE_CHARACTERS = 4_000
# Quoted cells may hold line breaks, so a file may have some more lines than rows.
_MOST_LINES = 10 * MAX_ROWS
# Empty columns filled out to the edge of the sheet are cut off; what is beyond this is not looked at.
_MOST_DELIMITERS = 2_000
_NOTHING = ' \t,;|"\u00a0'
_LINE_BREAK = re.compile(r"\r\n|\r|\n")
_SEPARATOR_LINE = re.compile(r"sep=(.)\s*$", re.IGNORECASE)
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")


@dataclass(frozen=True, slots=True)
class _Decoded:
    """Text with the encoding it was found to be in, and a doubt about that."""

    text: str
    encoding: str
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class _Record:
    """The fields of one record and how many lines of the file it took."""

    fields: list[str]
    lines: int


def read_delimited(data: bytes, *, filename: str) -> Table:
    """Read delimited text (comma, semicolon, tab or bar) in UTF-8, UTF-16, Windows-1252 or Latin-1.

    Parameters
    ----------
    data : bytes
        The whole file.
    filename : str
        Its name, for messages.

    Returns
    -------
    Table
        With true line numbers, also where a quoted cell holds line breaks.

    Raises
    ------
    InvalidInput
        If the bytes are no text, or there are too many rows or columns.
    """
    decoded = _decode(data, filename)
    breaks = decoded.text.count("\n") + decoded.text.count("\r")
    if breaks > _MOST_LINES:
        raise too_many_rows(filename, breaks)
    lines = _LINE_BREAK.split(decoded.text)
    while lines and not lines[-1].strip(_NOTHING):
        lines.pop()
    first = 0
    delimiter = None
    if lines and (told := _SEPARATOR_LINE.match(lines[0])) and told[1] in DELIMITERS:
        delimiter, first = told[1], 1
    if delimiter is None:
        delimiter = _delimiter(lines)
    rows: list[Row] = []
    notes = [decoded.doubt] if decoded.doubt else []
    at = first
    while at < len(lines):
        if len(rows) >= MAX_ROWS:
            raise too_many_rows(filename, sum(1 for line in lines[first:] if line.strip()))
        if lines[at].count(delimiter) > _MOST_DELIMITERS:
            raise too_many_columns(filename, at + 1, lines[at].count(delimiter) + 1)
        record = _record(lines, at, delimiter)
        cells = trimmed([_cell(field) for field in record.fields])
        if len(cells) > MAX_COLUMNS:
            raise too_many_columns(filename, at + 1, len(cells))
        rows.append(Row(at + 1, cells))
        at += record.lines
    return Table(tuple(rows), filename, encoding=decoded.encoding, delimiter=delimiter, notes=tuple(notes))


def _decode(data: bytes, filename: str) -> _Decoded:
    for mark, encoding in ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"),
                           (codecs.BOM_UTF16_BE, "utf-16-be")):  # fmt: skip
        if data.startswith(mark):
            rest = data[len(mark) :]
            try:
                return _as_text(rest.decode(encoding), encoding, filename)
            except UnicodeDecodeError:
                text = rest.decode(encoding, errors="replace")
                doubt = f"The file says it is {encoding.upper()}, but parts are damaged and shown as \ufffd."
                return _as_text(text, encoding, filename, doubt)
    head = data[:4096]
    if b"\x00" in head:
        return _without_mark(data, filename)
    try:
        return _as_text(data.decode("utf-8"), "utf-8", filename)
    except UnicodeDecodeError:
        pass
    doubt = (
        "The file does not say how its letters are coded; it was read as {}. "
        "Look at accents, fractions and inch marks."
    )
    try:
        return _as_text(data.decode("cp1252"), "cp1252", filename, doubt.format("Windows-1252"))
    except UnicodeDecodeError:
        return _as_text(data.decode("latin-1"), "latin-1", filename, doubt.format("Latin-1"))


def _without_mark(data: bytes, filename: str) -> _Decoded:
    """UTF-16 that does not begin with its mark shows as a zero in every second byte of plain text."""
    head = data[:4096]
    even, odd = head[0::2].count(0), head[1::2].count(0)
    encoding = "utf-16-le" if odd > even else "utf-16-be"
    if max(even, odd) > 0.3 * len(head) / 2 and len(data) % 2 == 0:
        try:
            return _as_text(data.decode(encoding), encoding, filename)
        except UnicodeDecodeError:
            pass
    raise _no_text(filename)


def _as_text(text: str, encoding: str, filename: str, doubt: str | None = None) -> _Decoded:
    if _CONTROL.search(text):
        raise _no_text(filename)
    return _Decoded(text, encoding, doubt)


def _no_text(filename: str) -> InvalidInput:
    return InvalidInput(
        "The bench list",
        needs="a CSV or XLSX file",
        came=f"{filename}, whose bytes are no text",
        remedy="Save it from the spreadsheet as .xlsx or .csv and read that.",
    )


def _delimiter(lines: list[str]) -> str:
    """The delimiter that cuts most lines into the same number of fields, more fields winning a tie."""
    sample = [line[:_SAMPLE_CHARACTERS] for line in lines if line.strip()][:_SAMPLE_RECORDS]
    best, best_score = ",", 0.0
    for delimiter in DELIMITERS:
        widths = Counter(len(_record([line], 0, delimiter).fields) for line in sample if delimiter in line)
        if not widths:
            continue
        width, agreeing = max(widths.items(), key=lambda item: (item[1], item[0]))
        # A decimal comma also cuts some lines in two: agreement first, weighed by how many fields it makes.
        score = agreeing / len(sample) * min(width, 4)
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _record(lines: list[str], at: int, delimiter: str) -> _Record:
    """One record from the line at hand; it takes further lines only where a quotation mark is open."""
    if '"' not in lines[at]:
        return _Record(lines[at].split(delimiter), 1)
    joined = lines[at]
    taken = 1
    while True:
        fields, closed = _fields(joined, delimiter, lenient=False)
        if closed:
            return _Record(fields, taken)
        if taken > _LONGEST_QUOTED_CELL_LINES or at + taken >= len(lines):
            return _Record(_fields(lines[at], delimiter, lenient=True)[0], 1)
        joined += "\n" + lines[at + taken]
        taken += 1


def _fields(text: str, delimiter: str, *, lenient: bool) -> tuple[list[str], bool]:
    """Fields of a record, and whether every quoted one is closed; leniently, an open quote is text."""
    fields: list[str] = []
    at, end = 0, len(text)
    while True:
        start = at
        while start < end and text[start] == " ":
            start += 1
        if start < end and text[start] == '"':
            parsed = _quoted(text, start + 1)
            if parsed is not None:
                value, at = parsed
                stop = text.find(delimiter, at)
                stop = end if stop < 0 else stop
                fields.append(value + text[at:stop].rstrip())
            elif lenient:
                stop = text.find(delimiter, start)
                stop = end if stop < 0 else stop
                fields.append(text[start:stop])
            else:
                return fields, False
        else:
            stop = text.find(delimiter, at)
            stop = end if stop < 0 else stop
            fields.append(text[at:stop])
        if stop >= end:
            return fields, True
        at = stop + 1


def _quoted(text: str, start: int) -> tuple[str, int] | None:
    """The quoted value from there and where it ends, or None if it never does."""
    parts: list[str] = []
    while (close := text.find('"', start)) >= 0:
        parts.append(text[start:close])
        if not text.startswith('"', close + 1):
            return "".join(parts), close + 1
        parts.append('"')
        start = close + 2
    return None


def _cell(field: str) -> Cell:
    text = field.replace("\u00a0", " ").strip()
    if len(text) > MAX_CELL_CHARACTERS:
        return Cell(
            text[:MAX_CELL_CHARACTERS], note=f"cut after {MAX_CELL_CHARACTERS:,} of {len(text):,} characters"
        )
    return Cell(text)
