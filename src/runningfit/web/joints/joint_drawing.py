"""A threaded joint drawn with a pen: bolt, washers, clamped parts and hole in section, with its numbers.

The engaged thread is drawn heavier; what nobody measured is dashed, and its dimension names it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape

from django.utils.safestring import SafeString

from runningfit.core.joints.real_engagement import usual_thread_length_mm
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate
from runningfit.core.units import MM_PER_INCH, LengthUnit, both_units
from runningfit.web.joints.laying_out import (
    BLOCK_HALF,
    HEAD_HALF,
    NUT_HALF,
    WASHER_HALF,
    Laid,
    Part,
    lay_out,
)

WIDTH = 360.0
# Half as high as the drawing may be, and the height of the row of a dimension.
_HALF = 92.0
_ROW = 31.0
# A thread drawn finer than this runs together; two lines stand for it then, as on a drawing board.
_FINEST = 2.6
# How far the axis runs beyond what it is the axis of.
_BEYOND = 7.0
# Widths of a letter of the words and of the numbers, for text of 13.
_WORD, _FIGURE = 6.3, 7.9


@dataclass(frozen=True, slots=True)
class Holds:
    """What the judgement says of the threads in engagement.

    Parameters
    ----------
    engaged_mm, needed_mm : float or None
        Full thread in full thread, and how much it takes for the bolt to break first [mm].
    bottoms_by_mm : float
        By how much the bolt meets the bottom before it clamps [mm].
    """

    engaged_mm: float | None = None
    needed_mm: float | None = None
    bottoms_by_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length with its name.

    Parameters
    ----------
    start, end : float
        From where to where [mm].
    words, number : str
        What it is, and how much; no number where nobody knows.
    style : str
        `known`, `unknown`, `short` where it does not reach, or `holds`.
    """

    start: float
    end: float
    words: str
    number: str
    style: str


@dataclass(frozen=True, slots=True)
class JointDrawing:
    """A drawing, and what it says to those who do not see it."""

    svg: SafeString
    said: str


def joint_drawing(
    facts: JointFacts, thread: Thread, holds: Holds, unit: LengthUnit, *, alone: bool = False
) -> JointDrawing:
    """Draw a joint in section; a loose piece is drawn alone."""
    laid = lay_out(facts, thread, holds.engaged_mm, alone=alone)
    above, below = _dimensions(facts, laid, holds, unit)
    left, right = laid.span
    right = max([right, *(one.end for one in (*above, *below))])
    tallest = BLOCK_HALF if not alone else HEAD_HALF
    scale = min(WIDTH / (right - left), _HALF / (tallest * thread.major_mm))
    middle = _ROW * len(above) + tallest * thread.major_mm * scale + 8
    height = middle + tallest * thread.major_mm * scale + _ROW * len(below) + 10
    # Whatever is narrower than the page stands in its middle.
    pen = _Pen(scale, -left * scale + (WIDTH - (right - left) * scale) / 2, middle)
    said = _said(thread, [*above, *below], holds)
    shapes = [*_hole(pen, laid, facts.mate.mate), *_piece(pen, laid, facts.piece.kind)]
    if holds.bottoms_by_mm > 0:
        shapes.append(pen.path("clash", [(laid.end, -0.62), (laid.end, 0.62)], laid))
    rows = [_drawn(pen, one, 15 + _ROW * row, laid, -1) for row, one in enumerate(above)]
    first = middle + tallest * thread.major_mm * scale + 24
    rows += [_drawn(pen, one, first + _ROW * row, laid, 1) for row, one in enumerate(below)]
    svg = (
        f'<svg viewBox="-8 0 376 {height:.0f}" role="img" aria-label="{escape(said)}">'
        '<defs><pattern id="cut" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V7"/></pattern>'
        '<pattern id="cut-other" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(-45)"><path d="M0 0V6"/></pattern></defs>'
        f"{''.join(shapes)}{''.join(rows)}</svg>"
    )
    # Every word in it went through escape.
    return JointDrawing(SafeString(svg), said)


@dataclass(frozen=True, slots=True)
class _Pen:
    """From millimetres along the axis, and nominal diameters off it, to the paper."""

    scale: float
    origin: float
    middle: float

    def x(self, mm: float) -> float:
        return self.origin + mm * self.scale

    def path(self, style: str, points: Iterable[tuple[float, float]], laid: Laid, close: str = "") -> str:
        size = laid.thread.major_mm * self.scale
        steps = "L".join(f"{self.x(along):.1f} {self.middle + off * size:.1f}" for along, off in points)
        return f'<path class="{style}" d="M{steps}{close}"/>'

    def boxes(self, style: str, along: tuple[float, float], off: tuple[float, float], laid: Laid) -> str:
        """Draw the same part above and below the axis."""
        (start, end), (low, high) = along, off
        corners = [(start, low), (end, low), (end, high), (start, high)]
        return "".join(self.path(style, [(x, side * y) for x, y in corners], laid, "Z") for side in (-1, 1))


def _hole(pen: _Pen, laid: Laid, mate: Mate) -> Iterator[str]:
    """Draw what is clamped, and the tapped part in section."""
    if laid.alone and not laid.is_nut:
        return
    if laid.washer:
        yield pen.boxes("part washer", (0, laid.washer), (0.53, WASHER_HALF), laid)
    if laid.face > laid.washer:
        guess = " guess" if Part.CLAMPED in laid.unknown else ""
        yield pen.boxes(f"part clamped{guess}", (laid.washer, laid.face), (0.56, BLOCK_HALF), laid)
    half = NUT_HALF if laid.in_nut else BLOCK_HALF
    yield from _tapped(pen, laid, half)
    if mate is Mate.INSERT:
        for side in (-1, 1):
            along = [(laid.mouth, side * 0.6), (laid.end, side * 0.6)]
            yield pen.path("insert", along, laid)


def _tapped(pen: _Pen, laid: Laid, half: float) -> Iterator[str]:
    chamfer = (laid.mouth - laid.face) / laid.thread.major_mm
    inner = _inner(laid.thread)
    guess = " guess" if Part.DEPTH in laid.unknown else ""
    for side in (-1, 1):
        hole = [(laid.face, side * (inner + max(chamfer, 0.04))), (laid.mouth, side * inner)]
        bottom = [(laid.end, side * inner)]
        if laid.blind:
            # A drill leaves a cone of 118 degrees.
            cone = laid.end + inner * laid.thread.major_mm * 0.6
            outline = [*hole, *bottom, (cone, 0), (laid.floor, 0), (laid.floor, side * half)]
        else:
            outline = [*hole, *bottom, (laid.end, side * half)]
        yield pen.path(f"part tapped{guess}", [*outline, (laid.face, side * half)], laid, "Z")
        yield pen.path("fine", [(laid.mouth, side * 0.5), (laid.end, side * 0.5)], laid)
        if Part.BOTTOM in laid.unknown:
            yield pen.path("open", [(laid.end, 0), (laid.end, side * inner)], laid)


def _inner(thread: Thread) -> float:
    """The radius at the crests of the hole, in nominal diameters."""
    return 0.5 - 0.54 * thread.pitch_mm / thread.major_mm


def _piece(pen: _Pen, laid: Laid, kind: Kind) -> Iterator[str]:
    """Draw the bolt, which is never cut on a drawing, with the engaged thread heavier."""
    thread = laid.thread
    over = _BEYOND / pen.scale
    if laid.alone and laid.is_nut:
        yield pen.path("axis", [(laid.start - over, 0), (laid.tip + over, 0)], laid)
        return
    guess = " guess" if Part.LENGTH in laid.unknown or laid.is_nut else ""
    begin = laid.start if not laid.has_head else 0.0
    # Where nobody measured it, thread runs back as far as is usual, or over all of what is headless.
    length = max(laid.tip - begin, thread.pitch_mm)
    threaded = begin + length - (laid.thread_length or usual_thread_length_mm(thread, length))
    whole = kind in {Kind.SETSCREW, Kind.GRUB_SCREW, Kind.PLUG} or laid.is_nut
    threaded = begin if whole and laid.thread_length is None else max(begin, threaded)
    top = list(_flanks(pen, laid, threaded, laid.tip))
    if kind is Kind.STUD:
        other = min(begin + 1.5 * thread.major_mm, threaded)
        top = [*_flanks(pen, laid, begin, other), (other, -0.5), (threaded, -0.5), *top]
    top = [(begin, -0.5), *top]
    yield pen.path(f"bolt{guess}", [*top, *((x, -y) for x, y in reversed(top))], laid, "Z")
    if laid.has_head:
        head = [(laid.start, -HEAD_HALF), (laid.start, HEAD_HALF), (0, HEAD_HALF), (0, -HEAD_HALF)]
        yield pen.path("bolt", head, laid, "Z")
        for side in (-1, 1) if kind in {Kind.HEX_BOLT, Kind.SETSCREW, Kind.PLUG} else ():
            yield pen.path("fine", [(laid.start, side * 0.4), (0, side * 0.4)], laid)
    elif kind is Kind.STUD and not laid.alone:
        yield pen.boxes("part nut guess", (-0.8 * thread.major_mm, 0), (0.5, NUT_HALF), laid)
    if laid.engaged:
        start, end = laid.engaged
        for side in (-1, 1):
            held = [(x, side * abs(y)) for x, y in _flanks(pen, laid, start, max(start, end))]
            yield pen.path("holds", held, laid)
    yield pen.path("axis", [(laid.start - over, 0), (laid.span[1] + over, 0)], laid)


def _flanks(pen: _Pen, laid: Laid, start: float, end: float) -> Iterator[tuple[float, float]]:
    """Walk the upper flanks of the thread from one place to another."""
    thread = laid.thread
    if thread.pitch_mm * pen.scale < _FINEST:
        yield from ((start, -0.5), (end, -0.5))
        return
    root = _inner(thread) - 0.04
    at = start
    yield at, -0.5
    while at + thread.pitch_mm <= end:
        yield at + thread.pitch_mm / 2, -root
        at += thread.pitch_mm
        yield at, -0.5
    yield end, -root


def _dimensions(
    facts: JointFacts, laid: Laid, holds: Holds, unit: LengthUnit
) -> tuple[list[Dimension], list[Dimension]]:
    """Return the dimensions above and below the drawing."""
    mate = facts.mate

    def one(start: float, end: float, words: str, mm: float | None, style: str = "known") -> Dimension:
        reckoned = words in {"holds", "needed"}
        number = "" if mm is None else _about(mm, unit) if reckoned else both_units(mm, unit)
        return Dimension(start, end, words, number, style if mm is not None else "unknown")

    above: list[Dimension] = []
    below: list[Dimension] = []
    if not laid.is_nut:
        over_all = facts.piece.kind is Kind.STUD or facts.piece.kind is Kind.GRUB_SCREW
        words = "over all" if over_all else "under the head"
        begin = laid.start if over_all else 0.0
        above.append(one(begin, laid.tip, words, facts.piece.length_mm))
    if laid.alone:
        return above, below
    if laid.face > laid.washer:
        above.append(one(laid.washer, laid.face, "clamped", mate.clamped_mm))
    if mate.washer_mm:
        above.append(one(0, laid.washer, "washers", mate.washer_mm))
    if mate.chamfer_mm:
        below.append(one(laid.face, laid.mouth, "countersink", mate.chamfer_mm))
    below.append(one(laid.face, laid.end, "nut" if laid.in_nut else "tapped", mate.depth_mm))
    start = laid.engaged[0] if laid.engaged else laid.mouth
    shown = holds.engaged_mm if holds.engaged_mm is not None else min(laid.tip, laid.end) - start
    below.append(one(start, start + max(shown, 0.0), "holds", holds.engaged_mm, "holds"))
    if holds.needed_mm is not None:
        reaches = holds.engaged_mm is not None and holds.engaged_mm >= holds.needed_mm
        style = "known" if reaches or holds.engaged_mm is None else "short"
        # A length beyond all drawing would shrink everything else: its number says it.
        end = min(start + holds.needed_mm, laid.span[1] + 2 * laid.thread.major_mm)
        below.append(one(start, end, "needed", holds.needed_mm, style))
    return above, below


def _about(mm: float, unit: LengthUnit) -> str:
    """Write what was reckoned, not measured: to a tenth of a millimetre."""
    inches, millimetres = f"{mm / MM_PER_INCH:.2f} in", f"{mm:.1f} mm"
    return f"{inches} ({millimetres})" if unit is LengthUnit.INCH else f"{millimetres} ({inches})"


def _drawn(pen: _Pen, one: Dimension, y: float, laid: Laid, side: int) -> str:
    """Draw a dimension as a row: the words above its line, ticks at both ends, thin lines to the part."""
    left, right = pen.x(one.start), pen.x(one.end)
    line = y + 5
    off = 0.5 * laid.thread.major_mm * pen.scale
    leads = "".join(f"M{x:.1f} {line:.1f}V{pen.middle + side * off:.1f}" for x in (left, right))
    ticks = "".join(f"M{x - 3:.1f} {line + 3:.1f}L{x + 3:.1f} {line - 3:.1f}" for x in (left, right))
    number = one.number or "not known"
    wide = len(one.words) * _WORD + (len(number) + 1) * _FIGURE
    at = min(max((left + right) / 2, wide / 2), WIDTH - wide / 2)
    return (
        f'<g class="size {one.style}"><path class="lead" d="{leads}"/>'
        f'<path d="M{left:.1f} {line:.1f}H{right:.1f}{ticks}"/>'
        f'<text x="{at:.1f}" y="{y:.1f}" text-anchor="middle">{escape(one.words)} '
        f'<tspan class="num">{escape(number)}</tspan></text></g>'
    )


def _said(thread: Thread, dimensions: Iterable[Dimension], holds: Holds) -> str:
    parts = "; ".join(f"{one.words} {one.number or 'not known'}" for one in dimensions)
    bottom = ""
    if holds.bottoms_by_mm > 0:
        bottom = f" The bolt meets the bottom of its hole {holds.bottoms_by_mm:.1f} mm before it clamps."
    return f"{thread.designation} in section: {parts}.{bottom}"
