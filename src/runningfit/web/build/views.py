"""Whether an area can be built now, its kit, and marking pieces as fitted."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from runningfit.core.errors import InvalidInput
from runningfit.reports.kit_list import kit_list
from runningfit.web.build.forms import WhyForm
from runningfit.web.hands import hand, kept
from runningfit.web.records.views import job_page
from runningfit.workshop.build.queries import Kit, area_by_id, areas_to_build, kit_of
from runningfit.workshop.build.services import Fitting, fit_pieces
from runningfit.workshop.records.queries import job_by_id


def build(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say for every area whether it can be built now."""
    job = job_by_id(job_id)
    page = job_page(job, here="build", areas=areas_to_build(job), title="Can we build it now?")
    return render(request, "build/build.html", page)


def kit(request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Show the kit of an area, and mark what is in its place now."""
    job = job_by_id(job_id)
    area = area_by_id(job, area_id)
    now = kit_of(area)
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            count = fit_pieces(job=job, fittings=_chosen(request, now), hand=hand(request))
            messages.success(request, f"{count} fitted.")
        if form.is_valid():
            return redirect("kit", job.pk, area.pk)
    chosen = request.POST.getlist("fit")
    page = job_page(job, here="build", kit=now, area=area, form=form, chosen=chosen, title=area.name)
    return render(request, "build/kit.html", page)


def kit_paper(_request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Print the kit list of an area."""
    area = area_by_id(job_by_id(job_id), area_id)
    paper = kit_list(kit_of(area), today=timezone.localdate())
    return HttpResponse(
        paper,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="kit-list-{area.pk}.pdf"'},
    )


def _chosen(request: HttpRequest, kit: Kit) -> list[Fitting]:
    """Read which lots are ticked and how many of each went in."""
    lots = {str(row.lot.pk): row.lot for place in kit.places for row in place.lots}
    fittings = []
    for pk in request.POST.getlist("fit"):
        count = request.POST.get(f"count-{pk}", "")
        if pk not in lots or not count.isdecimal():
            raise InvalidInput("how many", needs="a whole number for each line ticked", came=count)
        fittings.append(Fitting(lots[pk], int(count)))
    return fittings
