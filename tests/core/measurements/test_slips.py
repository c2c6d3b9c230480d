"""Slips of unit and decimal point are noticed by size, and honest values are left alone."""

from __future__ import annotations

import pytest

from runningfit.core.measurements.slips import Slip, odd_one, slip_of


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


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ([79.4, 79.41, 3.126, 79.39], (2, Slip.INCHES)),
        ([79.4, 3.126], (1, Slip.INCHES)),
        ([79.4, 3.126, 79.4, 3.127], (3, Slip.INCHES)),
        ([7.94, 79.4], (1, Slip.DECIMAL)),
        ([79.4, 79.5, 97.4], (2, None)),
        ([79.4, 79.5, 79.6], None),
        ([79.4], None),
    ],
)
def test_the_one_that_does_not_belong_is_found(
    values: list[float], found: tuple[int, Slip | None] | None
) -> None:
    told = odd_one(values, 0.1)
    assert (told if told is None else (told[0], told[2])) == found
