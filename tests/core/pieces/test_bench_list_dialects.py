"""Bench lists as other workshops keep them: other headings, delimiters, encodings, units, and habits."""

from __future__ import annotations

import datetime
import io
from pathlib import Path
from typing import TYPE_CHECKING

import openpyxl
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list import BenchList, read_bench_list, read_table, recognise, understand
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.understood import Meaning, UnderstoodRow
from runningfit.core.units import LengthUnit

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

LISTS = Path(__file__).parents[2] / "data" / "bench_lists"


def read(name: str) -> BenchList:
    return read_bench_list((LISTS / name).read_bytes(), filename=name)


def by_number(bench_list: BenchList) -> dict[int, UnderstoodRow]:
    return {row.row: row for row in bench_list.rows}


def threads(row: UnderstoodRow) -> list[tuple[str, ...]]:
    return [end.candidates for end in row.ends]


def fields(row: UnderstoodRow) -> list[Meaning]:
    return [problem.field for problem in row.problems]


def test_semicolons_latin_1_decimal_commas_and_german_headings() -> None:
    found = read("semicolons-latin1.csv")
    assert found.table.delimiter == ";"
    assert found.table.notes
    rows = by_number(found)
    assert sorted(rows) == list(range(2, 10))
    assert [rows[number].count for number in range(2, 10)] == [6, 6, 14, 1, 10, 10, 2, 5]
    assert rows[2].area == "Gehäuse vorn"
    assert (rows[2].length_mm, rows[2].length_nominal) == (34.9, "35 mm")
    assert (rows[2].finish_look, rows[2].finish_process) == ("yellow", "zinc")
    assert rows[3].size_said is not None
    assert rows[4].defects == (Defect(1, "worn"),)
    assert threads(rows[5]) == [("M18x1.5",)]
    assert threads(rows[6]) == [("M10x1.25",), ("M10x1.25",)]
    assert (rows[6].length_mm, rows[6].defects) == (92.5, (Defect(2, "necked"),))
    assert threads(rows[8]) == [("M12x1.5",)]
    # The heading says millimetres, so 34,9 on an inch bolt is 34.9 mm and means 1 3/8 in.
    assert (rows[9].length_mm, rows[9].length_nominal) == (34.9, "1 3/8 in")
    assert all(not row.problems for row in found.rows)


def test_tabs_windows_inch_marks_and_units_in_the_heading() -> None:
    found = read("tabs-cp1252.txt")
    assert (found.table.delimiter, found.table.encoding) == ("\t", "cp1252")
    rows = by_number(found)
    assert [row.count for row in found.rows] == [9, 6, 4, 2, 3]
    assert (rows[2].kind, threads(rows[2])) == (Kind.HEX_BOLT, [("5/16-24 UNF",)])
    assert (rows[2].length_nominal, rows[2].defects) == ("1 3/8 in", (Defect(2, "pulled threads"),))
    assert rows[2].remarks == "naïve plater’s list"
    assert threads(rows[3]) == [("3/8-16 BSW",)]
    assert (threads(rows[4]), rows[4].length_mm) == ([("2BA",)], 12.7)
    assert threads(rows[5]) == [("G1/4", "R1/4")]
    assert (threads(rows[6]), rows[6].length_nominal) == ([("1/4-26 CEI",)], "5/8 in")
    assert all(not row.problems for row in found.rows)


def test_one_column_that_describes_everything() -> None:
    found = read("descriptions.csv")
    rows = by_number(found)
    assert sorted(rows) == [4, 5, 6, 7, 8, 9]
    assert (rows[4].kind, rows[4].count, threads(rows[4])) == (Kind.HEX_BOLT, 9, [("5/16-24 UNF",)])
    assert (rows[4].length_mm, rows[4].finish_look) == (34.925, "clear")
    assert rows[4].defects == (Defect(2, "pulled threads"),)
    assert (rows[5].kind, rows[5].count, threads(rows[5])) == (
        Kind.STUD,
        4,
        [("3/8-16 UNC",), ("3/8-24 UNF",)],
    )
    assert (rows[5].length_nominal, rows[5].finish_look) == ("1 7/8 in", "none")
    assert (rows[6].kind, rows[6].count, rows[6].finish_look) == (Kind.NUT, 6, "brass")
    assert (rows[7].count, threads(rows[7]), rows[7].length_nominal) == (12, [("M8x1.25",)], "35 mm")
    assert (rows[8].kind, rows[8].count, rows[8].size_said) == (Kind.SPRING_WASHER, 20, "1/4 in")
    assert (rows[9].kind, rows[9].count, rows[9].remarks) == (Kind.PLUG, None, "4 of them")
    assert fields(rows[9]) == [Meaning.COUNT]
    assert [skipped.reason for skipped in found.skipped] == [
        "above the headings",
        "blank",
        "the headings",
        "totals",
    ]


def test_no_headings_at_all() -> None:
    found = read("no-headings-bars.csv")
    assert found.column_map.header_line is None
    assert [column.meaning for column in found.column_map.columns][:1] == [Meaning.BAG]
    rows = by_number(found)
    assert [row.count for row in found.rows] == [4, 3, 8, 8]
    assert (rows[1].kind, threads(rows[1]), rows[1].length_nominal) == (
        Kind.HEX_BOLT,
        [("3/8-16 UNC",)],
        "1 1/2 in",
    )
    assert (rows[1].bag, rows[1].finish_look) == ("P1", "yellow")
    assert (rows[2].kind, rows[2].length_nominal) == (Kind.STUD, "2 7/8 in")
    assert "water pump" in rows[1].area + rows[1].remarks


def test_utf_16_titles_quotes_repeated_headings_and_totals() -> None:
    found = read("utf16-tabs.txt")
    assert found.table.encoding == "utf-16-le"
    rows = by_number(found)
    assert sorted(rows) == [4, 5, 7, 9]
    assert (rows[4].count, rows[4].length_mm, threads(rows[4])) == (3, 35.0, [("M8x1.25",)])
    assert {skipped.row: skipped.reason for skipped in found.skipped}[6] == "the headings again"
    # A number below the word Total, on a line of its own, may be anything: it is kept and asked about.
    assert (rows[9].count, rows[9].kind) == (15, None)
    assert Meaning.KIND in fields(rows[9])


def test_dates_are_read_back_or_asked_about() -> None:
    rows = by_number(read("spreadsheet-dates.csv"))
    assert rows[2].size_said == "3/8 in"
    assert rows[4].length_nominal == "5/8 in"
    assert rows[5].length_nominal == "3/4 in"
    assert rows[6].size_said == "5/16 in"
    # 4 January 2020 was 1/4, or 1/4-20: both are asked about.
    assert rows[7].ends == ()
    assert [question.readings for question in rows[7].questions] == [("1/4", "1/4-20")]
    # 46089 is the day number of 8 March 2026.
    assert rows[8].length_nominal == "3/8 in"
    # All threads of 3/8 stay open on a bolt.
    assert "3/8-24 UNF" in threads(rows[9])[0]
    assert "3/8-16 UNC" in threads(rows[9])[0]
    # 1 March 2008 was 1-3/8 or 3-1/8; 3/8 alone would be a day of the year it was typed in.
    assert rows[10].length_mm is None
    asked = [question.readings for question in rows[10].questions if question.field is Meaning.LENGTH]
    assert asked == [("3 1/8", "1 3/8")]
    assert Meaning.LENGTH in fields(rows[10])
    # January with 20 is no size.
    assert rows[11].ends == ()
    assert fields(rows[11]) == [Meaning.SIZE]


def workbook() -> bytes:
    book = openpyxl.Workbook()
    book.active.title = "Empty"  # type: ignore[union-attr]
    sheet: Worksheet = book.create_sheet("Strip")
    sheet["A1"] = "Pellworth Tern, number two engine"
    sheet.merge_cells("A1:F1")
    sheet.append([])
    sheet.append(["Bag", "Where it came off", "How many", "What", "Size", "Length (in)", "Finish", "State"])
    sheet.append(
        ["B1", "gear case", "=4+5", "hex bolt", "5/16-24 UNF", 1.375, "clear", "2 with pulled threads"]
    )
    sheet.append([None, None, 6.0, "hex bolt", "5/16-18 UNC", 0.3125, "black", "ok"])
    sheet.append(["B2", "oil tray", 4, "plain washer", datetime.datetime(2026, 3, 8), None, "black", "ok"])
    sheet.append(["B2", "oil tray", 4, "hex nut", datetime.datetime(2026, 5, 16), None, "black", "ok"])
    sheet.append(["B3", "bearers", 4, "hex bolt", "1/2 UNF", datetime.datetime(2008, 1, 3), "black", "ok"])
    sheet.append(["B3", "bearers", "x8", "hex bolt", "#REF!", "1 1/4", "black", "ok"])
    sheet.append([None, None, "=SUM(C4:C9)"])
    sheet["A10"] = "Total"
    sheet["F5"].number_format = "# ?/?"
    sheet["E6"].number_format = "d-mmm"
    sheet["E7"].number_format = "d\\-mmm"
    sheet.merge_cells("A4:A5")
    kept = io.BytesIO()
    book.save(kept)
    return with_computed_value(kept.getvalue())


def with_computed_value(data: bytes) -> bytes:
    """Store the result of the first formula, as a spreadsheet does and openpyxl does not."""
    import zipfile

    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            content = content.replace(b"<f>4+5</f><v></v>", b"<f>4+5</f><v>9</v>")
            content = content.replace(b"<f>4+5</f><v />", b"<f>4+5</f><v>9</v>")
            content = content.replace(b"<f>4+5</f><v/>", b"<f>4+5</f><v>9</v>")
            target.writestr(name, content)
    return out.getvalue()


def test_a_workbook_with_titles_units_computed_and_merged_cells_and_dates() -> None:
    found = read_bench_list(workbook(), filename="strip.xlsx")
    assert found.table.sheet == "Strip"
    rows = by_number(found)
    assert sorted(rows) == [4, 5, 6, 7, 8, 9]
    assert (rows[4].count, rows[4].length_mm, rows[4].length_nominal) == (9, 34.925, "1 3/8 in")
    assert any("computed by =4+5" in question.question for question in rows[4].questions)
    assert (rows[5].count, rows[5].length_nominal, rows[5].bag) == (6, "5/16 in", "B1")
    assert rows[5].problems == ()
    assert any("merged with A4" in question.question for question in rows[5].questions)
    assert rows[6].size_said == "3/8 in"
    assert threads(rows[7]) == [tuple(one for one in threads(rows[7])[0] if one.startswith("5/16-"))]
    assert "5/16-24 UNF" in threads(rows[7])[0]
    # 3 January 2008 is 1-3/8 typed where the month comes first, or 3-1/8 where the day does.
    assert rows[8].length_mm is None
    assert [q.readings for q in rows[8].questions if q.field is Meaning.LENGTH] == [("1 3/8", "3 1/8")]
    assert (rows[9].count, rows[9].ends) == (8, ())
    assert fields(rows[9]) == [Meaning.SIZE]
    assert {skipped.row: skipped.reason for skipped in found.skipped} == {
        1: "above the headings",
        3: "the headings",
        10: "totals",
    }


def test_separate_columns_for_pitch_and_series() -> None:
    text = "Qty,Item,Dia,TPI,Series,Length\n4,bolt,5/16,24,,1\n4,bolt,5/16,,UNC,1\n"
    text += "4,bolt,M8,1.0,,30\n4,bolt,1/2-13,12,,1"
    rows = read_bench_list(text.encode(), filename="list.csv").rows
    assert threads(rows[0]) == [("5/16-24 UNF",)]
    assert threads(rows[1]) == [("5/16-18 UNC",)]
    assert threads(rows[2]) == [("M8x1",)]
    assert [problem.sentence for problem in rows[3].problems] == [
        "Size: '1/2-13' and '12 threads to the inch' contradict each other. Gauge the thread."
    ]


def test_size_and_length_in_one_column() -> None:
    text = "Qty,Item,Size\n4,bolt,M8 x 35\n4,bolt,5/16-24 x 1 3/8\n4,bolt,M10x1.25x40\n2,bolt,5/16 UNF x 1"
    rows = read_bench_list(text.encode(), filename="list.csv").rows
    assert [threads(row) for row in rows] == [
        [("M8x1.25",)],
        [("5/16-24 UNF",)],
        [("M10x1.25",)],
        [("5/16-24 UNF",)],
    ]
    assert [row.length_nominal for row in rows] == ["35 mm", "1 3/8 in", "40 mm", "1 in"]


def test_a_column_can_be_given_another_meaning() -> None:
    table = read_table(b"Qty,What,Thread,Mass\n4,bolt,M8,30\n", filename="list.csv")
    columns = recognise(table)
    assert [column.meaning for column in columns.columns] == [Meaning.COUNT, Meaning.KIND, Meaning.SIZE, None]
    before = understand(table, columns)[0]
    assert (before.length_mm, before.remarks) == (None, "Mass: 30")
    after = understand(table, columns.remapped(3, Meaning.LENGTH, LengthUnit.MM))[0]
    assert (after.length_mm, after.remarks) == (30.0, "")
    with pytest.raises(InvalidInput, match="The column needs a number from 1 to 4; 10 came"):
        columns.remapped(9, Meaning.LENGTH)


@pytest.mark.parametrize(
    ("length", "thread", "mm"),
    [
        ("34.9", "5/16 UNF", 34.9),
        ("128", "7/16 UNF", 128.0),
        ("1.375", "5/16 UNF", 34.925),
        (".250", "M8", 0.25 * 25.4),
    ],
)
def test_a_bare_length_takes_the_only_possible_unit(length: str, thread: str, mm: float) -> None:
    row = read_bench_list(
        f"Qty,What,Size,Length\n4,bolt,{thread},{length}\n".encode(), filename="a.csv"
    ).rows[0]
    if length == ".250":
        assert row.length_mm is None
        assert fields(row) == [Meaning.LENGTH]
    else:
        assert row.length_mm == pytest.approx(mm)
        assert not row.problems


@pytest.mark.parametrize(
    ("count", "expected"),
    [("-4", "cannot be negative"), ("2.5", "whole number"), ("some", "no number"), ("", "no count")],
)
def test_a_count_that_is_none(count: str, expected: str) -> None:
    row = read_bench_list(f"Qty,What,Size,Length\n{count},bolt,M8,30\n".encode(), filename="a.csv").rows[0]
    assert row.count is None
    assert [expected in problem.sentence for problem in row.problems if problem.field is Meaning.COUNT] == [
        True
    ]
    assert (row.kind, row.length_mm) == (Kind.HEX_BOLT, 30.0)


@pytest.mark.parametrize(
    ("length", "words"),
    [
        ("1 5/0", "5/0"),
        ("various", "Measure each"),
        ("1.3/8", "1 3/8 in"),
        ("7", "can be"),
        ("", "no length is given"),
    ],
)
def test_a_length_that_cannot_be_read(length: str, words: str) -> None:
    row = read_bench_list(
        f"Qty,What,Size,Length\n4,bolt,5/16 UNF,{length}\n".encode(), filename="a.csv"
    ).rows[0]
    assert (row.length_mm, row.length_nominal) == (None, None)
    assert [words in problem.sentence for problem in row.problems] == [True]


def test_a_hint_in_the_remarks_settles_an_open_thread() -> None:
    text = (
        "Qty,What,Size,Length,Remarks\n4,bolt,1/4-20,1,Whitworth by the gauge\n4,bolt,1/2,1,12 to the inch\n"
    )
    rows = read_bench_list(text.encode(), filename="a.csv").rows
    assert threads(rows[0]) == [("1/4-20 BSW",)]
    assert threads(rows[1]) == [("1/2-12 BSW",)]


def test_more_defects_than_pieces_is_a_problem() -> None:
    text = "Qty,What,Size,Length,State,Remarks\n4,bolt,M8,30,5 bent,\n4,bolt,M8,30,ok,6 sheared\n"
    rows = read_bench_list(text.encode(), filename="a.csv").rows
    assert [fields(row) for row in rows] == [[Meaning.CONDITION], [Meaning.REMARKS]]
    assert "but the lot has 4" in rows[1].problems[0].sentence
