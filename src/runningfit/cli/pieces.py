"""`runningfit catalogue`: lists of hardware read and shown as understood."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict

import click

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthUnit

if TYPE_CHECKING:
    from runningfit.core.pieces.bench_list import BenchList
    from runningfit.core.pieces.understood import UnderstoodRow


class DefectAnswer(TypedDict):
    """A defect as the command answers it."""

    count: int | None
    what: str


class EndAnswer(TypedDict):
    """A threaded end as the command answers it."""

    candidates: list[str]


class RowAnswer(TypedDict):
    """A row as the command answers it."""

    row: int
    kind: str | None
    count: int | None
    defects: list[DefectAnswer]
    ends: list[EndAnswer]
    length_mm: float | None
    length_nominal: str | None
    length_basis: str | None
    finish_look: str | None
    finish_process: str | None
    condition: str | None
    problems: list[str]


@click.group()
def catalogue() -> None:
    """Read lists of hardware."""


@catalogue.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
@click.option(
    "--unit",
    type=click.Choice([unit.value for unit in LengthUnit]),
    help="The unit of lengths without one, where neither heading nor thread tells it.",
)
def read(file: Path, *, as_json: bool, unit: str | None) -> None:
    """Show each row of the bench list FILE (CSV or XLSX) as understood."""
    from runningfit.core.pieces.bench_list import read_bench_list

    bench_list = read_bench_list(
        _content(file), filename=file.name, default_unit=LengthUnit(unit) if unit else None
    )
    if as_json:
        answer = {"rows": [_answer(row) for row in bench_list.rows]}
        click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
    else:
        click.echo(_page(bench_list))


def _content(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise InvalidInput(
            "FILE", needs="a file that can be read", came=str(file), remedy=f"{error.strerror}."
        ) from error


def _answer(row: UnderstoodRow) -> RowAnswer:
    return RowAnswer(
        row=row.row,
        kind=row.kind.value if row.kind else None,
        count=row.count,
        defects=[DefectAnswer(count=defect.count, what=defect.what) for defect in row.defects],
        ends=[EndAnswer(candidates=list(end.candidates)) for end in row.ends],
        length_mm=round(row.length_mm, 6) if row.length_mm is not None else None,
        length_nominal=row.length_nominal,
        length_basis=row.length_basis.value if row.length_basis else None,
        finish_look=row.finish_look.value,
        finish_process=row.finish_process.value if row.finish_process else None,
        condition=row.condition or None,
        problems=[problem.sentence for problem in row.problems],
    )


def _page(bench_list: BenchList) -> str:
    """The rows as a table in plain text, problems and questions below each."""
    heads = ("row", "bag", "count", "kind", "thread or size", "length", "finish", "condition")
    lines = [tuple(_cells(row)) for row in bench_list.rows]
    widths = [max(len(heads[at]), *(len(line[at]) for line in lines)) for at in range(len(heads))]
    page = [
        *bench_list.table.notes,
        _ruled(heads, widths),
        _ruled(tuple("-" * width for width in widths), widths),
    ]
    for row, line in zip(bench_list.rows, lines, strict=True):
        page.append(_ruled(line, widths))
        page.extend(f"      ! {problem.sentence}" for problem in row.problems)
        page.extend(f"      ? {question.question}" for question in row.questions)
    page.extend(f"line {skipped.row} left out: {skipped.reason}" for skipped in bench_list.skipped)
    troubled = sum(1 for row in bench_list.rows if row.problems)
    page.append(f"{len(bench_list.rows)} rows, {troubled} with a problem.")
    return "\n".join(page)


def _ruled(cells: tuple[str, ...], widths: list[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def _cells(row: UnderstoodRow) -> list[str]:
    ends = list(dict.fromkeys(" or ".join(end.candidates) or "unreadable" for end in row.ends))
    thread = " / ".join(ends) or row.size_said or ""
    return [
        str(row.row),
        row.bag,
        "unknown" if row.count is None else str(row.count),
        row.kind.value.replace("_", " ") if row.kind else "unknown",
        thread if len(ends) < 3 and len(thread) <= 60 else f"{thread[:57]}…",
        row.length_nominal or "",
        row.finish_look.value,
        row.condition,
    ]
