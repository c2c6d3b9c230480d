"""The view of one engine: what is known of it, and its build window."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.errors import NotFound
from runningfit.web.hands import hand, kept
from runningfit.web.records.forms import EngineForm
from runningfit.web.records.views import job_page
from runningfit.workshop.records.queries import job_by_id
from runningfit.workshop.records.services import change_engine


def engine(request: HttpRequest, job_id: int, engine_id: int) -> HttpResponse:
    """Show what is known of an engine, and change it."""
    job = job_by_id(job_id)
    row = job.engines.filter(pk=engine_id, withdrawn=False).first()
    if row is None:
        raise NotFound(f"There is no engine {engine_id} in the job {job.name}.")
    start = {
        "engine_name": row.name,
        "engine_number": row.number,
        "built_from": row.built_from,
        "built_to": row.built_to,
        "built_basis": row.built_basis,
        "country": row.country,
    }
    form = EngineForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        known = {"name": values.pop("engine_name").strip(), "number": values.pop("engine_number").strip()}
        with kept(form):
            change_engine(engine=row, hand=hand(request), **known, **values)
        if form.is_valid():
            return redirect("strip", job.pk)
    page = job_page(
        job, here="strip", form=form, row=row, title=f"{row.get_role_display().capitalize()}: {row.name}"
    )
    return render(request, "records/engine.html", page)
