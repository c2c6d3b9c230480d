"""A measured photo as JSON, written and read back; the reader says which value it cannot take."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from enum import StrEnum
from math import isfinite
from typing import Any, TypeVar

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Estimate, Look, MeasuredPhoto, PhotoItem, Sizes, ThreadChance
from runningfit.core.pieces.kinds import Kind, LengthBasis

_REMEDY = "Give a file as `runningfit photo measure --json` writes it."
# Each size of a piece, and what it is called in the file; its uncertainty is the same with u_ before it.
_SIZES = {
    "length": "length_mm",
    "major": "major_mm",
    "pitch": "pitch_mm",
    "head_across_flats": "head_across_flats_mm",
    "outside": "outside_diameter_mm",
    "inside": "inside_diameter_mm",
    "thickness": "thickness_mm",
    "width": "width_mm",
}
_PHOTO_KEYS = {
    "print_scale", "gsd_mm_per_px", "width_px", "height_px", "items", "could_not", "cautions", "steps_s",
    "seconds",
}  # fmt: skip
_ITEM_KEYS = {
    "number", "kind", "kinds", "mat_xy_mm", "under_head_length_mm", "threads", "finish_look", "outline_px",
    "outline_mm", "could_not", "ask", *_SIZES.values(), *(f"u_{key}" for key in _SIZES.values()),
}  # fmt: skip
_MOST_ITEMS = 1000
_DECIMALS = 4

Named = TypeVar("Named", bound=StrEnum)


def photo_text(answer: MeasuredPhoto | CouldNotMeasure, *, print_scale: float, time_s: float) -> str:
    """Write what was measured of a photo as JSON.

    Parameters
    ----------
    answer : MeasuredPhoto or CouldNotMeasure
        The answer.
    print_scale : float
        Millimetres of the print for each millimetre as designed, where the photo could not be measured.
    time_s : float
        How long it took [s].

    Returns
    -------
    str
        The JSON text, which `read_photo` reads back.
    """
    if isinstance(answer, CouldNotMeasure):
        record: dict[str, Any] = {
            "print_scale": print_scale,
            "gsd_mm_per_px": None,
            "items": [],
            "could_not": _refusal(answer),
            "cautions": [],
        }
    else:
        record = {
            "print_scale": answer.print_scale,
            "gsd_mm_per_px": round(answer.gsd_mm, _DECIMALS),
            "width_px": answer.width_px,
            "height_px": answer.height_px,
            "items": [_item_record(one) for one in answer.items],
            "could_not": None,
            "cautions": list(answer.cautions),
            "steps_s": {step: round(took_s, 3) for step, took_s in answer.steps_s.items()},
        }
    return json.dumps({**record, "seconds": round(time_s, 2)}, ensure_ascii=False, indent=1)


def _refusal(answer: CouldNotMeasure) -> dict[str, str]:
    return {"fault": str(answer.fault), "reason": answer.reason, "remedy": answer.remedy}


def _item_record(item: PhotoItem) -> dict[str, Any]:
    sizes: dict[str, float | None] = {}
    for name, key in _SIZES.items():
        size: Estimate | None = getattr(item.sizes, name)
        sizes[key] = None if size is None else round(size.value_mm, _DECIMALS)
        sizes[f"u_{key}"] = None if size is None else max(round(size.u_mm, _DECIMALS), 10.0**-_DECIMALS)
    under_head = item.kind.length_basis is LengthBasis.UNDER_HEAD
    return {
        "number": item.number,
        "kind": str(item.kind),
        "kinds": {str(kind): round(share, _DECIMALS) for kind, share in item.kinds.items()},
        "mat_xy_mm": [round(one, 3) for one in item.mat_xy_mm],
        **sizes,
        "under_head_length_mm": sizes["length_mm"] if under_head else None,
        "threads": [
            {"designation": one.designation, "probability": round(one.probability, _DECIMALS)}
            for one in item.threads
        ],
        "finish_look": {str(look): round(share, _DECIMALS) for look, share in item.looks.items()},
        "outline_px": [[round(x, 1), round(y, 1)] for x, y in item.outline_px],
        "outline_mm": [[round(x, 2), round(y, 2)] for x, y in item.outline_mm],
        "could_not": None if item.could_not is None else _refusal(item.could_not),
        "ask": item.ask,
    }


def read_photo(text: str) -> MeasuredPhoto | CouldNotMeasure:
    """Read a measured photo from JSON.

    Parameters
    ----------
    text : str
        What `photo_text` wrote; number, kinds, ask, cautions, the size of the photo, the outlines and the
        steps may be missing.

    Raises
    ------
    InvalidInput
        Something is missing or cannot be; the message names the piece and the value.
    """
    try:
        record = json.loads(text)
    except ValueError as error:
        raise InvalidInput("photo", needs="JSON", came="text that is none", remedy=_REMEDY) from error
    if not isinstance(record, dict):
        raise InvalidInput("photo", needs="an object with items", came="other JSON", remedy=_REMEDY)
    photo = _Record(record, "", _PHOTO_KEYS)
    photo.refuse_unknown()
    refused = _read_refusal(photo)
    if refused is not None:
        return refused
    rows = photo.rows("items")
    items = tuple(_read_item(row, number) for number, row in enumerate(rows, start=1))
    numbers = [one.number for one in items]
    if len(set(numbers)) < len(numbers):
        raise photo.wrong("items", "each number once", sorted(numbers))
    return MeasuredPhoto(
        photo.number("print_scale", above=0),
        photo.number("gsd_mm_per_px", above=0),
        int(photo.number("width_px", above=0, otherwise=1)),
        int(photo.number("height_px", above=0, otherwise=1)),
        items,
        tuple(photo.texts("cautions")),
        photo.shares("steps_s", at_most=None),
    )


class _Record:
    """An object of the file, whose values are taken out one by one, each checked."""

    def __init__(self, values: Mapping[str, Any], of: str, known: set[str]) -> None:
        self.values = values
        self.of = of
        self.known = known

    def wrong(self, key: str, needs: str, came: object) -> InvalidInput:
        said = "nothing" if came is None else str(came)
        return InvalidInput(
            f"{key}{self.of}",
            needs=needs,
            came=said if len(said) < 80 else f"{said[:77]}…",
            remedy=_REMEDY,
        )

    def refuse_unknown(self) -> None:
        unknown = sorted(set(self.values) - self.known)
        if unknown:
            raise self.wrong(
                "the names of values", f"names among {', '.join(sorted(self.known))}", unknown[0]
            )

    def number(self, key: str, *, above: float, otherwise: float | None = None) -> float:
        value = self.values.get(key, otherwise)
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise self.wrong(key, "a number", value)
        if value <= above:
            raise self.wrong(key, f"a number above {above:g}", value)
        return float(value)

    def rows(self, key: str, *, otherwise: Sequence[Any] | None = None) -> list[Any]:
        value = self.values.get(key, otherwise)
        if not isinstance(value, list | tuple) or len(value) > _MOST_ITEMS * 10:
            raise self.wrong(key, "a list", value)
        return list(value)

    def text(self, key: str, *, otherwise: str | None = None) -> str:
        value = self.values.get(key, otherwise)
        if not isinstance(value, str):
            raise self.wrong(key, "a text", value)
        return value

    def texts(self, key: str) -> list[str]:
        rows = self.rows(key, otherwise=())
        for row in rows:
            if not isinstance(row, str):
                raise self.wrong(key, "a list of texts", row)
        return rows

    def named(self, key: str, among: type[Named]) -> Named:
        return self.name_of(key, self.values.get(key), among)

    def name_of(self, key: str, value: object, among: type[Named]) -> Named:
        try:
            return among(str(value))
        except ValueError as error:
            raise self.wrong(key, f"one of {', '.join(among)}", value) from error

    def shares(self, key: str, *, at_most: float | None = 1.0) -> dict[str, float]:
        value = self.values.get(key, {})
        if not isinstance(value, dict):
            raise self.wrong(key, "an object of names and numbers", value)
        inner = _Record(value, f" of {key}{self.of}", set(value))
        found = {name: self._share(inner, name) for name in value}
        if at_most is not None and sum(found.values()) > at_most + 0.01:
            raise self.wrong(key, "probabilities that come to 1 or less", sum(found.values()))
        return found

    @staticmethod
    def _share(inner: _Record, name: str) -> float:
        value = inner.values[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < float("inf"):
            raise inner.wrong(name, "a number of 0 or more", value)
        return float(value)

    def points(self, key: str, *, otherwise: Sequence[Any] | None = None) -> tuple[tuple[float, float], ...]:
        return tuple(self.point(key, row) for row in self.rows(key, otherwise=otherwise))

    def point(self, key: str, value: object) -> tuple[float, float]:
        if (
            not isinstance(value, list)
            or len(value) != 2
            or not all(isinstance(one, int | float) and isfinite(one) for one in value)
        ):
            raise self.wrong(key, "pairs of numbers, x and y", value)
        return float(value[0]), float(value[1])


def _read_refusal(record: _Record) -> CouldNotMeasure | None:
    value = record.values.get("could_not")
    if value is None:
        return None
    if not isinstance(value, dict):
        raise record.wrong("could_not", "null or a fault with its reason and remedy", value)
    inner = _Record(value, f" of could_not{record.of}", {"fault", "reason", "remedy"})
    return CouldNotMeasure(inner.named("fault", Fault), inner.text("reason"), inner.text("remedy"))


def _read_item(values: object, place: int) -> PhotoItem:
    if not isinstance(values, dict):
        raise InvalidInput(f"item {place}", needs="an object", came=str(values)[:60], remedy=_REMEDY)
    record = _Record(values, f" of item {place}", _ITEM_KEYS)
    record.refuse_unknown()
    kind = record.named("kind", Kind)
    kinds = {record.name_of("kinds", name, Kind): share for name, share in record.shares("kinds").items()}
    return PhotoItem(
        int(record.number("number", above=0, otherwise=place)),
        kind,
        kinds or {kind: 1.0},
        record.point("mat_xy_mm", values.get("mat_xy_mm")),
        record.points("outline_px", otherwise=()),
        record.points("outline_mm", otherwise=()),
        _read_sizes(record, kind),
        _read_threads(record),
        {record.name_of("finish_look", n, Look): share for n, share in record.shares("finish_look").items()},
        _read_refusal(record),
        record.text("ask", otherwise=""),
    )


def _read_sizes(record: _Record, kind: Kind) -> Sizes:
    found = {}
    for name, key in _SIZES.items():
        if record.values.get(key) is not None:
            found[name] = Estimate(record.number(key, above=0), record.number(f"u_{key}", above=0))
    under_head = record.values.get("under_head_length_mm")
    length = found.get("length")
    if under_head is not None and (
        kind.length_basis is not LengthBasis.UNDER_HEAD
        or length is None
        or record.number("under_head_length_mm", above=0) != length.value_mm
    ):
        raise record.wrong(
            "under_head_length_mm", "null, or for a piece with a head its length_mm", under_head
        )
    return Sizes(**found)


def _read_threads(record: _Record) -> tuple[ThreadChance, ...]:
    found = []
    for number, row in enumerate(record.rows("threads", otherwise=()), start=1):
        if not isinstance(row, dict):
            raise record.wrong("threads", "designations with their probabilities", row)
        inner = _Record(row, f" of thread {number}{record.of}", set(row))
        probability = inner.number("probability", above=-1e-9)
        if probability > 1:
            raise inner.wrong("probability", "0 to 1", probability)
        found.append(ThreadChance(inner.text("designation"), probability))
    if sum(one.probability for one in found) > 1.01:
        raise record.wrong("threads", "probabilities that come to 1 or less", [o.probability for o in found])
    return tuple(sorted(found, key=lambda one: -one.probability))
