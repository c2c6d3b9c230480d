"""Eight lists as different workshops keep them, each row's meaning written before the reader saw it."""

from __future__ import annotations

import io
import json
import re
import zipfile
from datetime import datetime
from functools import cache
from pathlib import Path

import openpyxl
import pytest

from runningfit.core.pieces.bench_list import read_bench_list
from runningfit.core.pieces.understood import UnderstoodRow

LISTS = Path(__file__).parents[2] / "data" / "bench_lists"
FILES = (
    "uk-inch-shop.csv",
    "decimal-comma-shop.csv",
    "us-shop.csv",
    "tabs-counts-said.txt",
    "fractions-as-dates.csv",
    "no-heading-own-order.csv",
    "one-column.csv",
    "inch-workbook.xlsx",
)
# In the expected files: a value that is not judged; others may stand beside the candidates named.
ANY = "*"
OTHERS_TOO = "+"


def workbook() -> bytes:
    """A workbook with titles, computed counts, fractions in a number format, dates and a merged cell."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Strip"
    rows = json.loads((LISTS / "inch-workbook.cells.json").read_text(encoding="utf-8"))
    results: dict[str, str] = {}
    for line, cells in enumerate(rows["rows"], start=1):
        for column, value in enumerate(cells, start=1):
            if value is None:
                continue
            cell = sheet.cell(line, column)
            if isinstance(value, dict) and "date" in value:
                cell.value = datetime.fromisoformat(value["date"])
                cell.number_format = value["format"]
            elif isinstance(value, dict) and "number" in value:
                cell.value = value["number"]
                cell.number_format = value["format"]
            elif isinstance(value, dict):
                cell.value = value["formula"]
                results[cell.coordinate] = str(value["result"])
            else:
                cell.value = value
    for merged in rows["merged"]:
        sheet.merge_cells(merged)
    written = io.BytesIO()
    book.save(written)
    return with_results(written.getvalue(), results)


def with_results(data: bytes, results: dict[str, str]) -> bytes:
    """The workbook with the results of its formulas, as a spreadsheet program saves them."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            body = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                text = body.decode("utf-8")
                for at, result in results.items():
                    formula = rf'(<c r="{at}"[^>]*><f>[^<]*</f>)<v\s*(?:/>|></v>)'
                    text, done = re.subn(formula, rf"\g<1><v>{result}</v>", text)
                    assert done == 1, f"{at} holds no formula"
                body = text.encode("utf-8")
            new.writestr(name, body)
    return out.getvalue()


@cache
def understood(file: str) -> dict[int, UnderstoodRow]:
    data = workbook() if file.endswith(".xlsx") else (LISTS / file).read_bytes()
    return {row.row: row for row in read_bench_list(data, filename=file).rows}


def expected(file: str) -> list[dict[str, object]]:
    path = LISTS / f"{file.rsplit('.', 1)[0]}.expected.json"
    rows: list[dict[str, object]] = json.loads(path.read_text(encoding="utf-8"))["rows"]
    return rows


def differences(want: dict[str, object], got: UnderstoodRow) -> list[str]:
    """Where a row as understood is not what was meant."""
    came: dict[str, object] = {
        "kind": got.kind,
        "count": got.count,
        "defects": [{"count": defect.count, "what": defect.what} for defect in got.defects],
        "length_mm": None if got.length_mm is None else round(got.length_mm, 4),
        "length_nominal": got.length_nominal,
        "length_basis": got.length_basis,
        "finish_look": got.finish_look,
        "finish_process": got.finish_process,
        "size": got.size_said,
    }
    found = [
        f"{key}: {want[key]!r} was meant, {value!r} came"
        for key, value in came.items()
        if want[key] not in (ANY, value)
    ]
    ends = [set(end.candidates) for end in got.ends]
    meant = [set(end["candidates"]) for end in want["ends"]]  # type: ignore[attr-defined]
    if meant != [{ANY}]:
        fits = len(ends) == len(meant) and all(
            named - {OTHERS_TOO} <= end if OTHERS_TOO in named else named == end
            for named, end in zip(meant, ends, strict=True)
        )
        if not fits:
            found.append(f"ends: {want['ends']!r} was meant, {[end.candidates for end in got.ends]!r} came")
    said = " ".join(problem.sentence for problem in got.problems)
    if want["problems"] != ANY:
        words: list[str] = want["problems"]  # type: ignore[assignment]
        found += [
            f"a problem that says {word!r} was meant, {said!r} came" for word in words if word not in said
        ]
        if not words and said:
            found.append(f"no problem was meant, {said!r} came")
    return found


@pytest.mark.parametrize(
    ("file", "want"),
    [pytest.param(file, row, id=f"{file}:{row['row']}") for file in FILES for row in expected(file)],
)
def test_a_row_means_what_its_shop_meant(file: str, want: dict[str, object]) -> None:
    assert differences(want, understood(file)[want["row"]]) == []  # type: ignore[index]


@pytest.mark.parametrize("file", FILES)
def test_no_row_is_lost_or_made_up(file: str) -> None:
    assert sorted(understood(file)) == sorted(row["row"] for row in expected(file))  # type: ignore[type-var]


@pytest.mark.parametrize("file", FILES)
def test_what_is_unknown_says_why(file: str) -> None:
    for row in understood(file).values():
        fields = {problem.field for problem in row.problems}
        if row.count is None:
            assert "count" in fields, row
        if any(defect.count is None for defect in row.defects):
            assert fields & {"count", "condition"}, row
        if row.kind is None:
            assert "kind" in fields, row
