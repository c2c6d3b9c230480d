"""Sheets of measured points: x and y, radius and angle, or heights over a face."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, isfinite
from statistics import median

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.columns import number_in, read_columns, refuse, sheet_rows
from runningfit.core.measurements.form.points import Height, Point, polar_point
from runningfit.core.measurements.slips import slip_of

# How many times farther out than the middle one a point is that cannot belong to the same circle.
_ASTRAY = 4.0


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
    sheet = read_columns(text, (("x", "y"), ("angle", "radius")), ("x", "y"))
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
        sheet = read_columns(text, (("x", "y", "z"),), ("x", "y", "z"))
        return tuple(
            Height(x, y, z)
            for x, y, z in zip(sheet.columns["x"], sheet.columns["y"], sheet.columns["z"], strict=True)
        )
    if not (isfinite(step_mm) and step_mm > 0):
        raise InvalidInput("step", needs="more than nothing", came=f"{step_mm:g} mm")
    # An empty cell of a grid is a place that cannot be measured, such as a bore.
    return tuple(
        Height(column * step_mm, row * step_mm, number_in(cell, line, "the grid"))
        for row, (line, cells) in enumerate(sheet_rows(text))
        for column, cell in enumerate(cells)
        if cell.strip()
    )


def _check_radii(radii: Sequence[float], lines: Sequence[int]) -> None:
    usual = median(radii)
    for radius, line in zip(radii, lines, strict=True):
        if radius <= 0:
            refuse(f"a radius of more than nothing in line {line}", f"{radius:g} mm")
        slip = slip_of(radius, usual)
        if slip is not None:
            refuse(
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
            refuse(
                f"points of one circle, about {usual:.5g} mm from their middle",
                f"{one.x_mm:g}, {one.y_mm:g} in line {line}",
                "Was its unit another one, or did its decimal point slip? Type it again.",
            )
