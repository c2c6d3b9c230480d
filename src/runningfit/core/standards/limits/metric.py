"""Limits of ISO metric threads by the tolerance tables of ISO 965-1:1998; the printed table governs.

The formulas behind the table are in the tests: they give it within a few per cent, but it was rounded to the
R 40 series and levelled by hand, so no tolerance is reckoned here that the table does not have.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.tables import rows
from runningfit.core.standards.threads import Thread

# The classes of ISO 965-1 that are met, the usual one first; of two grades the pitch diameter's comes first.
EXTERNAL = ("6g", "6h", "4h", "4h6h", "4g6g", "5h6h", "5h4h", "5g6g", "6e", "6f", "7g6g", "8g")
INTERNAL = ("6H", "5H", "4H", "7H", "4H5H", "5H6H", "6G", "7G", "8H")
# Up to this diameter 6h and 5H are usual (ISO 965-2, from memory).
_SMALL_TO_MM = 1.4
_SMALL_USUAL = ("6h", "5H")
_FOLDER = "iso_965_1_1998"
_SOURCE = "ISO 965-1:1998 tolerances on the basic diameters of ISO 724; before plating"
# Upper ends of the bands of diameter of the table [mm].
_BANDS = (1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0)


@dataclass(frozen=True, slots=True)
class _Tabled:
    """A tolerance or deviation without sign, and how sure it is."""

    mm: float
    status: str


@cache
def _table() -> Mapping[tuple[str, str, str, str], _Tabled]:
    """The printed values by symbol, grade or position, pitch, and upper end of the band of diameter."""
    return {
        (row["symbol"], row["grade"], row["pitch_mm"], row["up_to_mm"]): _Tabled(
            float(row["value_um"]) / 1000, row["status"]
        )
        for row in rows(_FOLDER)
    }


def _tabled(symbol: str, grade: str, thread: Thread) -> _Tabled | None:
    """Look up a tolerance, or a deviation by its position in small letters; none where the table has none."""
    if grade == "h":
        return _Tabled(0.0, "VERIFIED")
    band = next((f"{upper:g}" for upper in _BANDS if thread.major_mm <= upper), "")
    return _table().get((symbol, grade, f"{thread.pitch_mm:g}", band if symbol in {"Td2", "TD2"} else ""))


def _of_class(
    thread: Thread, thread_class: str, *, internal: bool
) -> tuple[_Tabled, _Tabled, _Tabled] | None:
    """Deviation, crest and flank tolerance of a class; none where the table lacks one of them."""
    grades = re.findall(r"([3-9])([a-hA-H])", thread_class)
    crest_symbol, flank_symbol = ("TD1", "TD2") if internal else ("Td", "Td2")
    shift = _tabled("es", grades[-1][1].lower(), thread)
    crest = _tabled(crest_symbol, grades[-1][0], thread)
    flank = _tabled(flank_symbol, grades[0][0], thread)
    if shift is None or crest is None or flank is None:
        return None
    return shift, crest, flank


def _status(parts: tuple[_Tabled, ...]) -> str:
    """How sure a limit is of which these are parts: from memory as soon as one of them is."""
    sure = all(part.status == "VERIFIED" for part in parts)
    return "VERIFIED tolerances" if sure else "MEMORY; tolerances as remembered from the table"


def _classes(thread: Thread, classes: tuple[str, ...], *, internal: bool) -> tuple[str, ...]:
    tabled = [one for one in classes if _of_class(thread, one, internal=internal)]
    if thread.major_mm <= _SMALL_TO_MM:
        tabled.sort(key=lambda one: one not in _SMALL_USUAL)
    return tuple(tabled)


def external_classes(thread: Thread) -> tuple[str, ...]:
    """The classes that a metric bolt can have.

    Parameters
    ----------
    thread : Thread
        A metric thread.

    Returns
    -------
    tuple of str
        Those whose tolerances are tabled for its size, the usual one first: 6g, but 6h up to M1.4.
    """
    return _classes(thread, EXTERNAL, internal=False)


def internal_classes(thread: Thread) -> tuple[str, ...]:
    """The classes that a metric nut or hole can have.

    Parameters
    ----------
    thread : Thread
        A metric thread.

    Returns
    -------
    tuple of str
        Those whose tolerances are tabled for its size, the usual one first: 6H, but 5H up to M1.4.
    """
    return _classes(thread, INTERNAL, internal=True)


def _needed(thread: Thread, thread_class: str, *, internal: bool) -> tuple[_Tabled, _Tabled, _Tabled]:
    found = _of_class(thread, thread_class, internal=internal)
    if found is None:
        raise InvalidInput(
            "class",
            needs=f"one whose tolerances are tabled for {thread.designation}",
            came=thread_class,
            remedy="Take 6g and 6H, or the grade next to it.",
        )
    return found


def external(thread: Thread, thread_class: str) -> ExternalLimits:
    """Limits of a metric bolt.

    Parameters
    ----------
    thread : Thread
        A metric thread.
    thread_class : str
        One of `external_classes`.

    Returns
    -------
    ExternalLimits
        The minor limits are those of the root, for reference.

    Raises
    ------
    InvalidInput
        The table lacks a tolerance of that class for its pitch or diameter.
    """
    shift, crest, flank = parts = _needed(thread, thread_class, internal=False)
    major_max = thread.major_mm - shift.mm
    pitch_max = thread.pitch_diameter_mm - shift.mm
    return ExternalLimits(
        thread_class=thread_class,
        major_max_mm=half_up(major_max, 3),
        major_min_mm=half_up(major_max - crest.mm, 3),
        pitch_diameter_max_mm=half_up(pitch_max, 3),
        pitch_diameter_min_mm=half_up(pitch_max - flank.mm, 3),
        minor_max_mm=half_up(thread.minor_internal_mm - shift.mm, 3),
        status=_status(parts),
        source=_SOURCE,
        minor_min_mm=half_up(pitch_max - flank.mm - 0.649519 * thread.pitch_mm, 3),
    )


def internal(thread: Thread, thread_class: str) -> InternalLimits:
    """Limits of a metric nut or hole.

    Parameters
    ----------
    thread : Thread
        A metric thread.
    thread_class : str
        One of `internal_classes`.

    Returns
    -------
    InternalLimits
        Before plating.

    Raises
    ------
    InvalidInput
        The table lacks a tolerance of that class for its pitch or diameter.
    """
    shift, crest, flank = parts = _needed(thread, thread_class, internal=True)
    pitch_min = thread.pitch_diameter_mm + shift.mm
    minor_min = thread.minor_internal_mm + shift.mm
    return InternalLimits(
        thread_class=thread_class,
        major_min_mm=half_up(thread.major_mm + shift.mm, 3),
        pitch_diameter_min_mm=half_up(pitch_min, 3),
        pitch_diameter_max_mm=half_up(pitch_min + flank.mm, 3),
        minor_min_mm=half_up(minor_min, 3),
        minor_max_mm=half_up(minor_min + crest.mm, 3),
        status=_status(parts),
        source=_SOURCE,
    )
