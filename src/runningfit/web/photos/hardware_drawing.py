"""A photo with its pieces outlined and numbered, and single pieces cut out of it, as SVG over the picture."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from html import escape

from django.utils.safestring import SafeString

from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.units import LengthUnit, format_measured
from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.workshop.photos.correcting import box_of
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun

# Up to so many pieces each has its name in the picture where there is room; beyond, its number alone.
NAMED, CROWDED = 12, 60
# How often the size of the numbers goes into the width of the photo: legible on a phone; where it is crowded.
_NUMBERS_ACROSS, _CROWDED_ACROSS = 23, 36
# How wide a letter of a name is, of the size of the numbers.
_LETTER = 0.44
# So many threads that a piece may have are said in a list; of more, the first, and how many others.
_THREADS_SAID = 2
# No photo tells a size any finer.
READ_TO_MM = 0.1
_MOST_POINTS = 40
# Left, top, right and bottom [px].
_Box = tuple[float, float, float, float]
_Spot = tuple[float, float]


def picture(run: PhotoRun, pieces: Sequence[PhotoPiece], marked: Collection[int] = ()) -> SafeString:
    """Draw a photo with its pieces outlined; each leads to its page.

    Parameters
    ----------
    run : PhotoRun
        A photo that was measured.
    pieces : sequence of PhotoPiece
        Its pieces; what is set aside is drawn faintly.
    marked : collection of int
        Numbers of pieces that stand out.
    """
    width, height = run.width_px or 1, run.height_px or 1
    size = width / (_CROWDED_ACROSS if len(pieces) > CROWDED else _NUMBERS_ACROSS)
    spots = _placed(pieces, size, width)
    outlines = "".join(
        _piece(run, one, spots[one.number], marked=one.number in marked) for one in _small_last(pieces)
    )
    said = f"photo {run.photo_id} with {len(pieces)} pieces outlined"
    return SafeString(
        f'<svg class="hardware" viewBox="0 0 {width} {height}" role="group" aria-label="{said}" '
        f'font-size="{size:.0f}">'
        f'<image href="{address("photo", run.photo_id, "shown")}" width="{width}" height="{height}" '
        'aria-hidden="true"/>'
        f"{outlines}</svg>"
    )


def cut_out(piece: PhotoPiece, run: PhotoRun) -> SafeString:
    """Draw a piece cut out of its photo, with its outline."""
    width, height = run.width_px or 1, run.height_px or 1
    left, top, right, bottom = box_of(piece, width, height, 0.25)
    wide, high = max(1, right - left), max(1, bottom - top)
    return SafeString(
        f'<svg class="cutout" viewBox="{left} {top} {wide} {high}" role="img" '
        f'aria-label="piece {piece.number}, cut out">'
        f'<image href="{address("photo", run.photo_id, "shown")}" width="{width}" height="{height}"/>'
        f'<polygon points="{_points(piece)}"/></svg>'
    )


def what(piece: PhotoPiece, count: int) -> SafeString:
    """Draw what a piece is: kind, threads, length; a length of no standard as fine as it was read."""
    words = drawn.kind_word(piece, count)
    first, *others = piece.end_a.split("|")
    ends = f"{escape(first)} or {len(others)} others" if len(others) >= _THREADS_SAID else drawn.ends(piece)
    length = escape(piece.length_nominal) or (_in_both(piece.length_mm) if piece.length_mm else "")
    return SafeString(
        words
        + (f' <span class="num">{ends}</span>' if ends else "")
        + (f' × <span class="num">{length}</span>' if length else "")
    )


def short_name(piece: PhotoPiece) -> str:
    """Return what a piece is in as few words as a picture has room for."""
    if piece.fate:
        return ""
    kind = label(Kind(piece.kind), 1).partition(" ")[2].removeprefix("hex ").removesuffix(" piece")
    thread = piece.end_a.split("|")[0] if piece.end_a else piece.size_said
    open_thread = "?" if "|" in piece.end_a else ""
    length = f" × {piece.length_nominal or f'{piece.length_mm:g} mm'}" if piece.length_mm else ""
    return f"{kind} {thread}{open_thread}{length}".strip()


def _in_both(mm: float) -> str:
    both = (LengthUnit.MM, LengthUnit.INCH)
    said, other = (format_measured(mm, unit, READ_TO_MM) for unit in both)
    return f'{said}<span class="other-unit"> ({other})</span>'


def _piece(run: PhotoRun, piece: PhotoPiece, spots: _Spots, *, marked: bool) -> str:
    unsure = piece.unsure and not piece.settled
    classes = " ".join(
        word
        for word, on in (
            ("aside", bool(piece.fate)),
            ("unsure", unsure and not piece.fate),
            ("marked", marked),
        )
        if on
    )
    to = address("hardware_piece", run.job_id, run.pk, piece.number)
    title = f"{piece.number}: {short_name(piece) or 'no piece of its own'}"
    return (
        f'<a href="{to}" aria-label="piece {escape(title)}" class="{classes}">'
        f"<title>{escape(title)}</title>"
        f'<polygon points="{_points(piece)}"/>'
        f"{'' if piece.fate else _label(piece, spots, unsure)}</a>"
    )


def _label(piece: PhotoPiece, spots: _Spots, unsure: bool) -> str:
    (x, y), name_at = spots.number, spots.name
    number = (
        f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="middle">{piece.number}{"?" if unsure else ""}</text>'
    )
    if name_at is None:
        return number
    x, y = name_at
    name = escape(short_name(piece))
    return f'{number}<text class="name" x="{x:.0f}" y="{y:.0f}" text-anchor="middle">{name}</text>'


def _points(piece: PhotoPiece) -> str:
    points = piece.outline_px
    step = max(1, len(points) // _MOST_POINTS)
    return " ".join(f"{x:.0f},{y:.0f}" for x, y in points[::step])


@dataclass(frozen=True, slots=True)
class _Spots:
    """Where the number and the name of a piece stand, the middle of the foot of each [px]."""

    number: _Spot
    name: _Spot | None


def _placed(pieces: Sequence[PhotoPiece], size: float, width: int) -> dict[int, _Spots]:
    """Return where numbers and names stand so that they hide no piece and run into nothing.

    A number that finds no room stands on its piece; a name that finds none is left out.
    """
    around = {piece.number: _around(piece) for piece in pieces}
    boxes = list(around.values())
    numbers: dict[int, _Spot] = {}
    for piece in pieces:
        left, top, right, bottom = around[piece.number]
        x, half = (left + right) / 2, _LETTER * size * len(f"{piece.number}?") * 0.75
        beside = (
            (x, top - 0.2 * size),
            (right + half, (top + bottom) / 2 + 0.35 * size),
            (left - half, (top + bottom) / 2 + 0.35 * size),
            (x, bottom + 0.95 * size),
        )
        spots = (spot for spot in beside if _free(spot, half, size, boxes, width))
        numbers[piece.number] = next(spots, (x, (top + bottom) / 2 + 0.35 * size))
        boxes.append(_box(numbers[piece.number], half, size))
    names: dict[int, _Spot] = {}
    for piece in pieces if len(pieces) <= NAMED else ():
        left, top, right, bottom = around[piece.number]
        half = _LETTER * size * len(short_name(piece)) / 2
        x = min(max((left + right) / 2, half), width - half)
        nearest = ((x, bottom + 0.8 * size), (x, top - 1.15 * size), (x, top - 0.2 * size))
        spot = next((one for one in nearest if _free(one, half, 0.75 * size, boxes, width)), None)
        if short_name(piece) and spot is not None:
            names[piece.number] = spot
            boxes.append(_box(spot, half, 0.75 * size))
    return {number: _Spots(spot, names.get(number)) for number, spot in numbers.items()}


def _box(spot: _Spot, half: float, high: float) -> _Box:
    return spot[0] - half, spot[1] - 0.8 * high, spot[0] + half, spot[1] + 0.1 * high


def _free(spot: _Spot, half: float, high: float, boxes: Sequence[_Box], width: int) -> bool:
    box = _box(spot, half, high)
    return box[0] >= 0 and box[1] >= 0 and box[2] <= width and not any(_meet(box, one) for one in boxes)


def _around(piece: PhotoPiece) -> _Box:
    xs, ys = zip(*piece.outline_px, strict=True) if piece.outline_px else ((0.0,), (0.0,))
    return min(xs), min(ys), max(xs), max(ys)


def _meet(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _small_last(pieces: Sequence[PhotoPiece]) -> list[PhotoPiece]:
    """Return the pieces with the large ones first, so that a small one on a large one can be pressed."""
    return sorted(pieces, key=lambda one: -_extent(one))


def _extent(piece: PhotoPiece) -> float:
    left, top, right, bottom = _around(piece)
    return (right - left) * (bottom - top)
