"""What is said of a gauge: its uncertainty in plain words, when it is due, and its budget line by line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10

from runningfit.core.measurements.sheets.features import Quantity
from runningfit.core.measurements.sheets.shown_values import UNITS_OF
from runningfit.core.measurements.sheets.shown_values import in_unit as value_in
from runningfit.core.measurements.uncertainty.measured import coverage_factor
from runningfit.web import drawn
from runningfit.workshop.measurements.gauge_states import BudgetLine, Cupboard, GaugeNow, due_on, metal_of
from runningfit.workshop.measurements.models import Calibration, Instrument
from runningfit.workshop.measurements.warmth import BENCH_K, Metal, warmth

_NAMES = {
    "step": "step",
    "scatter": "scatter",
    "certificate": "its check",
    "ring": "setting ring",
    "setting": "the gauge it is set in",
    "drift": "drift",
}
# Aluminium as pistons are of it, for an example of what warmth does.
_ALUMINIUM = Metal("aluminium", 21.5e-6, 21.5e-6)


@dataclass(frozen=True, slots=True)
class DueSaid:
    """When a gauge is due, in words, and the stamp that repeats it."""

    words: str
    stamp: str


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One line of a budget: what it is, where it comes from, how much it adds, what part of all that is."""

    name: str
    where: str
    amount: str
    share: float
    percent: str
    shared: bool
    dominates: bool
    field: str


@dataclass(frozen=True, slots=True)
class GaugeLine:
    """A gauge as the list of the cupboard shows it."""

    gauge: Instrument
    step: str
    checked: str
    due: DueSaid
    doubt: str


def quantity_of(unit: str) -> Quantity:
    """Return what a gauge of a unit measures."""
    return next(one for one, units in UNITS_OF.items() if unit in units)


def in_unit(value: float, unit: str) -> str:
    """Say a small figure in the unit of its gauge, to two places that count."""
    return f"{_figures(_of(value, unit))} {unit}"


def plain(value: float | None, unit: str) -> str:
    """Return a figure as one would type it into a form, to six places that count; nothing where unknown."""
    return "" if value is None else f"{_of(value, unit):.6g}"


def size(value: float, unit: str) -> str:
    """Say a size in the unit of its gauge, as fine as any gauge reads."""
    places = {"mm": 3, "in": 4}.get(unit, 2)
    return f"{_of(value, unit):.{places}f} {unit}"


def signed(value: float, unit: str) -> str:
    """Say an error with its sign."""
    places = {"mm": 4, "in": 5}.get(unit, 3)
    text = f"{_of(value, unit):+.{places}f}".rstrip("0").rstrip(".")
    return f"{'0' if text in ('+0', '-0', '+', '-') else text} {unit}"


def doubt_said(now: GaugeNow, unit: str) -> str:
    """Say how sure one reading is, in 19 cases of 20, and how much of that all its readings share."""
    whole = now.of_reading.whole(0.0)
    factor = coverage_factor(0.95, max(1.0, whole.dof))
    said = f"± {in_unit(factor * whole.u, unit)}"
    if not now.of_reading.shared_u_mm:
        return f"{said}; nothing is known of what all its readings share"
    shared = _figures(_of(factor * now.of_reading.shared_u_mm, unit))
    return f"{said}, of which {shared} is shared by all its readings"


def due_said(gauge: Instrument, checks: Sequence[Calibration], today: dt.date) -> DueSaid:
    """Say whether a gauge is within its calibration."""
    due = due_on(gauge, checks)
    if due is None:
        return DueSaid("never checked", "bad")
    if due < today:
        return DueSaid(f"overdue since {drawn.day(due)}", "bad")
    return DueSaid(f"due {drawn.day(due)}", "open" if (due - today).days <= 31 else "good")


def gauge_lines(shown: Sequence[Instrument], cupboard: Cupboard, today: dt.date) -> list[GaugeLine]:
    """Say each gauge for the list of the cupboard."""
    return [
        GaugeLine(
            gauge,
            in_unit(gauge.resolution, gauge.unit),
            drawn.day(checks[0].on) if (checks := cupboard.checks[gauge.pk]) else "",
            due_said(gauge, checks, today),
            doubt_said(cupboard.on(gauge.pk, today), gauge.unit),
        )
        for gauge in shown
    ]


def budget_rows(gauge: Instrument, now: GaugeNow, checks: Sequence[Calibration]) -> list[BudgetRow]:
    """Say the budget of one reading, each source with where it comes from and what it adds."""
    total = sum(line.u**2 for line in now.lines)
    dominant = now.dominant
    return [
        BudgetRow(
            _NAMES[line.name],
            _where(line, gauge, checks),
            in_unit(line.u, gauge.unit) if line.u else "nothing counted",
            100 * line.u**2 / total if total else 0.0,
            _percent(100 * line.u**2 / total if total else 0.0),
            bool(line.key),
            line is dominant and line.u > 0,
            _FIELDS[line.name],
        )
        for line in now.lines
    ]


# Where each source is changed on the page of a gauge.
_FIELDS = {
    "step": "id_step",
    "scatter": "scatter",
    "certificate": "check",
    "ring": "id_ring_uncertainty",
    "setting": "id_set_with",
    "drift": "id_drift",
}


def warmth_said(gauge: Instrument) -> str:
    """Say what warmth adds: it hangs on the piece, so that it is counted for each reading and not here."""
    if gauge.unit not in ("mm", "in"):
        return ""
    length = 100.0 if gauge.unit == "mm" else 101.6
    added = in_unit(2 * length * warmth(_ALUMINIUM, metal_of(gauge), None).u, gauge.unit)
    return (
        "counted for each reading, by the metal and the temperature on the sheet. Nothing for a piece of the "
        f"gauge's own metal and as warm as it; ± {added} for {size(length, gauge.unit)} of aluminium on a "
        f"bench that nobody took the temperature of, within {BENCH_K:g} K of 20 °C."
    )


def _where(line: BudgetLine, gauge: Instrument, checks: Sequence[Calibration]) -> str:
    unit = gauge.unit
    if line.name == "step":
        return f"it shows steps of {in_unit(gauge.resolution, unit)}: half a step either way"
    if line.name == "scatter":
        return _scatter_said(gauge)
    if line.name == "certificate":
        known = [one for one in checks if gauge.set_with is None or one.way == "certificate"]
        return _check_said(known[0] if known else None)
    if line.name == "ring":
        ring = f"the ring or block of {size(gauge.ring_size, unit)}" if gauge.ring_size else "no ring said"
        return ring if line.u or not gauge.ring_size else f"{ring}: nobody said how sure that is"
    if line.name == "setting":
        name = gauge.set_with.name if gauge.set_with else ""
        return f"set in {name}: all that is unsure of one reading of that"
    if not gauge.drift:
        return "nobody said how far it moves"
    return f"{in_unit(gauge.drift, unit)} either way in {gauge.term_months} months, more once that is over"


def _scatter_said(gauge: Instrument) -> str:
    if gauge.repeat_dof is None:
        return "as said, never tried" if gauge.repeat_u else "never tried: read one place ten times"
    said = f"tried: {gauge.repeat_dof + 1:g} readings of one place"
    return said if gauge.repeat_u else f"{said}, all equal: the step hides it"


def _check_said(last: Calibration | None) -> str:
    if last is None:
        return "never checked"
    on = drawn.day(last.on)
    if last.way == "ring":
        return f"read on its ring, {on}: step and scatter there"
    number = f", {last.certificate}" if last.certificate else ""
    told = f", k = {last.coverage_k:g}" if last.expanded_u else ": nobody said how sure it is"
    return f"certificate of {on}{number}{told}"


def _percent(share: float) -> str:
    return "" if not share else "under 1 %" if share < 1 else f"{share:.0f} %"


def _of(value: float, unit: str) -> float:
    return value_in(value, quantity_of(unit), unit)


def _figures(value: float) -> str:
    if not value:
        return "0"
    places = min(max(0, 1 - floor(log10(abs(value)))), 7)
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
