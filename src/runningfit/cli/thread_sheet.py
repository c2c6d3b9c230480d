"""The answer of `runningfit thread identify --batch`: every row of a CSV file, in its place and order."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NotRequired, TypedDict

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    AngleGauge,
    IdentifiedMany,
    ThreadPrior,
    ThreadReadings,
    WrongUnit,
    identify_many,
    wrong_units,
)
from runningfit.core.standards import thread
from runningfit.core.units import MM_PER_INCH

COLUMNS = (
    "major_mm", "tpi", "pitch_mm", "u_major_mm", "u_pitch_mm", "minor_mm", "u_minor_mm", "pitch_diameter_mm",
    "u_pitch_diameter_mm", "across_flats_mm", "u_across_flats_mm", "angle_deg", "internal",
)  # fmt: skip
_MEASURED = ("major_mm", "minor_mm", "pitch_diameter_mm", "across_flats_mm")
_YES, _NO = (
    frozenset({"1", "yes", "true", "y", "internal"}),
    frozenset({"", "0", "no", "false", "n", "external"}),
)


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
    rows: list[ThreadReadings | str] = []
    numbers = []
    for number, cells in _rows(file):
        numbers.append(number)
        try:
            rows.append(_readings(cells))
        except InvalidInput as error:
            rows.append(f"row {number}: {error}")
    usable = [one for one in rows if not isinstance(one, str)]
    found = identify_many(usable, prior)
    units = wrong_units(usable, found, prior)
    results: list[RowAnswer] = []
    at = 0
    for number, row in zip(numbers, rows, strict=True):
        if isinstance(row, str):
            results.append(RowAnswer(candidates=[], problem=row))
        else:
            results.append(_result(number, found, at, units.get(at)))
            at += 1
    if as_json:
        return json.dumps({"results": results}, ensure_ascii=False)
    return "\n".join(_line(number, result) for number, result in zip(numbers, results, strict=True))


def _rows(file: Path) -> Iterator[tuple[int, Mapping[str, str]]]:
    """Yield line number and cells of each row, and refuse a file without any of the columns."""
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "It is not UTF-8"
        raise InvalidInput(
            "--batch", needs="a CSV file that can be read", came=str(file), remedy=f"{reason}."
        ) from error
    head = text.partition("\n")[0]
    reader = csv.DictReader(
        text.splitlines(), delimiter=";" if ";" in head else ",", restval="", strict=False
    )
    names = [(name or "").strip().lower() for name in reader.fieldnames or ()]
    if not set(names) & {"major_mm", "minor_mm", "pitch_diameter_mm", "pitch_mm", "tpi", "across_flats_mm"}:
        raise InvalidInput(
            "--batch",
            needs="a first row that names its columns",
            came=head[:60],
            remedy=f"Name them {', '.join(COLUMNS[:5])}; a cell may be blank.",
        )
    reader.fieldnames = names
    for cells in reader:
        yield reader.line_num, {name: cells.get(name) or "" for name in names if name in COLUMNS}


def _number(cells: Mapping[str, str], column: str) -> float | None:
    text = cells.get(column, "").strip()
    if not text:
        return None
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInput(column, needs="a number or nothing", came=text, remedy="Correct the cell.")
    return value


def _readings(cells: Mapping[str, str]) -> ThreadReadings:
    tpi, pitch_mm = _number(cells, "tpi"), _number(cells, "pitch_mm")
    if tpi is not None and tpi <= 0:
        raise InvalidInput("tpi", needs="more than 0", came=tpi, remedy="Leave it blank if not known.")
    if tpi is not None and pitch_mm is None and not (2 * tpi).is_integer():
        pitch_mm, tpi = MM_PER_INCH / tpi, None
    inside = cells.get("internal", "").strip().lower()
    if inside not in _YES | _NO:
        raise InvalidInput("internal", needs="yes or no", came=inside, remedy="Correct the cell.")
    angle = _number(cells, "angle_deg")
    values = {name: _number(cells, name) for name in _MEASURED}
    # A column of uncertainties is often filled all the way down, beside cells that are blank.
    said = {name for name, value in values.items() if value is not None}
    if pitch_mm is not None or tpi is not None:
        said.add("pitch_mm")
    u = {name: _number(cells, f"u_{name}") if name in said else None for name in (*_MEASURED, "pitch_mm")}
    return ThreadReadings(
        internal=inside in _YES,
        major_mm=values["major_mm"],
        minor_mm=values["minor_mm"],
        pitch_diameter_mm=values["pitch_diameter_mm"],
        leaf_tpi=tpi,
        pitch_mm=pitch_mm,
        across_flats_mm=values["across_flats_mm"],
        angle_gauges=(AngleGauge(angle),) if angle is not None else (),
        u_major_mm=u["major_mm"],
        u_minor_mm=u["minor_mm"],
        u_pitch_diameter_mm=u["pitch_diameter_mm"],
        u_pitch_mm=u["pitch_mm"],
        u_across_flats_mm=u["across_flats_mm"],
    )


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
