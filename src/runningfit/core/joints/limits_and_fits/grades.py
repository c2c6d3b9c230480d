"""Standard tolerances: how wide the zone of a grade is at some size."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows

LARGEST_MM = 3150.0
FINEST, COARSEST = 1, 18
_TABLE = "iso_286_1_2010_grades"


def range_row(nominal_mm: float) -> Mapping[str, str]:
    """Find the row of standard tolerances for a size.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm], more than 0, to 3150.

    Returns
    -------
    Mapping of str to str
        The row; a size on an edge belongs to the range below it.

    Raises
    ------
    InvalidInput
        The size is outside of the table.

    Notes
    -----
    ISO 286-1:2010, Table 1: over the first size, up to and including the second.
    """
    if not isfinite(nominal_mm) or not 0 < nominal_mm <= LARGEST_MM:
        raise InvalidInput(
            "nominal size", needs=f"more than 0 and at most {LARGEST_MM:g} mm", came=f"{nominal_mm:g} mm"
        )
    return next(row for row in rows(_TABLE) if nominal_mm <= float(row["to_mm"]))


def standard_tolerance_um(nominal_mm: float, it_grade: int) -> float:
    """Give the standard tolerance of a grade at a size.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm], more than 0, to 3150.
    it_grade : int
        Grade, 1 to 18.

    Returns
    -------
    float
        The tolerance [µm].

    Raises
    ------
    InvalidInput
        The size or the grade is outside of the table; IT14 and coarser are not for sizes to 1 mm.

    Notes
    -----
    ISO 286-1:2010, Table 1.
    """
    row = range_row(nominal_mm)
    if not FINEST <= it_grade <= COARSEST:
        raise InvalidInput("tolerance grade", needs=f"{FINEST} to {COARSEST}", came=str(it_grade))
    if it_grade >= 14 and nominal_mm <= 1:
        raise InvalidInput(
            "tolerance grade", needs="13 or finer for sizes up to 1 mm (ISO 286-1)", came=str(it_grade)
        )
    return float(row[f"IT{it_grade}_um"])
