"""Sheets of readings: diameters between two points, an indicator over a turn, loads of a spring."""

from __future__ import annotations

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.columns import read_columns
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.measurements.slips import slip_of
from runningfit.core.measurements.springs import SpringReading


def read_diameters(text: str, *, nominal_mm: float | None = None) -> dict[str, tuple[Diameter, ...]]:
    """Read two-point diameters.

    Parameters
    ----------
    text : str
        Columns `depth_mm,angle_deg,diameter_mm`, and `bore` or `journal` where there are several.
    nominal_mm : float or None
        What the diameters are about [mm], where told; it shows a whole sheet in another unit.

    Returns
    -------
    dict of str to tuple of Diameter
        The diameters by bore or journal, in the order of the sheet; under an empty name without one.

    Raises
    ------
    InvalidInput
        A heading that is not understood, a cell that is empty or no number, or a diameter that its size shows
        to be in another unit than the nominal size or to have a slipped decimal.
    """
    sheet = read_columns(text, (("depth", "angle", "diameter"),))
    found: dict[str, list[Diameter]] = {}
    columns = (sheet.columns[name] for name in ("depth", "angle", "diameter"))
    for label, line, *figures in zip(sheet.labels, sheet.lines, *columns, strict=True):
        one = Diameter(*figures)
        slip = None if nominal_mm is None else slip_of(one.diameter_mm, nominal_mm)
        if slip is not None:
            raise InvalidInput(
                "sheet", needs=f"diameters about the nominal {nominal_mm:g} mm",
                came=f"{one.diameter_mm:.5g} mm in line {line}",
                remedy=f"Was it {slip}? Type it again, or say its unit in the heading, as in diameter_in.",
            )  # fmt: skip
        found.setdefault(label, []).append(one)
    return {label: tuple(read) for label, read in found.items()}


def read_turn(text: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Read what an indicator showed over a turn.

    Parameters
    ----------
    text : str
        Columns `angle_deg,reading_mm`; an indicator in thou is `reading_thou`.

    Returns
    -------
    tuple of tuple of float
        The angles [°] and the readings [mm].

    Raises
    ------
    InvalidInput
        A heading that is not understood, or a cell that is empty or no number.
    """
    sheet = read_columns(text, (("angle", "reading"),))
    return tuple(sheet.columns["angle"]), tuple(sheet.columns["reading"])


def read_spring(text: str) -> tuple[SpringReading, ...]:
    """Read the loads of a spring at lengths.

    Parameters
    ----------
    text : str
        Columns `length_mm,load_n`; others are `length_in`, `load_lbf`, `load_kgf`.

    Returns
    -------
    tuple of SpringReading
        The readings.

    Raises
    ------
    InvalidInput
        A heading that is not understood, or a cell that is empty or no number.
    """
    sheet = read_columns(text, (("length", "load"),))
    pairs = zip(sheet.columns["length"], sheet.columns["load"], strict=True)
    return tuple(SpringReading(length, load) for length, load in pairs)
