"""Torque, force, pressure and temperature are read in their usual units, and agree with pint."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.units import (
    ForceUnit,
    PressureUnit,
    TemperatureUnit,
    TorqueUnit,
    read_force,
    read_pressure,
    read_temperature,
    read_torque,
    torque_in,
)


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


PINT_TORQUES = {
    TorqueUnit.NM: "newton * meter",
    TorqueUnit.LBF_FT: "force_pound * foot",
    TorqueUnit.LBF_IN: "force_pound * inch",
    TorqueUnit.KGF_M: "force_kilogram * meter",
}
PINT_FORCES = {
    ForceUnit.N: "newton",
    ForceUnit.KN: "kilonewton",
    ForceUnit.LBF: "force_pound",
    ForceUnit.KGF: "force_kilogram",
    ForceUnit.TONF_UK: "2240 * force_pound",
}
PINT_PRESSURES = {
    PressureUnit.MPA: "megapascal",
    PressureUnit.PSI: "force_pound / inch ** 2",
    PressureUnit.KSI: "1000 * force_pound / inch ** 2",
    PressureUnit.TONF_IN2: "2240 * force_pound / inch ** 2",
    PressureUnit.BAR: "bar",
}


@pytest.mark.parametrize("unit", TorqueUnit)
def test_torque_agrees_with_pint(registry: pint.UnitRegistry[float], unit: TorqueUnit) -> None:
    expected = (75 * registry.parse_expression(PINT_TORQUES[unit])).to("newton * meter").magnitude
    assert read_torque("75", default_unit=unit).torque_nm == pytest.approx(expected, rel=1e-12)
    assert torque_in(expected, unit) == pytest.approx(75, rel=1e-12)


@pytest.mark.parametrize("unit", ForceUnit)
def test_force_agrees_with_pint(registry: pint.UnitRegistry[float], unit: ForceUnit) -> None:
    expected = (75 * registry.parse_expression(PINT_FORCES[unit])).to("newton").magnitude
    assert read_force("75", default_unit=unit).force_n == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", PressureUnit)
def test_pressure_agrees_with_pint(registry: pint.UnitRegistry[float], unit: PressureUnit) -> None:
    expected = (75 * registry.parse_expression(PINT_PRESSURES[unit])).to("megapascal").magnitude
    assert read_pressure("75", default_unit=unit).pressure_mpa == pytest.approx(expected, rel=1e-12)


def test_temperature_agrees_with_pint(registry: pint.UnitRegistry[float]) -> None:
    expected = registry.Quantity(375, "degF").to("degC").magnitude
    assert read_temperature("375 F", default_unit=None).temperature_c == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("25 lbf ft", TorqueUnit.LBF_FT),
        ("25 ft-lb", TorqueUnit.LBF_FT),
        ("25 lb.ft", TorqueUnit.LBF_FT),
        ("25 ft lbs", TorqueUnit.LBF_FT),
        ("twenty five foot pounds", TorqueUnit.LBF_FT),
        ("25 in-lb", TorqueUnit.LBF_IN),
        ("25 Nm", TorqueUnit.NM),
        ("25 N·m", TorqueUnit.NM),
        ("25 kgf m", TorqueUnit.KGF_M),
        ("25 mkg", TorqueUnit.KGF_M),
    ],
)
def test_a_torque_is_read_in_its_spellings(text: str, unit: TorqueUnit) -> None:
    torque = read_torque(text, default_unit=None)
    assert torque.unit is unit
    assert torque_in(torque.torque_nm, unit) == pytest.approx(25)
    assert torque.typed == text


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("45 tonf/in2", PressureUnit.TONF_IN2),
        ("45 tons per square inch", PressureUnit.TONF_IN2),
        ("45 tsi", PressureUnit.TONF_IN2),
        ("45 lb/sq in", PressureUnit.PSI),
        ("45 p.s.i.", PressureUnit.PSI),
        ("45 ksi", PressureUnit.KSI),
        ("45 N/mm²", PressureUnit.MPA),
        ("45,0 bar", PressureUnit.BAR),
    ],
)
def test_a_pressure_is_read_in_its_spellings(text: str, unit: PressureUnit) -> None:
    assert read_pressure(text, default_unit=None).unit is unit


def test_a_temperature_may_be_below_nought() -> None:
    assert read_temperature("-5 °C", default_unit=None).temperature_c == -5
    assert read_temperature("minus 40 F", default_unit=None).temperature_c == pytest.approx(-40)
    assert read_temperature("190 deg C", default_unit=None).unit is TemperatureUnit.CELSIUS


def test_what_cannot_be_read_says_what_to_do() -> None:
    with pytest.raises(
        InvalidInput, match=r"torque needs a torque such as 25 lbf ft.*Write the unit: N m, lbf ft"
    ):
        read_torque("25", default_unit=None)
    with pytest.raises(InvalidInput, match=r"torque needs a torque.*Give one number in one unit"):
        read_torque("25 lbf ft 34 N m", default_unit=None)
    with pytest.raises(InvalidInput, match=r"force needs a force.*Type a number and its unit"):
        read_force("some", default_unit=ForceUnit.N)
    with pytest.raises(InvalidInput, match=r"pressure needs a pressure.*'60 furlongs' came. Write the unit"):
        read_pressure("60 furlongs", default_unit=PressureUnit.PSI)
    with pytest.raises(InvalidInput, match=r"torque needs a torque.*cannot be less than nothing"):
        read_torque("-25 Nm", default_unit=None)
    with pytest.raises(InvalidInput, match=r"temperature needs more than absolute zero"):
        read_temperature("-500 F", default_unit=None)
    with pytest.raises(InvalidInput, match=r"torque needs a finite number"):
        torque_in(float("nan"), TorqueUnit.NM)


def answer(text: str) -> str:
    """Read text as every quantity; give back what was read, or what to do."""
    try:
        torque = read_torque(text, default_unit=TorqueUnit.NM)
        pressure = read_pressure(text, default_unit=None)
        temperature = read_temperature(text, default_unit=TemperatureUnit.CELSIUS)
    except InvalidInput as refused:
        return refused.remedy
    return f"{torque} {pressure} {temperature}"


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused_with_what_to_do(text: str) -> None:
    assert answer(text)
