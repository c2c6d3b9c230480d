"""Sheets of measured points: x and y, radius and angle, or heights over a face."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite
from statistics import median
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.points import Height, Point, polar_point
from runningfit.core.measurements.slips import slip_of
from runningfit.core.units import MM_PER_INCH

_MM_PER = {
    "mm": 1.0, "um": 1e-3, "µm": 1e-3, "μm": 1e-3, "micron": 1e-3, "microns": 1e-3, "cm": 10.0,
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, "thou": MM_PER_INCH / 1000,
}  # fmt: skip
_DEGREES = {"deg", "°", "degree", "degrees"}
_HEADING = re.compile(r"\s*(?P<name>[a-z]+)[\s_(\[]*(?P<unit>[a-zµμ°]*)[)\].]*\s*")
_NAMES = {
    "x": "x", "y": "y", "z": "z", "height": "z", "angle": "angle", "radius": "radius", "r": "radius",
}  # fmt: skip
_LONGEST = 2_000_000
# How many times farther out than the middle one a point is that cannot belong to the same circle.
_ASTRAY = 4.0


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet as columns of millimetres or degrees, with the line of each row in its file."""

    columns: dict[str, list[float]]
    lines: list[int]


def read_points(text: str) -> tuple[Point, ...]:
    """Read the points of a section.

    Parameters
    ----------
    text : str
        Columns `x_mm,y_mm` or `angle_deg,radius_mm`; without a heading two columns are x and y, in mm.
        Other units of length stand in the heading: `x_in`, `radius_um`.

    Returns
    -------
    tuple of Point
        The points, in the order of the sheet.

    Raises
    ------
    InvalidInput
        A heading that is not understood, a cell that is empty or no number, or a point that its size shows to
        be in another unit or to have a slipped decimal.
    """
    sheet = _read(text, (("x", "y"), ("angle", "radius")), ("x", "y"))
    if "radius" in sheet.columns:
        radii = sheet.columns["radius"]
        _check_radii(radii, sheet.lines)
        return tuple(
            polar_point(radius, angle) for angle, radius in zip(sheet.columns["angle"], radii, strict=True)
        )
    points = tuple(Point(x, y) for x, y in zip(sheet.columns["x"], sheet.columns["y"], strict=True))
    _check_astray(points, sheet.lines)
    return points


def read_heights(text: str, *, step_mm: float | None = None) -> tuple[Height, ...]:
    """Read the heights of a face.

    Parameters
    ----------
    text : str
        Columns `x_mm,y_mm,z_mm`, or with a step a bare grid of heights in millimetres, a row for each row.
    step_mm : float or None
        The distance between neighbours of a bare grid [mm].

    Returns
    -------
    tuple of Height
        The points, in the order of the sheet.

    Raises
    ------
    InvalidInput
        A heading that is not understood, a cell that is empty or no number, or a grid without its step.
    """
    if step_mm is None:
        sheet = _read(text, (("x", "y", "z"),), ("x", "y", "z"))
        return tuple(
            Height(x, y, z)
            for x, y, z in zip(sheet.columns["x"], sheet.columns["y"], sheet.columns["z"], strict=True)
        )
    if not (isfinite(step_mm) and step_mm > 0):
        raise InvalidInput("step", needs="more than nothing", came=f"{step_mm:g} mm")
    # An empty cell of a grid is a place that cannot be measured, such as a bore.
    return tuple(
        Height(column * step_mm, row * step_mm, _number(cell, line, "the grid"))
        for row, (line, cells) in enumerate(_rows(text))
        for column, cell in enumerate(cells)
        if cell.strip()
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """The rows that hold something, with their line in the file."""
    if len(text) > _LONGEST:
        _refuse("at most 2 000 000 characters", f"{len(text)}", "Leave out every other point.")
    head = next((line for line in text.splitlines() if line.strip() and line.lstrip()[0] != "#"), "")
    divider = next((mark for mark in ("\t", ";", ",") if mark in head), ",")
    found = [
        (line, cells)
        for line, cells in enumerate(csv.reader(text.splitlines(), delimiter=divider), start=1)
        if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#")
    ]
    if not found:
        _refuse("rows of numbers", "an empty one")
    return found


def _read(text: str, wanted: Sequence[tuple[str, ...]], bare: tuple[str, ...]) -> _Sheet:
    rows = _rows(text)
    heading = [cell.strip() for cell in rows[0][1]]
    if any(re.search(r"[A-Za-z]", re.sub(r"(?i)\d+\.?\d*e[-+]?\d+", "", cell)) for cell in heading):
        units = dict(_told(cell) for cell in heading if cell)
        if len(units) < sum(bool(cell) for cell in heading):
            _refuse("each column once", ", ".join(heading))
        order = [_told(cell)[0] if cell else "" for cell in heading]
        rows = rows[1:]
    else:
        if len(heading) != len(bare):
            _refuse(
                f"{len(bare)} columns, or a heading", f"{len(heading)} columns without one",
                f"Write {','.join(f'{name}_mm' for name in bare)} above them.",
            )  # fmt: skip
        units, order = dict.fromkeys(bare, 1.0), list(bare)
    names = next((names for names in wanted if set(names) <= set(units)), None)
    if names is None:
        known = " or ".join(
            ",".join(f"{name}_{'deg' if name == 'angle' else 'mm'}" for name in one) for one in wanted
        )
        _refuse(f"the columns {known}", ", ".join(heading))
    columns: dict[str, list[float]] = {name: [] for name in names}
    for line, cells in rows:
        for name in names:
            at = order.index(name)
            cell = cells[at] if at < len(cells) else ""
            columns[name].append(_number(cell, line, name) * units[name])
    return _Sheet(columns, [line for line, _ in rows])


def _told(cell: str) -> tuple[str, float]:
    """The column that a heading means, and its unit in millimetres or degrees."""
    found = _HEADING.fullmatch(cell.lower())
    name = _NAMES.get(found["name"]) if found else None
    if found is None or name is None:
        _refuse(
            f"a heading of {', '.join(dict.fromkeys(_NAMES.values()))} with a unit", cell, "Such as x_mm."
        )
    unit = found["unit"]
    if name == "angle":
        if unit and unit not in _DEGREES:
            _refuse("angles in degrees", cell)
        return name, 1.0
    if unit and unit not in _MM_PER:
        _refuse(f"a unit of length: {', '.join(_MM_PER)}", cell)
    return name, _MM_PER[unit] if unit else 1.0


def _number(cell: str, line: int, name: str) -> float:
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        _refuse(f"a number in line {line} under {name}", cell.strip(), "Type it again, or take the row out.")
    return value


def _check_radii(radii: Sequence[float], lines: Sequence[int]) -> None:
    usual = median(radii)
    for radius, line in zip(radii, lines, strict=True):
        if radius <= 0:
            _refuse(f"a radius of more than nothing in line {line}", f"{radius:g} mm")
        slip = slip_of(radius, usual)
        if slip is not None:
            _refuse(
                f"radii of one size, about {usual:.5g} mm", f"{radius:.5g} mm in line {line}",
                f"Was it {slip}? Type it again.",
            )  # fmt: skip


def _check_astray(points: Sequence[Point], lines: Sequence[int]) -> None:
    """Find the point that a slip has thrown far off the others."""
    x, y = median(one.x_mm for one in points), median(one.y_mm for one in points)
    away = [hypot(one.x_mm - x, one.y_mm - y) for one in points]
    usual = median(away)
    for one, distance, line in zip(points, away, lines, strict=True):
        if len(points) >= 5 and distance > _ASTRAY * usual > 0:
            _refuse(
                f"points of one circle, about {usual:.5g} mm from their middle",
                f"{one.x_mm:g}, {one.y_mm:g} in line {line}",
                "Was its unit another one, or did its decimal point slip? Type it again.",
            )


def _refuse(needs: str, came: str, remedy: str = "") -> NoReturn:
    raise InvalidInput("sheet", needs=needs, came=came, remedy=remedy)
