"""The rows of a bench list as understood: none dropped, each unreadable value with the reason."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list.columns import Column, ColumnMap, is_header, recognise
from runningfit.core.pieces.bench_list.spreadsheet_dates import (
    fraction_behind,
    is_date,
    lengths_behind,
    sizes_behind,
)
from runningfit.core.pieces.bench_list.tables import Cell, Row, Table, read_table
from runningfit.core.pieces.kind_details import may_have_thread
from runningfit.core.pieces.kinds import Kind, KindUnknown, read_kind
from runningfit.core.pieces.lot_reading import LotText, ReadBefore, understand_lot
from runningfit.core.pieces.size_and_length import split_size_and_length
from runningfit.core.pieces.understood import Meaning, Problem, Question, Typed, UnderstoodRow
from runningfit.core.units import LengthUnit

# A list says the same few words on every row.
_kind_reading = lru_cache(maxsize=512)(read_kind)
_TOTALS = re.compile(r"(?:grand\s+|sub-?\s?)?totals?\b.*|sum|summe|gesamt\w*|totaal|somme", re.IGNORECASE)
_NUMBER = re.compile(r"[\d.,\s]*|=.*")
# What spreadsheets show where a value cannot be computed.
_NO_VALUE = re.compile(r"#(?:REF!|N/A|NAME\?|VALUE!|DIV/0!|NUM!|NULL!)", re.IGNORECASE)


_METRIC_SIZE = re.compile(r"\bM\s?\d", re.IGNORECASE)
_INCH_SIZE = re.compile(r"\d/\d|\d\s?B\.?A\b|#\d|\b(?:UN|BS)[A-Z]", re.IGNORECASE)
# A count repeated over merged cells would be counted twice; a bag or a place is what the merging is for.
_ONCE = frozenset({Meaning.COUNT, Meaning.CONDITION, Meaning.REMARKS, Meaning.DESCRIPTION})
_REMARKED = frozenset({Meaning.REMARKS, Meaning.ACROSS_FLATS, Meaning.TORQUE})


@dataclass(frozen=True, slots=True)
class SkippedRow:
    """A row that holds no lot, and why it was left out."""

    row: int
    reason: str
    text: str


@dataclass(frozen=True, slots=True)
class BenchList:
    """A whole bench list: the table, what its columns tell, its rows as understood, and those left out."""

    table: Table
    column_map: ColumnMap
    rows: tuple[UnderstoodRow, ...]
    skipped: tuple[SkippedRow, ...]


def read_bench_list(
    data: bytes, *, filename: str, column_map: ColumnMap | None = None, default_unit: LengthUnit | None = None
) -> BenchList:
    """Read a bench list from a file, from its bytes to its rows as understood.

    Parameters
    ----------
    data : bytes
        The whole file.
    filename : str
        Its name, for messages.
    column_map : ColumnMap or None
        What the columns tell; None recognises them.
    default_unit : LengthUnit or None
        The unit of lengths without one where neither heading nor thread tells it.

    Returns
    -------
    BenchList
        Every row is among the understood or the skipped ones.

    Raises
    ------
    InvalidInput
        If the file is no table, too large, or holds no row of pieces.
    """
    table = read_table(data, filename=filename)
    columns = column_map or recognise(table)
    told = [(row, _skipped(row, columns)) for row in table.rows]
    rows = _understand([row for row, reason in told if reason is None], columns, default_unit)
    if not rows:
        raise InvalidInput(
            "The bench list",
            needs="at least one row of pieces below the headings",
            came=f"{filename} with 0 rows",
            remedy="Look whether the right file and sheet were saved.",
        )
    return BenchList(table, columns, rows, _left_out(told))


def understand(
    table: Table, column_map: ColumnMap, *, default_unit: LengthUnit | None = None
) -> tuple[UnderstoodRow, ...]:
    """Understand every row of pieces of a table.

    Parameters
    ----------
    table : Table
        As read.
    column_map : ColumnMap
        What its columns tell.
    default_unit : LengthUnit or None
        The unit of lengths and sizes without one where neither heading nor thread tells it; None takes
        millimetres where nearly all threads of the list are metric.

    Returns
    -------
    tuple of UnderstoodRow
        In the order of the file; see `skipped_rows` for the others.
    """
    rows = [row for row in table.rows if _skipped(row, column_map) is None]
    return _understand(rows, column_map, default_unit)


def _understand(
    rows: list[Row], column_map: ColumnMap, default_unit: LengthUnit | None
) -> tuple[UnderstoodRow, ...]:
    unit = default_unit or _unit_of_threads(rows, column_map)
    known = {column.index for column in column_map.columns}
    return tuple(_understood(row, _with_overflow(row, column_map, known), unit) for row in rows)


def _unit_of_threads(rows: list[Row], column_map: ColumnMap) -> LengthUnit | None:
    """Millimetres where at least three, and nearly all, threads of a list are metric."""
    told = [
        row.cell(column.index).text
        for column in column_map.columns
        if column.meaning in {Meaning.SIZE, Meaning.DESCRIPTION}
        for row in rows
    ]
    metric = sum(_METRIC_SIZE.search(text) is not None for text in told)
    inch = sum(_INCH_SIZE.search(text) is not None for text in told)
    return LengthUnit.MM if metric >= 3 and metric >= 4 * inch else None


def skipped_rows(table: Table, column_map: ColumnMap) -> tuple[SkippedRow, ...]:
    """List the rows of a table that hold no pieces: titles, headings, blank rows, totals.

    Parameters
    ----------
    table : Table
        As read.
    column_map : ColumnMap
        What its columns tell.

    Returns
    -------
    tuple of SkippedRow
        Each with the reason.
    """
    return _left_out([(row, _skipped(row, column_map)) for row in table.rows])


def _left_out(told: list[tuple[Row, str | None]]) -> tuple[SkippedRow, ...]:
    return tuple(
        SkippedRow(row.line_number, reason, " | ".join(cell.text for cell in row.cells if cell.text))
        for row, reason in told
        if reason is not None
    )


def _skipped(row: Row, column_map: ColumnMap) -> str | None:
    if row.is_blank:
        return "blank"
    header = column_map.header_line
    if header is not None and row.line_number < header:
        return "above the headings"
    if header is not None and row.line_number == header:
        return "the headings"
    if is_header(row):
        return "the headings again"
    texts = [cell.text.strip() for cell in row.cells if cell.text.strip()]
    others = [text for text in texts if not _TOTALS.fullmatch(text)]
    if len(others) < len(texts) and all(_NUMBER.fullmatch(text) for text in others):
        return "totals"
    return None


class _Gathered:
    """What the cells of one row gave so far, before the lot is understood."""

    def __init__(self) -> None:
        self.texts: dict[Meaning, str] = {}
        self.length_unit: LengthUnit | None = None
        self.size_was_a_date = False
        self.remarks: list[str] = []
        self.problems: list[Problem] = []
        self.questions: list[Question] = []
        self.typed: list[Typed] = []

    def lot_text(self, default_unit: LengthUnit | None) -> LotText:
        """The texts sorted by meaning."""
        told = self.texts.get
        return LotText(
            count=told(Meaning.COUNT, ""),
            kind=told(Meaning.KIND, ""),
            size=told(Meaning.SIZE, ""),
            pitch=told(Meaning.PITCH, ""),
            series=told(Meaning.SERIES, ""),
            length=told(Meaning.LENGTH, ""),
            finish=told(Meaning.FINISH, ""),
            condition=told(Meaning.CONDITION, ""),
            remarks="; ".join(self.remarks),
            bag=told(Meaning.BAG, ""),
            area=told(Meaning.AREA, ""),
            length_unit=self.length_unit,
            # Only fractions of an inch become dates.
            default_unit=LengthUnit.INCH if self.size_was_a_date else default_unit,
        )


def _understood(row: Row, columns: tuple[Column, ...], default_unit: LengthUnit | None) -> UnderstoodRow:
    gathered = _Gathered()
    threaded = _is_threaded(_text_of(row, columns, Meaning.KIND))
    for column in columns:
        cell = row.cell(column.index)
        if typed := cell.text.strip():
            gathered.typed.append(Typed(column.meaning or Meaning.REMARKS, typed))
        _gather(cell, column, gathered, threaded=threaded)
    _describe(gathered)
    _part_size(gathered)
    lot = understand_lot(
        gathered.lot_text(default_unit),
        ReadBefore(tuple(gathered.problems), tuple(gathered.questions), tuple(gathered.typed)),
    )
    return UnderstoodRow.of(row.line_number, lot)


def _gather(cell: Cell, column: Column, gathered: _Gathered, *, threaded: bool) -> None:
    """Put the text of one cell where its column says."""
    meaning = column.meaning or Meaning.REMARKS
    if column.meaning is not None:
        _note(cell, meaning, gathered)
    text = _restored(cell, meaning, gathered, threaded=threaded)
    if meaning in _REMARKED:
        plain = column.meaning is Meaning.REMARKS or not (column.heading or column.meaning)
        name = column.heading or meaning.value.replace("_", " ")
        if text:
            gathered.remarks.append(text if plain else f"{name}: {text}")
        return
    gathered.texts[meaning] = text
    if meaning is Meaning.LENGTH:
        gathered.length_unit = column.unit


def _with_overflow(row: Row, column_map: ColumnMap, known: set[int]) -> tuple[Column, ...]:
    """The columns of the map, and one without meaning for each cell beyond them: no cell is lost."""
    beyond = [index for index in range(len(row.cells)) if index not in known]
    return column_map.columns + tuple(Column(index, "", None, None, "") for index in beyond)


def _text_of(row: Row, columns: tuple[Column, ...], meaning: Meaning) -> str:
    return next((row.cell(one.index).text.strip() for one in columns if one.meaning is meaning), "")


def _is_threaded(kind_text: str) -> bool:
    kind = _kind_reading(kind_text) if kind_text else None
    return may_have_thread(None if isinstance(kind, KindUnknown) else kind, kind_text)


def _note(cell: Cell, meaning: Meaning, gathered: _Gathered) -> None:
    if not cell.note:
        return
    if cell.merged_text and meaning not in _ONCE:
        gathered.questions.append(
            Question(meaning, f"The cell is {cell.note}: '{cell.merged_text}' was taken for this row too.")
        )
    elif cell.note.startswith("merged"):
        gathered.problems.append(
            Problem(meaning, f"the cell is {cell.note}; the value counts for that first row only", cell.text,
                    "Say whether it holds here too.")
        )  # fmt: skip
    elif "no result" in cell.note or cell.note.startswith("cut"):
        gathered.problems.append(
            Problem(
                meaning,
                f"the cell was {cell.note}",
                "",
                "Open and save the file in the spreadsheet, or type it.",
            )
        )
    else:
        gathered.questions.append(Question(meaning, f"The value is {cell.note}."))


def _restored(cell: Cell, meaning: Meaning, gathered: _Gathered, *, threaded: bool) -> str:
    """The text of a cell, with what a spreadsheet did to it undone where that leaves one reading."""
    text = (cell.merged_text if meaning not in _ONCE else "") or cell.text.strip()
    if text.startswith("#") and _NO_VALUE.fullmatch(text):
        gathered.problems.append(
            Problem(meaning, "the spreadsheet could not compute this cell", text, "Type the value.")
        )
        return ""
    readings: tuple[str, ...] | None = None
    if meaning is Meaning.SIZE:
        readings = sizes_behind(cell, threaded=threaded)
        gathered.size_was_a_date = readings is not None
        fraction = fraction_behind(text)
        if readings is None and fraction is not None:
            gathered.questions.append(Question(meaning, f"{text} was read as {fraction} in.", (fraction,)))
            return fraction
    elif meaning is Meaning.LENGTH:
        readings = lengths_behind(cell)
    elif meaning in {Meaning.COUNT, Meaning.PITCH} and is_date(cell) and not text.isdigit():
        readings = ()
    if readings is None:
        return text
    if len(readings) == 1:
        gathered.questions.append(
            Question(
                meaning,
                f"The spreadsheet made a date of it; {text} was read back as {readings[0]}.",
                readings,
            )
        )
        return readings[0]
    either = f" of {' or '.join(readings)}" if readings else ""
    gathered.problems.append(Problem(meaning, f"the spreadsheet made a date{either}", text, "Type it again."))
    if readings:
        gathered.questions.append(Question(meaning, f"Which was it before it became {text}?", readings))
    return ""


def _part_size(gathered: _Gathered) -> None:
    """A size with the length behind it is parted where the length has no cell of its own, or an empty one."""
    size = gathered.texts.get(Meaning.SIZE, "")
    if size and not gathered.texts.get(Meaning.LENGTH):
        kind = _kind_reading(gathered.texts.get(Meaning.KIND, ""))
        parted = split_size_and_length(size, threaded=kind not in {Kind.PIN, Kind.SPACER})
        gathered.texts[Meaning.SIZE] = parted.size
        gathered.texts[Meaning.LENGTH] = parted.length


def _describe(gathered: _Gathered) -> None:
    """Fill what has no cell of its own from a description; what has one stays, and no word is lost."""
    description = gathered.texts.get(Meaning.DESCRIPTION, "")
    kind = gathered.texts.get(Meaning.KIND, "")
    # Only a kind with figures in it tells more than the kind: 9 hex bolts 5/16.
    figured = any(letter.isdigit() for letter in kind)
    from_kind = figured and not description and isinstance(_kind_reading(kind), KindUnknown)
    if not description and not from_kind:
        return
    from runningfit.core.pieces.line_parts import take_apart

    parts = take_apart(description or kind)
    if from_kind and not parts.kind:
        return
    found = (
        (Meaning.COUNT, parts.count),
        (Meaning.KIND, parts.kind),
        (Meaning.SIZE, parts.size),
        (Meaning.LENGTH, parts.length),
        (Meaning.FINISH, parts.finish),
        (Meaning.CONDITION, parts.condition),
    )
    contradicted: list[str] = []
    for meaning, told in found:
        own = "" if from_kind and meaning is Meaning.KIND else gathered.texts.get(meaning, "")
        if told and not own:
            gathered.texts[meaning] = told
        elif told and told.lower() != own.lower():
            contradicted.append(f"{meaning} {told}")
    gathered.remarks[:0] = [*parts.left_over, *contradicted]
