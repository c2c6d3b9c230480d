"""A row of a bench list between the file, the database and the core: stored, restored, understood again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list import Cell, Column, ColumnMap, Row, Table, understand
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.pieces.kinds import Kind, LengthBasis
from runningfit.core.pieces.understood import End, Meaning, Problem, Question, Typed, UnderstoodRow
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces.models import BenchList, BenchRow

# What a person corrects in a row; other columns are kept as they are.
EDITABLE = (
    Meaning.COUNT,
    Meaning.KIND,
    Meaning.SIZE,
    Meaning.LENGTH,
    Meaning.FINISH,
    Meaning.CONDITION,
    Meaning.REMARKS,
    Meaning.AREA,
    Meaning.BAG,
)
LONGEST_CORRECTION = 300


def stored(row: UnderstoodRow) -> dict[str, Any]:
    """Return a row as understood in the form in which the database keeps it."""
    return {
        "kind": row.kind,
        "count": row.count,
        "defects": [[defect.count, defect.what] for defect in row.defects],
        "ends": [[list(end.candidates), end.typed] for end in row.ends],
        "size_said": row.size_said,
        "size_mm": row.size_mm,
        "length_mm": row.length_mm,
        "length_nominal": row.length_nominal,
        "length_basis": row.length_basis,
        "finish_look": row.finish_look,
        "finish_process": row.finish_process,
        "condition": row.condition,
        "remarks": row.remarks,
        "bag": row.bag,
        "area": row.area,
        "problems": [[one.field, one.what, one.came, one.remedy] for one in row.problems],
        "questions": [[one.field, one.question, list(one.readings)] for one in row.questions],
        "typed": [[one.meaning, one.text] for one in row.typed],
    }


def restored(row: int, kept: Mapping[str, Any]) -> UnderstoodRow:
    """Return a row as understood from the form in which the database keeps it."""
    return UnderstoodRow(
        row=row,
        kind=Kind(kept["kind"]) if kept["kind"] else None,
        count=kept["count"],
        defects=tuple(Defect(count, what) for count, what in kept["defects"]),
        ends=tuple(End(tuple(candidates), typed) for candidates, typed in kept["ends"]),
        size_said=kept["size_said"],
        size_mm=kept["size_mm"],
        length_mm=kept["length_mm"],
        length_nominal=kept["length_nominal"],
        length_basis=LengthBasis(kept["length_basis"]) if kept["length_basis"] else None,
        finish_look=FinishLook(kept["finish_look"]),
        finish_process=FinishProcess(kept["finish_process"]) if kept["finish_process"] else None,
        condition=kept["condition"],
        remarks=kept["remarks"],
        bag=kept["bag"],
        area=kept["area"],
        problems=tuple(
            Problem(Meaning(field), what, came, remedy) for field, what, came, remedy in kept["problems"]
        ),
        questions=tuple(
            Question(Meaning(field), question, tuple(readings))
            for field, question, readings in kept["questions"]
        ),
        typed=tuple(Typed(Meaning(meaning), text) for meaning, text in kept["typed"]),
    )


def understood_of(row: BenchRow) -> UnderstoodRow:
    """Return what is understood of a stored row."""
    return restored(row.row, row.understood)


def columns_stored(columns: ColumnMap) -> dict[str, Any]:
    """Return what the columns tell, in the form in which the database keeps it."""
    return {
        "header_line": columns.header_line,
        "columns": [
            [column.index, column.heading, column.meaning, column.unit, column.why]
            for column in columns.columns
        ],
    }


def columns_restored(kept: Mapping[str, Any]) -> ColumnMap:
    """Return what the columns tell, from the form in which the database keeps it."""
    return ColumnMap(
        kept["header_line"],
        tuple(
            Column(
                index,
                heading,
                Meaning(meaning) if meaning else None,
                LengthUnit(unit) if unit else None,
                why,
            )
            for index, heading, meaning, unit, why in kept["columns"]
        ),
    )


def column_key(columns: ColumnMap, meaning: Meaning) -> str:
    """Return the key under which such a cell is corrected: its column, or a place beside the table."""
    return next((str(one.index) for one in columns.columns if one.meaning is meaning), f"+{meaning.value}")


def texts_of(bench_list: BenchList, row: BenchRow) -> dict[Meaning, str]:
    """Return the texts of a row that a person can correct, as corrected so far."""
    columns = columns_restored(bench_list.columns)
    keys = {meaning: column_key(columns, meaning) for meaning in EDITABLE}
    return {meaning: row.corrected.get(key, row.typed.get(key, "")) for meaning, key in keys.items()}


def corrections(bench_list: BenchList, row: BenchRow, texts: Mapping[Meaning, str]) -> dict[str, str]:
    """Return the corrected cells of a row after texts were typed anew; a cell typed as in the file is none.

    Raises
    ------
    InvalidInput
        A text is too long.
    """
    columns = columns_restored(bench_list.columns)
    corrected = dict(row.corrected)
    for meaning, text in texts.items():
        if len(text) > LONGEST_CORRECTION:
            raise InvalidInput(
                meaning.value, needs=f"at most {LONGEST_CORRECTION} signs", came=text[:40] + "…"
            )
        key = column_key(columns, meaning)
        if " ".join(text.split()) == " ".join(row.typed.get(key, "").split()):
            corrected.pop(key, None)
        else:
            corrected[key] = text.strip()
    return corrected


def understood_again(bench_list: BenchList, row: BenchRow, corrected: Mapping[str, str]) -> UnderstoodRow:
    """Understand one row anew, with some of its cells corrected.

    Raises
    ------
    InvalidInput
        Every cell would be empty.
    """
    columns = columns_restored(bench_list.columns)
    indexes = [int(key) for key in (*row.typed, *corrected) if not key.startswith("+")]
    width = max([*indexes, *(column.index for column in columns.columns)], default=0) + 1
    cells = [_cell(row, index, corrected) for index in range(width)]
    beside = [(Meaning(key[1:]), text) for key, text in corrected.items() if key.startswith("+")]
    more = tuple(
        Column(width + at, "", meaning, None, "typed by hand") for at, (meaning, _text) in enumerate(beside)
    )
    cells += [Cell(text) for _meaning, text in beside]
    table = Table((Row(row.row, tuple(cells)),), bench_list.name)
    header = columns.header_line if columns.header_line and columns.header_line < row.row else None
    found = understand(table, ColumnMap(header, columns.columns + more))
    if not found:
        raise InvalidInput(
            "row",
            needs="something of what the pieces are",
            came="nothing",
            remedy="Set the row aside if it holds no pieces.",
        )
    return found[0]


def new_row(bench_list: BenchList, line: Row, understood: UnderstoodRow) -> BenchRow:
    """Return a row of the file as it is stored for the first time, not saved yet."""
    row = BenchRow(
        bench_list=bench_list,
        row=line.line_number,
        typed={str(index): cell.text for index, cell in enumerate(line.cells) if cell.text.strip()},
        marks={
            str(index): [cell.date.isoformat() if cell.date else "", cell.date_format, cell.note]
            for index, cell in enumerate(line.cells)
            if cell.date or cell.note
        },
    )
    take_reading(row, understood)
    return row


def take_reading(row: BenchRow, understood: UnderstoodRow) -> None:
    """Put what is understood into a row, not saved yet."""
    for name, value in reading_of(understood).items():
        setattr(row, name, value)


def reading_of(understood: UnderstoodRow) -> dict[str, Any]:
    """Return the fields of a stored row that follow from what is understood of it."""
    asked = bool(understood.questions) or any(len(end.candidates) > 1 for end in understood.ends)
    return {
        "understood": stored(understood),
        "reading": "problem" if understood.problems else "asked" if asked else "clear",
        "pieces": understood.count,
    }


def _cell(row: BenchRow, index: int, corrected: Mapping[str, str]) -> Cell:
    key = str(index)
    if key in corrected:
        return Cell(corrected[key])
    date, date_format, note = row.marks.get(key, ["", "", ""])
    return Cell(row.typed.get(key, ""), dt.date.fromisoformat(date) if date else None, date_format, note)
