"""`runningfit thread show`: what the standards say of a thread, as JSON or as a page of text."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.standards import Thread
    from runningfit.core.standards.cards import ThreadCard
    from runningfit.core.standards.limits import ExternalLimits, InternalLimits
    from runningfit.core.standards.spanners import Hexagon
    from runningfit.core.standards.strength_figures import Figure
    from runningfit.core.standards.tapping import Drill

# Enough for a hundredth of a micrometre; the standards print no more.
_DECIMALS = 5
_CLASS_SAID = re.compile(r"\bclass (\S+)$")


@click.command()
@click.argument("designation")
@click.option(
    "--class",
    "thread_class",
    metavar="CLASS",
    help="The class of the bolt or of the hole: 2A, 3B, 6g, 6H, close. The other side keeps its usual one.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON, in millimetres.")
def show(designation: str, *, thread_class: str | None, as_json: bool) -> None:
    """Show what the standards say of the thread DESIGNATION, such as "1/4-20 UNC", M8x1.25, 2BA or G1/4."""
    one, said_class = _thread(designation)
    thread_class = thread_class or said_class
    external, internal = _limits(one, thread_class)
    if as_json:
        click.echo(json.dumps(_answer(one, external, internal), ensure_ascii=False, indent=1))
    else:
        from runningfit.core.standards.cards import thread_card

        click.echo("\n".join(_page(thread_card(one), thread_class, external, internal)))


def _thread(text: str) -> tuple[Thread, str | None]:
    """The one thread that is meant, and the class that was written behind it."""
    from runningfit.core.pieces.designations import read_thread
    from runningfit.core.standards import thread

    reading = read_thread(text)
    if len(reading.candidates) != 1:
        shown = ", ".join(reading.candidates[:8]) + ("…" if len(reading.candidates) > 8 else "")
        raise InvalidInput(
            "thread",
            needs="one standard thread, with its pitch and series",
            came=text,
            remedy=f"It can be {shown}: name one of them.",
        )
    said = _CLASS_SAID.search(reading.note)
    return thread(reading.candidates[0]), said[1] if said else None


def _limits(one: Thread, thread_class: str | None) -> tuple[ExternalLimits | None, InternalLimits | None]:
    """The limits of both sides; the class named goes to the side that has it, the other keeps its own."""
    from runningfit.core.standards.limits import (
        external_classes,
        external_limits,
        internal_classes,
        internal_limits,
    )

    outer, inner = external_classes(one), internal_classes(one)
    if thread_class is None:
        return (
            external_limits(one) if outer else None,
            internal_limits(one) if inner else None,
        )
    external = internal = None
    try:
        external = external_limits(one, thread_class)
    except InvalidInput as error:
        if not outer:
            raise
        refused = error
    try:
        internal = internal_limits(one, thread_class)
    except InvalidInput as error:
        refused = error
    if external is None and internal is None:
        raise InvalidInput(
            "class",
            needs=f"one of {one.series}: {', '.join(outer)} (bolt) or {', '.join(inner)} (hole)",
            came=thread_class,
            remedy=f"{outer[0]} and {inner[0]} are the usual ones.",
        ) from refused
    return external or external_limits(one), internal or internal_limits(one)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, _DECIMALS)


def _answer(one: Thread, external: ExternalLimits | None, internal: InternalLimits | None) -> dict[str, Any]:
    """The answer as JSON; what a thread has not is null, with the reason."""
    from runningfit.core.standards.limits.taper import why_no_limits
    from runningfit.core.standards.strength_figures import WHY_NO_AREA, stress_area

    area = stress_area(one)
    reasons = {}
    if external is None:
        reasons = dict.fromkeys(("external", "internal"), why_no_limits(one))
    if area is None:
        reasons["stress_area_mm2"] = WHY_NO_AREA
    sources = [f"{one.source} ({one.status})", *([f"{area.source}"] if area else [])]
    sources += list(dict.fromkeys(f"{side.source} ({side.status})" for side in (external, internal) if side))
    answer: dict[str, Any] = {
        "designation": one.designation,
        "pitch_mm": _rounded(one.pitch_mm),
        "major_mm": _rounded(one.major_mm),
        "pitch_diameter_mm": _rounded(one.pitch_diameter_mm),
        "minor_mm": _rounded(one.minor_internal_mm),
        "stress_area_mm2": round(area.value, 4) if area else None,
        "external": None
        if external is None
        else {
            "class": external.thread_class,
            "major_max_mm": _rounded(external.major_max_mm),
            "major_min_mm": _rounded(external.major_min_mm),
            "pitch_diameter_max_mm": _rounded(external.pitch_diameter_max_mm),
            "pitch_diameter_min_mm": _rounded(external.pitch_diameter_min_mm),
        },
        "internal": None
        if internal is None
        else {
            "class": internal.thread_class,
            "minor_min_mm": _rounded(internal.minor_min_mm),
            "minor_max_mm": _rounded(internal.minor_max_mm),
            "pitch_diameter_min_mm": _rounded(internal.pitch_diameter_min_mm),
            "pitch_diameter_max_mm": _rounded(internal.pitch_diameter_max_mm),
        },
        "source": "; ".join(sources),
    }
    if reasons:
        answer["reasons"] = reasons
    return answer


def _length(value: float) -> str:
    """A diameter in both units, as far as a micrometer reads."""
    return f"{value:8.3f} mm  {value / 25.4:.4f} in"


def _page(
    card: ThreadCard,
    thread_class: str | None,
    external: ExternalLimits | None,
    internal: InternalLimits | None,
) -> list[str]:
    """The card as text."""
    lines = [card.thread.designation, f"  {card.thread.source} ({card.thread.status})"]
    lines += [f"  {_figure_line(figure)}" for figure in (*card.basics, *card.gauge_lengths)]
    for figure in (card.stress_area, card.stress_area_printed):
        if figure is not None:
            lines.append(f"  {figure.name:<44}{figure.value:8.2f} {figure.unit}  [{figure.source}]")
    outers = card.external if thread_class is None else tuple(one for one in (external,) if one)
    inners = card.internal if thread_class is None else tuple(one for one in (internal,) if one)
    lines += _limit_lines("Bolt", [(one, _external_cells(one)) for one in outers])
    lines += _limit_lines("Hole", [(one, _internal_cells(one)) for one in inners])
    if card.tapping is not None:
        lines.append(
            f"Tapping drill for {card.tapping.engagement:.0%} of the full height: "
            f"{card.tapping.diameter_mm:.2f} mm [{card.tapping.source}]"
        )
        lines += [f"  {_drill_line(drill)}" for drill in (card.tapping.metric, card.tapping.inch) if drill]
    lines += [line for hexagon in card.hexagons for line in _hexagon_lines(hexagon)]
    lines += [f"No {part.replace('_', ' ')}: {why}." for part, why in card.missing.items()]
    return [*lines, *card.cautions]


def _figure_line(figure: Figure) -> str:
    shown = _length(figure.value) if figure.unit == "mm" else f"{figure.value:8.4g} {figure.unit}".rstrip()
    return f"{figure.name:<44}{shown}"


def _range(low: float, high: float) -> str:
    return f"{low:.3f} to {high:.3f}"


def _external_cells(limits: ExternalLimits) -> tuple[str, ...]:
    minor = f"at most {limits.minor_max_mm:.3f}" if limits.minor_max_mm is not None else "by the form"
    return (
        limits.thread_class,
        _range(limits.major_min_mm, limits.major_max_mm),
        _range(limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm),
        minor,
    )


def _internal_cells(limits: InternalLimits) -> tuple[str, ...]:
    return (
        limits.thread_class,
        f"at least {limits.major_min_mm:.3f}",
        _range(limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm),
        _range(limits.minor_min_mm, limits.minor_max_mm),
    )


def _limit_lines(
    side: str, classes: Sequence[tuple[ExternalLimits | InternalLimits, tuple[str, ...]]]
) -> list[str]:
    """The limits of one side as a table, and once below it where they come from."""
    if not classes:
        return []
    table = [("class", "major, mm", "pitch diameter, mm", "minor, mm"), *(cells for _, cells in classes)]
    widths = [max(len(row[at]) for row in table) for at in range(4)]
    lines = [side]
    for row in table:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        lines.append(f"  {'  '.join(cells)}".rstrip())
    told: dict[str, list[str]] = {}
    for limits, _ in classes:
        told.setdefault(f"{limits.source}; {limits.status}", []).append(limits.thread_class)
    lines += [f"  [{', '.join(names)}: {where}]" for where, names in told.items()]
    return lines


def _drill_line(drill: Drill) -> str:
    return f"{drill.name:<12}{drill.diameter_mm:.3f} mm leaves {drill.engagement:.0%}"


def _hexagon_lines(hexagon: Hexagon) -> list[str]:
    least = f", at least {hexagon.min_mm:.2f}" if hexagon.min_mm is not None else ""
    bridge = f"; by a metric one: {hexagon.bridge}" if hexagon.bridge else ""
    return [
        f"Hexagon, {hexagon.when}: {hexagon.max_mm:.2f} mm{least} across flats",
        f"  spanner {hexagon.spanner}{bridge} [{hexagon.source}; {hexagon.status}]",
    ]
