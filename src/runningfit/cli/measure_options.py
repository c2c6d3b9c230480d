"""What the commands about readings are told: files, and figures with or without a unit."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

from runningfit.core.errors import InvalidInput


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
