"""Views of the Send step of a job: what is to be done with each lot, and where it is on its way."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.treatments import treatment
from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.forms import DoneForm, TreatForm
from runningfit.web.records.views import job_page
from runningfit.web.treatments.drawn_lines import warning
from runningfit.workshop.outside_work import treating
from runningfit.workshop.outside_work.queries import (
    drafts_of,
    last_lines_of,
    open_count,
)
from runningfit.workshop.outside_work.states import STATES, lots_in_state, state_counts
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id
from runningfit.workshop.treatments.queries import warnings_of


def send(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a job's lots by where they are on the way out and back."""
    return _page(request, job_by_id(job_id), TreatForm())


def treat(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say for the ticked lots what is to be done."""
    job = job_by_id(job_id)
    form = TreatForm(request.POST)
    if form.is_valid() and request.POST.get("show") == "undecided" and not form.cleaned_data["treatment"]:
        form.add_error("treatment", "Choose what is to be done with them.")
    if form.is_valid():
        lots = list(form.cleaned_data["lot"])
        with kept(form):
            treating.say_treatment(lots=lots, treatment=form.cleaned_data["treatment"], hand=hand(request))
        if form.is_valid():
            messages.success(request, f"Said for {len(lots)} lot{'s' if len(lots) > 1 else ''}.")
            return redirect(_back(request, job))
    return _page(request, job, form)


def done_here(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say that what was to be done here was done."""
    job = job_by_id(job_id)
    form = DoneForm(request.POST)
    if form.is_valid():
        with kept(form):
            treating.say_done(
                lots=list(form.cleaned_data["lot"]),
                look=form.cleaned_data["look"],
                process=form.cleaned_data["process"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect(_back(request, job))
    return _page(request, job, form)


def _page(request: HttpRequest, job: Job, form: TreatForm | DoneForm) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    counts = state_counts(job)
    state = asked.get("show", "")
    if state not in STATES:
        state = next((one for one in STATES if counts[one]), "undecided")
    after = asked.get("after", "")
    words = asked.get("words", "")[:80]
    page = lots_in_state(job, state, words=words, after=int(after) if after.isdecimal() else None)
    ticked = set(request.POST.getlist("lot"))
    found: dict[str, Any] = {
        "form": form if isinstance(form, TreatForm) else TreatForm(),
        "done_form": form if isinstance(form, DoneForm) else DoneForm(),
        "wrong": form.errors if form.is_bound else {},
        "state": state,
        "states": counts,
        "words": words,
        "after": page.after,
        "rows": _rows(page.lots, ticked, state),
        "discrepancies": open_count(job),
        "title": "Send",
    }
    return render(request, "outside_work/send.html", job_page(job, here="send", **found))


def _rows(lots: Any, ticked: set[str], state: str) -> list[dict[str, Any]]:
    counts = counts_of(lots)
    warned = warnings_of(lots) if state in ("to_go", "here") else {}
    drafts, lines = drafts_of(lots), last_lines_of(lots)
    return [
        {
            "lot": lot,
            "counts": counts[lot.pk],
            "treatment": treatment(lot.treatment).label if lot.treatment else "",
            "draft": drafts.get(lot.pk),
            "line": lines.get(lot.pk),
            "ticked": str(lot.pk) in ticked,
            "warning": warning(lot, warned.get(lot.pk)),
        }
        for lot in lots
    ]


def _back(request: HttpRequest, job: Job) -> str:
    state = request.POST.get("show", "")
    return f"/jobs/{job.pk}/send" + (f"?show={state}" if state in STATES else "")
