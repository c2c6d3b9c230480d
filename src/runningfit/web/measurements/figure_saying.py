"""The engine figures in words, as their page shows them."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.measurements.engine_figures.even_ratio import EvenRatio
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import LengthUnit, format_measured
from runningfit.core.verdicts import Outcome
from runningfit.web.measurements.figure_drawing import WORDS
from runningfit.workshop.measurements.engine_figures import CylinderFigures, Effect
from runningfit.workshop.measurements.timing import Against, CylinderTiming

_STAMPS = {Outcome.SOUND: ("good", "within"), Outcome.NOT_SOUND: ("bad", "outside")}
_ML_PER_CU_IN = 16.387064
_FINEST_MM = 0.001
_WORST_FIRST = ("bad", "open", "good")


@dataclass(frozen=True, slots=True)
class CylinderLine:
    """A line of the table of ratios."""

    name: str
    bore: str
    chamber: str
    swept: str
    ratio: str
    grow: str
    wanted: str


@dataclass(frozen=True, slots=True)
class TimingLine:
    """One event or span of the timing of a cylinder."""

    words: str
    angle: str
    said: str


@dataclass(frozen=True, slots=True)
class MakerLine:
    """A figure beside the maker's, with how it stands and why."""

    what: str
    measured: str
    given: str
    stamp: str
    stamp_words: str
    reasons: tuple[str, ...]
    figure_id: int


def about(one: Measured, places: int, unit: str = "") -> str:
    """Say a figure with what it may be off in 19 of 20 cases; surer than its last place shows nobody says.

    Parameters
    ----------
    places : int
        How many decimals are shown.
    """
    space = "" if unit == "°" else " "
    sure = f" ± {max(2 * one.u, 10.0**-places):.{places}f}" if one.u > 0 else ""
    return f"{one.value:.{places}f}{sure}{f'{space}{unit}' if unit else ''}"


def swept_said(one: Measured, unit: str) -> str:
    """Say a volume, in cubic inches too in a shop of inches."""
    said = about(one, 1, "ml")
    return f"{said} ({one.value / _ML_PER_CU_IN:.2f} cu in)" if unit == "in" else said


def cylinder_lines(
    cylinders: tuple[CylinderFigures, ...], even: EvenRatio | None, unit: LengthUnit
) -> list[CylinderLine]:
    """Return each cylinder with what its chamber lacks, and what brings it to the ratio wanted."""
    grow = {one.name: one for one in even.changes} if even else {}
    lines = []
    for one in cylinders:
        name = one.cylinder.name
        change = grow.get(name)
        lines.append(
            CylinderLine(
                name,
                format_measured(one.cylinder.bore_mm.value, unit),
                f"{one.cylinder.chamber_ml.value:.1f} ml" + ("" if one.chamber_read else " (as said of all)"),
                f"{one.swept_ml.value:.1f} ml",
                f"{about(one.ratio, 2)}",
                about(Measured(change.grow_ml, change.u_ml), 1, "ml")
                if change and change.grow_ml > 0.005
                else "",
                _for_wanted(one, unit),
            )
        )
    return lines


def _for_wanted(one: CylinderFigures, unit: LengthUnit) -> str:
    ask = one.for_wanted
    if ask is None:
        return ""
    if ask.remove_ml <= 0:
        gasket = f"a gasket of {_length(ask.gasket_mm, unit)}" if ask.gasket_mm is not None else ""
        return f"{-ask.remove_ml:.1f} ml more above the piston: {gasket or 'a larger chamber'}, no skim"
    ways = [
        f"head skimmed by {_length(ask.head_skim_mm, unit)}",
        f"or block by {_length(ask.deck_skim_mm, unit)}",
    ]
    if ask.gasket_mm is not None:
        ways.append(f"or a gasket of {_length(ask.gasket_mm, unit)}")
    return ", ".join(ways)


def _length(mm: float, unit: LengthUnit) -> str:
    return format_measured(mm, unit, 0.01 if unit is LengthUnit.MM else 0.0254)


def ratios_brief(cylinders: tuple[CylinderFigures, ...]) -> str:
    """Say between which ratios the cylinders lie."""
    ratios = sorted(one.ratio.value for one in cylinders)
    if not ratios:
        return ""
    low, high = f"{ratios[0]:.2f}", f"{ratios[-1]:.2f}"
    return low if low == high else f"{low} to {high}"


def timing_brief(one: CylinderTiming) -> str:
    """Say the events of a cylinder in one line."""
    return ", ".join(
        f"{WORDS[event.event]} {event.angle_deg.value:.0f}° {event.said}" for event in one.timing.events
    )


def effect_lines(effects: tuple[Effect, ...], unit: LengthUnit) -> list[tuple[str, str, str]]:
    """Return each change with the ratios that it leaves, and the room between piston and head."""
    lines = []
    for one in effects:
        ratios = f"{one.least:.2f}" if one.most - one.least < 0.005 else f"{one.least:.2f} to {one.most:.2f}"
        lines.append((f"{one.what} {_length(one.amount_mm, unit)}", ratios, _length(one.room_mm, unit)))
    return lines


def timing_lines(one: CylinderTiming, unit: LengthUnit) -> list[TimingLine]:
    """Return the events, openings, overlap and lifts of a cylinder."""
    lines = [
        TimingLine(WORDS[event.event], about(event.angle_deg, 1, "°"), event.said)
        for event in one.timing.events
    ]
    spans = (
        ("inlet open for", one.timing.inlet_open_deg),
        ("exhaust open for", one.timing.exhaust_open_deg),
        ("overlap", one.timing.overlap_deg),
        ("middle of the inlet, after top", one.timing.inlet_centre_deg),
        ("middle of the exhaust, before top", one.timing.exhaust_centre_deg),
    )
    lines += [TimingLine(words, about(angle, 1, "°"), "of crank") for words, angle in spans if angle]
    if one.timing.lobe_separation_deg:
        lines.append(TimingLine("between the lobes", about(one.timing.lobe_separation_deg, 1, "°"), "of cam"))
    for words, lift in (("inlet lift", one.inlet_lift_mm), ("exhaust lift", one.exhaust_lift_mm)):
        if lift:
            sure = f" ± {format_measured(max(2 * lift.u, _FINEST_MM), unit)}" if lift.u else ""
            said = f"{format_measured(lift.value, unit)}{sure}"
            lines.append(TimingLine(words, said, "at the valve, without what pushrods and rockers give way"))
    return lines


def maker_lines(found: list[Against]) -> list[MakerLine]:
    """Return each figure beside the maker's, the worst first."""
    lines = []
    for one in found:
        stamp, words = _STAMPS.get(one.verdict.outcome, ("open", "not proven"))
        reasons = [
            f"{reason.text}{f' ({reason.source})' if reason.source else ''}" for reason in one.verdict.reasons
        ]
        reasons += [caution.text for caution in one.verdict.cautions]
        of = f"{one.words}{f', cylinder {one.of}' if one.of else ''}"
        places = 2 if one.what in ("ratio", "speed", "inlet_lift", "exhaust_lift") else 1
        lines.append(
            MakerLine(
                of,
                about(one.measured, places, one.unit),
                given_said(one),
                stamp,
                words,
                tuple(reasons),
                one.figure.pk,
            )
        )
    return sorted(lines, key=lambda line: _WORST_FIRST.index(line.stamp))


def given_said(one: Against) -> str:
    """Say what the maker gives, and where."""
    typed = one.figure.typed
    lower, upper = ((typed.get(side) or "").replace(" °", "°") for side in ("lower", "upper"))
    span = f"{lower} to {upper}" if lower and upper else f"at least {lower}" if lower else f"at most {upper}"
    return f"{span} ({one.figure.source})" if one.figure.source else f"{span} (page not said)"
