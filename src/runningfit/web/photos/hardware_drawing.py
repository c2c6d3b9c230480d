"""A photo with its pieces outlined and numbered, and single pieces cut out of it, as SVG over the picture."""

from __future__ import annotations

from collections.abc import Collection, Sequence
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
# How wide a letter of a name is, of the size of the numbers.
_LETTER = 0.44
# No photo tells a size any finer.
READ_TO_MM = 0.1
_MOST_POINTS = 40
# Left, top, right and bottom [px].
_Box = tuple[float, float, float, float]


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
    size = max(width, height) / (60 if len(pieces) > CROWDED else 34)
    named = _named(pieces, size, width)
    outlines = "".join(
        _piece(run, one, size, named.get(one.number), marked=one.number in marked)
        for one in _small_last(pieces)
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
    ends = drawn.ends(piece)
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
    return "{} ({})".format(*(format_measured(mm, unit, READ_TO_MM) for unit in both))


def _piece(run: PhotoRun, piece: PhotoPiece, size: float, name_at: float | None, *, marked: bool) -> str:
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
        f"{'' if piece.fate else _label(piece, size, name_at, unsure)}</a>"
    )


def _label(piece: PhotoPiece, size: float, name_at: float | None, unsure: bool) -> str:
    x, y = _middle(piece)
    number = f"{piece.number}{'?' if unsure else ''}"
    name = escape(short_name(piece))
    below = "" if name_at is None else f'<tspan class="name" x="{name_at:.0f}" dy="1.1em">{name}</tspan>'
    return f'<text x="{x:.0f}" y="{y + size / 3:.0f}" text-anchor="middle">{number}{below}</text>'


def _points(piece: PhotoPiece) -> str:
    points = piece.outline_px
    step = max(1, len(points) // _MOST_POINTS)
    return " ".join(f"{x:.0f},{y:.0f}" for x, y in points[::step])


def _named(pieces: Sequence[PhotoPiece], size: float, width: int) -> dict[int, float]:
    """Return where the names stand that run into no other piece or name, by the number of the piece [px]."""
    if len(pieces) > NAMED:
        return {}
    taken = [_around(piece) for piece in pieces]
    places: dict[int, float] = {}
    for own, piece in enumerate(pieces):
        x, y = _middle(piece)
        half = _LETTER * size * len(short_name(piece)) / 2
        at = min(max(x, half), width - half)
        box = (at - half, y + 0.55 * size, at + half, y + 1.4 * size)
        if short_name(piece) and not any(_meet(box, one) for n, one in enumerate(taken) if n != own):
            taken.append(box)
            places[piece.number] = at
    return places


def _around(piece: PhotoPiece) -> _Box:
    xs, ys = zip(*piece.outline_px, strict=True) if piece.outline_px else ((0.0,), (0.0,))
    return min(xs), min(ys), max(xs), max(ys)


def _meet(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _middle(piece: PhotoPiece) -> tuple[float, float]:
    left, top, right, bottom = _around(piece)
    return (left + right) / 2, (top + bottom) / 2


def _small_last(pieces: Sequence[PhotoPiece]) -> list[PhotoPiece]:
    """Return the pieces with the large ones first, so that a small one on a large one can be pressed."""
    return sorted(pieces, key=lambda one: -_extent(one))


def _extent(piece: PhotoPiece) -> float:
    left, top, right, bottom = _around(piece)
    return (right - left) * (bottom - top)
