"""What really lies on the mat of a drawn photo, read from the file beside it, in this project's words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.items import Look
from runningfit.core.pieces.designations import read_thread
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread, all_threads

# What each kind of the truth is here; a hex bolt threaded to its head may be called a setscrew as well.
KINDS: Mapping[str, Kind] = {
    "hex_bolt": Kind.HEX_BOLT,
    "stud": Kind.STUD,
    "hex_nut": Kind.NUT,
    "acorn_nut": Kind.DOMED_NUT,
    "flat_washer": Kind.PLAIN_WASHER,
    "lock_washer": Kind.SPRING_WASHER,
    "spacer": Kind.SPACER,
    "set_screw_grub": Kind.GRUB_SCREW,
    "pan_head_screw": Kind.SLOTTED_SCREW,
    "cheese_head_screw": Kind.SLOTTED_SCREW,
}
_REMEDY = "Give the truth file that was made with the photo."


@dataclass(frozen=True, slots=True)
class TruePiece:
    """A piece as it was drawn.

    Parameters
    ----------
    number : int
        Its number in the truth file.
    drawn_as : str
        Its kind in the words of the truth file.
    kinds : frozenset of Kind
        The kinds that are right for it.
    look : Look
        Its finish.
    threads : tuple of Thread
        Its thread; both of a stud with two.
    mat_xy_mm : tuple of float
        Its middle [mm of the mat as designed].
    footprint_mm : tuple of tuple of float
        What it covers, seen from straight above [mm of the mat as designed].
    length_mm, major_mm, head_across_flats_mm, outside_mm, inside_mm, thickness_mm : float or None
        Its sizes; of the major diameter that of the crests as drawn, where the file says it.
    nominal_major_mm : float or None
        The major diameter by name.
    pitches_mm : tuple of float
        The pitch of its thread; both of a stud with two.
    """

    number: int
    drawn_as: str
    kinds: frozenset[Kind]
    look: Look
    threads: tuple[Thread, ...]
    mat_xy_mm: tuple[float, float]
    footprint_mm: tuple[tuple[float, float], ...]
    length_mm: float | None
    major_mm: float | None
    nominal_major_mm: float | None
    pitches_mm: tuple[float, ...]
    head_across_flats_mm: float | None
    outside_mm: float | None
    inside_mm: float | None
    thickness_mm: float | None

    @property
    def kind(self) -> Kind:
        """Its kind."""
        return KINDS[self.drawn_as]

    @property
    def extent_mm(self) -> float:
        """The longest side of what it covers, along the mat [mm]."""
        if not self.footprint_mm:
            return max(self.length_mm or 0.0, self.outside_mm or 0.0, self.head_across_flats_mm or 0.0)
        across, down = zip(*self.footprint_mm, strict=True)
        return float(max(max(across) - min(across), max(down) - min(down)))


@dataclass(frozen=True, slots=True)
class Truth:
    """A drawn photo, and what lies on its mat."""

    image: str
    pieces: tuple[TruePiece, ...]


@cache
def thread_named(designation: str) -> Thread | None:
    """Find the standard thread of a designation.

    Parameters
    ----------
    designation : str
        As somebody writes it: `#10-32 UNF`, `M6x1`.

    Returns
    -------
    Thread or None
        None where it names none, or more than one.
    """
    try:
        candidates = read_thread(designation).candidates
    except InvalidInput:
        return None
    if len(candidates) != 1:
        return None
    return next((one for one in all_threads() if one.designation == candidates[0]), None)


def read_truth(text: str) -> Truth:
    """Read the truth of a drawn photo from JSON.

    Parameters
    ----------
    text : str
        An object with `image` and `items`; each item with kind, finish, `mat_xy_mm` and its sizes, those
        that it has not being null or missing. The later form, with `major_actual_mm`, `thread2` and
        `pitch2_mm`, is read as well.

    Raises
    ------
    InvalidInput
        Something is missing or cannot be; the message names the item and the value.
    """
    try:
        record = json.loads(text)
    except ValueError as error:
        raise InvalidInput("truth", needs="JSON", came="text that is none", remedy=_REMEDY) from error
    rows = record.get("items") if isinstance(record, dict) else None
    if not isinstance(rows, list):
        raise InvalidInput("truth", needs="an object with a list of items", came="other JSON", remedy=_REMEDY)
    pieces = tuple(_piece(row, place) for place, row in enumerate(rows))
    numbers = [one.number for one in pieces]
    if len(set(numbers)) < len(numbers):
        raise InvalidInput("id of the truth's items", needs="each number once", came=sorted(numbers))
    return Truth(str(record.get("image", "")), pieces)


def _piece(row: object, place: int) -> TruePiece:
    if not isinstance(row, dict):
        raise _wrong("an item", place, "an object", row)
    drawn_as, finish = str(row.get("kind")), str(row.get("finish"))
    if drawn_as not in KINDS:
        raise _wrong("kind", place, f"one of {', '.join(KINDS)}", drawn_as)
    if finish not in set(Look):
        raise _wrong("finish", place, f"one of {', '.join(Look)}", finish)
    kind = KINDS[drawn_as]
    kinds = {kind, Kind.SETSCREW} if kind is Kind.HEX_BOLT and row.get("fully_threaded") else {kind}
    major, actual = _size(row, "major_mm", place), _size(row, "major_actual_mm", place)
    pitches = {_size(row, key, place) for key in ("pitch_mm", "pitch2_mm")} - {None}
    return TruePiece(
        _number(row, place),
        drawn_as,
        frozenset(kinds),
        Look(finish),
        _threads(row, place),
        _point(row.get("mat_xy_mm"), "mat_xy_mm", place),
        tuple(_point(one, "footprint_mm", place) for one in row.get("footprint_mm") or ()),
        _size(row, "length_mm", place),
        actual if actual is not None else major,
        major,
        tuple(sorted(one for one in pitches if one is not None)),
        _size(row, "head_across_flats_mm", place),
        _size(row, "od_mm", place),
        _size(row, "id_mm", place),
        _size(row, "thickness_mm", place),
    )


def _wrong(key: str, place: int, needs: str, came: object) -> InvalidInput:
    said = "nothing" if came is None else str(came)[:80]
    return InvalidInput(f"{key} of the truth's item {place}", needs=needs, came=said, remedy=_REMEDY)


def _number(row: Mapping[str, Any], place: int) -> int:
    number = row.get("id", place)
    if not isinstance(number, int):
        raise _wrong("id", place, "a whole number", number)
    return number


def _size(row: Mapping[str, Any], key: str, place: int) -> float | None:
    value = row.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value) or value <= 0:
        raise _wrong(key, place, "a number above 0, or null", value)
    return float(value)


def _point(value: object, key: str, place: int) -> tuple[float, float]:
    if (
        not isinstance(value, list)
        or len(value) != 2
        or not all(isinstance(one, int | float) and isfinite(one) for one in value)
    ):
        raise _wrong(key, place, "two numbers, x and y", value)
    return float(value[0]), float(value[1])


def _threads(row: Mapping[str, Any], place: int) -> tuple[Thread, ...]:
    found: list[Thread] = []
    for key in ("thread", "thread2"):
        said = row.get(key)
        if said is None:
            continue
        thread = thread_named(str(said))
        if thread is None:
            raise _wrong(key, place, "the designation of one standard thread, or null", said)
        if thread not in found:
            found.append(thread)
    return tuple(found)
