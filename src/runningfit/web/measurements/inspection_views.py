"""Pages of inspections: the tests of a job, one to be done, what came of it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.measurements.inspection_forms import (
    InspectionForm,
    ResultForm,
    inspection_start,
    result_start,
)
from runningfit.web.records.views import job_page
from runningfit.workshop.measurements import inspecting
from runningfit.workshop.records.queries import history, job_by_id

HISTORY_SHOWN = 30


def inspections(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the tests of a job: those failed, those still to be done, those passed."""
    job = job_by_id(job_id)
    rows = inspecting.inspections_of(job)
    parts = [
        (words, [row for row in rows if row.result == state])
        for state, words in (("failed", "Failed"), ("wanted", "Still to be done"), ("passed", "Passed"))
    ]
    page = job_page(
        job,
        here="measure",
        slip="inspections",
        parts=[one for one in parts if one[1]],
        waiting=[row for row in rows if row.gates and row.result != "passed"],
        title="Tests",
    )
    return render(request, "measurements/inspections.html", page)


def want_inspection(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say that something shall be tested."""
    job = job_by_id(job_id)
    form = InspectionForm(job, request.POST or None, initial={"gates": ""})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = inspecting.want_inspection(job=job, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, f"Wanted: {inspecting.inspection_said(made)}.")
            return redirect("inspections", job.pk)
    page = job_page(job, here="measure", slip="inspections", form=form, press="Want it", title="A test")
    return render(request, "measurements/want_inspection.html", page, status=400 if form.errors else 200)


def inspection(request: HttpRequest, job_id: int, inspection_id: int) -> HttpResponse:
    """Show a test with its past, and say what came of it."""
    job = job_by_id(job_id)
    row = inspecting.inspection_by_id(job, inspection_id)
    form = ResultForm(row, request.POST or None, initial=result_start(row))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            now = inspecting.give_result(inspection=row, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, f"{inspecting.inspection_said(now)}: {now.get_result_display()}.")
            return redirect("inspections", job.pk)
    page = job_page(
        job,
        here="measure",
        slip="inspections",
        row=row,
        form=form,
        acts=history(most=HISTORY_SHOWN, model="Inspection", object_id=row.pk),
        title=inspecting.inspection_said(row),
    )
    return render(request, "measurements/inspection.html", page, status=400 if form.errors else 200)


def change_inspection(request: HttpRequest, job_id: int, inspection_id: int) -> HttpResponse:
    """Change what shall be tested, or what waits for it."""
    job = job_by_id(job_id)
    row = inspecting.inspection_by_id(job, inspection_id)
    form = InspectionForm(job, request.POST or None, initial=inspection_start(row))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            inspecting.change_inspection(inspection=row, said=form.said(row), hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("inspection", job.pk, row.pk)
    page = job_page(
        job, here="measure", slip="inspections", form=form, row=row, press="Keep", title="Change a test"
    )
    return render(request, "measurements/want_inspection.html", page, status=400 if form.errors else 200)


@require_POST
def withdraw_inspection(request: HttpRequest, job_id: int, inspection_id: int) -> HttpResponse:
    """Take back that something shall be tested."""
    job = job_by_id(job_id)
    row = inspecting.inspection_by_id(job, inspection_id)
    inspecting.withdraw_inspection(inspection=row, hand=hand(request))
    messages.success(request, f"Taken back: {inspecting.inspection_said(row)}.")
    return redirect("inspections", job.pk)
