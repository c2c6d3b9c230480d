"""Bores as rings and journals as profiles, with a pen: what strays is magnified, the limits lie beside."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import cos, floor, log10, pi, radians, sin

from django.utils.safestring import SafeString

from runningfit.core.measurements.sheets.features import SheetPoint

Say = Callable[[float], str]
_R, _REACH = 62.0, 20.0
_CX, _CY = 140.0, 106.0
# Deviations smaller than this are drawn no larger: a good bore must not look a bad one.
_LEAST_MM = 0.01
# A limit farther off than so many times the readings stray would make them one line.
_FARTHEST = 5.0


@dataclass(frozen=True, slots=True)
class DrawnLimit:
    """A limit of size: where it lies, and whether wear, new or borrowed."""

    value: float
    style: str


@dataclass(frozen=True, slots=True)
class Scale:
    """How deviations are drawn: from which size, how large, and how many limits are left out."""

    middle: float
    per_mm: float
    left_out: int

    def __call__(self, value: float) -> float:
        return (value - self.middle) * self.per_mm

    @property
    def magnified(self) -> float:
        """How many times larger a deviation is drawn than the piece around it, to two places."""
        times = self.per_mm * self.middle / _R
        digits = -floor(log10(times)) + 1
        return round(times, digits)


def scale_of(values: Sequence[float], limits: Sequence[DrawnLimit]) -> Scale:
    """Return the scale on which all sections of a feature are drawn."""
    middle = (max(values) + min(values)) / 2
    strays = max(_LEAST_MM, *(abs(value - middle) for value in values))
    near = [abs(one.value - middle) for one in limits if abs(one.value - middle) <= _FARTHEST * strays]
    return Scale(middle, _REACH / max([strays, *near]), len(limits) - len(near))


def shown_limits(limits: Sequence[DrawnLimit], scale: Scale) -> list[DrawnLimit]:
    """Return the limits that lie near enough to be drawn."""
    return [one for one in limits if abs(scale(one.value)) <= _REACH * 1.001]


def ring(
    points: Sequence[SheetPoint],
    values: dict[str, float],
    limits: Sequence[DrawnLimit],
    scale: Scale,
    *,
    worst: Sequence[str],
    say: Say,
) -> SafeString:
    """Draw the diameters of one depth as a ring, each at both of its ends."""
    read = sorted(
        ((point.angle_deg or 0.0) % 180.0, values[point.key], point.key in worst)
        for point in points
        if point.key in values
    )
    shapes = [f'<path class="metal" d="{_around(read, scale)}"/>']
    shapes.append(f'<path class="axis" d="M{_CX - 92} {_CY}H{_CX + 92}M{_CX} {_CY - 92}V{_CY + 92}"/>')
    shapes += [_circle(_R + scale(one.value), one.style) for one in shown_limits(limits, scale)]
    for angle, value, is_worst in read:
        for turn in (0.0, 180.0):
            x, y = _at(angle + turn, _R + scale(value))
            size, style = (5.5, ' class="worst"') if is_worst else (3.2, "")
            shapes.append(f'<circle{style} cx="{x:.1f}" cy="{y:.1f}" r="{size}"/>')
        shapes.append(_label(angle, say(value), is_worst))
    depth = points[0].depth_mm or 0.0
    said = "; ".join(f"{angle:g}°: {say(value)}" for angle, value, _ in read)
    return SafeString(
        f'<svg viewBox="0 0 280 212" role="img" aria-label="Ring at {depth:g} mm. {escape(said)}">'
        f"{''.join(shapes)}"
        f'<text x="6" y="16">{depth:g} mm</text></svg>'
    )


def _around(read: list[tuple[float, float, bool]], scale: Scale) -> str:
    """A closed line through the readings, going over from one to the next as a cosine does."""
    steps = []
    for at in range(0, 360, 6):
        steps.append("{:.1f} {:.1f}".format(*_at(at, _R + scale(_between(read, at % 180)))))
    return f"M{'L'.join(steps)}Z"


def _between(read: list[tuple[float, float, bool]], angle: float) -> float:
    if len(read) == 1:
        return read[0][1]
    turned = [
        (read[-1][0] - 180.0, read[-1][1]),
        *((a, v) for a, v, _ in read),
        (read[0][0] + 180.0, read[0][1]),
    ]
    for (low, first), (high, second) in pairwise(turned):
        if low <= angle <= high:
            share = (1 - cos(pi * (angle - low) / (high - low))) / 2
            return first + (second - first) * share
    return read[0][1]


def _at(angle_deg: float, r: float) -> tuple[float, float]:
    return _CX + r * cos(radians(angle_deg)), _CY - r * sin(radians(angle_deg))


def _circle(r: float, style: str) -> str:
    return (
        f'<path class="{style}" d="M{_CX - r:.1f} {_CY}a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0'
        f'a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0"/>'
    )


def _label(angle: float, words: str, is_worst: bool) -> str:
    x, y = _at(angle, 88.0)
    anchor = "middle" if abs(x - _CX) < 20 else "start" if x > _CX else "end"
    style = ' class="worst"' if is_worst else ""
    more = ""
    if is_worst:
        more = " worst" if anchor == "middle" else f'<tspan x="{x:.0f}" dy="15">worst</tspan>'
    lift = -4 if anchor == "middle" else 4
    return f'<text{style} x="{x:.0f}" y="{y + lift:.0f}" text-anchor="{anchor}">{escape(words)}{more}</text>'


def profile(
    points: Sequence[SheetPoint],
    values: dict[str, float],
    limits: Sequence[DrawnLimit],
    scale: Scale,
    *,
    worst: Sequence[str],
    say: Say,
) -> SafeString:
    """Draw a journal from the side: at each depth from its smallest to its largest diameter."""
    depths = sorted({point.depth_mm or 0.0 for point in points})
    span = (depths[-1] - depths[0]) or 1.0
    left, right, top, foot = 64.0, 296.0, 62.0, 138.0

    def across(depth: float) -> float:
        return (left + right) / 2 if len(depths) == 1 else left + (depth - depths[0]) / span * (right - left)

    shapes = [f'<path class="axis" d="M20 {(top + foot) / 2}H340"/>']
    for one in shown_limits(limits, scale):
        off = scale(one.value)
        shapes.append(f'<path class="{one.style}" d="M28 {top - off:.1f}H332M28 {foot + off:.1f}H332"/>')
    middles: list[tuple[float, float]] = []
    said = []
    for depth in depths:
        read = {p.key: values[p.key] for p in points if p.depth_mm == depth and p.key in values}
        if not read:
            continue
        x, low, high = across(depth), min(read.values()), max(read.values())
        middles.append((x, scale(sum(read.values()) / len(read))))
        shapes.append(
            f'<path d="M{x:.1f} {top - scale(low):.1f}V{top - scale(high):.1f}'
            f'M{x:.1f} {foot + scale(low):.1f}V{foot + scale(high):.1f}"/>'
        )
        for key, value in read.items():
            size, style = (5.5, ' class="worst"') if key in worst else (3.0, "")
            for y in (top - scale(value), foot + scale(value)):
                shapes.append(f'<circle{style} cx="{x:.1f}" cy="{y:.1f}" r="{size}"/>')
        mark = ' class="worst"' if any(key in worst for key in read) else ""
        word = ", worst" if mark else ""
        shapes.append(f'<text x="{x:.0f}" y="20" text-anchor="middle"{mark}>{escape(say(high))}</text>')
        shapes.append(f'<text x="{x:.0f}" y="36" text-anchor="middle"{mark}>{escape(say(low))}</text>')
        shapes.append(f'<text x="{x:.0f}" y="188" text-anchor="middle">{depth:g} mm{word}</text>')
        said.append(f"{depth:g} mm along: {say(low)} to {say(high)}")
    ends = [(28.0, middles[0][1]), *middles, (332.0, middles[-1][1])]
    upper = "L".join(f"{x:.1f} {top - off:.1f}" for x, off in ends)
    lower = "L".join(f"{x:.1f} {foot + off:.1f}" for x, off in reversed(ends))
    return SafeString(
        f'<svg viewBox="0 0 360 196" role="img" aria-label="Profile. {escape("; ".join(said))}">'
        f'<path class="metal" d="M{upper}L{lower}Z"/>{"".join(shapes)}</svg>'
    )
