"""From what a photo answers of a piece to the row that is kept of it, and back, with what a person said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any, Protocol

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Estimate, Look, MeasuredPhoto, PhotoItem, Sizes, ThreadChance
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.lot_lengths import length_unit_of
from runningfit.core.units import LengthUnit, format_length, neighbours, nominal_length
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun

# A thread is open while the likeliest leave less than this out, and so is a kind that is less likely.
_SURE_OF_THREAD, _SURE_OF_KIND, _SURE_OF_LOOK = 0.95, 0.80, 0.60
_MOST_CANDIDATES = 4
# Of a length that a person says where none was read: half a step of inch lengths at the most.
_U_SAID_MM = 0.3
# What people see, in the words that lots have for it; rust is a condition, under which no finish is seen.
LOOKS = {
    Look.YELLOW: "yellow",
    Look.CLEAR: "clear",
    Look.BLACK: "black",
    Look.BRASS: "brass",
    Look.STEEL: "none",
    Look.RUST: "none",
}
_DIAMETERS = ("inside", "outside", "thickness", "head_across_flats", "width")
_BY_DIAMETERS = frozenset(
    {Kind.PLAIN_WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.FIBRE_WASHER, Kind.SPACER, Kind.OTHER}
)


def piece_of(run: PhotoRun, item: PhotoItem) -> PhotoPiece:
    """Return the row of a piece as it is proposed; nobody has said anything of it yet."""
    ends = candidates_of(item.threads) if item.kind.has_thread and not item.could_not else ()
    look = max(item.looks, key=lambda one: item.looks[one], default=None)
    seen = look is not None and item.looks[look] >= _SURE_OF_LOOK and not item.could_not
    could_not = f"{item.could_not.reason} {item.could_not.remedy}" if item.could_not else ""
    row = PhotoPiece(
        run=run,
        number=item.number,
        proposed=as_kept(item),
        outline_px=_rounded(item.outline_px, 1),
        outline_mm=_rounded(item.outline_mm, 2),
        x_mm=item.mat_xy_mm[0],
        y_mm=item.mat_xy_mm[1],
        kind=item.kind.value,
        end_a="|".join(ends),
        finish_look=LOOKS[look] if seen and look else "unknown",
        condition="rusty" if seen and look is Look.RUST else "",
        remark=_diameters(item),
        ask=(item.ask or could_not or _asked(item, ends))[:400],
        **_length(item, ends),
    )
    row.unsure = bool(row.ask)
    return row


def candidates_of(threads: Sequence[ThreadChance]) -> tuple[str, ...]:
    """Return the threads that a piece may have, as few as leave less than one in twenty out."""
    kept: list[str] = []
    together = 0.0
    for one in sorted(threads, key=lambda chance: -chance.probability)[:_MOST_CANDIDATES]:
        kept.append(one.designation)
        together += one.probability
        if together >= _SURE_OF_THREAD:
            break
    return tuple(kept)


def as_kept(item: PhotoItem) -> dict[str, Any]:
    """Return what was proposed of a piece, as JSON keeps it; its outline has columns of its own."""
    return {
        "kind": item.kind.value,
        "kinds": {kind.value: round(chance, 4) for kind, chance in item.kinds.items()},
        "sizes": {
            name: [round(size["value_mm"], 3), round(size["u_mm"], 4)]
            for name, size in asdict(item.sizes).items()
            if size is not None
        },
        "threads": [[one.designation, round(one.probability, 4)] for one in item.threads],
        "looks": {look.value: round(chance, 4) for look, chance in item.looks.items()},
        "could_not": None
        if item.could_not is None
        else [item.could_not.fault.value, item.could_not.reason, item.could_not.remedy],
        "ask": item.ask,
    }


def sizes_of(kept: Mapping[str, Any]) -> Sizes:
    """Return the sizes that were measured of a piece."""
    return Sizes(**{name: Estimate(*size) for name, size in kept["sizes"].items()})


class Proposed(Protocol):
    """What is kept of a piece as it was measured: its row, or a part of this."""

    @property
    def number(self) -> int:
        """From 1 in its photo."""

    @property
    def proposed(self) -> dict[str, Any]:
        """What `as_kept` gave."""

    @property
    def x_mm(self) -> float:
        """Where it lies on the mat, from the left [mm]."""

    @property
    def y_mm(self) -> float:
        """Where it lies on the mat, from the top [mm]."""

    @property
    def split_off_id(self) -> int | None:
        """The piece that a person split it off."""


def as_proposed(piece: Proposed) -> PhotoItem:
    """Return a piece as it was measured, whatever was said of it since."""
    kept = piece.proposed
    could_not = _could_not(piece)
    return PhotoItem(
        number=piece.number,
        kind=Kind(kept["kind"]),
        kinds={Kind(kind): one for kind, one in kept["kinds"].items()},
        mat_xy_mm=(piece.x_mm, piece.y_mm),
        outline_px=(),
        outline_mm=(),
        sizes=Sizes() if could_not else sizes_of(kept),
        threads=tuple(ThreadChance(*one) for one in kept["threads"]),
        looks={Look(look): one for look, one in kept["looks"].items()},
        could_not=could_not,
        ask=kept["ask"],
    )


def hole_of(piece: PhotoPiece) -> Estimate | None:
    """Return the hole that was measured in a piece, such as a washer."""
    return None if piece.split_off_id is not None else sizes_of(piece.proposed).inside


def as_measured(run: PhotoRun, pieces: Sequence[PhotoPiece]) -> MeasuredPhoto:
    """Return a run as measured, with what a person said of its pieces in the place of what was proposed."""
    return MeasuredPhoto(
        print_scale=run.print_scale or 1.0,
        gsd_mm=run.gsd_mm or 0.0,
        width_px=run.width_px or 0,
        height_px=run.height_px or 0,
        items=tuple(_item_of(piece) for piece in pieces if not piece.fate),
        cautions=tuple(run.cautions),
        steps_s=run.steps_s,
    )


def _item_of(piece: PhotoPiece) -> PhotoItem:
    kept = piece.proposed
    said = Kind(piece.kind)
    sizes = sizes_of(kept)
    length = sizes.length
    if piece.length_mm is not None and piece.settled and not _says(length, piece.length_mm):
        sizes = replace(sizes, length=Estimate(piece.length_mm, length.u_mm if length else _U_SAID_MM))
    could_not = None if piece.settled else _could_not(piece)
    if could_not is not None:
        sizes = Sizes()
    return PhotoItem(
        number=piece.number,
        kind=said,
        kinds={said: 1.0} if piece.settled else {Kind(kind): one for kind, one in kept["kinds"].items()},
        mat_xy_mm=(piece.x_mm, piece.y_mm),
        outline_px=tuple((x, y) for x, y in piece.outline_px),
        outline_mm=tuple((x, y) for x, y in piece.outline_mm),
        sizes=sizes,
        threads=_threads(piece) if piece.settled else tuple(ThreadChance(*one) for one in kept["threads"]),
        looks={Look(look): one for look, one in kept["looks"].items()},
        could_not=could_not,
        ask="" if piece.settled else kept["ask"],
    )


def _says(length: Estimate | None, said_mm: float) -> bool:
    """Whether a length that was read and one that a person says are the same."""
    return length is not None and abs(length.value_mm - said_mm) <= 3 * length.u_mm


def _could_not(piece: Proposed) -> CouldNotMeasure | None:
    kept = piece.proposed["could_not"]
    if kept:
        return CouldNotMeasure(Fault(kept[0]), kept[1], kept[2])
    if piece.split_off_id is None:
        return None
    return CouldNotMeasure(Fault.PIECES_TOUCH, "It lay against another piece.", "Say what it is.")


def _threads(piece: PhotoPiece) -> tuple[ThreadChance, ...]:
    """The threads that a person left a piece, each with its share of what was proposed of them."""
    ends = piece.end_a.split("|") if piece.end_a else []
    own = dict(piece.proposed["threads"])
    whole = sum(own.get(end, 0.0) for end in ends)
    return tuple(ThreadChance(end, own.get(end, 0.0) / whole if whole else 1 / len(ends)) for end in ends)


def _length(item: PhotoItem, ends: tuple[str, ...]) -> dict[str, Any]:
    size, basis = item.sizes.length, item.kind.length_basis
    if size is None or basis is None or item.could_not:
        return {}
    series = length_unit_of(ends)
    # Where the thread leaves inch and metric lengths open, the length stays as it was measured.
    near = nominal_length(size.value_mm, series=series) if series else None
    shown = format_length(size.value_mm, LengthUnit.MM)
    return {
        "length_mm": near.mm if near else round(size.value_mm, 1),
        "length_nominal": near.said if near else "",
        "length_typed": f"{shown} by a photo"[:60],
        "length_basis": basis.value,
    }


def _asked(item: PhotoItem, ends: tuple[str, ...]) -> str:
    """The one thing that would settle a piece of which the measuring itself asks nothing."""
    if item.kinds and item.kinds.get(item.kind, 0.0) < _SURE_OF_KIND:
        return "Look at it and say what it is."
    if len(ends) > 1:
        return f"Try a thread gauge: {' or '.join(ends)}?"
    size, series = item.sizes.length, length_unit_of(ends)
    if size is None or item.kind.length_basis is None or series is None:
        return ""
    if nominal_length(size.value_mm, series=series):
        return ""
    around = neighbours(size.value_mm, series)
    said = " or ".join(one.said for one in (around.below, around.above) if one is not None)
    return f"Hold a caliper to it: {said}?" if said else "Hold a caliper to it: how long is it?"


def _diameters(item: PhotoItem) -> str:
    """Say the diameters of what has no thread and no length to be told apart by."""
    if item.kind not in _BY_DIAMETERS or item.could_not:
        return ""
    told = [
        f"{name.replace('_', ' ')} {size.value_mm:.1f} mm"
        for name in _DIAMETERS
        if (size := getattr(item.sizes, name)) is not None and name != "thickness"
    ]
    return ", ".join(told)


def _rounded(points: Sequence[tuple[float, float]], places: int) -> list[list[float]]:
    return [[round(x, places), round(y, places)] for x, y in points]
