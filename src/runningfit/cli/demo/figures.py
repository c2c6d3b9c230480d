"""The figures of the demo's engine: its sizes, what the maker gives, its valve timing; caps in a drawer."""

from __future__ import annotations

import tomllib
from typing import Any

from runningfit.cli.demo.story import DATA
from runningfit.core.measurements.engine_figures.timing import ValveEvent
from runningfit.workshop.joints.drawer import SaidOfShim, put_in_drawer
from runningfit.workshop.measurements.engine_sizes import SaidOfSizes, say_sizes, typed_size
from runningfit.workshop.measurements.timing import SaidOfTiming, say_makers_figure, take_timing
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Hand


def say_figures(job: Job, hand: Hand) -> None:
    """Say the sizes of the engine, what its maker gives, and what the wheel showed; fill the drawer."""
    told: dict[str, Any] = tomllib.loads((DATA / "figures.toml").read_text(encoding="utf-8"))
    engine = Engine.objects.select_related("job").get(job=job, role=Engine.SUBJECT)
    typed = {name: typed_size(name, text, "mm") for name, text in told["sizes"].items()}
    sizes = SaidOfSizes(
        sizes={name: one for name, one in typed.items() if one is not None},
        speed_rpm=told["speed_rpm"],
        ratio_wanted=told["ratio_wanted"],
        source=told["source"],
    )
    say_sizes(engine=engine, said=sizes, hand=hand)
    for row in told["maker"]:
        unit = row.get("unit", "")
        say_makers_figure(
            engine=engine,
            what=row["what"],
            lower=_given(row["lower"], unit),
            upper=_given(row["upper"], unit),
            source=told["source"],
            hand=hand,
        )
    take_timing(engine=engine, said=_timing(told["timing"]), hand=hand)
    for size, count in told["drawer"].items():
        cap = SaidOfShim(TypedNumber(float(size), f"{size} mm"), count)
        put_in_drawer(said=cap, hand=hand)


def _given(value: float, unit: str) -> TypedNumber:
    return TypedNumber(float(value), f"{value:g} {unit}".strip())


def _timing(row: dict[str, Any]) -> SaidOfTiming:
    return SaidOfTiming(
        cylinder=row["cylinder"],
        before_deg=row["before_deg"],
        after_deg=row["after_deg"],
        events_deg={event: row[event.value] for event in ValveEvent},
        u_deg=row["u_deg"],
    )
