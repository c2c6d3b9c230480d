"""What a degree wheel showed, kept and turned into valve timing; what the maker gives, and the verdicts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.engine_figures import against_maker as core
from runningfit.core.measurements.engine_figures.timing import (
    Timing,
    ValveEvent,
    top_dead_centre_deg,
    valve_lift_mm,
    valve_timing,
)
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Caution, Outcome, Verdict
from runningfit.workshop.measurements.engine_figures import EngineFigures
from runningfit.workshop.measurements.figure_models import FIGURES, MakersFigure, TimingReading
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Engine
from runningfit.workshop.records.writing import Hand, write

UNITS = {
    "swept": "ml", "ratio": "", "speed": "m/s", "overlap": "°",
    "inlet_lift": "mm", "exhaust_lift": "mm", "IVO": "°", "IVC": "°", "EVO": "°", "EVC": "°",
}  # fmt: skip
_EVENTS = {
    ValveEvent.INLET_OPENS: "inlet_opens_deg",
    ValveEvent.INLET_CLOSES: "inlet_closes_deg",
    ValveEvent.EXHAUST_OPENS: "exhaust_opens_deg",
    ValveEvent.EXHAUST_CLOSES: "exhaust_closes_deg",
}
# A lift by an indicator on the cam or follower (common practice, no source).
_LIFT_U_MM = 0.02


@dataclass(frozen=True, slots=True)
class SaidOfTiming:
    """What the wheel showed at one cylinder [°], and lifts with what lies between cam and valve [mm]."""

    cylinder: str
    before_deg: float
    after_deg: float
    events_deg: Mapping[ValveEvent, float]
    u_deg: float
    at_lift: TypedNumber | None = None
    inlet_lift: TypedNumber | None = None
    exhaust_lift: TypedNumber | None = None
    clearance: TypedNumber | None = None
    rocker_ratio: float = 1.0


@dataclass(frozen=True, slots=True)
class CylinderTiming:
    """A reading with the timing that it comes to, and the lifts at the valves."""

    reading: TimingReading
    timing: Timing
    inlet_lift_mm: Measured | None
    exhaust_lift_mm: Measured | None


@dataclass(frozen=True, slots=True)
class Against:
    """A figure of the engine, of one cylinder where it is one's, held against the maker's."""

    what: str
    of: str
    measured: Measured
    unit: str
    verdict: Verdict
    figure: MakersFigure
    words: str = field(default="")


def take_timing(*, engine: Engine, said: SaidOfTiming, hand: Hand) -> TimingReading:
    """Keep what a degree wheel showed; it takes the place of what was read of that cylinder before.

    Raises
    ------
    InvalidInput
        Readings from which no top dead centre, or no timing, comes; or a cylinder without a name.
    """
    if not said.cylinder.strip():
        raise InvalidInput("cylinder", needs="which one was read", came="")
    numbers = {"at_lift": said.at_lift, "inlet_lift": said.inlet_lift, "exhaust_lift": said.exhaust_lift}
    numbers["clearance"] = said.clearance
    row = TimingReading(
        engine=engine,
        cylinder=said.cylinder.strip(),
        before_deg=said.before_deg,
        after_deg=said.after_deg,
        u_deg=said.u_deg,
        rocker_ratio=said.rocker_ratio,
        typed={name: one.typed for name, one in numbers.items() if one},
        who=hand.who,
        **{column: said.events_deg.get(event) for event, column in _EVENTS.items()},
        **{f"{name}_mm": one.value if one else None for name, one in numbers.items()},
    )
    timed(row)
    summary = f"valve timing of cylinder {row.cylinder}"
    with write(verb="take_timing", summary=summary, hand=hand, job=engine.job) as entry:
        row.at = entry.at
        return entry.create(row)


def take_back_timing(*, reading: TimingReading, hand: Hand) -> None:
    """Take back what was read at a cylinder; it stays in the history.

    Raises
    ------
    Conflict
        It was taken back already.
    """
    summary = f"took back the timing of cylinder {reading.cylinder}"
    with write(verb="take_back_timing", summary=summary, hand=hand, job=reading.engine.job) as entry:
        held = TimingReading.objects.select_for_update().get(pk=reading.pk)
        if held.withdrawn:
            raise Conflict("It was taken back already.")
        entry.change(held, withdrawn=True)


def timings(engine: Engine) -> list[CylinderTiming]:
    """Return the timing of each cylinder that was read, by its latest reading."""
    latest: dict[str, TimingReading] = {}
    for row in TimingReading.objects.filter(engine=engine, withdrawn=False).order_by("id"):
        latest[row.cylinder] = row
    return [timed(row) for _, row in sorted(latest.items())]


def timed(row: TimingReading) -> CylinderTiming:
    """Turn a reading into timing and lifts."""
    top = top_dead_centre_deg(row.before_deg, row.after_deg, row.u_deg)
    shown = {event: getattr(row, column) for event, column in _EVENTS.items()}
    read = {event: value for event, value in shown.items() if value is not None}
    timing = valve_timing(top, read, row.u_deg)

    def lift(cam_mm: float | None) -> Measured | None:
        if cam_mm is None:
            return None
        clearance = Measured(row.clearance_mm or 0.0, _LIFT_U_MM)
        return valve_lift_mm(Measured(cam_mm, _LIFT_U_MM), Measured(row.rocker_ratio, 0.0), clearance)

    return CylinderTiming(row, timing, lift(row.inlet_lift_mm), lift(row.exhaust_lift_mm))


def say_makers_figure(
    *,
    engine: Engine,
    what: str,
    lower: TypedNumber | None,
    upper: TypedNumber | None,
    source: str,
    hand: Hand,
) -> MakersFigure:
    """Keep what the maker gives for a figure; it takes the place of what was kept for it before.

    Raises
    ------
    InvalidInput
        A figure that is none, no limit, or limits upside down.
    """
    if what not in UNITS:
        raise InvalidInput("what", needs=" or ".join(UNITS), came=what)
    if lower is None and upper is None:
        raise InvalidInput("lower", needs="at least one of both limits", came="")
    if lower and upper and not lower.value < upper.value:
        raise InvalidInput(
            "upper", needs="more than the lower limit", came=upper.typed, remedy="They may be upside down."
        )
    words = dict(FIGURES)[what]
    with write(verb="say_makers_figure", summary=f"the maker's {words}", hand=hand, job=engine.job) as entry:
        for old in MakersFigure.objects.filter(engine=engine, what=what, withdrawn=False):
            entry.change(old, withdrawn=True)
        sides = {name: one for name, one in (("lower", lower), ("upper", upper)) if one}
        return entry.create(
            MakersFigure(
                engine=engine,
                what=what,
                source=source.strip(),
                typed={name: one.typed for name, one in sides.items()},
                **{name: one.value for name, one in sides.items()},
            )
        )


def take_back_makers_figure(*, figure: MakersFigure, hand: Hand) -> None:
    """Take back what was said to be the maker's figure.

    Raises
    ------
    Conflict
        It was taken back already.
    """
    summary = f"took back the maker's {figure.get_what_display()}"
    with write(verb="say_makers_figure", summary=summary, hand=hand, job=figure.engine.job) as entry:
        held = MakersFigure.objects.select_for_update().get(pk=figure.pk)
        if held.withdrawn:
            raise Conflict("It was taken back already.")
        entry.change(held, withdrawn=True)


def makers_figures(engine: Engine) -> list[MakersFigure]:
    """Return what the maker gives for the figures of an engine."""
    return list(MakersFigure.objects.filter(engine=engine, withdrawn=False).order_by("id"))


def against_maker(
    figures: EngineFigures, read: list[CylinderTiming], given: list[MakersFigure]
) -> list[Against]:
    """Hold every figure against what the maker gives for it; a figure from memory is never a pass."""
    found = []
    words = dict(FIGURES)
    for one in given:
        for of, measured in _measured(figures, read).get(one.what, []):
            verdict = core.against_maker(
                measured,
                core.MakersFigure(Bounds(one.lower, one.upper), one.source),
                unit=UNITS[one.what],
            )
            found.append(
                Against(
                    one.what, of, measured, UNITS[one.what], _if_known(verdict, one), one, words[one.what]
                )
            )
    return found


def _if_known(verdict: Verdict, figure: MakersFigure) -> Verdict:
    if figure.source or verdict.outcome is not Outcome.SOUND:
        return verdict
    caution = Caution("Nobody said on which page the maker gives this, so it is not a pass. Type its page.")
    return replace(verdict, outcome=Outcome.NOT_PROVEN, cautions=(*verdict.cautions, caution))


def _measured(figures: EngineFigures, read: list[CylinderTiming]) -> dict[str, list[tuple[str, Measured]]]:
    found: dict[str, list[tuple[str, Measured]]] = {}

    def add(what: str, of: str, measured: Measured | None) -> None:
        # What has no uncertainty cannot be held against a limit.
        if measured is not None and measured.u > 0:
            found.setdefault(what, []).append((of, measured))

    add("swept", "", figures.swept_ml)
    add("speed", "", figures.speed_m_s)
    for one in figures.cylinders:
        add("ratio", one.cylinder.name, one.ratio)
    for row in read:
        name = row.reading.cylinder
        for event in row.timing.events:
            add(event.event.value, name, event.angle_deg)
        add("overlap", name, row.timing.overlap_deg)
        add("inlet_lift", name, row.inlet_lift_mm)
        add("exhaust_lift", name, row.exhaust_lift_mm)
    return found


def timing_by_id(engine: Engine, reading_id: int) -> TimingReading:
    """Return a reading of an engine, or raise NotFound saying so."""
    one = TimingReading.objects.filter(engine=engine, pk=reading_id).select_related("engine__job").first()
    if one is None:
        raise NotFound(f"There is no timing {reading_id} of {engine.name}.")
    return one


def figure_by_id(engine: Engine, figure_id: int) -> MakersFigure:
    """Return a maker's figure of an engine, or raise NotFound saying so."""
    one = MakersFigure.objects.filter(engine=engine, pk=figure_id).select_related("engine__job").first()
    if one is None:
        raise NotFound(f"There is no maker's figure {figure_id} of {engine.name}.")
    return one
