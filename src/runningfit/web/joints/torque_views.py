"""The torque sheet of an area: on screen, and as a paper to write on."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from runningfit.core.units import LengthUnit
from runningfit.reports.torque_sheet import torque_sheet
from runningfit.reports.torque_words import CAUTIONS, not_to_fit, torque_words
from runningfit.web.joints.saying import way_to_finish
from runningfit.web.records.views import job_page
from runningfit.workshop.build.queries import area_by_id
from runningfit.workshop.joints.torques import TightenedPlace, torque_sheet_of
from runningfit.workshop.records.queries import job_by_id, the_shop


def torques(request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Show what is tightened in an area, with its figures or why there is none."""
    area = area_by_id(job_by_id(job_id), area_id)
    sheet = torque_sheet_of(area)
    unit = LengthUnit(the_shop().unit)
    page = job_page(
        area.job,
        here="build",
        area=area,
        rows=[_row(line, unit, area.pk) for line in sheet.tightened],
        without=sheet.without,
        not_to_fit=[(line.lots[0], not_to_fit(line)) for line in sheet.not_to_fit if line.lots],
        cautions=CAUTIONS,
        title=f"Torque sheet: {area.name}",
    )
    return render(request, "joints/torques.html", page)


def torque_paper(_request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Print the torque sheet of an area."""
    area = area_by_id(job_by_id(job_id), area_id)
    paper = torque_sheet(torque_sheet_of(area), today=timezone.localdate())
    return HttpResponse(
        paper,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="torque-sheet-{area.pk}.pdf"'},
    )


def _row(line: TightenedPlace, unit: LengthUnit, area: int) -> dict[str, Any]:
    said = torque_words(line, unit, area=area)
    return {
        "place": line.place,
        "lot": line.lots[0] if line.lots else None,
        "said": said,
        "way": way_to_finish(line.lots[0]) if said.waits else None,
    }
