"""A mat to lay hardware on: its markers, grey patches and rulers in millimetres, written and read as JSON."""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import isfinite
from typing import Any

from runningfit.core.errors import InvalidInput

# Its dictionary, as OpenCV names it, and how many modules a marker has along its side, border included.
DICTIONARIES = {
    f"DICT_{bits}X{bits}_{count}": bits + 2 for bits in (4, 5, 6, 7) for count in (50, 100, 250, 1000)
} | {"DICT_APRILTAG_16h5": 6, "DICT_APRILTAG_25h9": 7, "DICT_APRILTAG_36h10": 8, "DICT_APRILTAG_36h11": 8}
_AXES = (
    "x right, y down on the printed side, from the upper left corner of the paper; millimetres as designed"
)
_REMEDY = "Give a mat file as `runningfit photo mat` writes it."
_LARGEST_MM = 2000.0
_MOST_MARKERS = 500


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of the mat [mm], x right and y down from the paper's upper left corner."""

    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the mat, along its sides [mm]."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    @property
    def middle(self) -> Spot:
        """The middle of the rectangle."""
        return Spot((self.left_mm + self.right_mm) / 2, (self.top_mm + self.bottom_mm) / 2)


@dataclass(frozen=True, slots=True)
class Marker:
    """A marker of the mat: its number in the dictionary, and its corners clockwise from the upper left."""

    number: int
    corners: tuple[Spot, Spot, Spot, Spot]

    @property
    def side_mm(self) -> float:
        """The length of its upper side [mm]."""
        first, second = self.corners[0], self.corners[1]
        return float(((second.x_mm - first.x_mm) ** 2 + (second.y_mm - first.y_mm) ** 2) ** 0.5)


@dataclass(frozen=True, slots=True)
class GreyPatch:
    """A printed grey: where it is, its sRGB value 0 to 255, and the share of light that it gives back."""

    box: Box
    srgb: int
    linear: float


@dataclass(frozen=True, slots=True)
class Ruler:
    """A printed line of known length, to be held against a steel rule."""

    start: Spot
    end: Spot

    @property
    def length_mm(self) -> float:
        """The length as designed [mm]."""
        return float(((self.end.x_mm - self.start.x_mm) ** 2 + (self.end.y_mm - self.start.y_mm) ** 2) ** 0.5)


@dataclass(frozen=True, slots=True)
class Mat:
    """A printed mat, as designed; a print at another scale is told apart from it.

    Parameters
    ----------
    name : str
        What it is called.
    width_mm, height_mm : float
        The paper [mm].
    work_area : Box
        Where hardware may lie.
    dictionary : str
        The dictionary of its markers, by OpenCV's name.
    markers : tuple of Marker
        Its markers.
    patches : tuple of GreyPatch
        Its grey patches.
    ground_srgb, paper_srgb : tuple of int
        Colours of the work area and of the paper.
    rulers : tuple of Ruler
        The lines for the print check; a mat of another origin may have none.
    """

    name: str
    width_mm: float
    height_mm: float
    work_area: Box
    dictionary: str
    markers: tuple[Marker, ...]
    patches: tuple[GreyPatch, ...]
    ground_srgb: tuple[int, int, int]
    paper_srgb: tuple[int, int, int]
    rulers: tuple[Ruler, ...] = ()

    @property
    def modules(self) -> int:
        """How many modules a marker has along its side, its black border included."""
        return DICTIONARIES[self.dictionary]

    @property
    def marker_mm(self) -> float:
        """The side of its first marker [mm]."""
        return self.markers[0].side_mm


def linear_of(srgb: float) -> float:
    """The share of light of an sRGB value 0 to 255, by IEC 61966-2-1 (from memory)."""
    share = srgb / 255
    return float(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)


def mat_text(mat: Mat) -> str:
    """Write a mat as JSON.

    Parameters
    ----------
    mat : Mat
        The mat.

    Returns
    -------
    str
        The JSON text, which `read_mat` reads back as the same mat.
    """
    record = {
        "name": mat.name,
        "size_mm": [mat.width_mm, mat.height_mm],
        "work_area_mm": _box_list(mat.work_area),
        "dictionary": mat.dictionary,
        "marker_mm": mat.marker_mm,
        "markers": [
            {"id": one.number, "corners_mm": [[spot.x_mm, spot.y_mm] for spot in one.corners]}
            for one in mat.markers
        ],
        "patches": [
            {"rect_mm": _box_list(one.box), "srgb": one.srgb, "linear": one.linear} for one in mat.patches
        ],
        "axes": _AXES,
        "background_srgb": list(mat.ground_srgb),
        "paper_srgb": list(mat.paper_srgb),
        "paper_linear": linear_of(sum(mat.paper_srgb) / 3),
        "rulers_mm": [[[one.start.x_mm, one.start.y_mm], [one.end.x_mm, one.end.y_mm]] for one in mat.rulers],
    }
    return json.dumps(record, indent=1)


def read_mat(text: str) -> Mat:
    """Read a mat from JSON.

    Parameters
    ----------
    text : str
        What `mat_text` wrote, or another writer of the same form; `rulers_mm` may be missing.

    Raises
    ------
    InvalidInput
        Something is missing or cannot be; the message names it.
    """
    try:
        record = json.loads(text)
    except ValueError as error:
        raise InvalidInput("mat", needs="JSON", came="text that is none", remedy=_REMEDY) from error
    if not isinstance(record, dict):
        raise InvalidInput(
            "mat", needs="an object with markers and patches", came="other JSON", remedy=_REMEDY
        )
    width, height = _numbers(record, "size_mm", 2)
    if not (0 < width <= _LARGEST_MM and 0 < height <= _LARGEST_MM):
        raise InvalidInput(
            "size_mm of the mat",
            needs=f"millimetres, at most {_LARGEST_MM:.0f}",
            came=f"{width:g} x {height:g}",
        )
    dictionary = record.get("dictionary")
    if dictionary not in DICTIONARIES:
        raise InvalidInput(
            "dictionary of the mat", needs=f"one of {', '.join(DICTIONARIES)}", came=str(dictionary)
        )
    return Mat(
        str(record.get("name", "mat")),
        width,
        height,
        _box(_numbers(record, "work_area_mm", 4), "work_area_mm", width, height),
        dictionary,
        _markers(record, width, height),
        tuple(_patch(one, width, height) for one in _rows(record, "patches")),
        _colour(record, "background_srgb"),
        _colour(record, "paper_srgb"),
        tuple(Ruler(Spot(*_pair(a)), Spot(*_pair(b))) for a, b in _rows(record, "rulers_mm", empty=True)),
    )


def _box_list(box: Box) -> list[float]:
    return [box.left_mm, box.top_mm, box.right_mm, box.bottom_mm]


def _wrong(key: str, needs: str, came: object) -> InvalidInput:
    said = str(came)
    return InvalidInput(f"{key} of the mat", needs=needs, came=said if len(said) < 80 else f"{said[:77]}…")


def _finite(values: object, count: int, key: str) -> list[float]:
    if (
        not isinstance(values, list)
        or len(values) != count
        or not all(isinstance(one, int | float) and isfinite(one) for one in values)
    ):
        raise _wrong(key, f"{count} numbers", values)
    return [float(one) for one in values]


def _numbers(record: dict[str, Any], key: str, count: int) -> list[float]:
    return _finite(record.get(key), count, key)


def _rows(record: dict[str, Any], key: str, *, empty: bool = False) -> list[Any]:
    rows = record.get(key, [] if empty else None)
    if not isinstance(rows, list) or not (rows or empty) or len(rows) > _MOST_MARKERS:
        raise _wrong(key, "a list", rows)
    if key == "rulers_mm" and not all(isinstance(one, list) and len(one) == 2 for one in rows):
        raise _wrong(key, "pairs of points", rows)
    return rows


def _pair(values: object, key: str = "rulers_mm") -> list[float]:
    return _finite(values, 2, key)


def _box(values: list[float], key: str, width: float, height: float) -> Box:
    left, top, right, bottom = values
    if not (0 <= left < right <= width and 0 <= top < bottom <= height):
        raise _wrong(key, "left, top, right, bottom within the paper", values)
    return Box(left, top, right, bottom)


def _markers(record: dict[str, Any], width: float, height: float) -> tuple[Marker, ...]:
    found = []
    for one in _rows(record, "markers"):
        number, corners = (one.get("id"), one.get("corners_mm")) if isinstance(one, dict) else (None, None)
        if not isinstance(number, int) or not isinstance(corners, list) or len(corners) != 4:
            raise _wrong("markers", "an id and four corners each", one)
        spots = [_pair(corner, "markers") for corner in corners]
        if not all(0 <= x <= width and 0 <= y <= height for x, y in spots):
            raise _wrong("markers", "corners on the paper", one)
        marker = Marker(number, (Spot(*spots[0]), Spot(*spots[1]), Spot(*spots[2]), Spot(*spots[3])))
        if marker.side_mm <= 0:
            raise _wrong("markers", "corners apart from each other", one)
        found.append(marker)
    if len({one.number for one in found}) < len(found):
        raise _wrong("markers", "each id once", sorted(one.number for one in found))
    if len(found) < 4:
        raise _wrong("markers", "at least four", len(found))
    return tuple(found)


def _patch(one: object, width: float, height: float) -> GreyPatch:
    if not isinstance(one, dict):
        raise _wrong("patches", "a rectangle and its grey each", one)
    srgb, linear = one.get("srgb"), one.get("linear")
    if not isinstance(srgb, int) or not 0 <= srgb <= 255:
        raise _wrong("patches", "srgb 0 to 255", srgb)
    if not isinstance(linear, int | float) or not 0 < linear <= 1:
        raise _wrong("patches", "linear above 0, at most 1", linear)
    box = _box(_numbers(one, "rect_mm", 4), "patches", width, height)
    return GreyPatch(box, srgb, float(linear))


def _colour(record: dict[str, Any], key: str) -> tuple[int, int, int]:
    red, green, blue = _numbers(record, key, 3)
    if not all(0 <= one <= 255 and one == int(one) for one in (red, green, blue)):
        raise _wrong(key, "three whole numbers 0 to 255", record[key])
    return int(red), int(green), int(blue)
