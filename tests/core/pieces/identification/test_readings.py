"""What cannot be measured of a thread is refused, saying which value and what to do."""

from __future__ import annotations

import math
from typing import Any

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import AngleGauge, ThreadReadings


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({}, "at least one reading; nothing came"),
        ({"major_mm": math.nan}, "major diameter needs a number of mm above 0"),
        ({"major_mm": math.inf}, "major diameter needs a number of mm above 0"),
        ({"major_mm": -1.0}, "major diameter needs a number of mm above 0"),
        ({"major_mm": 0.0}, "major diameter needs a number of mm above 0"),
        ({"pitch_mm": 1000.0}, "pitch needs a number of mm above 0 and below 400"),
        ({"major_mm": 8.0, "u_major_mm": 0.0}, "uncertainty of the major diameter needs more than 0"),
        ({"major_mm": 8.0, "u_major_mm": -0.1}, "uncertainty of the major diameter needs more than 0"),
        ({"major_mm": 8.0, "u_major_mm": 8.5}, "less than the value of 8 mm; 8.5 came"),
        ({"major_mm": 8.0, "u_major_mm": math.nan}, "uncertainty of the major diameter"),
        ({"pitch_mm": 1.0, "u_pitch_mm": 2.0}, "uncertainty of the pitch needs"),
        ({"leaf_tpi": 24.0, "u_pitch_mm": 2.0}, "uncertainty of the pitch needs"),
        ({"leaf_tpi": 24.0, "u_major_mm": 0.1}, "uncertainty of the major diameter needs a major diameter"),
        ({"leaf_tpi": 24.0, "leaf_mm": 1.0}, "one leaf"),
        ({"leaf_tpi": 0.0}, "threads per inch needs a number from 1 to 400"),
        ({"leaf_tpi": math.nan}, "threads per inch needs a number from 1 to 400"),
        ({"leaf_mm": math.nan}, "pitch of the leaf needs a number"),
        ({"major_mm": 8.0, "minor_mm": 8.0}, "less than the major diameter of 8 mm"),
        ({"major_mm": 0.3125, "leaf_tpi": 24.0}, "Was the diameter meant in inches"),
        ({"major_mm": 8.0, "angle_gauges": (AngleGauge(50.0),)}, "47.5, 55 or 60 degrees; 50.0 came"),
    ],
)
def test_what_no_thread_can_be_is_refused(values: dict[str, Any], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        ThreadReadings(**values)


def test_a_leaf_has_its_pitch_in_either_unit() -> None:
    assert ThreadReadings(leaf_tpi=24).leaf_pitch_mm == pytest.approx(25.4 / 24)
    assert ThreadReadings(leaf_mm=1.25).leaf_pitch_mm == 1.25
    assert ThreadReadings(minor_mm=6.0).size_mm == 6.0
    assert ThreadReadings(across_flats_mm=13.0).size_mm is None
