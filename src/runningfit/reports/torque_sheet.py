"""The torque sheet of an area: what to tighten to, for the finish that came back, and a blank to write in."""

from __future__ import annotations

import datetime as dt
from dataclasses import asdict

from runningfit.core.units import LengthUnit
from runningfit.reports.papers import render
from runningfit.reports.torque_words import CAUTIONS, not_to_fit, torque_words
from runningfit.workshop.joints.torques import TightenedPlace, TorqueSheet
from runningfit.workshop.records.queries import the_shop


def torque_sheet(sheet: TorqueSheet, *, today: dt.date) -> bytes:
    """Set the torque sheet of an area.

    Parameters
    ----------
    sheet : TorqueSheet
        As ``torque_sheet_of`` returns it.
    today : date
        The day it is printed.

    Returns
    -------
    bytes
        The PDF.
    """
    unit = LengthUnit(the_shop().unit)
    lines = [torque_words(line, unit, area=sheet.area.pk) for line in sheet.tightened]
    refused = sum(not line.figures for line in lines)
    data = {
        "title": f"Torque sheet: {sheet.area.name}",
        "job": sheet.area.job.name,
        "printed": f"{today:%d %b %Y}".lstrip("0"),
        "sums": f"{len(lines) - refused} with a figure" + (f", {refused} without" if refused else ""),
        "has_ranges": any(spread for line in lines for _figure, spread in line.figures),
        "cautions": list(CAUTIONS),
        "lines": [asdict(line) for line in lines],
        "not_to_fit": [not_to_fit(line) for line in sheet.not_to_fit],
        "without": [_without(line) for line in sheet.without],
    }
    return render("torque_sheet.typ", data)


def _without(line: TightenedPlace) -> str:
    return f"{line.place.name} ({line.count})"
