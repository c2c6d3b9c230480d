"""What to measure next, drawn with a pen: each point of a set has its own marks, and only the next one shows.

All points are in the drawing, so that the page can go on to the next one while it reaches nobody.
"""

from __future__ import annotations

from html import escape
from math import cos, radians, sin

from django.utils.safestring import SafeString

from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint

_WIDTH, _HEIGHT = 340.0, 176.0
# The circle seen from above, and the part seen from the side.
_CX, _CY, _R = 84.0, 92.0, 58.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 206.0, 300.0, 30.0, 156.0


def point_drawing(kind: FeatureKind, points: tuple[SheetPoint, ...], now: str, words: str) -> SafeString:
    """Draw a kind of feature with the marks of its points; those of the point ``now`` show."""
    draw = {
        FeatureKind.BORE: _bore,
        FeatureKind.SHAFT: _shaft,
        FeatureKind.FACE: _face,
        FeatureKind.RUNOUT: _runout,
        FeatureKind.LOAD: _spring,
    }.get(kind, _plain)
    scene, marks = draw(kind, points)
    drawn = "".join(
        f'<g class="at{" next" if point.key == now else ""}" data-at="{escape(point.key)}">{mark}</g>'
        for point, mark in zip(points, marks, strict=True)
    )
    return SafeString(
        f'<svg viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" role="img" aria-label="{escape(words)}">'
        f"{scene}{drawn}</svg>"
    )


def _path(data: str, style: str = "") -> str:
    named = f' class="{style}"' if style else ""
    return f'<path{named} d="{data}"/>'


def _text(x: float, y: float, words: str, anchor: str = "middle") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def _circle(x: float, y: float, r: float, style: str = "") -> str:
    return f'<circle class="{style}" cx="{x:.1f}" cy="{y:.1f}" r="{r:g}"/>'


def _across(angle_deg: float, r: float) -> str:
    """A double arrow across the circle, 0° along the axis of the crank."""
    dx, dy = cos(radians(angle_deg)), -sin(radians(angle_deg))
    ends = []
    for sign in (1, -1):
        tip = (_CX + sign * r * dx, _CY + sign * r * dy)
        for side in (1, -1):
            ends.append(
                f"M{tip[0]:.1f} {tip[1]:.1f}l{-sign * 11 * dx + side * 6 * dy:.1f} "
                f"{-sign * 11 * dy - side * 6 * dx:.1f}"
            )
    return _path(
        f"M{_CX - r * dx:.1f} {_CY - r * dy:.1f}L{_CX + r * dx:.1f} {_CY + r * dy:.1f}" + "".join(ends)
    )


def _places(values: list[float], first: float, last: float) -> dict[float, float]:
    """Where each value lies between two ends of the drawing, with room at both."""
    low, high = min(values), max(values)
    room = (last - first) * 0.14
    span = high - low
    return {
        one: (first + last) / 2 if not span else first + room + (one - low) / span * (last - first - 2 * room)
        for one in values
    }


def _bore(_kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    depths = _places([point.depth_mm or 0.0 for point in points], _TOP, _BOTTOM)
    scene = (
        _circle(_CX, _CY, _R, "part")
        + _path(f"M{_CX - _R - 20} {_CY}H{_CX + _R + 20}M{_CX} {_CY - _R - 12}V{_CY + _R + 12}", "axis")
        + _text(_CX, 14, "from above")
        + _path(f"M{_LEFT} {_TOP}V{_BOTTOM}M{_RIGHT} {_TOP}V{_BOTTOM}")
        + _path(f"M{_LEFT - 26} {_TOP}H{_LEFT}V{_BOTTOM}H{_LEFT - 26}M{_RIGHT + 26} {_TOP}H{_RIGHT}V{_BOTTOM}"
                f"H{_RIGHT + 26}", "fine")
        + _path(f"M{(_LEFT + _RIGHT) / 2} {_TOP - 10}V{_BOTTOM + 10}", "axis")
        + _text((_LEFT + _RIGHT) / 2, 14, "from the side")
    )  # fmt: skip
    marks = []
    for point in points:
        y = depths[point.depth_mm or 0.0]
        marks.append(
            _across(point.angle_deg or 0.0, _R)
            + _path(
                f"M{_LEFT} {y:.1f}H{_RIGHT}M{_LEFT} {y:.1f}l10 -5m-10 5l10 5"
                f"M{_RIGHT} {y:.1f}l-10 -5m10 5l-10 5"
            )
            + _text((_LEFT + _RIGHT) / 2, y - 6, f"{point.depth_mm:g} mm")
        )
    return scene, marks


def _shaft(_kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    left, right, top, bottom = 196.0, 316.0, 56.0, 128.0
    along = _places([point.depth_mm or 0.0 for point in points], left, right)
    scene = (
        _circle(_CX, _CY, _R, "part")
        + _path(f"M{_CX - _R - 12} {_CY}H{_CX + _R + 12}M{_CX} {_CY - _R - 12}V{_CY + _R + 12}", "axis")
        + _text(_CX, 14, "from its end")
        + _path(f"M{left} {top}H{right}M{left} {bottom}H{right}")
        + _path(f"M{left} {top - 22}V{bottom + 22}M{right} {top - 22}V{bottom + 22}M{left - 12} {top - 22}"
                f"V{bottom + 22}M{right + 12} {top - 22}V{bottom + 22}", "fine")
        + _path(f"M{left - 20} {(top + bottom) / 2}H{right + 20}", "axis")
        + _text((left + right) / 2, 14, "from the side")
    )  # fmt: skip
    marks = []
    for point in points:
        x = along[point.depth_mm or 0.0]
        marks.append(
            _across(point.angle_deg or 0.0, _R)
            + _path(
                f"M{x:.1f} {top}V{bottom}M{x:.1f} {top}l-5 10m5 -10l5 10M{x:.1f} {bottom}l-5 -10m5 10l5 -10"
            )
            + _text(min(max(x, left + 22), right - 22), bottom + 40, f"{point.depth_mm:g} mm")
        )
    return scene, marks


def _face(_kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    xs = _places([point.x_mm or 0.0 for point in points], 20, _WIDTH - 20)
    ys = _places([point.y_mm or 0.0 for point in points], 20, _HEIGHT - 14)
    scene = _path(f"M22 22H{_WIDTH - 22}V{_HEIGHT - 16}H22Z")
    scene += _path(
        "".join(f"M{x:.1f} 22V{_HEIGHT - 16}" for x in xs.values())
        + "".join(f"M22 {y:.1f}H{_WIDTH - 22}" for y in ys.values()),
        "axis",
    )
    marks = []
    for point in points:
        x, y = xs[point.x_mm or 0.0], ys[point.y_mm or 0.0]
        scene += _circle(x, y, 3, "dot")
        marks.append(_circle(x, y, 13, "ring") + _text(x, y - 18 if y > 44 else y + 30, point.said))
    return scene, marks


def _runout(_kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    cx, cy, r = 170.0, 92.0, 50.0
    scene = (
        _circle(cx, cy, r, "part")
        + _path(f"M{cx - 74} {cy + 78}L{cx - 35} {cy + 36}M{cx + 74} {cy + 78}L{cx + 35} {cy + 36}")
        + _path(f"M{cx} {cy - r}V{cy - r - 24}M{cx - 12} {cy - r - 24}H{cx + 12}", "fine")
        + _text(cx + 18, cy - r - 16, "indicator", "start")
    )
    marks = []
    for point in points:
        turn = radians(90 + (point.angle_deg or 0.0))
        x, y = cx + r * cos(turn), cy - r * sin(turn)
        marks.append(
            _path(f"M{cx} {cy}L{x:.1f} {y:.1f}") + _circle(x, y, 6, "full")
            + _text(cx, cy + 20, f"{point.angle_deg:g}°")
        )  # fmt: skip
    return scene, marks


def _spring(_kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    highest = max((point.depth_mm or 0.0) for point in points) or 1.0
    floor, left, right = 160.0, 110.0, 190.0
    scene = _path(f"M{left - 30} {floor}H{right + 30}")
    marks = []
    for point in points:
        high = 126.0 * (point.depth_mm or 0.0) / highest
        top, coils = floor - high, 6
        rise = high / coils
        wire = "".join(
            f"L{right if turn % 2 == 0 else left} {floor - rise * (turn + 0.5):.1f}" for turn in range(coils)
        )
        marks.append(
            _path(f"M{left} {floor}{wire}L{left if coils % 2 == 0 else right} {top:.1f}")
            + _path(f"M{left - 30} {top:.1f}H{right + 30}")
            + _path(
                f"M{right + 44} {floor}V{top:.1f}m-5 9l5 -9l5 9M{right + 39} {floor - 9}l5 9l5 -9", "fine"
            )
            + _text(right + 54, floor - high / 2 + 5, f"{point.depth_mm:g} mm", "start")
        )
    return scene, marks


def _plain(kind: FeatureKind, points: tuple[SheetPoint, ...]) -> tuple[str, list[str]]:
    scene = {
        FeatureKind.GAP: _path("M70 52H270V76H70ZM70 100H270V124H70Z") + _path("M40 88H300", "axis"),
        FeatureKind.LENGTH: _path("M80 70H260V110H80Z") + _path("M80 128V146M260 128V146M80 137H260"),
        FeatureKind.VOLUME: _path("M120 40V132H220V40M120 74H220M158 12V40M182 12V40"),
        FeatureKind.WEIGHT: _path("M110 132H230L214 96H126ZM126 96V84H214V96M150 84V58H190V84"),
    }[kind]
    return scene, [_text(_WIDTH / 2, 166, point.said) for point in points]
