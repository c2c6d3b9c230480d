"""Views of areas: all of a job, one with its places and lots, a new one."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.place_forms import AreaForm
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces import places
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.pieces.queries import (
    area_by_id,
    area_counts,
    findings_of,
    lot_page,
    lots_without_place,
)
from runningfit.workshop.records.queries import job_by_id, subject_engine


def areas(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the areas of a job and what each holds."""
    job = job_by_id(job_id)
    page = job_page(
        job,
        here="strip",
        slip="areas",
        areas=area_counts(job),
        could_make=lots_without_place(job),
        title="Areas and places",
    )
    return render(request, "pieces/areas.html", page)


def add_area(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add an area."""
    job = job_by_id(job_id)
    form = AreaForm(job, request.POST or None, initial={"engine": subject_engine(job)})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = places.add_area(job=job, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("area", job.pk, made.pk)
    page = job_page(job, here="strip", slip="areas", form=form, press="Add the area", title="Add an area")
    return render(request, "pieces/plain_form.html", page)


def area(request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Show an area: its places, its lots, its open findings."""
    job = job_by_id(job_id)
    row = area_by_id(job, area_id)
    page = job_page(
        job,
        here="strip",
        slip="areas",
        area=row,
        parts=row.parts.filter(withdrawn=False).order_by("name"),
        places=list(Place.objects.filter(area=row, withdrawn=False).order_by("pk")),
        lots=lot_page(job, area=row, after=request.GET.get("after", "")),
        findings=findings_of(job, area=row),
        could_make=lots_without_place(job, row),
        title=row.name,
    )
    return render(request, "pieces/area.html", page)


def change_area(request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Change an area's name, what it is a part of, its engine."""
    job = job_by_id(job_id)
    row = area_by_id(job, area_id)
    start = {"name": row.name, "parent": row.parent_id, "engine": row.engine_id}
    form = AreaForm(job, request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            places.change_area(area=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("area", job.pk, row.pk)
    page = job_page(job, here="strip", slip="areas", form=form, press="Keep", title=f"Change {row.name}")
    return render(request, "pieces/plain_form.html", page)
