"""The kit list of an area: what each place needs, from which bag, with boxes to tick as it goes in."""

from __future__ import annotations

import datetime as dt

from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.units import LengthUnit, both_units
from runningfit.reports.papers import render
from runningfit.workshop.build.queries import Kit, KitLot, KitPlace
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.records.queries import the_shop


def kit_list(kit: Kit, *, today: dt.date) -> bytes:
    """Set the kit list of an area.

    Parameters
    ----------
    kit : Kit
        The kit, as ``kit_of`` returns it.
    today : date
        The day it is printed.

    Returns
    -------
    bytes
        The PDF.
    """
    unit = LengthUnit(the_shop().unit)
    state = kit.state
    data = {
        "title": f"Kit list: {kit.area.name}",
        "job": kit.area.job.name,
        "printed": f"{today:%d %b %Y}".lstrip("0"),
        "stamp": "built" if state.finished else "ready to build" if state.ready else "not yet",
        "bad": not (state.ready or state.finished),
        "sums": f"{state.fitted} of {state.needed} fitted"
        + (f", {state.missing} missing" if state.missing else "")
        + (f", {state.outside} outside" if state.outside else ""),
        "reasons": [reason.text for reason in state.reasons],
        "cautions": [caution.text for caution in state.cautions],
        "places": [_place(row, unit) for row in kit.places],
    }
    return render("kit_list.typ", data)


def _place(row: KitPlace, unit: LengthUnit) -> dict[str, object]:
    place = row.place
    return {
        "count": place.count,
        "name": place.name,
        "what": _what(place, unit),
        "torque": place.torque_typed,
        "lots": [_lot(lot) for lot in row.lots],
        "missing": row.missing,
    }


def _what(place: Place, unit: LengthUnit) -> str:
    parts = [label(Kind(place.kind), place.count).partition(" ")[2]]
    ends = [end.replace("|", " or ") for end in dict.fromkeys((place.end_a, place.end_b)) if end]
    if ends or place.size_said:
        parts.append(" and ".join(ends) or place.size_said)
    if place.length_nominal:
        parts.append(f"x {place.length_nominal}")
    elif place.length_mm is not None:
        parts.append(f"x {both_units(place.length_mm, unit)}")
    return " ".join(parts)


def _lot(row: KitLot) -> dict[str, object]:
    lot, counts = row.lot, row.counts
    said = [lot.finish_look if lot.finish_look != "unknown" else ""]
    said += [
        f"{counts.outside} outside" if counts.outside else "",
        f"{counts.fitted} fitted" if counts.fitted else "",
    ]
    said += [row.due and f"{row.due} not done yet", lot.defect]
    if lot.thread_state in ("defective", "not_proven"):
        said.append(f"thread {lot.get_thread_state_display()}")
    return {
        "count": counts.usable,
        "bag": lot.bag.code if lot.bag else "",
        "lot": f"lot {lot.number}",
        "said": ", ".join(part for part in said if part),
    }
