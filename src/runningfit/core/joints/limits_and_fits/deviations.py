"""Where the zone of a hole or a shaft lies: the fundamental deviations, and the rules from shaft to hole."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.limits_and_fits.grades import range_row, standard_tolerance_um
from runningfit.core.joints.limits_and_fits.zones import SizeLimits, ToleranceZone
from runningfit.core.standards.tables import rows

_SHAFTS, _HOLES_J = "iso_286_1_2010_deviations", "iso_286_1_2010_holes_j"
_LARGEST_TABLED_MM = 500.0
_ABOVE_THE_LINE = ("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h")
_WITH_DELTA_TO_8 = ("k", "m", "n")
_RULE = "ISO 286-1:2010"


def zone_limits(nominal_mm: float, zone: ToleranceZone) -> SizeLimits:
    """Give the limit deviations of a hole or a shaft.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm], more than 0, to 500; to 3150 for h, H, js and JS.
    zone : ToleranceZone
        Letter and grade.

    Returns
    -------
    SizeLimits
        Upper and lower deviation [µm].

    Raises
    ------
    InvalidInput
        The standard has no such zone at that size.

    Notes
    -----
    ISO 286-1:2010, Tables 1 to 5. Shafts a to h: es is the deviation; j to zc: ei is. Holes A to H: EI = -es.
    Holes K, M, N to IT8 and P to ZC to IT7, over 3 mm: ES = -ei + Δ, Δ = IT(n) - IT(n-1); else ES = -ei,
    but N9 and coarser over 3 mm ES = 0, and M6 over 250 to 315 mm ES = -9. js, JS: half of the tolerance.
    """
    tolerance = standard_tolerance_um(nominal_mm, zone.it_grade)
    row = range_row(nominal_mm)
    if zone.letter == "js":
        return _limits(zone, tolerance / 2, tolerance, row)
    if zone.letter == "h":
        return _limits(zone, tolerance if zone.is_hole else 0.0, tolerance, row)
    if nominal_mm > _LARGEST_TABLED_MM:
        _refuse(nominal_mm, zone, "The table here ends at 500 mm; beyond, only h, H, js and JS are known.")
    if zone.letter in {"a", "b"} and nominal_mm <= 1:
        _refuse(nominal_mm, zone, "a, b, A and B are not used up to 1 mm.")
    if zone.letter == "j":
        return _with_j(nominal_mm, zone, tolerance)
    deviation = _shaft_row(nominal_mm, zone.letter, zone)
    value = float(deviation["deviation_um"])
    if not zone.is_hole:
        if zone.letter == "k" and not 4 <= zone.it_grade <= 7:
            value = 0.0
        upper = value if zone.letter in _ABOVE_THE_LINE else value + tolerance
        return _limits(zone, upper, tolerance, deviation)
    if zone.letter in _ABOVE_THE_LINE:
        return _limits(zone, tolerance - value, tolerance, deviation)
    return _limits(zone, _upper_of_hole(nominal_mm, zone, value), tolerance, deviation)


def _upper_of_hole(nominal_mm: float, zone: ToleranceZone, shaft_um: float) -> float:
    """The upper deviation of a hole K to ZC, of the lower one of the shaft with its letter."""
    grade, finest_with_delta = zone.it_grade, 8 if zone.letter in _WITH_DELTA_TO_8 else 7
    if nominal_mm <= 3:
        if zone.letter == "n" and grade > 8 and nominal_mm <= 1:
            _refuse(nominal_mm, zone, "N9 and coarser are not used up to 1 mm.")
        return -shaft_um
    if grade < 3:
        _refuse(nominal_mm, zone, "The rule for such holes begins at grade 3.")
    if zone.letter == "k" and grade > 8:
        _refuse(nominal_mm, zone, "K9 and coarser are not used over 3 mm.")
    if zone.letter == "n" and grade > 8:
        return 0.0
    if grade > finest_with_delta:
        return -shaft_um
    delta = standard_tolerance_um(nominal_mm, grade) - standard_tolerance_um(nominal_mm, grade - 1)
    # The one exception that the standard prints in full.
    if zone.letter == "m" and grade == 6 and 250 < nominal_mm <= 315:
        return -9.0
    return -shaft_um + delta


def _with_j(nominal_mm: float, zone: ToleranceZone, tolerance_um: float) -> SizeLimits:
    """j and J have a value for each grade, and only for the grades in use."""
    if zone.is_hole:
        found = _by_size(_HOLES_J, "zone", str(zone), nominal_mm)
        if found is None:
            _refuse(nominal_mm, zone, "J is used as J6, J7 and J8.")
        return _limits(zone, float(found["deviation_um"]), tolerance_um, found)
    name = {5: "j5/6", 6: "j5/6", 7: "j7", 8: "j8"}.get(zone.it_grade, "")
    found = _by_size(_SHAFTS, "letter", name, nominal_mm)
    if found is None:
        _refuse(nominal_mm, zone, "j is used as j5, j6 and j7, and as j8 up to 3 mm.")
    return _limits(zone, float(found["deviation_um"]) + tolerance_um, tolerance_um, found)


def _shaft_row(nominal_mm: float, letter: str, zone: ToleranceZone) -> Mapping[str, str]:
    found = _by_size(_SHAFTS, "letter", letter, nominal_mm)
    if found is None:
        spans = [row for row in rows(_SHAFTS) if row["letter"] == letter]
        least, most = spans[0]["over_mm"], spans[-1]["to_mm"]
        _refuse(nominal_mm, zone, f"That letter is used over {least} mm, up to {most} mm.")
    return found


@cache
def _rows_of(table: str, column: str, name: str) -> tuple[Mapping[str, str], ...]:
    return tuple(row for row in rows(table) if row[column] == name)


def _by_size(table: str, column: str, name: str, nominal_mm: float) -> Mapping[str, str] | None:
    for row in _rows_of(table, column, name):
        if float(row["over_mm"]) < nominal_mm <= float(row["to_mm"]):
            return row
    return None


def _limits(zone: ToleranceZone, upper_um: float, tolerance_um: float, row: Mapping[str, str]) -> SizeLimits:
    kind = "hole" if zone.is_hole else "shaft"
    return SizeLimits(
        f"{kind} {zone}", upper_um, upper_um - tolerance_um, row["status"], f"{_RULE}; {row['source']}"
    )


def _refuse(nominal_mm: float, zone: ToleranceZone, why: str) -> NoReturn:
    raise InvalidInput(
        "tolerance zone",
        needs=f"one that ISO 286-1 has at {nominal_mm:g} mm",
        came=str(zone),
        remedy=why,
    )
