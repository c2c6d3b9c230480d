"""What the commands about readings are told: files, and figures with or without a unit."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.verdicts import Verdict


def text_of(file: Path) -> str:
    """The text of a file, as a spreadsheet or an editor saved it."""
    try:
        return file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "It is not UTF-8"
        raise InvalidInput(
            "file", needs="a text that can be read", came=str(file), remedy=f"{reason}."
        ) from error


def figure(text: str | None, name: str) -> tuple[float, bool] | None:
    """A bare number, or a length in millimetres; and whether it had a unit."""
    if text is None:
        return None
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return _length(text, name), True
    if not isfinite(value):
        raise InvalidInput(name, needs="a finite number", came=text)
    return value, False


def _length(text: str, name: str) -> float:
    from runningfit.cli.joint_options import millimetres

    found = millimetres(text, name)
    if found is None:
        raise InvalidInput(name, needs="a number or a length", came=text)
    return found


def held_against(measured: Measured, limits: str | None, source: str) -> Verdict | None:
    """A figure held against the maker's limits such as `8.3..8.7`; none where none were told."""
    from runningfit.cli.spans import two_ends
    from runningfit.core.measurements.conformity.bounds import Bounds
    from runningfit.core.measurements.engine_figures.against_maker import MakersFigure, against_maker

    if limits is None:
        return None
    low, high = (_bare(end, limits) for end in two_ends(limits, "limits", "8.3..8.7"))
    return against_maker(measured, MakersFigure(Bounds(low, high), source))


def _bare(end: str | None, limits: str) -> float | None:
    try:
        return None if end is None else float(end.replace(",", "."))
    except ValueError as refused:
        raise InvalidInput("limits", needs="bare numbers such as 8.3..8.7", came=limits) from refused
