"""A figure as somebody typed it, beside the value it means in the unit in which it is kept."""

from __future__ import annotations

import re
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.typed_values import read_value
from runningfit.core.units import read_rate


@dataclass(frozen=True, slots=True)
class TypedNumber:
    """A value [mm, ml, g, N, or N/mm of a rate], and what was typed, with its unit."""

    value: float
    typed: str


def typed_number(
    name: str, text: str, *, unit: str, kind: FeatureKind = FeatureKind.GAP
) -> TypedNumber | None:
    """Read a figure that may be left out.

    Parameters
    ----------
    name : str
        What it is called where it is typed.
    text : str
        As typed; blank is not known.
    unit : str
        The unit of a bare number. It is kept beside the number, so that a change of the shop's unit later
        does not change the size.
    kind : FeatureKind
        What it is a size of; by default a length that may be nought.

    Raises
    ------
    InvalidInput
        It cannot be read; named as the field is.
    """
    written = " ".join(text.split())
    if not written:
        return None
    try:
        found = read_value(written, kind=kind, unit=unit)
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=written, remedy=error.remedy) from error
    bare = not any(sign.isalpha() or sign in "\"'′″" for sign in written)
    return TypedNumber(found.value, f"{written} {unit}" if bare else written)


def typed_rate(name: str, text: str) -> TypedNumber | None:
    """Read the rate of a spring [N/mm] that may be left out.

    Parameters
    ----------
    name : str
        What it is called where it is typed.
    text : str
        As typed, with its unit; blank is not known.

    Raises
    ------
    InvalidInput
        It cannot be read; named as the field is.
    """
    written = " ".join(text.split())
    if not written:
        return None
    try:
        return TypedNumber(read_rate(written).rate_n_per_mm, written)
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=written, remedy=error.remedy) from error


def typed_list(name: str, text: str, *, unit: str = "") -> tuple[float, ...]:
    """Read a row of numbers, such as depths: 10, 60, 110.

    Parameters
    ----------
    name : str
        What they are called where they are typed.
    text : str
        Numbers with commas and spaces, semicolons or spaces between.
    unit : str
        mm or in for lengths, each of which may name its own; empty for angles.

    Returns
    -------
    tuple of float
        In mm, or as they are; empty where nothing was typed.

    Raises
    ------
    InvalidInput
        One is no number, or a lone comma may stand between two numbers or inside one.
    """
    written = " ".join(text.split())
    if not written:
        return ()
    if written.count(",") == 1 and not re.search(r"[;\s]", written):
        raise InvalidInput(
            name, needs="a space or a semicolon between numbers", came=written,
            remedy="A lone comma may also be a decimal one.",
        )  # fmt: skip
    if ";" in written:
        parts = written.split(";")
    elif re.search(r",\s", written):
        parts = re.split(r",\s+", written)
    else:
        parts = written.split("," if written.count(",") > 1 else None)
    return tuple(_one(name, part.strip(), unit) for part in parts if part.strip())


def _one(name: str, text: str, unit: str) -> float:
    if unit:
        found = typed_number(name, text, unit=unit)
        return round(found.value, 6) if found else 0.0
    try:
        return float(text.removesuffix("°").strip().replace(",", "."))
    except ValueError as error:
        raise InvalidInput(name, needs="numbers, such as 0, 90", came=text) from error
