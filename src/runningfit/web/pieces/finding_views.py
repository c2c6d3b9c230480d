"""Views of findings: those still open, a new one, settling one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.finding_forms import FindingForm, SettleForm
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.findings import record_finding
from runningfit.workshop.pieces.findings import settle_finding as settle_finding_verb
from runningfit.workshop.pieces.models import Finding
from runningfit.workshop.pieces.queries import finding_by_id, findings_of, lot_by_number, not_proven
from runningfit.workshop.records.queries import job_by_id

SETTLED_SHOWN = 100


def findings(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the findings of a job: the open ones, the settled ones, and the threads in doubt."""
    job = job_by_id(job_id)
    lots, places = not_proven(job)
    page = job_page(
        job,
        here="strip",
        slip="findings",
        open_ones=findings_of(job),
        settled=findings_of(job, settled=True, most=SETTLED_SHOWN),
        lots=lots,
        places=places,
        title="Findings",
    )
    return render(request, "pieces/findings.html", page)


def add_finding(request: HttpRequest, job_id: int) -> HttpResponse:
    """Record a finding."""
    job = job_by_id(job_id)
    form = FindingForm(job, request.POST or None, initial=_start(request))
    if request.method == "POST" and form.is_valid():
        values: dict[str, Any] = form.cleaned_data
        with kept(form):
            number = values.pop("lot")
            lot = lot_by_number(job, number) if number else None
            finding = record_finding(job=job, lot=lot, hand=hand(request), **values)
        if form.is_valid():
            messages.success(request, finding_said(finding))
            return redirect("findings", job.pk)
    page = job_page(job, here="strip", slip="findings", form=form, title="A finding")
    return render(request, "pieces/add_finding.html", page)


def settle_finding(request: HttpRequest, job_id: int, finding_id: int) -> HttpResponse:
    """Settle a finding by saying what became of it."""
    job = job_by_id(job_id)
    finding = finding_by_id(job, finding_id)
    form = SettleForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            settle_finding_verb(finding=finding, hand=hand(request, form.cleaned_data["why"]))
        if form.is_valid():
            return redirect("findings", job.pk)
    page = job_page(
        job,
        here="strip",
        slip="findings",
        finding=finding,
        alone=[finding],
        form=form,
        title="Settle a finding",
    )
    return render(request, "pieces/settle_finding.html", page)


def finding_said(finding: Finding) -> str:
    """Say what was recorded, and what the tool made of it."""
    said = f"Recorded: {finding.get_what_display()}."
    if finding.what == "thread_defective":
        mate = (
            "what it was screwed to is not proven either"
            if finding.place_id
            else "no place is known for it, so look what it was screwed to"
        )
        said += f" The thread is marked defective; {mate}."
    return said


def _start(request: HttpRequest) -> dict[str, Any]:
    return {name: value for name in ("area", "place", "lot", "what") if (value := request.GET.get(name, ""))}
