"""Single values as they are typed of a joint, read into fixed units; refused by the name of their field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.preload import check_scatter
from runningfit.core.units import LengthQuestion, LengthUnit, read_length, read_offset, read_torque
from runningfit.workshop.joints.typed_units import bare_torque

# Standard uncertainty of a hole's diameter where none was typed: a caliper (common practice, no source).
_U_CALIPER_MM = 0.02
PLUS_MINUS = re.compile(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)")
_NUMBER = re.compile(r"[±]?\s*(?P<number>[0-9]*[.,]?[0-9]+)\s*(?P<percent>%|per ?cent)?")
# What is measured of a used piece against a new one, and what is asked where less than nothing came.
DIFFERENCES = {
    "stretch": "How much longer than new?",
    "stretch_most": "How much longer may it be?",
    "neck": "How much thinner at its thinnest place?",
    "neck_most": "How much thinner may it be?",
    "rust": "How much thinner has rust left it?",
}


@contextmanager
def in_field(name: str, came: str) -> Iterator[None]:
    """Name what is refused as its field is named."""
    try:
        yield
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=came, remedy=error.remedy) from error


def read_difference(name: str, text: str, unit: LengthUnit) -> float | None:
    """Read by how much a piece is longer or thinner than it was new, or may be."""
    with in_field(name, text):
        if not text.strip():
            return None
        value = read_offset(text, default_unit=unit)
        if value < 0:
            raise InvalidInput(name, needs="nothing or more", came=text, remedy=DIFFERENCES[name])
        return value


def read_torque_nm(name: str, text: str, unit: LengthUnit) -> float | None:
    with in_field(name, text):
        if not text.strip():
            return None
        return more_than_nothing(read_torque(text, default_unit=bare_torque(unit)).torque_nm, text)


def read_length_mm(name: str, text: str, unit: LengthUnit) -> float | None:
    with in_field(name, text):
        if not text.strip():
            return None
        # Nothing is a thickness too: no chamfer, no washer.
        if re.fullmatch(r"0*[.,]?0+\s*(?:mm|in|inch|\")?|none", text.strip().lower()):
            return 0.0
        reading = read_length(text, default_unit=unit)
        if isinstance(reading, LengthQuestion):
            readings = " or ".join(one.said for one in reading.readings)
            raise InvalidInput(
                name, needs="one length", came=text, remedy=f"It can be {readings}: say which."
            )
        return reading.mm


def kept_diameter(name: str, text: str, unit: LengthUnit) -> str:
    """Read a diameter, with or without its uncertainty, into the form in which it is kept."""
    if not text.strip():
        return ""
    found = PLUS_MINUS.fullmatch(text.strip())
    mm = read_length_mm(name, found[1] if found else text, unit) or 0.0
    spread_mm = (read_length_mm(name, found[2], unit) or 0.0) if found else 2 * _U_CALIPER_MM
    if not 0 < spread_mm / 2 < mm:
        raise InvalidInput(
            name,
            needs="a diameter, and behind ± more than nothing and less than it",
            came=text,
            remedy="A caliper has about ± 0.04 mm (common practice, no source).",
        )
    return f"{mm:.4f} mm ± {spread_mm:.4f} mm"


def read_number(name: str, text: str, needs: str) -> float | None:
    if not text.strip():
        return None
    found = _NUMBER.fullmatch(text.strip().lower())
    if found is None or found["percent"]:
        raise InvalidInput(name, needs=needs, came=text, remedy="Or leave it out.")
    return float(found["number"].replace(",", "."))


def read_scatter(text: str) -> float | None:
    if not text.strip():
        return None
    found = _NUMBER.fullmatch(text.strip().lower())
    if found is None:
        raise InvalidInput("scatter", needs="a share such as 0.25 or 25 %", came=text)
    value = float(found["number"].replace(",", ".")) / (100 if found["percent"] else 1)
    with in_field("scatter", text):
        return check_scatter(value)


def more_than_nothing(value: float, text: str) -> float:
    if value <= 0:
        raise InvalidInput("value", needs="more than nothing", came=text, remedy="Or leave it out.")
    return value
