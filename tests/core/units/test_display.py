"""Lengths are shown as fractions where they are near one."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthUnit, both_units, format_length

INCH, MM = LengthUnit.INCH, LengthUnit.MM


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (34.925, INCH, "1 3/8 in"),
        (34.93, INCH, "1 3/8 in"),
        (34.9, INCH, "1.374 in"),
        (12.7, INCH, "1/2 in"),
        (25.4, INCH, "1 in"),
        (0.0, INCH, "0 in"),
        (0.254, INCH, "0.01 in"),
        (-0.254, INCH, "-0.01 in"),
        (-12.7, INCH, "-1/2 in"),
        (0.001, INCH, "0 in"),
        (34.925, MM, "34.925 mm"),
        (34.9, MM, "34.9 mm"),
        (35.0, MM, "35 mm"),
        (0.0, MM, "0 mm"),
        (-0.0001, MM, "0 mm"),
    ],
)
def test_a_length_is_shown(mm: float, unit: LengthUnit, shown: str) -> None:
    assert format_length(mm, unit) == shown


def test_the_other_unit_stands_beside() -> None:
    assert both_units(34.925, INCH) == "1 3/8 in (34.925 mm)"
    assert both_units(34.925, MM) == "34.925 mm (1 3/8 in)"


@pytest.mark.parametrize("mm", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(mm: float) -> None:
    with pytest.raises(InvalidInput, match="length needs a finite number"):
        format_length(mm, INCH)
