"""Verbs of the pieces in a photo: it is so, it is something else, no piece, part of another, several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from runningfit.core.errors import InvalidInput, NothingChanged
from runningfit.core.photos.splitting import Part, parted
from runningfit.workshop.photos.hardware import held_run, need_measured, need_not_accepted
from runningfit.workshop.photos.hardware_models import PhotoCorrection, PhotoPiece, PhotoRun
from runningfit.workshop.photos.hardware_reads import pieces_of
from runningfit.workshop.pieces.models import LOOKS
from runningfit.workshop.pieces.spec_reading import Spec
from runningfit.workshop.records.writing import Entry, Hand, write

MOST_PIECES = 20
_NOT_READ = {
    "end_a": "",
    "end_b": "",
    "size_said": "",
    "length_mm": None,
    "length_nominal": "",
    "length_typed": "",
    "length_basis": "",
    "remark": "",
}
# Round a piece, so that what lies beside its outline is seen too.
_MARGIN = 0.15


def confirm(*, run: PhotoRun, numbers: Sequence[int], hand: Hand) -> list[PhotoPiece]:
    """Say that pieces are what was proposed, and ask no more about them."""
    with write(verb="confirm_pieces", summary="confirmed pieces of a photo", hand=hand, job=run.job) as entry:
        pieces = _open_pieces(entry, run, numbers)
        said = [_say(entry, piece, "so", settled=True) for piece in pieces]
        if not any(said):
            raise NothingChanged
        entry.say(f"confirmed {_numbered(pieces)} of {run}")
    return pieces


def correct(*, run: PhotoRun, numbers: Sequence[int], spec: Spec, look: str, hand: Hand) -> list[PhotoPiece]:
    """Say what pieces are: kind, thread, length, look.

    Parameters
    ----------
    run : PhotoRun
        The photo.
    numbers : sequence of int
        The pieces; alike ones are corrected in one act.
    spec : Spec
        Kind, thread and length as they were read.
    look : str
        How they look.

    Raises
    ------
    Conflict
        They are in the books already.
    InvalidInput
        The look is none, or no piece was named.
    """
    if look not in LOOKS:
        raise InvalidInput("look", needs=f"one of {', '.join(LOOKS)}", came=look)
    with write(verb="correct_pieces", summary="corrected pieces of a photo", hand=hand, job=run.job) as entry:
        pieces = _open_pieces(entry, run, numbers)
        values: dict[str, Any] = {
            "kind": spec.kind,
            "end_a": "|".join(spec.end_a),
            "end_b": "|".join(spec.end_b),
            "size_said": spec.size_said,
            "length_mm": spec.length_mm,
            "length_nominal": spec.length_nominal,
            "length_basis": spec.length_basis,
            "finish_look": look,
            "settled": True,
        }
        said = [_say(entry, piece, "other", **values) for piece in pieces]
        if not any(said):
            raise NothingChanged
        entry.say(f"corrected {_numbered(pieces)} of {run}")
    return pieces


def set_aside(*, run: PhotoRun, number: int, hand: Hand) -> PhotoPiece:
    """Say that something in a photo is no piece: a shadow, a rag, a scribble on the mat."""
    with write(verb="set_piece_aside", summary="no piece of a photo", hand=hand, job=run.job) as entry:
        (piece,) = _open_pieces(entry, run, [number])
        if not _say(entry, piece, "no_piece", fate=PhotoPiece.ASIDE, settled=True):
            raise NothingChanged
        entry.say(f"piece {number} of {run} is no piece")
    return piece


def count_again(*, run: PhotoRun, number: int, hand: Hand) -> PhotoPiece:
    """Say that something set aside, or joined to another, is a piece of its own after all."""
    with write(verb="take_piece_back", summary="a piece after all", hand=hand, job=run.job) as entry:
        (piece,) = _open_pieces(entry, run, [number])
        if not _say(entry, piece, "piece", fate="", part_of=None):
            raise NothingChanged
        entry.say(f"piece {number} of {run} is a piece after all")
    return piece


def join(*, run: PhotoRun, number: int, into: int, hand: Hand) -> PhotoPiece:
    """Say that what was taken for a piece is part of another one.

    Raises
    ------
    InvalidInput
        There is no such other piece, or it is itself no piece of its own.
    """
    if number == into:
        raise InvalidInput("the other piece", needs="the number of another piece", came=into)
    with write(verb="join_pieces", summary="joined pieces of a photo", hand=hand, job=run.job) as entry:
        piece, other = _open_pieces(entry, run, [number, into])
        if other.fate:
            raise InvalidInput(
                "the other piece",
                needs="one that counts as a piece",
                came=f"{into}, which is set aside or part of another",
            )
        if PhotoPiece.objects.filter(part_of=piece, withdrawn=False).exists():
            raise InvalidInput(
                "the piece", needs="one of which nothing else is part", came=number, remedy="Join the others."
            )
        if not _say(entry, piece, "part", fate=PhotoPiece.PART, part_of=other, settled=True):
            raise NothingChanged
        entry.say(f"piece {number} of {run} is part of piece {into}")
    return piece


def split(*, run: PhotoRun, number: int, count: int, hand: Hand) -> list[PhotoPiece]:
    """Say that what was taken for one piece is several; each can then be corrected by itself.

    Returns
    -------
    list of PhotoPiece
        The piece itself and the new ones, which have the numbers behind all others.

    Raises
    ------
    InvalidInput
        The count is not from 2 to 20.
    """
    if not 2 <= count <= MOST_PIECES:
        raise InvalidInput("how many", needs=f"2 to {MOST_PIECES} pieces", came=count)
    with write(verb="split_piece", summary="split a piece of a photo", hand=hand, job=run.job) as entry:
        (piece,) = _open_pieces(entry, run, [number])
        last: int = PhotoPiece.objects.filter(run=run).order_by("-number").values_list("number", flat=True)[0]
        ask = "Say what it is: it was not measured by itself."
        parts = parted(piece.outline_px, piece.outline_mm, count)
        spots = [_spot(piece, part) for part in parts] if parts else [{}] * count
        new = [entry.create(_beside(piece, last + at, ask, spots[at])) for at in range(1, count)]
        # What was read of the whole is true of no part of it, so the piece itself counts as split off too.
        values: dict[str, Any] = {**_NOT_READ, **spots[0]}
        _say(entry, piece, "several", unsure=True, settled=False, ask=ask, split_off=piece, **values)
        entry.say(f"piece {number} of {run} is {count} pieces")
    return [piece, *new]


def box_of(piece: PhotoPiece, width_px: int, height_px: int, margin: float = _MARGIN) -> list[int]:
    """Return left, top, right and bottom of a piece in its photo, with a margin round it [px]."""
    xs, ys = zip(*piece.outline_px, strict=True) if piece.outline_px else ((0, width_px), (0, height_px))
    round_px = margin * max(max(xs) - min(xs), max(ys) - min(ys)) + 2
    return [
        max(0, round(min(xs) - round_px)),
        max(0, round(min(ys) - round_px)),
        min(width_px, round(max(xs) + round_px)),
        min(height_px, round(max(ys) + round_px)),
    ]


def said_of(piece: PhotoPiece) -> dict[str, Any]:
    """Return what a piece is said to be now, as a correction keeps it."""
    return {
        "kind": piece.kind,
        "end_a": piece.end_a,
        "end_b": piece.end_b,
        "size_said": piece.size_said,
        "length_mm": piece.length_mm,
        "length_said": piece.length_nominal,
        "look": piece.finish_look,
        "part_of": piece.part_of.number if piece.part_of else None,
    }


def _open_pieces(entry: Entry, run: PhotoRun, numbers: Sequence[int]) -> list[PhotoPiece]:
    """Return pieces of a photo in the order of the numbers, held, of a photo that is not in the books."""
    held = held_run(run)
    need_measured(held)
    need_not_accepted(held)
    entry.refer(held)
    rows = PhotoPiece.objects.select_for_update(of=("self",)).filter(run=run, withdrawn=False)
    by_number = {row.number: row for row in rows.select_related("part_of").filter(number__in=set(numbers))}
    missing = [number for number in numbers if number not in by_number]
    if missing or not numbers:
        raise InvalidInput(
            "the piece",
            needs="the number of a piece in this photo",
            came=", ".join(map(str, missing)) or "none",
            remedy="The numbers stand in the picture.",
        )
    for row in by_number.values():
        row.run = held
    return [by_number[number] for number in dict.fromkeys(numbers)]


def _say(entry: Entry, piece: PhotoPiece, what: str, **values: Any) -> bool:
    """Keep what is said of a piece beside what was proposed; False where that stands there already."""
    if all(getattr(piece, name) == value for name, value in values.items()):
        return False
    run = piece.run
    # What was said is said of the outline as it was seen, which a split parts.
    box_px = box_of(piece, run.width_px or 0, run.height_px or 0)
    entry.change(piece, **values)
    entry.create(
        PhotoCorrection(
            piece=piece,
            what=what,
            proposed=piece.proposed,
            said=said_of(piece),
            box_px=box_px,
            who=entry.record.who,
            at=entry.at,
        )
    )
    return True


def _beside(piece: PhotoPiece, number: int, ask: str, spot: Mapping[str, Any]) -> PhotoPiece:
    same = ("run", "proposed", "outline_px", "outline_mm", "x_mm", "y_mm", "kind", "finish_look", "condition")
    values = {name: getattr(piece, name) for name in same} | dict(spot)
    return PhotoPiece(number=number, ask=ask, unsure=True, split_off=piece, **values)


def _spot(piece: PhotoPiece, part: Part) -> dict[str, Any]:
    """The outline and the middle of a part of a piece."""
    return {
        "outline_px": part.outline_px,
        "outline_mm": part.outline_mm,
        "x_mm": piece.x_mm + part.shift_mm[0],
        "y_mm": piece.y_mm + part.shift_mm[1],
    }


def _numbered(pieces: Sequence[PhotoPiece]) -> str:
    numbers = [str(piece.number) for piece in pieces]
    return f"piece {numbers[0]}" if len(numbers) == 1 else f"pieces {', '.join(numbers)}"


def alike(run: PhotoRun, piece: PhotoPiece) -> list[PhotoPiece]:
    """Return the other pieces of the photo that are proposed as the very same: kind, thread, length, look."""
    names = ("kind", "end_a", "end_b", "size_said", "length_mm", "length_nominal", "finish_look", "fate")
    same = tuple(getattr(piece, name) for name in names)
    rows = [one for one in pieces_of(run) if one.number != piece.number]
    return [one for one in rows if tuple(getattr(one, name) for name in names) == same]
