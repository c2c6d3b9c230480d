"""The errors of a gauge's checks over time, drawn with a pen: each with how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from django.utils.safestring import SafeString

from runningfit.web import drawn
from runningfit.web.measurements.gauge_saying import signed
from runningfit.workshop.measurements.models import Calibration

_WIDTH, _HEIGHT = 360.0, 170.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 14.0, 346.0, 22.0, 140.0
_FEWEST = 2


def drift_drawing(checks: Sequence[Calibration], unit: str) -> SafeString | None:
    """Draw the checks of a gauge, oldest on the left; none where there are too few to show a drift.

    A stroke up and down is the expanded uncertainty of a check; the dashed line is a gauge that reads right.
    """
    rows = sorted(checks, key=lambda row: (row.on, row.pk))
    if len(rows) < _FEWEST:
        return None
    first, last = rows[0].on, rows[-1].on
    days = max(1, (last - first).days)
    reach = max(abs(row.error) + (row.expanded_u or 0.0) for row in rows) or 1.0

    def across(row: Calibration) -> float:
        return _LEFT + 10 + (row.on - first).days / days * (_RIGHT - _LEFT - 20)

    def up(error: float) -> float:
        return (_TOP + _BOTTOM) / 2 - error / reach * (_BOTTOM - _TOP) / 2

    nought = up(0.0)
    shapes = [f'<path class="axis" d="M{_LEFT:.0f} {nought:.1f}H{_RIGHT:.0f}"/>']
    line = "L".join(f"{across(row):.1f} {up(row.error):.1f}" for row in rows)
    shapes.append(f'<path class="fine" d="M{line}"/>')
    for row in rows:
        x = across(row)
        if row.expanded_u:
            top, foot = up(row.error + row.expanded_u), up(row.error - row.expanded_u)
            shapes.append(
                f'<path d="M{x:.1f} {top:.1f}V{foot:.1f}M{x - 4:.1f} {top:.1f}h8M{x - 4:.1f} {foot:.1f}h8"/>'
            )
        shapes.append(f'<circle cx="{x:.1f}" cy="{up(row.error):.1f}" r="3.4"/>')
    most = escape(signed(reach, unit).lstrip("+"))
    words = (
        f'<text x="{_LEFT:.0f}" y="{_HEIGHT - 8:.0f}">{drawn.day(first)}</text>'
        f'<text x="{_RIGHT:.0f}" y="{_HEIGHT - 8:.0f}" text-anchor="end">{drawn.day(last)}</text>'
        f'<text x="{_LEFT:.0f}" y="14">errors up to {most} either way</text>'
    )
    said = "; ".join(f"{drawn.day(row.on)}: {signed(row.error, unit)}" for row in rows)
    return SafeString(
        f'<svg viewBox="0 0 {_WIDTH:.0f} {_HEIGHT:.0f}" role="img" aria-label="Errors of its checks. '
        f'{escape(said)}">{"".join(shapes)}{words}</svg>'
    )
