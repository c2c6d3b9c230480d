"""What is typed of a fit: spans such as 110 to 130 °C, tables of shells; kept as typed beside the value."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.shells import ShellGrade
from runningfit.core.units import ForceUnit, TemperatureUnit, read_force, read_temperature
from runningfit.workshop.measurements.typed import TypedNumber, typed_number

_BETWEEN = re.compile(r"\s+to\s+|\s*\.\.\s*|\s*–\s*", re.I)
_UNIT = re.compile(r"[^\d\s.,+-].*$")


@dataclass(frozen=True, slots=True)
class TypedSpan:
    """A least and a largest value, alike where one was typed, and what was typed."""

    low: float
    high: float
    typed: str


def typed_span(name: str, text: str, read: Callable[[str], float], *, unit: str = "") -> TypedSpan | None:
    """Read one value or two, such as 110 to 130 °C; blank is not known.

    Parameters
    ----------
    name : str
        What it is called where it is typed.
    text : str
        As typed; the unit of the second holds for the first too, where that has none.
    read : callable
        Reads one value, or raises InvalidInput.
    unit : str
        The unit of bare numbers, kept beside them.

    Raises
    ------
    InvalidInput
        It cannot be read, or the least stands last.
    """
    written = " ".join(text.split())
    if not written:
        return None
    parts = _BETWEEN.split(written)
    if len(parts) > 2:
        raise InvalidInput(name, needs="one value, or two with 'to' between", came=written)
    behind = _UNIT.search(parts[-1])
    if len(parts) == 2 and behind and not _UNIT.search(parts[0]):
        parts[0] += f" {behind[0]}"
    try:
        values = [read(part) for part in parts]
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=written, remedy=error.remedy) from error
    if values[0] > values[-1]:
        raise InvalidInput(name, needs="the least before the largest", came=written, remedy="Turn them.")
    return TypedSpan(values[0], values[-1], written if behind or not unit else f"{written} {unit}")


def celsius(text: str) -> float:
    """Read a temperature [°C]; a bare number is in °C."""
    return read_temperature(text, default_unit=TemperatureUnit.CELSIUS).temperature_c


def plain_number(text: str) -> float:
    """Read a number without a unit."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InvalidInput("number", needs="a number, such as 0.12", came=text) from None


def length_in(unit: str) -> Callable[[str], float]:
    """Return what reads a length [mm]; a bare number is in the unit."""

    def read(text: str) -> float:
        found = typed_number("length", text, unit=unit)
        if found is None:
            raise InvalidInput("length", needs="a length", came="nothing")
        return found.value

    return read


def typed_force(name: str, text: str) -> TypedNumber | None:
    """Read a force [N] that may be left out; a bare number is in newtons."""
    if not text.strip():
        return None
    try:
        return TypedNumber(read_force(text, default_unit=ForceUnit.N).force_n, text.strip())
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=text, remedy=error.remedy) from error


def typed_plain(name: str, text: str, unit: str) -> TypedNumber | None:
    """Read a number that may be left out and has but one unit, which may stand behind it."""
    written = " ".join(text.split())
    if not written:
        return None
    bare = written.removesuffix(unit).strip()
    try:
        return TypedNumber(plain_number(bare), written)
    except InvalidInput:
        raise InvalidInput(name, needs=f"a number in {unit}", came=written) from None


def typed_grades(name: str, text: str, *, unit: str) -> tuple[tuple[ShellGrade, ...], str]:
    """Read a table of shells: a line each with a name, the least and the largest thickness of one shell.

    Returns the grades, and the table as typed with the unit beside bare numbers.

    Raises
    ------
    InvalidInput
        A line cannot be read; named by its number.
    """
    found: list[ShellGrade] = []
    written: list[str] = []
    for number, line in enumerate(text.splitlines(), start=1):
        cells = [one.strip() for one in re.split(r"[;\t]|,\s+|\s{2,}|\s+to\s+", line.strip()) if one.strip()]
        if not cells:
            continue
        if len(cells) == 1:
            cells = line.split()
        if len(cells) not in (2, 3):
            raise InvalidInput(
                name, needs="a name and two thicknesses in each line, such as: red; 1.828 mm; 1.832 mm",
                came=f"line {number}: {line.strip()}",
            )  # fmt: skip
        try:
            sizes = [typed_number("thickness", one, unit=unit) for one in cells[1:]]
            known = [one for one in sizes if one is not None]
            found.append(ShellGrade(cells[0], known[0].value, known[-1].value))
            written.append("; ".join((cells[0], *(one.typed for one in known))))
        except InvalidInput as error:
            raise InvalidInput(
                name, needs=error.needs, came=f"line {number}: {line.strip()}", remedy=error.remedy
            ) from error
    names = [one.name for one in found]
    twice = next((one for one in names if names.count(one) > 1), None)
    if twice is not None:
        raise InvalidInput(name, needs="each name once", came=twice)
    return tuple(found), "\n".join(written)
