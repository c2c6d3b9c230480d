"""A fit drawn with a pen: hole and shaft with the gap magnified, bars of the clearance against its limits."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from django.utils.safestring import SafeString

from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.web.joints.fit_saying import hot_words, number, span_words
from runningfit.workshop.joints.fit_answers import PairAnswer, Span

_WIDTH = 360.0
_CX, _CY, _R = 96.0, 92.0, 66.0
# The widest gap is drawn this wide; the scale that this makes is written beside it.
_GAP = 22.0
_LEFT, _RIGHT = 60.0, 346.0
_BARS_TOP = 198.0
# Figures below the bars that would stand closer than this are left out.
_APART = 52.0


def fit_drawing(
    answer: PairAnswer, limits: Sequence[FitLimits], *, called: tuple[str, str], size_mm: float, unit: str,
    press: bool = False,
) -> SafeString:  # fmt: skip
    """Draw one pair.

    Parameters
    ----------
    answer : PairAnswer
        The pair, worked out.
    limits : sequence of FitLimits
        What it is held against; drawn as bands over the bars.
    called : tuple of str
        What hole and shaft are called.
    size_mm : float
        The diameter, to say how many times the gap is magnified [mm].
    unit : str
        mm or in.
    press : bool
        Whether it is a press fit, whose parts overlap.
    """
    shown = max(abs(answer.cold.close.middle_mm), abs(answer.cold.wide.middle_mm), 1e-6)
    around, within = map(escape, called)
    gap = max(2.0, _GAP * abs(answer.cold.close.middle_mm) / shown)
    tight = answer.cold.close.middle_mm < 0
    inner = _R + gap / 2 if tight else _R - gap
    drawn_mm = size_mm / (2 * _R)
    times = max(1, round(gap * drawn_mm / max(abs(answer.cold.close.middle_mm) / 2, 1e-6) / 10) * 10)
    shapes = [
        f'<circle class="around" cx="{_CX}" cy="{_CY}" r="{_R + (22 if tight else 9)}"/>',
        f'<circle class="hole" cx="{_CX}" cy="{_CY}" r="{_R}"/>',
        f'<circle class="shaft{" tight" if tight else ""}" cx="{_CX}" cy="{_CY}" r="{inner:.1f}"/>',
        f'<path class="axis" d="M{_CX - _R - 20} {_CY}H{_CX + _R + 20}'
        f'M{_CX} {_CY - _R - 14}V{_CY + _R + 14}"/>',
        f'<path d="M{_CX + _R + 34} {_CY - 34}H{_CX + _R * 0.72:.1f}V{_CY - _R * 0.66:.1f}"/>',
        f'<text x="{_CX}" y="{_CY - 16}" text-anchor="middle">{within}</text>',
        f'<text x="{_CX + _R + 38}" y="{_CY - 46}">{around}</text>',
        f'<text x="{_CX + _R + 38}" y="{_CY - 26}">{"overlap" if tight else "gap"}, {times} times</text>',
        f'<text x="{_CX + _R + 38}" y="{_CY - 8}" class="num">'
        f"{escape(span_words(answer.cold, unit, press=press).removesuffix(' tight'))}</text>",
    ]
    bars = _bars(answer, limits, unit, press=press)
    height = _BARS_TOP + (60 if answer.hot is not None else 30) + 32
    words = f"{called[1]} in {called[0]}: {span_words(answer.cold, unit, press=press)} at 20 °C" + (
        f", {hot_words(answer.hot, unit)} hot" if answer.hot else ""
    )
    return SafeString(
        f'<svg viewBox="0 0 {_WIDTH:.0f} {height:.0f}" role="img" aria-label="{escape(words)}">'
        f"{''.join(shapes)}{bars}</svg>"
    )


def _bars(answer: PairAnswer, limits: Sequence[FitLimits], unit: str, *, press: bool) -> str:
    sign = -1.0 if press else 1.0
    rows: list[tuple[str, tuple[float, float, float, float]]] = [("20 °C", _ends(answer.cold, sign))]
    if answer.hot is not None:
        rows.append(("hot", _ends(answer.hot, sign)))
    values = [0.0, *(one for _, ends in rows for one in ends)]
    values += [end for one in limits for end in (one.bounds.lower, one.bounds.upper) if end is not None]
    low, high = min(values), max(values)
    room = 0.06 * (high - low or 1.0)
    low, high = low - room, high + room

    def across(value: float) -> float:
        return _LEFT + (value - low) / (high - low) * (_RIGHT - _LEFT)

    foot = _BARS_TOP + 30 * len(rows)
    shapes = []
    for place, one in enumerate(limits[:2]):
        first = across(one.bounds.lower) if one.bounds.lower is not None else _LEFT
        last = across(one.bounds.upper) if one.bounds.upper is not None else _RIGHT
        style = "new" if one.used_for is LimitsFor.NEW else "worn"
        top = _BARS_TOP - 8 - 5 * place
        shapes.append(
            f'<rect class="band {style}" x="{first:.1f}" y="{top}" width="{max(2.0, last - first):.1f}" '
            f'height="{foot - top:.1f}"/>'
        )
    shapes.append(f'<path class="axis" d="M{across(0.0):.1f} {_BARS_TOP - 14}V{foot + 8}"/>')
    shapes.append(f'<text x="{across(0.0):.1f}" y="{foot + 24}" text-anchor="middle" class="num">0</text>')
    for place, (name, (least, close, wide, most)) in enumerate(rows):
        y = _BARS_TOP + 10 + 30 * place
        shapes.append(f'<text x="{_LEFT - 8}" y="{y + 5}" text-anchor="end">{name}</text>')
        shapes.append(f'<path class="reach" d="M{across(least):.1f} {y}H{across(most):.1f}"/>')
        shapes.append(
            f'<rect class="bar" x="{across(close) - 1.5:.1f}" y="{y - 7}" '
            f'width="{across(wide) - across(close) + 3:.1f}" height="14"/>'
        )
    ends = [end for one in limits[:1] for end in (one.bounds.lower, one.bounds.upper) if end is not None]
    written = [across(0.0)]
    for end in ends:
        if all(abs(across(end) - x) > _APART for x in written):
            written.append(across(end))
            shapes.append(
                f'<text x="{across(end):.1f}" y="{foot + 24}" text-anchor="middle" class="num">'
                f"{number(end, unit)}</text>"
            )
    return "".join(shapes)


def _ends(span: Span, sign: float) -> tuple[float, float, float, float]:
    low, high = span.ends_mm()
    ends = sorted((sign * low, sign * high))
    inner = sorted((sign * span.close.low_mm, sign * span.wide.high_mm))
    return ends[0], inner[0], inner[1], ends[1]
