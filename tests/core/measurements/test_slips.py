"""Slips of unit and decimal point are noticed by size, and honest values are left alone."""

from __future__ import annotations

import pytest

from runningfit.core.measurements.slips import Slip, slip_of


@pytest.mark.parametrize(
    ("value", "usual", "slip"),
    [
        (3.126, 79.4, Slip.INCHES),
        (79.4, 3.126, Slip.MILLIMETRES),
        (7.94, 79.4, Slip.DECIMAL),
        (794.0, 79.4, Slip.DECIMAL),
        (0.0794, 79.4, Slip.DECIMAL),
        (79.9, 79.4, None),
        (40.0, 79.4, None),
        (0.0, 79.4, None),
        (-79.4, 79.4, None),
    ],
)
def test_a_slip_is_told_by_its_ratio(value: float, usual: float, slip: Slip | None) -> None:
    assert slip_of(value, usual) is slip
