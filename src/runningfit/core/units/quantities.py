"""Torque, force, pressure and temperature as they are written on a gauge, a wrench or a manual's page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from typing import TypeVar

from runningfit.core.errors import InvalidInput
from runningfit.core.units.spoken import in_figures

# All exact. Pound: Weights and Measures Act 1985 (UK) and NIST SP 811:2008, 0.453 592 37 kg; standard gravity
# 9.806 65 m/s2: third CGPM 1901, BIPM SI brochure; inch 25.4 mm; British ton 2240 lb; bar 0.1 MPa.
_POUND_KG = 0.45359237
_GRAVITY = 9.80665
NEWTON_PER_LBF = _POUND_KG * _GRAVITY
NEWTON_PER_KGF = _GRAVITY
NEWTON_PER_TONF_UK = 2240 * NEWTON_PER_LBF
NM_PER_LBF_FT = NEWTON_PER_LBF * 0.3048
NM_PER_LBF_IN = NEWTON_PER_LBF * 0.0254
NM_PER_KGF_M = NEWTON_PER_KGF
MPA_PER_PSI = NEWTON_PER_LBF / 25.4**2
MPA_PER_TONF_IN2 = 2240 * MPA_PER_PSI
MPA_PER_BAR = 0.1
_ABSOLUTE_ZERO_C = -273.15


class TorqueUnit(StrEnum):
    """The units a torque is given in."""

    NM = "N m"
    LBF_FT = "lbf ft"
    LBF_IN = "lbf in"
    KGF_M = "kgf m"


class ForceUnit(StrEnum):
    """The units a force is given in."""

    N = "N"
    KN = "kN"
    LBF = "lbf"
    KGF = "kgf"
    TONF_UK = "tonf"


class PressureUnit(StrEnum):
    """The units a pressure or a stress is given in."""

    MPA = "MPa"
    PSI = "psi"
    KSI = "ksi"
    TONF_IN2 = "tonf/in2"
    BAR = "bar"


class TemperatureUnit(StrEnum):
    """The units a temperature is given in."""

    CELSIUS = "°C"
    FAHRENHEIT = "°F"


@dataclass(frozen=True, slots=True)
class Torque:
    """A torque [N m], what was typed and the unit it was meant in."""

    torque_nm: float
    typed: str
    unit: TorqueUnit


@dataclass(frozen=True, slots=True)
class Force:
    """A force [N], what was typed and the unit it was meant in."""

    force_n: float
    typed: str
    unit: ForceUnit


@dataclass(frozen=True, slots=True)
class Pressure:
    """A pressure or stress [MPa], what was typed and the unit it was meant in."""

    pressure_mpa: float
    typed: str
    unit: PressureUnit


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature [°C], what was typed and the unit it was meant in."""

    temperature_c: float
    typed: str
    unit: TemperatureUnit


_NM_PER: Mapping[TorqueUnit, float] = {
    TorqueUnit.NM: 1.0,
    TorqueUnit.LBF_FT: NM_PER_LBF_FT,
    TorqueUnit.LBF_IN: NM_PER_LBF_IN,
    TorqueUnit.KGF_M: NM_PER_KGF_M,
}
_N_PER: Mapping[ForceUnit, float] = {
    ForceUnit.N: 1.0,
    ForceUnit.KN: 1000.0,
    ForceUnit.LBF: NEWTON_PER_LBF,
    ForceUnit.KGF: NEWTON_PER_KGF,
    ForceUnit.TONF_UK: NEWTON_PER_TONF_UK,
}
_MPA_PER: Mapping[PressureUnit, float] = {
    PressureUnit.MPA: 1.0,
    PressureUnit.PSI: MPA_PER_PSI,
    PressureUnit.KSI: 1000 * MPA_PER_PSI,
    PressureUnit.TONF_IN2: MPA_PER_TONF_IN2,
    PressureUnit.BAR: MPA_PER_BAR,
}

# Spellings in small letters without spaces, points, hyphens and the like.
_TORQUE_SPELLINGS: Mapping[str, TorqueUnit] = {
    **dict.fromkeys(("nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters"), TorqueUnit.NM),
    **dict.fromkeys(
        ("lbfft", "lbft", "lbsft", "ftlb", "ftlbs", "ftlbf", "poundsfeet", "poundfeet", "poundsfoot",
         "poundfoot", "footpounds", "footpound", "lbffoot"),
        TorqueUnit.LBF_FT,
    ),
    **dict.fromkeys(
        ("lbfin", "lbin", "lbsin", "inlb", "inlbs", "inlbf", "poundsinch", "poundinches", "inchpounds",
         "inchpound"),
        TorqueUnit.LBF_IN,
    ),
    **dict.fromkeys(("kgfm", "kgm", "mkg", "mkgf", "mkp", "kpm"), TorqueUnit.KGF_M),
}  # fmt: skip
_FORCE_SPELLINGS: Mapping[str, ForceUnit] = {
    **dict.fromkeys(("n", "newton", "newtons"), ForceUnit.N),
    **dict.fromkeys(("kn", "kilonewton", "kilonewtons"), ForceUnit.KN),
    **dict.fromkeys(("lbf", "lb", "lbs", "pound", "pounds"), ForceUnit.LBF),
    **dict.fromkeys(("kgf", "kg", "kp"), ForceUnit.KGF),
    **dict.fromkeys(("tonf", "ton", "tons", "tonfuk"), ForceUnit.TONF_UK),
}
_PRESSURE_SPELLINGS: Mapping[str, PressureUnit] = {
    **dict.fromkeys(("mpa", "n/mm2"), PressureUnit.MPA),
    **dict.fromkeys(
        ("psi", "lbf/in2", "lb/in2", "lb/sqin", "lbs/sqin", "lbf/sqin", "poundspersquareinch"),
        PressureUnit.PSI,
    ),
    **dict.fromkeys(("ksi", "kpsi"), PressureUnit.KSI),
    **dict.fromkeys(
        ("tonf/in2", "ton/in2", "tons/in2", "tsi", "ton/sqin", "tons/sqin", "tonf/sqin", "tonspersquareinch"),
        PressureUnit.TONF_IN2,
    ),
    **dict.fromkeys(("bar", "bars"), PressureUnit.BAR),
}
_TEMPERATURE_SPELLINGS: Mapping[str, TemperatureUnit] = {
    **dict.fromkeys(
        ("c", "°c", "degc", "degreesc", "celsius", "degreescelsius", "centigrade", "degreescentigrade"),
        TemperatureUnit.CELSIUS,
    ),
    **dict.fromkeys(
        ("f", "°f", "degf", "degreesf", "fahrenheit", "degreesfahrenheit"), TemperatureUnit.FAHRENHEIT
    ),
}

_QUANTITY = re.compile(
    r"(?P<sign>[-+]|minus\s+)?\s*(?P<value>[0-9]{1,9}(?:[.,][0-9]{1,8})?|[.,][0-9]{1,8})\s*(?P<unit>.*)"
)
_FILLING = re.compile(r"[\s.\-·⋅•*^]")
_LONGEST_TEXT = 60
_Unit = TypeVar("_Unit", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class _Ask:
    """How one kind of quantity is named, shown and limited."""

    name: str
    example: str
    signed: bool = False


def _read(
    text: str, spellings: Mapping[str, _Unit], default_unit: _Unit | None, ask: _Ask
) -> tuple[float, _Unit]:
    """Read a number and its unit."""
    needs = f"a {ask.name} such as {ask.example}"
    came = text if len(text) <= _LONGEST_TEXT else text[:20] + "…"
    found = _QUANTITY.fullmatch(in_figures(text).strip().lower()) if len(text) <= _LONGEST_TEXT else None
    if found is None:
        raise InvalidInput(ask.name, needs=needs, came=came, remedy="Type a number and its unit.")
    spelling = _FILLING.sub("", found["unit"]).replace("²", "2")
    unit = spellings.get(spelling) if spelling else default_unit
    if unit is None and any(letter.isdigit() for letter in spelling.replace("2", "")):
        raise InvalidInput(ask.name, needs=needs, came=came, remedy="Give one number in one unit.")
    if unit is None:
        known = ", ".join(dict.fromkeys(str(known) for known in spellings.values()))
        raise InvalidInput(ask.name, needs=needs, came=came, remedy=f"Write the unit: {known}.")
    value = float(found["value"].replace(",", "."))
    if found["sign"] and found["sign"] != "+":
        if not ask.signed:
            raise InvalidInput(ask.name, needs=needs, came=came, remedy="It cannot be less than nothing.")
        value = -value
    return value, unit


def read_torque(text: str, *, default_unit: TorqueUnit | None) -> Torque:
    """Read a torque: `25 lbf ft`, `25 ft-lb`, `34 Nm`, `3.5 kgf m`, `25` with a default unit.

    Parameters
    ----------
    text : str
        What was typed or said.
    default_unit : TorqueUnit or None
        The unit of a number without one.

    Returns
    -------
    Torque
        The torque [N m].

    Raises
    ------
    InvalidInput
        It is no torque, has no unit, or is negative.
    """
    value, unit = _read(text, _TORQUE_SPELLINGS, default_unit, _Ask("torque", "25 lbf ft or 34 N m"))
    return Torque(value * _NM_PER[unit], text, unit)


def read_force(text: str, *, default_unit: ForceUnit | None) -> Force:
    """Read a force: `12 kN`, `1500 lbf`, `2 tonf` (of 2240 lbf), `80 kgf`.

    Parameters
    ----------
    text : str
        What was typed or said.
    default_unit : ForceUnit or None
        The unit of a number without one.

    Returns
    -------
    Force
        The force [N].

    Raises
    ------
    InvalidInput
        It is no force, has no unit, or is negative.
    """
    value, unit = _read(text, _FORCE_SPELLINGS, default_unit, _Ask("force", "12 kN or 1500 lbf"))
    return Force(value * _N_PER[unit], text, unit)


def read_pressure(text: str, *, default_unit: PressureUnit | None) -> Pressure:
    """Read a pressure or a stress: `60 psi`, `4 bar`, `45 tonf/in2`, `120 ksi`, `800 MPa`.

    Parameters
    ----------
    text : str
        What was typed or said.
    default_unit : PressureUnit or None
        The unit of a number without one.

    Returns
    -------
    Pressure
        The pressure or stress [MPa].

    Raises
    ------
    InvalidInput
        It is no pressure, has no unit, or is negative.
    """
    value, unit = _read(text, _PRESSURE_SPELLINGS, default_unit, _Ask("pressure", "60 psi or 45 tonf/in2"))
    return Pressure(value * _MPA_PER[unit], text, unit)


def read_temperature(text: str, *, default_unit: TemperatureUnit | None) -> Temperature:
    """Read a temperature: `190 C`, `-5 °C`, `375 F`, `20` with a default unit.

    Parameters
    ----------
    text : str
        What was typed or said.
    default_unit : TemperatureUnit or None
        The unit of a number without one.

    Returns
    -------
    Temperature
        The temperature [°C].

    Raises
    ------
    InvalidInput
        It is no temperature, has no unit, or is below absolute zero.

    Notes
    -----
    t/°C = (t/°F - 32) / 1.8 exactly (NIST SP 811:2008, appendix B.8).
    """
    ask = _Ask("temperature", "190 °C or 375 °F", signed=True)
    value, unit = _read(text, _TEMPERATURE_SPELLINGS, default_unit, ask)
    celsius = value if unit is TemperatureUnit.CELSIUS else (value - 32) / 1.8
    if celsius < _ABSOLUTE_ZERO_C:
        raise InvalidInput(
            "temperature", needs="more than absolute zero (-273.15 °C)", came=text, remedy="Check the unit."
        )
    return Temperature(celsius, text, unit)


def torque_in(torque_nm: float, unit: TorqueUnit) -> float:
    """Express a torque in another unit.

    Parameters
    ----------
    torque_nm : float
        Torque [N m].
    unit : TorqueUnit
        The unit wanted.

    Returns
    -------
    float
        The torque in that unit.

    Raises
    ------
    InvalidInput
        The torque is not a finite number.
    """
    if not isfinite(torque_nm):
        raise InvalidInput("torque", needs="a finite number [N m]", came=torque_nm, remedy="Type it again.")
    return torque_nm / _NM_PER[unit]
