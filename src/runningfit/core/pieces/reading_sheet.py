"""A sheet of measured threads: one row each, read from text with a row of headings."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from io import StringIO

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import AngleGauge, ThreadReadings
from runningfit.core.units import MM_PER_INCH

MEASURES = (
    "major_mm",
    "tpi",
    "pitch_mm",
    "minor_mm",
    "pitch_diameter_mm",
    "across_flats_mm",
    "angle_deg",
)
MOST_ROWS = 20_000
_DIAMETERS = ("major_mm", "minor_mm", "pitch_diameter_mm", "across_flats_mm")
_YES = frozenset({"1", "yes", "y", "true", "internal", "nut", "hole"})
_NO = frozenset({"", "0", "no", "n", "false", "external", "bolt", "stud"})


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row of a sheet.

    Parameters
    ----------
    line : int
        Its line in the text, from 1.
    label, lot : str
        What it is called, and the number of its lot, as written; may be empty.
    readings : ThreadReadings or None
        What was measured; none where the row cannot be used.
    problem : str
        Why it cannot be used; empty where it can.
    """

    line: int
    label: str
    lot: str
    readings: ThreadReadings | None
    problem: str = ""


def read_sheet(text: str, *, most_rows: int | None = MOST_ROWS) -> tuple[SheetRow, ...]:
    """Read a sheet of measured threads.

    Parameters
    ----------
    text : str
        Rows parted by commas, semicolons or tabs; the first names the columns: `major_mm`, `tpi`, `pitch_mm`,
        `u_major_mm`, `u_pitch_mm` and the like, `internal`, `label`, `lot`; others are passed over.
    most_rows : int or None
        How many rows at most; none is any number.

    Returns
    -------
    tuple of SheetRow
        In the order of the text; a row that cannot be used says why. Empty lines are passed over, and so are
        rows at the end that hold nothing; such a row between others stays in its place.

    Raises
    ------
    InvalidInput
        No row names a measure, or there are too many rows.
    """
    text = text.lstrip("\ufeff")
    head = text.lstrip("\r\n").partition("\n")[0]
    part = max(",;\t", key=head.count)
    reader = csv.reader(StringIO(text), delimiter=part)
    try:
        rows = [(reader.line_num, cells) for cells in reader if cells]
    except csv.Error as error:
        raise InvalidInput("sheet", needs="rows of a CSV file", came=head[:60], remedy=f"{error}.") from error
    while rows and not any(cell.strip() for cell in rows[-1][1]):
        rows.pop()
    names = [name.strip().lower() for name in rows[0][1]] if rows else []
    if not set(names) & set(MEASURES):
        raise InvalidInput(
            "sheet",
            needs="a first row that names its columns",
            came=head[:60],
            remedy=f"Name them {', '.join(MEASURES[:3])}, u_major_mm, u_pitch_mm; a cell may be blank.",
        )
    if most_rows is not None and len(rows) - 1 > most_rows:
        raise InvalidInput(
            "sheet", needs=f"at most {most_rows:,} rows", came=len(rows) - 1, remedy="Part it."
        )
    return tuple(_row(line, dict(zip(names, cells, strict=False))) for line, cells in rows[1:])


def _row(line: int, cells: Mapping[str, str]) -> SheetRow:
    label, lot = (cells.get(name, "").strip() for name in ("label", "lot"))
    try:
        return SheetRow(line, label, lot, _readings(cells))
    except InvalidInput as error:
        return SheetRow(line, label, lot, None, str(error))


def _readings(cells: Mapping[str, str]) -> ThreadReadings:
    def number(column: str) -> float | None:
        return _number(column, cells.get(column, ""))

    tpi, pitch_mm, angle = number("tpi"), number("pitch_mm"), number("angle_deg")
    if tpi is not None and tpi <= 0:
        raise InvalidInput("tpi", needs="more than 0", came=tpi, remedy="Leave it blank if not known.")
    # Leaves are stamped in whole or half threads per inch; anything else was measured.
    if tpi is not None and pitch_mm is None and 2 * tpi != int(2 * tpi):
        pitch_mm, tpi = MM_PER_INCH / tpi, None
    inside = cells.get("internal", "").strip().lower()
    if inside not in _YES | _NO:
        raise InvalidInput("internal", needs="yes or no", came=inside, remedy="Correct the cell.")
    values = {name: number(name) for name in _DIAMETERS}
    # A column of uncertainties is often filled all the way down, beside cells that are blank.
    said = {name for name, value in values.items() if value is not None}
    if pitch_mm is not None or tpi is not None:
        said.add("pitch_mm")
    u = {name: number(f"u_{name}") if name in said else None for name in (*_DIAMETERS, "pitch_mm")}
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


def _number(column: str, text: str) -> float | None:
    text = text.strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInput(column, needs="a number or nothing", came=text, remedy="Correct the cell.")
    return value
