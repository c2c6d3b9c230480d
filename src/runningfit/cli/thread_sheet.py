"""The answer of `runningfit thread identify --batch`: every row of a CSV file, in its place and order."""

from __future__ import annotations

import json
from pathlib import Path
from typing import NotRequired, TypedDict

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    IdentifiedMany,
    ThreadPrior,
    WrongUnit,
    identify_many,
    wrong_units,
)
from runningfit.core.pieces.reading_sheet import SheetRow, read_sheet
from runningfit.core.standards import thread


class CandidateAnswer(TypedDict):
    """A candidate as the command answers it."""

    designation: str
    probability: float
    major_mm: float
    pitch_mm: float


class RowAnswer(TypedDict):
    """A row as the command answers it: candidates, or a problem."""

    candidates: list[CandidateAnswer]
    none_of_these: NotRequired[float]
    problem: NotRequired[str]


def batch_answer(file: Path, prior: ThreadPrior, *, as_json: bool) -> str:
    """Identify every row of a file; a row that cannot be used is answered by its problem."""
    rows = _sheet(file)
    usable = [row.readings for row in rows if row.readings is not None]
    found = identify_many(usable, prior)
    units = wrong_units(usable, found, prior)
    results: list[RowAnswer] = []
    at = 0
    for row in rows:
        if row.readings is None:
            results.append(RowAnswer(candidates=[], problem=f"row {row.line}: {row.problem}"))
        else:
            results.append(_result(row.line, found, at, units.get(at)))
            at += 1
    if as_json:
        return json.dumps({"results": results}, ensure_ascii=False)
    return "\n".join(_line(row.line, result) for row, result in zip(rows, results, strict=True))


def _sheet(file: Path) -> tuple[SheetRow, ...]:
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "It is not UTF-8"
        raise InvalidInput(
            "--batch", needs="a CSV file that can be read", came=str(file), remedy=f"{reason}."
        ) from error
    return read_sheet(text, most_rows=None)


def _result(number: int, found: IdentifiedMany, at: int, unit: WrongUnit | None) -> RowAnswer:
    if unit is not None and unit.is_asked:
        return RowAnswer(candidates=[], problem=f"row {number}: {unit.question}")
    candidates = [
        CandidateAnswer(
            designation=name,
            probability=round(probability, 6),
            major_mm=round(thread(name).major_mm, 4),
            pitch_mm=round(thread(name).pitch_mm, 4),
        )
        for name, probability in found.candidates(at)
    ]
    return RowAnswer(candidates=candidates, none_of_these=round(float(found.none_of_these[at]), 6))


def _line(number: int, result: RowAnswer) -> str:
    if "problem" in result:
        return result["problem"]
    shown = [f"{one['designation']} {one['probability']:.1%}" for one in result["candidates"][:3]]
    none = result["none_of_these"]
    return f"row {number}: {', '.join((*shown, f'none of these {none:.1%}'))}"
