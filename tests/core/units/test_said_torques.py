"""Torques in sentences: every one in both units, and nothing else touched."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.units import LengthUnit
from runningfit.core.units.said_torques import torques_in_both

# NIST SP 811 (2008), appendix B.8: 1 lbf ft is 1.355 818 N m.
NM_PER_LBF_FT = 1.355818


@pytest.mark.parametrize(
    ("unit", "said"),
    [
        (LengthUnit.INCH, "Set 15 lbf ft (20.3 N m); 13.3 to 15 lbf ft (18.0 to 20.3 N m) holds both."),
        (LengthUnit.MM, "Set 20.3 N m (15 lbf ft); 18.0 to 20.3 N m (13.3 to 15 lbf ft) holds both."),
    ],
)
def test_figures_and_ranges_are_said_in_both_units(unit: LengthUnit, said: str) -> None:
    assert torques_in_both("Set 20.3 N m; 18.0 to 20.3 N m holds both.", unit) == said


def test_what_is_no_torque_stays_as_it_is() -> None:
    said = "Class 8.8: 800 N/mm², 20 Nm of it, 3 N mm, 12 kN and a page 44."
    assert torques_in_both(said, LengthUnit.INCH) == said


@given(st.floats(0.1, 5000).map(lambda one: f"{one:.1f}"), st.sampled_from(list(LengthUnit)))
def test_both_figures_are_one_torque_and_it_is_said_once(number: str, unit: LengthUnit) -> None:
    said = torques_in_both(f"At {number} N m it yields.", unit)
    figures = {word: float(one) for one, word in re.findall(r"([0-9.]+) (lbf ft|N m)", said)}
    assert figures["lbf ft"] * NM_PER_LBF_FT == pytest.approx(figures["N m"], rel=6e-3)
    if unit is LengthUnit.MM:
        assert torques_in_both(said, unit) == said
