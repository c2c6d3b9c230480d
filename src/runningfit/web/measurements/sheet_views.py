"""Pages of the reading sheet as a whole: what there is to measure, how far it is read, one set's facts."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.measurements.result_lines import set_lines
from runningfit.web.measurements.sheet_forms import BeginForm, SetForm, as_typed
from runningfit.web.measurements.walk_page import next_unread, walk_url
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.fit_answers import counted
from runningfit.workshop.joints.fit_judging import fits_of_sheet
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.doubtful import doubtful_of
from runningfit.workshop.measurements.models import Feature
from runningfit.workshop.measurements.queries import set_by_id
from runningfit.workshop.measurements.sheet_now import SheetNow, sheet_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, subject_engine, the_shop


def measure(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show how far the sheet is read; ask what there is to measure where nothing is on it yet."""
    job = job_by_id(job_id)
    sheet = sheet_of(job)
    purposes = frozenset(one.purpose for one in sheet.sets if one.purpose)
    form = BeginForm(request.POST or None, unit=the_shop().unit, there=purposes, initial=_counted(sheet))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        with kept(form):
            sets.begin_sheet(
                job=job,
                engine=subject_engine(job),
                layout=values["layout"],
                keys=values["keys"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("measure", job.pk)
    page = job_page(job, here="measure", title="Measure", slip="sheet", form=form, **_overview(job, sheet))
    page["more"] = bool(form.errors) or "more" in request.GET
    return render(request, "measurements/measure.html", page, status=400 if form.errors else 200)


def add_set(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a set of one's own to the sheet."""
    job = job_by_id(job_id)
    form = SetForm(job, request.POST or None, unit=the_shop().unit)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = sets.add_set(job=job, engine=subject_engine(job), said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("feature_set", job.pk, made.pk)
    page = job_page(job, here="measure", title="A set of your own", slip="add", form=form)
    return render(request, "measurements/set_form.html", page, status=400 if form.errors else 200)


def change_set(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Change what is known of a set."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    names = list(
        Feature.objects.filter(feature_set=one, withdrawn=False)
        .order_by("position")
        .values_list("name", flat=True)
    )
    form = SetForm(job, request.POST or None, unit=the_shop().unit, initial=as_typed(one, names))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            sets.change_set(feature_set=one, said=form.said(one.purpose), hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("feature_set", job.pk, one.pk)
    page = job_page(job, here="measure", title=f"Change: {one.name}", form=form, set=one)
    return render(request, "measurements/set_form.html", page, status=400 if form.errors else 200)


@require_POST
def take_off(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Take a set off the sheet; the history can bring it back."""
    one = set_by_id(job_by_id(job_id), set_id)
    sets.withdraw_set(feature_set=one, hand=hand(request))
    messages.success(
        request, f"{one.name} is off the sheet; its readings stay. The history can bring it back."
    )
    return redirect("measure", job_id)


def _counted(sheet: SheetNow) -> dict[str, Any]:
    """How many of each the sheet has already, so that nobody types them twice."""
    counts = {one.feature_set.purpose: len(one.features) for one in sheet.states().values()}
    names = {"cylinders": "bores", "main_bearings": "mains"}
    return {name: counts[purpose] for name, purpose in names.items() if purpose in counts}


def _overview(job: Job, sheet: SheetNow) -> dict[str, Any]:
    unit = the_shop().unit
    states = list(sheet.states().values())
    first = next((one for one in states if one.next_point is not None), None)
    place = next_unread(first) if first else None
    worst = {one.pk: one for one in set_lines(sheet)}
    return {
        "lines": [(one, len(doubtful_of(one, unit=unit)), worst.get(one.feature_set.pk)) for one in states],
        "read": sum(one.read_count for one in states),
        "points": sum(one.point_count for one in states),
        "next_set": first.feature_set if first else None,
        "next_url": walk_url(job.pk, first.feature_set.pk, place.at, 0) if first and place else "",
        "next_place": place,
        "fit_counts": counted(fits_of_sheet(job, sheet)),
    }
