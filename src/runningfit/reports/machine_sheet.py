"""The machine-shop sheet of a consignment: each size with its limits at 20 °C, what to keep, what to mind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.units import LengthUnit, format_measured
from runningfit.reports.papers import render
from runningfit.workshop.measurements.inspecting import inspection_said
from runningfit.workshop.measurements.models import Feature
from runningfit.workshop.outside_work.expecting import sort_of
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.records.queries import the_shop
from runningfit.workshop.treatments.machining import waiting_tests
from runningfit.workshop.treatments.machining_choice import LEFT_MM, plan_of
from runningfit.workshop.treatments.machining_orders import OrderedSet, orders_of_consignment
from runningfit.workshop.treatments.models import AXES, MachiningOperation, MachiningPlan


def machine_sheet(consignment: Consignment, *, today: dt.date) -> bytes:
    """Set the machine-shop sheet of a consignment.

    Parameters
    ----------
    consignment : Consignment
        With its outside shop.
    today : date
        The day it is printed.

    Returns
    -------
    bytes
        The PDF; where nothing on it is machined it says so.
    """
    shop = the_shop()
    unit = LengthUnit(shop.unit)
    order = orders_of_consignment(consignment)
    sets = order.sets if order is not None else ()
    jobs = dict.fromkeys(one.feature_set.job.name for one in sets)
    data = {
        "title": f"Machine-shop sheet: consignment {consignment.number}",
        "job": ", ".join(jobs),
        "printed": _day(today),
        "facts": [
            ["from", shop.name or "the workshop"],
            ["to", ", ".join(part for part in (consignment.shop.name, consignment.shop.address) if part)],
            ["sent", _day(consignment.sent_on)],
            ["wanted back", _day(consignment.due_on)],
        ],
        "sets": [_set(one, unit) for one in sets],
    }
    return render("machine_sheet.typ", data)


def _set(one: OrderedSet, unit: LengthUnit) -> dict[str, object]:
    rows = [judged.operation for judged in one.operations]
    plan = plan_of(one.feature_set)
    bore = FeatureKind(one.feature_set.kind) is FeatureKind.BORE
    lot = one.feature_set.lot
    facts = [
        ["on", f"{sort_of(lot).said(1).partition(' ')[2]} (lot {lot.number})" if lot else ""],
        ["surface", "; ".join(_each(row.surface for row in rows))],
        [
            "axis",
            f"set up {_AXIS_SAID[plan.axis]}" if plan and bore and plan.axis in _AXIS_SAID else "",
        ],
        [
            "leave for honing" if bore else "leave for polishing",
            plan.typed.get("hone", "") + " on diameter" if plan and plan.hone_mm else "",
        ],
        ["leave as it is", ", ".join(f"No. {name}" for name in _left(rows))],
        ["keep", "; ".join(_each(row.keep for row in rows))],
        ["measure after", "; ".join(_each(row.measure_after for row in rows))],
    ]
    return {
        "name": one.feature_set.name[:1].upper() + one.feature_set.name[1:],
        "kind": "bore" if bore else "journal",
        "what": "; ".join(_each(row.what for row in rows)),
        "rows": [_row(row, unit) for row in rows],
        "based_on": "; ".join(_each(row.based_on for row in rows)),
        "facts": [pair for pair in facts if pair[1]],
        "cautions": _cautions(one, rows, plan, bore=bore),
    }


_AXIS_SAID = {key: said for key, said in AXES if key != "unknown"}


def _row(row: MachiningOperation, unit: LengthUnit) -> dict[str, object]:
    other = LengthUnit.MM if unit is LengthUnit.INCH else LengthUnit.INCH
    return {
        "name": row.feature.name,
        "found": format_measured(row.found_mm, unit),
        "target": format_measured(row.target_mm, unit),
        "target_other": format_measured(row.target_mm, other),
        "limits": _limits(row, unit),
        "limits_other": _limits(row, other),
        "remove": format_measured(abs(row.target_mm - row.found_mm), unit),
    }


def _limits(row: MachiningOperation, unit: LengthUnit) -> str:
    low, high = (format_measured(one, unit) for one in (row.lower_mm, row.upper_mm))
    return f"{low.rpartition(' ')[0]} to {high}"


def _cautions(
    one: OrderedSet, rows: list[MachiningOperation], plan: MachiningPlan | None, *, bore: bool
) -> list[str]:
    kind = "bore" if bore else "journal"
    worst = min(rows, key=lambda row: abs(row.target_mm - row.found_mm))
    said = [
        f"{inspection_said(test).capitalize()}: not passed yet. Do not cut before it has."
        + (f" Ordered all the same: {rows[0].anyway}." if rows[0].anyway else "")
        for test in waiting_tests(one.feature_set)
    ]
    if not bore:
        said.append("Crack-test before grinding, and again after it. Leave the radius of the fillets smooth.")
        said.append(_case(plan))
    elif plan is not None and plan.wall_mm is not None:
        said.append(
            f"Wall where it is thinnest: {plan.typed.get('wall', '')} before boring; "
            f"{plan.typed.get('wall_left', '')} must be left."
        )
    nominal = one.feature_set.nominal
    if plan is not None and plan.most_step_mm is not None and nominal is not None:
        size = nominal + plan.most_step_mm if bore else nominal - plan.most_step_mm
        source = f" ({plan.source})" if plan.source else ""
        both = f"{format_measured(size, LengthUnit.MM)} ({format_measured(size, LengthUnit.INCH)})"
        said.append(f"Never {'above' if bore else 'below'} {both}{source}.")
    said.append(
        f"Cut {kind} {worst.feature.name} first: it has the least to come off. If it does not clean up, ring "
        "before the others are cut."
    )
    return said


def _case(plan: MachiningPlan | None) -> str:
    if plan is None or plan.hard_layer_mm is None:
        return "Whether the journals are case-hardened is not known: test before grinding, and ring."
    return (
        f"Hardened layer: {plan.typed.get('hard_layer', '')} deep as made; "
        f"{plan.typed.get('hard_left', '')} must be left."
    )


def _left(rows: list[MachiningOperation]) -> list[str]:
    """Return the names of the features of the set that were decided to stay as they are."""
    steps = rows[0].decision.steps
    left = [int(key) for key, step in steps.items() if step == LEFT_MM]
    if not left:
        return []
    return list(Feature.objects.filter(pk__in=left).order_by("position").values_list("name", flat=True))


def _each(words: Iterable[str]) -> list[str]:
    return [one for one in dict.fromkeys(words) if one]


def _day(day: dt.date | None) -> str:
    return f"{day.day} {day:%b %Y}" if day else "not said"
