"""The sheets of valves and of the drawer, as a person keeps them."""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.sheets import (
    Column,
    SheetRow,
    find_columns,
    name_in,
    number_in,
    read_sheet,
    size_in,
)
from runningfit.core.joints.matching.shims import USUAL_STEP_MM, DrawerShim, Valve

_VALVES, _DRAWER = "The sheet of valves", "The sheet of the drawer"
# A target alone is met as nearly as the usual step of shims allows (common practice, no source).
USUAL_TOLERANCE_MM = USUAL_STEP_MM / 2
_VALVE_COLUMNS = {
    "name": ("valve", "name", "position", "place", "valve id", "id"),
    "clearance": (
        "clearance",
        "measured clearance",
        "clearance measured",
        "gap",
        "measured",
        "clearance now",
    ),
    "shim": ("shim", "fitted shim", "current shim", "shim now", "thickness", "shim fitted", "shim thickness"),
    "least": ("min", "least", "lower", "clearance min", "min clearance", "limit min", "target min", "low"),
    "most": ("max", "most", "upper", "clearance max", "max clearance", "limit max", "target max", "high"),
    "target": ("target", "target clearance", "clearance target", "wanted"),
    "tolerance": ("tolerance", "plus minus"),
}
_DRAWER_COLUMNS = {
    "shim": ("shim", "thickness", "size", "shim thickness"),
    "count": ("count", "quantity", "qty", "pieces", "number", "n", "stock", "available"),
}


def read_valves(data: bytes, clearance_limits_mm: tuple[float, float] | None = None) -> tuple[Valve, ...]:
    """Read the sheet of valves.

    Parameters
    ----------
    data : bytes
        A CSV file with the columns valve, clearance_mm, shim_mm, min_mm, max_mm; another unit as the
        heading's end.
    clearance_limits_mm : tuple of float, or None
        Least and largest clearance of all valves [mm], where the sheet has no columns for them.

    Returns
    -------
    tuple of Valve
        The valves.

    Raises
    ------
    InvalidInput
        A column or a cell is missing, or the limits are nowhere.
    """
    rows = read_sheet(data, _VALVES)
    optional = frozenset({"least", "most", "target", "tolerance"})
    columns = find_columns(rows[0], _VALVES, _VALVE_COLUMNS, optional)
    if clearance_limits_mm is None and not ({"least", "most"} <= set(columns) or "target" in columns):
        raise InvalidInput(
            _VALVES,
            needs="the limits of the clearance: the columns min and max, or target",
            came=", ".join(rows[0].cells),
            remedy="Add them to the first row, the unit behind them, as in min_mm; or give one pair for all.",
        )
    return tuple(
        Valve(
            name_in(row, columns["name"], _VALVES),
            size_in(row, columns["clearance"], _VALVES, "clearance"),
            size_in(row, columns["shim"], _VALVES, "shim"),
            *_limits(row, columns, clearance_limits_mm),
        )
        for row in rows[1:]
    )


def _limits(
    row: SheetRow, columns: Mapping[str, Column], of_all_mm: tuple[float, float] | None
) -> tuple[float, float]:
    """The least and the largest clearance of a valve [mm]: its own, else those of all."""
    if "least" in columns and "most" in columns:
        least_mm = size_in(row, columns["least"], _VALVES, "least clearance")
        return least_mm, size_in(row, columns["most"], _VALVES, "largest clearance")
    if "target" in columns:
        target_mm = size_in(row, columns["target"], _VALVES, "target")
        tolerance_mm = USUAL_TOLERANCE_MM
        if "tolerance" in columns:
            tolerance_mm = size_in(row, columns["tolerance"], _VALVES, "tolerance")
        return max(target_mm - tolerance_mm, 0.0), target_mm + tolerance_mm
    return of_all_mm or (0.0, 0.0)


def read_drawer(data: bytes) -> tuple[DrawerShim, ...]:
    """Read the sheet of the drawer.

    Parameters
    ----------
    data : bytes
        A CSV file with the columns shim_mm and count; without a count, each row is one shim.

    Returns
    -------
    tuple of DrawerShim
        The shims.

    Raises
    ------
    InvalidInput
        A column or a cell is missing, or a count is no whole number.
    """
    rows = read_sheet(data, _DRAWER)
    columns = find_columns(rows[0], _DRAWER, _DRAWER_COLUMNS, frozenset({"count"}))
    return tuple(
        DrawerShim(size_in(row, columns["shim"], _DRAWER, "shim"), _count(row, columns.get("count")))
        for row in rows[1:]
    )


def _count(row: SheetRow, column: Column | None) -> int:
    if column is None:
        return 1
    text = row.cells[column.index] if column.index < len(row.cells) else ""
    number = number_in(text)
    if number is None or number != int(number) or number < 0:
        raise InvalidInput(f"{_DRAWER}, line {row.line_number}", needs="a whole number of shims", came=text)
    return int(number)
