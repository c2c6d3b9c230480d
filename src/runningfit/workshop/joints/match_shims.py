"""Shims under the valves of a job: what is under them now, and which goes under which, bought least."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching import shims as core
from runningfit.core.units import LengthUnit, format_measured
from runningfit.core.verdicts import Caution
from runningfit.workshop.joints.drawer import shims_in_drawer
from runningfit.workshop.joints.match_models import ShimSheet
from runningfit.workshop.joints.matching import (
    MatchRow,
    MatchShown,
    Pairing,
    listed,
    percent,
    stamp_of,
)
from runningfit.workshop.measurements.models import numbered
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write

_SAME_MM = 5e-5
_MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class SaidOfValve:
    """A valve: its clearance, the shim under it, and limits of its own where it has some."""

    name: str
    clearance: TypedNumber
    shim: TypedNumber
    least: TypedNumber | None = None
    most: TypedNumber | None = None


@dataclass(frozen=True, slots=True)
class SaidOfShims:
    """The valves of a job and what holds for all of them; ``u`` is how sure a clearance is."""

    valves: Sequence[SaidOfValve]
    least: TypedNumber | None = None
    most: TypedNumber | None = None
    u: TypedNumber | None = None
    first: TypedNumber | None = None
    last: TypedNumber | None = None
    step: TypedNumber | None = None
    source: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ToBuyShim:
    """Shims of one size that the plan buys, and what one costs where the drawer knows."""

    words: str
    count: int
    price_each: Decimal | None


@dataclass(frozen=True, slots=True)
class ShimAnswer:
    """The plan as a page shows it, and what it buys."""

    shown: MatchShown
    buy: tuple[ToBuyShim, ...]


def shim_sheet(job: Job) -> ShimSheet | None:
    """Return the valves of a job as they were said; none where nobody did."""
    return ShimSheet.objects.filter(job=job, withdrawn=False).first()


def say_valves(*, job: Job, said: SaidOfShims, hand: Hand) -> ShimSheet:
    """Keep the valves with their clearances and shims; what was kept before stays in the history.

    Raises
    ------
    InvalidInput
        No valve, a name twice, a size that cannot be, limits upside down or nowhere.
    """
    columns = _columns(said)
    plan_of(ShimSheet(job=job, **columns), ())
    count = len(said.valves)
    with write(verb="say_valves", summary=f"said the shims of {count} valves", hand=hand, job=job) as entry:
        held = ShimSheet.objects.select_for_update().filter(job=job).first()
        if held is None:
            return entry.create(ShimSheet(job=job, **columns))
        return entry.change(held, withdrawn=False, **columns)


def plan_of(sheet: ShimSheet, drawer: Sequence[core.DrawerShim]) -> core.ShimPlan:
    """Work out the plan of a sheet with what lies in the drawer."""
    valves = [_valve(sheet, row) for row in sheet.rows]
    if sheet.first_mm and sheet.last_mm and sheet.step_mm:
        grades = core.Grades(sheet.first_mm, sheet.last_mm, sheet.step_mm)
    else:
        grades = core.usual_grades(valves)
    return core.plan_shims(valves, drawer, grades, u_mm=sheet.u_mm)


def match_shims(sheet: ShimSheet, unit: LengthUnit) -> ShimAnswer:
    """Say which shim goes under which valve: from the drawer first, bought least.

    Raises
    ------
    InvalidInput
        As for keeping the sheet.
    """
    drawer = shims_in_drawer()
    plan = plan_of(sheet, [core.DrawerShim(one.size_mm, one.count) for one in drawer])
    by_name = {row["name"]: row for row in sheet.rows}
    rows = [_row(one, by_name[one.valve], unit) for one in plan.assignments]
    rows += [
        MatchRow((numbered(one.name), _mm(one.shim_mm, unit), "none fits", "", ""), "bad", "no shim", True)
        for one in plan.impossible
    ]
    prices = [(one.size_mm, one.price) for one in drawer]
    buy = tuple(
        ToBuyShim(
            f"valve shim {_mm(one.thickness_mm, unit)}",
            one.count,
            next((price for size, price in prices if abs(size - one.thickness_mm) < _SAME_MM), None),
        )
        for one in plan.buy
    )
    shown = MatchShown(
        "shims",
        Pairing(
            _said(plan), ("valve", "now under it", "goes under it", "from", "clearance then"), tuple(rows)
        ),
        None,
        _reasons(sheet, plan, unit, len(drawer)),
        _cautions(sheet, plan),
    )
    return ShimAnswer(shown, buy)


def _valve(sheet: ShimSheet, row: Mapping[str, Any]) -> core.Valve:
    least, most = (
        row.get(name) if row.get(name) is not None else of_all
        for name, of_all in (("least_mm", sheet.least_mm), ("most_mm", sheet.most_mm))
    )
    if least is None or most is None:
        raise InvalidInput(
            "least", needs="the limits of the clearance", came="",
            remedy="Type them for all valves, or behind each one.",
        )  # fmt: skip
    return core.Valve(row["name"], row["clearance_mm"], row["shim_mm"], least, most)


def _mm(mm: float, unit: LengthUnit) -> str:
    # Shims are marked in millimetres, in any shop.
    said = f"{mm:.3f}".rstrip("0")
    said = said if len(said.partition(".")[2]) >= 2 else f"{mm:.2f}"
    return f"{said} mm" if unit is LengthUnit.MM else f"{said} mm ({format_measured(mm, unit)})"


def _row(one: core.ShimAssignment, valve: Mapping[str, Any], unit: LengthUnit) -> MatchRow:
    origin = {
        core.ShimOrigin.STAYS: "stays",
        core.ShimOrigin.OTHER_VALVE: f"under {numbered(one.of_valve)}",
        core.ShimOrigin.DRAWER: "the drawer",
        core.ShimOrigin.BOUGHT: "to buy",
    }[one.origin]
    stamp, words = ("good", "within")
    if one.probability_within is not None:
        stamp, words = stamp_of(one.probability_within)
        words = f"{words}: {percent(one.probability_within)}"
    cells = (
        numbered(one.valve),
        _mm(valve["shim_mm"], unit),
        _mm(one.shim_mm, unit),
        origin,
        format_measured(one.clearance_mm, unit),
    )
    return MatchRow(cells, stamp, words, one.origin is not core.ShimOrigin.STAYS)


def _said(plan: core.ShimPlan) -> str:
    counts = {
        origin: sum(1 for one in plan.assignments if one.origin is origin) for origin in core.ShimOrigin
    }
    told = [
        f"{counts[origin]} {words}"
        for origin, words in (
            (core.ShimOrigin.STAYS, "stay"),
            (core.ShimOrigin.OTHER_VALVE, "change places"),
            (core.ShimOrigin.DRAWER, "from the drawer"),
            (core.ShimOrigin.BOUGHT, "to buy"),
        )
        if counts[origin]
    ]
    if plan.impossible:
        told.append(f"{len(plan.impossible)} without a shim")
    return ", ".join(told).capitalize() + "."


def _reasons(sheet: ShimSheet, plan: core.ShimPlan, unit: LengthUnit, drawer: int) -> tuple[str, ...]:
    told = []
    if sheet.least_mm is not None and sheet.most_mm is not None:
        least, most = (format_measured(one, unit) for one in (sheet.least_mm, sheet.most_mm))
        told.append(
            f"The clearance shall lie between {least} and {most}"
            + (f" ({sheet.source})." if sheet.source else ". Nobody said where these limits stand.")
        )
    if sheet.first_mm and sheet.last_mm and sheet.step_mm:
        first, last = _mm(sheet.first_mm, unit), _mm(sheet.last_mm, unit)
        told.append(f"Shims are sold from {first} to {last} by {sheet.step_mm:g} mm.")
    else:
        told.append(f"Shims are taken as sold by {core.USUAL_STEP_MM:g} mm (common practice, no source).")
    told.append(f"{drawer} sizes are known in the drawer." if drawer else "The drawer is empty.")
    told.append(
        "Proven: no other plan leaves fewer valves without a shim; of those none buys fewer; of those none "
        "lies nearer the middle of the limits in all; of those none moves fewer shims."
    )
    if plan.buy:
        told.append("What is bought no shim at hand can replace without another valve missing one.")
    return tuple(told)


def _cautions(sheet: ShimSheet, plan: core.ShimPlan) -> tuple[Caution, ...]:
    told = []
    if plan.impossible:
        names = listed([numbered(one.name) for one in plan.impossible])
        told.append(
            Caution(f"No shim at hand or sold brings {names} within the limits. Look at seat and stem.")
        )
    if sheet.u_mm is None:
        told.append(Caution("Nobody said how sure a clearance is, so no chance of being within is given."))
    told.append(Caution("Turn the engine over and measure every clearance again when the shims are in."))
    return tuple(told)


def _columns(said: SaidOfShims) -> dict[str, Any]:
    if not 1 <= len(said.valves) <= _MOST_ROWS:
        raise InvalidInput(
            "valves", needs=f"1 to {_MOST_ROWS} of them, one a line", came=str(len(said.valves))
        )
    rows: list[dict[str, Any]] = []
    for one in said.valves:
        row: dict[str, Any] = {
            "name": one.name, "clearance_mm": one.clearance.value, "shim_mm": one.shim.value,
        }  # fmt: skip
        row |= {f"{name}_mm": own.value for name, own in (("least", one.least), ("most", one.most)) if own}
        rows.append(row)
    return {
        "rows": rows,
        **{
            f"{name}_mm": number.value if number else None
            for name, number in (
                ("least", said.least), ("most", said.most), ("u", said.u),
                ("first", said.first), ("last", said.last), ("step", said.step),
            )
        },
        "source": said.source.strip(),
        "typed": dict(said.typed),
    }  # fmt: skip
