"""The engine figures drawn with a pen: a cylinder with its volumes, and the circle of its valve timing."""

from __future__ import annotations

from html import escape
from math import cos, pi, sin

from django.utils.safestring import SafeString

from runningfit.core.measurements.engine_figures.compression import Cylinder
from runningfit.core.measurements.engine_figures.timing import Timing, ValveEvent
from runningfit.core.units import LengthUnit, format_measured

WORDS = {
    ValveEvent.INLET_OPENS: "inlet opens",
    ValveEvent.INLET_CLOSES: "inlet closes",
    ValveEvent.EXHAUST_OPENS: "exhaust opens",
    ValveEvent.EXHAUST_CLOSES: "exhaust closes",
}
_LEFT, _RIGHT = 70.0, 190.0
_FACE = 92.0
_FLAT_ML = 0.005
_TURN, _R = 360.0, 84.0


def cylinder_drawing(one: Cylinder, unit: LengthUnit, *, crevice_ml: float = 0.0) -> SafeString:
    """Draw a cylinder in section at the top of the stroke, each volume beside its place; not to scale.

    Parameters
    ----------
    crevice_ml : float
        How much of what the piston leaves is the gap beside its top land [ml].
    """
    hollow_ml = one.dish_ml.value - crevice_ml
    deck = one.deck_mm.value
    crown = _FACE + 6 + (14 if deck > 0 else -6 if deck < 0 else 0)
    bottom, middle = crown + 96, (_LEFT + _RIGHT) / 2
    dish = 0 if abs(hollow_ml) < _FLAT_ML else 12 if hollow_ml > 0 else -12
    crown_words = "dish" if dish > 0 else "dome"
    lines = [
        (52.0, f"chamber {one.chamber_ml.value:.1f} ml"),
        (_FACE - 2, f"gasket {_length(one.gasket_mm.value, unit)}"),
        (_FACE + 20, f"deck {_length(deck, unit)}"),
        (_FACE + 42, f"{crown_words} {abs(hollow_ml):.1f} ml" if dish else "flat piston"),
        *([(_FACE + 64, f"beside the top land {crevice_ml:.1f} ml")] if crevice_ml else []),
        (bottom - 6, f"swept {one.swept_ml:.1f} ml"),
    ]
    shapes = [
        f'<path d="M{_LEFT} {_FACE - 6}Q{middle} 8 {_RIGHT} {_FACE - 6}" fill="none"/>',
        f'<path class="fine" d="M{_LEFT - 30} {_FACE - 6}H{_LEFT}M{_RIGHT} {_FACE - 6}h30"/>',
        f'<path class="holds" d="M{_LEFT - 30} {_FACE}H{_LEFT - 2}M{_RIGHT + 2} {_FACE}h28"/>',
        f'<path d="M{_LEFT} {_FACE + 6}V{bottom + 70}M{_RIGHT} {_FACE + 6}V{bottom + 70}"/>',
        f'<path class="fine" d="M{_LEFT - 30} {_FACE + 6}H{_LEFT}M{_RIGHT} {_FACE + 6}h30"/>',
        f'<path d="M{_LEFT + 4} {bottom}V{crown}Q{middle} {crown + 2 * dish} {_RIGHT - 4} {crown}'
        f'V{bottom}z"/>',
        f'<path class="guess" d="M{_LEFT + 4} {bottom + 62}H{_RIGHT - 4}"/>',
        f'<path class="axis" d="M{middle} 6V{bottom + 78}"/>',
        f'<circle cx="{middle}" cy="{bottom - 30}" r="9" fill="none" stroke="currentColor"/>',
    ]
    words = "".join(
        f'<g class="size"><path class="lead" d="M{_RIGHT - (2 if text.startswith("beside") else 30)} '
        f'{y - 4:.0f}H{_RIGHT + 40}"/>'
        f'<text x="{_RIGHT + 44}" y="{y:.0f}">{escape(text)}</text></g>'
        for y, text in lines
    )
    said = f"Cylinder {one.name} at the top of its stroke: " + ", ".join(text for _, text in lines)
    return SafeString(
        f'<svg viewBox="0 0 400 {bottom + 84:.0f}" role="img" aria-label="{escape(said)}">'
        f"{''.join(shapes)}{words}</svg>"
    )


def _length(mm: float, unit: LengthUnit) -> str:
    return format_measured(mm, unit, 0.01 if unit is LengthUnit.MM else 0.0254)


def timing_drawing(timing: Timing, name: str) -> SafeString:
    """Draw the timing of one cylinder: top dead centre above, the crank turning clockwise, both openings."""
    angles = {one.event: one.angle_deg.value for one in timing.events}
    at = {
        ValveEvent.INLET_OPENS: -angles.get(ValveEvent.INLET_OPENS, 0.0),
        ValveEvent.INLET_CLOSES: 180 + angles.get(ValveEvent.INLET_CLOSES, 0.0),
        ValveEvent.EXHAUST_OPENS: 180 - angles.get(ValveEvent.EXHAUST_OPENS, 0.0),
        ValveEvent.EXHAUST_CLOSES: _TURN + angles.get(ValveEvent.EXHAUST_CLOSES, 0.0),
    }
    shapes = [
        f'<path class="axis" d="M180 18V262M{180 - _R - 14:.0f} 140H{180 + _R + 14:.0f}"/>',
        f'<path class="fine" d="{_arc(0, 359.99, _R + 6)}"/>',
    ]
    if {ValveEvent.INLET_OPENS, ValveEvent.INLET_CLOSES} <= set(angles):
        span = at[ValveEvent.INLET_OPENS], at[ValveEvent.INLET_CLOSES]
        shapes.append(f'<path class="holds" d="{_arc(*span, _R - 8)}"/>')
    if {ValveEvent.EXHAUST_OPENS, ValveEvent.EXHAUST_CLOSES} <= set(angles):
        span = at[ValveEvent.EXHAUST_OPENS], at[ValveEvent.EXHAUST_CLOSES]
        shapes.append(f'<path class="exhaust" d="{_arc(*span, _R - 24)}"/>')
    for one in timing.events:
        angle = at[one.event]
        (x0, y0), (x1, y1) = _at(angle, _R - 32), _at(angle, _R + 12)
        shapes.append(f'<path d="M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}"/>')
        x, y = _at(angle, _R + 18)
        anchor = "start" if x >= 180 else "end"
        shapes.append(
            f'<g class="size"><text x="{x:.0f}" y="{y + 4:.0f}" text-anchor="{anchor}">'
            f'{WORDS[one.event]} <tspan class="num">{one.angle_deg.value:.0f}°</tspan></text></g>'
        )
    told = ", ".join(
        f"{WORDS[one.event]} {one.angle_deg.value:.1f} degrees {one.said}" for one in timing.events
    )
    return SafeString(
        f'<svg viewBox="-24 0 408 280" role="img" aria-label="Valve timing of cylinder {escape(name)}: '
        f'{escape(told)}">{"".join(shapes)}'
        '<g class="size"><text x="180" y="13" text-anchor="middle">top</text>'
        '<text x="180" y="277" text-anchor="middle">bottom</text></g></svg>'
    )


def _at(angle_deg: float, radius: float) -> tuple[float, float]:
    turn = angle_deg * pi / 180
    return 180 + radius * sin(turn), 140 - radius * cos(turn)


def _arc(start_deg: float, end_deg: float, radius: float) -> str:
    (x0, y0), (x1, y1) = _at(start_deg, radius), _at(end_deg, radius)
    large = int(end_deg - start_deg > 180)
    return f"M{x0:.1f} {y0:.1f}A{radius:.1f} {radius:.1f} 0 {large} 1 {x1:.1f} {y1:.1f}"
