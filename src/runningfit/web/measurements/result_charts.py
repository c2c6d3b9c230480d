"""Faces as grids, springs by their loads, run-out over a turn, all else as points on a line: with a pen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from django.utils.safestring import SafeString

from runningfit.core.measurements.sheets.features import SheetPoint
from runningfit.web.measurements.result_rings import DrawnLimit

Say = Callable[[float], str]


def grid(
    points: Sequence[SheetPoint], values: dict[str, float], *, worst: Sequence[str], say: Say
) -> SafeString:
    """Draw a face from above: at each point its reading, the circle the larger, the more it shows."""
    xs = sorted({point.x_mm or 0.0 for point in points})
    ys = sorted({point.y_mm or 0.0 for point in points})
    step_x, step_y = 84.0, 62.0
    width, height = 30 + step_x * len(xs), 26 + step_y * len(ys)
    low, high = min(values.values()), max(values.values())
    shapes = [f'<path class="metal" d="M14 8H{width - 14:.0f}V{height - 18:.0f}H14Z"/>']
    said = []
    for point in points:
        if point.key not in values:
            continue
        x = 15 + step_x * (xs.index(point.x_mm or 0.0) + 0.5)
        y = 4 + step_y * (ys.index(point.y_mm or 0.0) + 0.5)
        value = values[point.key]
        size = 2.5 + 12 * ((value - low) / (high - low) if high > low else 0.0)
        mark = ' class="worst"' if point.key in worst else ""
        shapes.append(f'<circle{mark or " class=height"} cx="{x:.0f}" cy="{y:.0f}" r="{size:.1f}"/>')
        shapes.append(
            f'<text{mark} x="{x:.0f}" y="{y + 30:.0f}" text-anchor="middle">'
            f"{point.key} {escape(say(value))}</text>"
        )
        said.append(f"{point.key}: {say(value)}")
    return _svg(width, height, f"The face from above. {'; '.join(said)}", shapes)


def load_line(
    points: Sequence[SheetPoint],
    values: dict[str, float],
    limits: Sequence[tuple[float | None, float | None, float | None, str]],
    *,
    say: Say,
) -> SafeString:
    """Draw the loads of a spring over its heights; limits are height, least and most load, and a style."""
    read = sorted((point.depth_mm or 0.0, values[point.key]) for point in points if point.key in values)
    heights = [height for height, _ in read] + [at for at, _, _, _ in limits if at is not None]
    ends = [end for _, low, high, _ in limits for end in (low, high) if end is not None]
    most = max([load for _, load in read] + ends) or 1.0
    short, long = min(heights), max(heights)
    left, right, top, floor = 70.0, 300.0, 34.0, 158.0

    def across(height: float) -> float:
        return (
            (left + right) / 2 if long == short else left + (height - short) / (long - short) * (right - left)
        )

    def up(load: float) -> float:
        return floor - load / most * (floor - top)

    shapes = [f'<path class="axis" d="M30 {floor}H330"/>']
    for at, least, greatest, style in limits:
        for height in [at] if at is not None else sorted({height for height, _ in read}):
            x = across(height)
            foot, head = (
                up(least if least is not None else 0.0),
                up(greatest) if greatest is not None else top - 8,
            )
            shapes.append(f'<path class="{style}" d="M{x - 9:.1f} {head:.1f}h18M{x - 9:.1f} {foot:.1f}h18"/>')
            shapes.append(f'<path class="{style}" d="M{x:.1f} {head:.1f}V{foot:.1f}"/>')
    line = "L".join(f"{across(height):.1f} {up(load):.1f}" for height, load in read)
    shapes.append(f'<path d="M{line}"/>')
    for height, load in read:
        x, y = across(height), up(load)
        shapes.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/>')
        shapes.append(f'<text x="{x + 12:.0f}" y="{y - 8:.0f}">{escape(say(load))}</text>')
        shapes.append(f'<text x="{x:.0f}" y="{floor + 20:.0f}" text-anchor="middle">{height:g} mm</text>')
    said = "; ".join(f"{say(load)} at {height:g} mm" for height, load in read)
    return _svg(360, 184, f"Loads over height. {said}", shapes)


def turn(
    points: Sequence[SheetPoint], values: dict[str, float], *, worst: Sequence[str], say: Say
) -> SafeString:
    """Draw what an indicator showed over one turn."""
    read = sorted(
        (point.angle_deg or 0.0, values[point.key], point.key) for point in points if point.key in values
    )
    low, high = min(value for _, value, _ in read), max(value for _, value, _ in read)
    middle, reach = (low + high) / 2, ((high - low) / 2) or 1.0

    def place(angle: float, value: float) -> str:
        return f"{40 + angle / 360 * 300:.1f} {92 - (value - middle) / reach * 46:.1f}"

    whole = [*((angle, value) for angle, value, _ in read), (read[0][0] + 360.0, read[0][1])]
    shapes = ['<path class="axis" d="M30 92H350"/>']
    shapes.append(f'<path d="M{"L".join(place(*one) for one in whole)}"/>')
    for angle, value, key in read:
        x, y = place(angle, value).split()
        mark = ' class="worst"' if key in worst else ""
        shapes.append(f'<circle{mark} cx="{x}" cy="{y}" r="{5 if mark else 3.2}"/>')
        if mark:
            lift = -12 if value >= middle else 22
            shapes.append(
                f'<text{mark} x="{x}" y="{float(y) + lift:.0f}" text-anchor="middle">'
                f"{escape(say(value))}</text>"
            )
        shapes.append(f'<text x="{x}" y="176" text-anchor="middle">{angle:g}°</text>')
    said = "; ".join(f"{angle:g}°: {say(value)}" for angle, value, _ in read)
    return _svg(370, 184, f"Readings over a turn. {said}", shapes)


def on_a_line(
    values: Sequence[tuple[str, float, float]], limits: Sequence[DrawnLimit], *, say: Say
) -> SafeString:
    """Draw values as points on a line between their limits; each with its name and how sure it is."""
    ends = [end for _, value, sure in values for end in (value - sure, value + sure)]
    ends += [one.value for one in limits]
    low, high = min(ends), max(ends)
    span = (high - low) or abs(high) or 1.0
    left, right = 40.0, 320.0

    def across(value: float) -> float:
        return left + 20 + (value - low) / span * (right - left - 40)

    height = 62 + 34 * len(values)
    shapes = []
    for number, one in enumerate(sorted(limits, key=lambda each: each.value)):
        x = across(one.value)
        shapes.append(f'<path class="{one.style}" d="M{x:.1f} 24V{height - 22}"/>')
        y = 16 if number % 2 == 0 else height - 6
        shapes.append(f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="middle">{escape(say(one.value))}</text>')
    for number, (name, value, sure) in enumerate(values):
        y = 52 + 34 * number
        x = across(value)
        shapes.append(f'<path class="axis" d="M{left:.0f} {y}H{right:.0f}"/>')
        first, last = across(value - sure), across(value + sure)
        shapes.append(f'<path d="M{first:.1f} {y}H{last:.1f}M{first:.1f} {y - 5}v10M{last:.1f} {y - 5}v10"/>')
        shapes.append(f'<circle cx="{x:.1f}" cy="{y}" r="4"/>')
        words = f"{name} {say(value)}" if name else say(value)
        shapes.append(f'<text x="{x:.0f}" y="{y - 10}" text-anchor="middle">{escape(words)}</text>')
    said = "; ".join(f"{name} {say(value)}".strip() for name, value, _ in values)
    between = ", ".join(say(one.value) for one in limits)
    return _svg(360, height, f"{said}{f'. Limits: {between}' if between else ''}", shapes)


def _svg(width: float, height: float, said: str, shapes: Sequence[str]) -> SafeString:
    return SafeString(
        f'<svg viewBox="0 0 {width:.0f} {height:.0f}" role="img" aria-label="{escape(said)}">'
        f"{''.join(shapes)}</svg>"
    )
