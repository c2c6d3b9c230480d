"""Views of discrepancies: what is open, and closing one with a reason."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme

from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.forms import CloseForm
from runningfit.web.records.views import job_page
from runningfit.workshop.outside_work.discrepancies import close_discrepancy as close
from runningfit.workshop.outside_work.models import Discrepancy
from runningfit.workshop.outside_work.queries import (
    closed_discrepancies,
    discrepancy_by_id,
    open_discrepancies,
)
from runningfit.workshop.outside_work.states import state_counts
from runningfit.workshop.records.queries import job_by_id


def discrepancies(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what did not come back as it went, of one job."""
    job = job_by_id(job_id)
    rows = open_discrepancies(job=job)
    page = {
        "rows": told_once(rows),
        "closed": told_once(closed_discrepancies(job=job)),
        "states": state_counts(job),
        "discrepancies": len(rows),
        "title": "Discrepancies",
    }
    return render(request, "outside_work/discrepancies.html", job_page(job, here="send", **page))


def all_discrepancies(request: HttpRequest) -> HttpResponse:
    """Show what did not come back as it went, of every job."""
    page = {
        "rows": told_once(open_discrepancies()),
        "closed": told_once(closed_discrepancies()),
        "title": "Discrepancies",
    }
    return render(request, "outside_work/all_discrepancies.html", page)


def close_discrepancy(request: HttpRequest, discrepancy_id: int) -> HttpResponse:
    """Close a discrepancy with how it ended and why."""
    row = discrepancy_by_id(discrepancy_id)
    form = CloseForm(row, request.POST or None)
    wanted = request.POST.get("next", "") or request.GET.get("next", "")
    back = wanted if url_has_allowed_host_and_scheme(wanted, {request.get_host()}) else ""
    if request.method == "POST" and form.is_valid():
        with kept(form):
            close(discrepancy=row, outcome=form.cleaned_data["outcome"], hand=hand(request))
        if form.is_valid():
            messages.success(request, "Closed.")
            return redirect(back or "consignment", *(() if back else (row.consignment.number,)))
    page = {
        "row": row,
        "form": form,
        "back": back,
        "consignment": row.consignment,
        "title": "Close a discrepancy",
    }
    return render(request, "outside_work/close.html", page)


def told_once(rows: Iterable[Discrepancy]) -> list[dict[str, Any]]:
    """Return discrepancies for showing; a set of twins has one story and is told once, with its lots."""
    told: dict[tuple[object, ...], dict[str, Any]] = {}
    for row in rows:
        key = (row.consignment_id, row.kind, row.said) if row.kind == "indistinct" else (row.pk,)
        one = told.setdefault(key, {"row": row, "count": 0, "lots": []})
        one["count"] += row.count
        if row.lot is not None:
            one["lots"].append(row.lot)
    return list(told.values())
