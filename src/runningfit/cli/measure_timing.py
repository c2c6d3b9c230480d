"""`runningfit measure timing`: valve timing from the readings of a degree wheel."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import cautions_of, millimetres, reasons_of, rounded
from runningfit.cli.measure_options import held_against
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.measurements.engine_figures.timing import Timing
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.verdicts import Verdict

_EVENTS = ("ivo", "ivc", "evo", "evc")


@click.command()
@click.option("--stop", required=True, metavar="DEG,DEG", help="The wheel at a positive stop, both ways.")
@click.option("--ivo", type=float, metavar="DEG", help="The wheel where the inlet opens,")
@click.option("--ivc", type=float, metavar="DEG", help="where it closes,")
@click.option("--evo", type=float, metavar="DEG", help="where the exhaust opens,")
@click.option("--evc", type=float, metavar="DEG", help="where it closes.")
@click.option("--u", "u_deg", type=float, default=0.5, show_default=True, help="Of one reading, standard.")
@click.option("--lift", metavar="LENGTH", help="The lift at which events were read, to be said with them.")
@click.option("--maker", multiple=True, metavar="EVENT=DEGS", help="Such as ivo=10..14, once each.")
@click.option("--page", "source", default="", metavar="PAGE", help="The manual and page of these.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def timing(
    *,
    stop: str,
    u_deg: float,
    lift: str | None,
    maker: tuple[str, ...],
    source: str,
    as_json: bool,
    **readings: float | None,
) -> None:
    """Give valve timing from a degree wheel that counts up as the engine turns, 0 to 360."""
    from runningfit.core.measurements.engine_figures.timing import (
        ValveEvent,
        top_dead_centre_deg,
        valve_timing,
    )

    lift_mm = millimetres(lift, "lift")
    top = top_dead_centre_deg(*_stop(stop), u_deg)
    told = {ValveEvent(name.upper()): value for name in _EVENTS if (value := readings[name]) is not None}
    found = valve_timing(top, told, u_deg)
    verdicts = _makers_events(found, maker, source)
    at = "a lift that was not told" if lift_mm is None else f"{lift_mm:g} mm of lift"
    if as_json:
        click.echo(json.dumps(_timing_record(found, verdicts, at), ensure_ascii=False, indent=1))
        return
    lines = [f"top dead centre at {top.value:.2f}° on the wheel, events at {at}"]
    lines += [f"  {one.event} {one.angle_deg.value:.1f}° {one.said}" for one in found.events]
    for name, span in _spans(found).items():
        if span is not None:
            lines.append(
                f"  {name.removesuffix('_deg').replace('_', ' ')} {span.value:.1f}° ±{2 * span.u:.1f}"
            )
    for event, verdict in verdicts.items():
        lines.append(f"{event}: {str(verdict.outcome).replace('_', ' ')}")
        lines += [f"  {one}" for one in reasons_of(verdict)]
    click.echo("\n".join(lines))


def _stop(text: str) -> tuple[float, float]:
    try:
        first, second = (float(one) for one in re.split(r"\s*[,;/]\s*", text.strip()))
    except ValueError as refused:
        raise InvalidInput(
            "stop", needs="two readings such as 345.5,14", came=text, remedy="Write decimals with a point."
        ) from refused
    return first, second


def _makers_events(found: Timing, maker: tuple[str, ...], source: str) -> dict[str, Verdict]:
    by_event = {str(one.event): one.angle_deg for one in found.events}
    verdicts = {}
    for text in maker:
        name, _, limits = text.partition("=")
        event = name.strip().upper()
        if event not in by_event:
            raise InvalidInput("maker", needs=f"one of {', '.join(by_event)}, such as ivo=10..14", came=text)
        verdict = held_against(by_event[event], limits, source)
        assert verdict is not None
        verdicts[event] = verdict
    return verdicts


def _spans(found: Timing) -> dict[str, Measured | None]:
    return {
        "inlet_open_deg": found.inlet_open_deg,
        "exhaust_open_deg": found.exhaust_open_deg,
        "overlap_deg": found.overlap_deg,
        "inlet_centre_deg": found.inlet_centre_deg,
        "exhaust_centre_deg": found.exhaust_centre_deg,
        "lobe_separation_deg": found.lobe_separation_deg,
    }


def _timing_record(found: Timing, verdicts: dict[str, Verdict], at: str) -> dict[str, Any]:
    def figure(value: Measured | None) -> dict[str, float] | None:
        return None if value is None else {"value": rounded(value.value), "u": rounded(value.u)}

    return {
        "top_deg": figure(found.top_deg),
        "at": at,
        "events": {
            str(one.event): {
                "angle_deg": rounded(one.angle_deg.value),
                "u_deg": rounded(one.angle_deg.u),
                "from": one.said,
                "verdict": str(verdicts[one.event].outcome) if one.event in verdicts else None,
            }
            for one in found.events
        },
        **{name: figure(value) for name, value in _spans(found).items()},
        "reasons": [reason for verdict in verdicts.values() for reason in reasons_of(verdict)],
        "cautions": [caution for verdict in verdicts.values() for caution in cautions_of(verdict)],
    }
