"""Sheets of bore readings: each row a bore, a depth, an angle and a diameter; every doubtful row is named."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.sheets import SheetRow, number_in, read_sheet
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.measurements.slips import Slip, slip_of
from runningfit.core.units import MM_PER_INCH

_CALLED = {
    "bore": "bore", "cylinder": "bore", "journal": "bore", "name": "bore",
    "depth": "depth", "angle": "angle", "diameter": "diameter",
}  # fmt: skip
_MM_PER = {"mm": 1.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH}
_DEGREES = {"deg", "degrees", "°"}
_WANTED = ("bore", "depth_mm", "angle_deg", "diameter_mm")
# No worn bore is farther from its nominal than this (common practice, no source).
_FAR_SHARE, _FAR_MM = 0.02, 2.0
_MOST_ROWS = 20_000
_MOST_SAID = 12


@dataclass(frozen=True, slots=True)
class SheetBore:
    """The readings of one bore as they stand in a sheet.

    Parameters
    ----------
    name : str
        The bore.
    points : tuple of Diameter
        Its readings, in the order of the sheet.
    """

    name: str
    points: tuple[Diameter, ...]


def read_bore_sheet(data: bytes, name: str, nominal_mm: float) -> tuple[SheetBore, ...]:
    """Read a sheet of diameters.

    Parameters
    ----------
    data : bytes
        CSV with the columns `bore,depth_mm,angle_deg,diameter_mm`; `_in` in a heading for inches.
    name : str
        What the file is called, for messages.
    nominal_mm : float
        The size as made [mm], by which a slip shows.

    Returns
    -------
    tuple of SheetBore
        The bores, in the order in which they first stand there.

    Raises
    ------
    InvalidInput
        A column that is missing or not known; or, all rows in one message: cells that are empty or no number,
        readings that their size shows to be in another unit or to have a slipped decimal, and bores with one
        reading only.
    """
    rows = read_sheet(data, name)
    if len(rows) - 1 > _MOST_ROWS:
        raise InvalidInput(name, needs=f"at most {_MOST_ROWS} rows", came=f"{len(rows) - 1}")
    where = _columns(rows[0], name)
    if len(rows) == 1:
        raise InvalidInput(name, needs="a row for each reading", came="headings alone")
    problems: list[str] = []
    slips: dict[Slip, list[int]] = {}
    bores: dict[str, list[int]] = {}
    by_line: dict[int, Diameter] = {}
    for row in rows[1:]:
        read = _row(row, where, problems)
        if read is None:
            continue
        bore, point = read
        doubt = _doubt(point.diameter_mm, nominal_mm)
        if isinstance(doubt, Slip):
            slips.setdefault(doubt, []).append(row.line_number)
        elif doubt is not None:
            problems.append(f"row {row.line_number}: {doubt}")
        by_line[row.line_number] = point
        bores.setdefault(bore, []).append(row.line_number)
    for slip, lines in slips.items():
        first = by_line[lines[0]].diameter_mm
        problems.append(
            f"row{'s' if len(lines) > 1 else ''} {_listed(lines)}: a diameter of {first:.6g} mm where the "
            f"nominal is {nominal_mm:.6g} mm; was it {slip}?"
        )
    problems.extend(
        f"row {lines[0]}: the only reading of bore {bore}; one diameter tells a size, not a form"
        for bore, lines in bores.items()
        if len(lines) == 1
    )
    far = slips or any("far from" in one for one in problems)
    if problems:
        said = "; ".join(problems[:_MOST_SAID])
        more = f"; and {len(problems) - _MOST_SAID} more" if len(problems) > _MOST_SAID else ""
        raise InvalidInput(
            name, needs="rows that can be relied on", came=f"{said}{more}",
            remedy="The sheet is as it was: read or type these again"
            + (", or give the size that the bores were made to." if far else "."),
        )  # fmt: skip
    return tuple(SheetBore(bore, tuple(by_line[line] for line in lines)) for bore, lines in bores.items())


def _columns(row: SheetRow, name: str) -> dict[str, tuple[int, float]]:
    """Where each column stands, and how many millimetres a number in it means."""
    found: dict[str, tuple[int, float]] = {}
    unknown = []
    for index, heading in enumerate(row.cells):
        words = [word for word in re.split(r"[\s_()\[\]]+", heading.lower()) if word]
        meaning = _CALLED.get(words[0]) if words else None
        unit = words[1] if len(words) == 2 else ""
        fits = {"bore": not unit, "angle": not unit or unit in _DEGREES}.get(
            meaning or "", not unit or unit in _MM_PER
        )
        if not heading:
            continue
        if meaning is None or len(words) > 2 or not fits:
            unknown.append(heading)
        elif meaning in found:
            raise InvalidInput(name, needs=f"one column of {meaning}", came=f"two, in row {row.line_number}")
        else:
            found[meaning] = (index, _MM_PER.get(unit, 1.0))
    missing = [heading for heading in _WANTED if heading.split("_")[0] not in found]
    if unknown or missing:
        wrong = [f"{heading} is not known" for heading in unknown] + [f"{one} is missing" for one in missing]
        raise InvalidInput(
            name, needs=f"the columns {','.join(_WANTED)} in its first row",
            came=f"row {row.line_number}: {'; '.join(wrong)}",
            remedy="Rename or take out what is not known; lengths in inches are headed diameter_in.",
        )  # fmt: skip
    return found


def _row(
    row: SheetRow, where: dict[str, tuple[int, float]], problems: list[str]
) -> tuple[str, Diameter] | None:
    """The reading of a row; none where a cell cannot be read, which is then told."""
    cells = {
        meaning: row.cells[index] if index < len(row.cells) else "" for meaning, (index, _) in where.items()
    }
    bad = [f"no {meaning}" for meaning, cell in cells.items() if not cell]
    numbers = {}
    for meaning in ("depth", "angle", "diameter"):
        number = number_in(cells[meaning])
        if number is None or not isfinite(number):
            if cells[meaning]:
                bad.append(f"'{cells[meaning]}' is no number for the {meaning}")
        else:
            numbers[meaning] = number * where[meaning][1]
    if numbers.get("diameter", 1.0) <= 0:
        bad.append(f"a diameter of {cells['diameter']}")
    if not bad and not -360 <= numbers["angle"] <= 360:
        bad.append(f"an angle of {cells['angle']}°")
    if bad:
        problems.append(f"row {row.line_number}: {', '.join(bad)}")
        return None
    return cells["bore"], Diameter(numbers["depth"], numbers["angle"], numbers["diameter"])


def _doubt(diameter_mm: float, nominal_mm: float) -> Slip | str | None:
    """What a diameter may be instead, by its size."""
    slip = slip_of(diameter_mm, nominal_mm)
    if slip is not None:
        return slip
    if abs(diameter_mm - nominal_mm) > max(_FAR_MM, _FAR_SHARE * nominal_mm):
        return f"{diameter_mm:.6g} mm is far from the nominal {nominal_mm:.6g} mm"
    return None


def _listed(lines: list[int]) -> str:
    """Row numbers with runs drawn together, such as 2 to 7, 9."""
    runs: list[list[int]] = []
    for line in lines:
        if runs and line == runs[-1][-1] + 1:
            runs[-1].append(line)
        else:
            runs.append([line])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
