"""Files that are no bench list, or a hostile one: a clear message each, and never anything else."""

from __future__ import annotations

import io
import resource
import time
import zipfile
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list import read_bench_list, read_table, recognise, skipped_rows, understand

HEADINGS = "Bag,Where,How many,What,Size,Length,Finish,State,Remarks\n"


THREADS = ("5/16-24 UNF", "M8", "1/4-20", "2BA", "3/8 UNC / 3/8 UNF")


def zipped(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as container:
        for name, content in members.items():
            container.writestr(name, content)
    return out.getvalue()


def saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize("data", [b"", b"\n\n", b",,,\n,,,\n", b"\xef\xbb\xbf", saved(openpyxl.Workbook())])
def test_nothing_in_it(data: bytes) -> None:
    with pytest.raises(
        InvalidInput, match=r"at least one row with something in it; 'a\.csv with 0 rows' came"
    ):
        read_table(data, filename="a.csv")


def test_only_headings() -> None:
    with pytest.raises(InvalidInput, match="at least one row of pieces below the headings"):
        read_bench_list(HEADINGS.encode(), filename="a.csv")


def test_a_hundred_thousand_rows_are_refused_quickly() -> None:
    data = (HEADINGS + "T1,gear case,9,hex bolt,5/16-24 UNF,1 3/8,clear,ok,\n" * 100_000).encode()
    began = time.process_time()
    with pytest.raises(InvalidInput, match=r"at most 20,000 rows; 'long\.csv with 100,001 rows' came"):
        read_table(data, filename="long.csv")
    assert time.process_time() - began < 5


def test_a_hundred_thousand_rows_of_a_workbook_are_refused() -> None:
    rows = b"".join(b'<row r="%d"><c r="A%d"><v>1</v></c></row>' % (at, at) for at in range(1, 100_001))
    data = zipped(
        {
            "xl/workbook.xml": b"<workbook/>",
            "xl/worksheets/sheet1.xml": b"<worksheet><sheetData>" + rows + b"</sheetData></worksheet>",
        }
    )
    with pytest.raises(InvalidInput, match=r"at most 20,000 rows; 'long\.xlsx with 100,000 rows' came"):
        read_table(data, filename="long.xlsx")


def sheet(rows: bytes, dimension: bytes = b"A1") -> bytes:
    """A workbook whose sheet holds these rows, whatever its extent is said to be."""
    book = openpyxl.Workbook()
    members: dict[str, bytes] = {}
    with zipfile.ZipFile(io.BytesIO(saved(book))) as container:
        members = {name: container.read(name) for name in container.namelist()}
    members["xl/worksheets/sheet1.xml"] = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><dimension ref="'
        + dimension
        + b'"/><sheetData>'
        + rows
        + b"</sheetData></worksheet>"
    )
    return zipped(members)


def text_cell(place: str, text: str) -> bytes:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'.encode()


def test_a_wrong_extent_and_formatting_to_the_edges_hide_no_row() -> None:
    rows = b'<row r="1">' + text_cell("A1", "Qty") + text_cell("B1", "What") + b'<c r="XFD1" s="0"/></row>'
    rows += b'<row r="9">' + text_cell("A9", "4") + text_cell("B9", "nut") + b"</row>"
    rows += b'<row r="1048576">' + text_cell("A1048576", "5") + text_cell("B1048576", "bolt") + b"</row>"
    began = time.process_time()
    found = read_bench_list(sheet(rows), filename="a.xlsx")
    assert [(row.row, row.count) for row in found.rows] == [(9, 4), (1048576, 5)]
    assert time.process_time() - began < 10


def test_a_value_far_to_the_right_is_too_many_columns() -> None:
    rows = b'<row r="1">' + text_cell("A1", "Qty") + text_cell("XFD1", "What") + b"</row>"
    with pytest.raises(
        InvalidInput, match=r"at most 60 columns; 'a\.xlsx with 16,384 columns in line 1' came"
    ):
        read_table(sheet(rows), filename="a.xlsx")


def test_too_many_filled_cells() -> None:
    rows = b"".join(
        b'<row r="%d">' % at
        + b"".join(b'<c r="%c%d"><v>1</v></c>' % (65 + n, at) for n in range(20))
        + b"</row>"
        for at in range(1, 15_502)
    )
    with pytest.raises(InvalidInput, match=r"at most 300,000 filled cells; 'a\.xlsx with 310,020' came"):
        read_table(sheet(rows), filename="a.xlsx")


def test_twenty_thousand_rows_are_read() -> None:
    data = (HEADINGS + "T1,gear case,9,hex bolt,5/16-24 UNF,1 3/8,clear,ok,\n" * 19_999).encode()
    assert len(read_table(data, filename="long.csv").rows) == 20_000


def test_too_many_columns() -> None:
    with pytest.raises(InvalidInput, match=r"at most 60 columns; 'wide\.csv with 70 columns in line 2' came"):
        read_table(b"a,b\n" + b"1," * 69 + b"1\n", filename="wide.csv")
    with pytest.raises(InvalidInput, match="at most 60 columns"):
        read_table(b"1," * 5_000_000, filename="wide.csv")


def test_too_large_a_file() -> None:
    with pytest.raises(InvalidInput, match=r"a file of at most 20 MB; 'big\.csv with 21\.0 MB' came"):
        read_table(b"x" * 21_000_000, filename="big.csv")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
            "an old .xls workbook or one locked with a password",
        ),
        (b"%PDF-1.7\n...", "a PDF"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 50, "a picture"),
        (b"abc\x00\x01\x02def" * 30, "whose bytes are no text"),
        (zipped({"mimetype": b"x", "content.xml": b"<a/>"}), "an OpenDocument sheet"),
        (zipped({"photo.jpg": b"x"}), "a ZIP file that holds no workbook"),
        (zipped({"xl/workbook.xml": b"<workbook/>"}), "which is damaged or no workbook"),
        (saved(openpyxl.Workbook())[:900], "which is damaged or no workbook"),
    ],
)
def test_what_is_no_table(data: bytes, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        read_table(data, filename="list.xls" if data[:1] == b"\xd0" else "list.csv")


def test_a_zip_bomb_is_refused_before_it_goes_off() -> None:
    book = {"xl/workbook.xml": b"<workbook/>", "xl/worksheets/sheet1.xml": b" " * 70_000_000}
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    data = zipped(book)
    assert len(data) < 100_000
    with pytest.raises(InvalidInput, match="a workbook that unpacks to at most 150 MB of plain sheets"):
        read_table(data, filename="bomb.xlsx")
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 300_000


def test_entities_are_refused() -> None:
    bomb = (
        b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><workbook>&b;</workbook>'
    )
    with pytest.raises(InvalidInput, match=r"declares entities of its own"):
        read_table(zipped({"xl/workbook.xml": bomb}), filename="bomb.xlsx")


def test_line_numbers_are_those_of_the_file() -> None:
    text = 'What,Qty,Size,Remarks\r\nbolt,1,M8,"first\r\nsecond"\r\n\r\nnut,2,M8,\r\n'
    found = read_bench_list(text.encode(), filename="a.csv")
    assert [(row.row, row.count) for row in found.rows] == [(2, 1), (5, 2)]
    assert found.rows[0].remarks == "first\nsecond"


def test_a_stray_inch_mark_swallows_no_row() -> None:
    text = 'Qty,What,Size,Remarks\n1,bolt,5/16" UNF,\n2,bolt,M8,"open\n' + "3,nut,M8,\n" * 40
    found = read_bench_list(text.encode(), filename="a.csv")
    assert len(found.rows) == 42
    assert found.rows[1].remarks == '"open'


def test_a_separator_line_of_a_spreadsheet_is_honoured() -> None:
    found = read_bench_list(b"sep=|\nQty|What|Size\n3|nut|M8\n", filename="a.csv")
    assert [(row.row, row.count) for row in found.rows] == [(3, 3)]


@pytest.mark.slow
def test_five_thousand_rows_take_less_than_five_seconds() -> None:
    lines = (
        f"T{at // 40},area {at % 97},{at % 31 + 2},{('hex bolt', 'stud', 'setscrew')[at % 3]},"
        f"{THREADS[at % 5]},{1 + at % 60 / 8},clear plated,"
        f"{at % 4 + 1} with pulled threads,note {at}\n"
        for at in range(5_000)
    )
    data = (HEADINGS + "".join(lines)).encode()
    began = time.process_time()
    found = read_bench_list(data, filename="a.csv")
    assert len(found.rows) == 5_000
    assert time.process_time() - began < 5


def accounted(data: bytes, filename: str) -> None:
    """Every row of the table is understood or skipped; nothing but an InvalidInput may come."""
    try:
        table = read_table(data, filename=filename)
    except InvalidInput:
        return
    columns = recognise(table)
    rows = understand(table, columns)
    left_out = skipped_rows(table, columns)
    assert sorted([row.row for row in rows] + [row.row for row in left_out]) == [
        row.line_number for row in table.rows
    ]


@given(st.binary(max_size=400))
@settings(max_examples=150, deadline=None)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    accounted(data, "a.csv")


@given(st.text(max_size=300))
@settings(max_examples=150, deadline=None)
def test_any_text_is_read_or_refused(text: str) -> None:
    accounted(HEADINGS.encode() + text.encode("utf-8", "replace"), "a.csv")


@given(st.integers(0, 4000), st.binary(min_size=1, max_size=8))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_damage_to_a_workbook_is_read_or_refused(place: int, damage: bytes) -> None:
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.append(["How many", "What", "Size"])
    sheet.append([4, "bolt", "M8"])
    data = saved(book)
    accounted(data[:place] + damage + data[place + len(damage) :], "a.xlsx")


CELL = st.one_of(
    st.sampled_from(
        [
            "9",
            "-4",
            "6 off",
            "hex bolt",
            "nut",
            "5/16-24",
            "M8",
            "1 3/8",
            "34,9",
            "08-Mar",
            "clear",
            "2 bent",
            "?",
            "x",
        ]
    ),
    st.text(max_size=12),
)


@given(st.lists(st.lists(CELL, min_size=1, max_size=10), min_size=1, max_size=6))
@settings(max_examples=200, deadline=None)
def test_any_cells_are_kept_as_typed(cells: list[list[str]]) -> None:
    quoted = "\n".join(",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in cells)
    data = HEADINGS.encode() + quoted.encode("utf-8", "replace")
    try:
        found = read_bench_list(data, filename="a.csv")
    except InvalidInput:
        return
    for row in found.rows:
        table_row = next(one for one in found.table.rows if one.line_number == row.row)
        typed = [pair.text for pair in row.typed]
        assert typed == [cell.text.strip() for cell in table_row.cells if cell.text.strip()]
