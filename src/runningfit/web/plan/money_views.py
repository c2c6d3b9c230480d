"""How much, and when, on one page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from runningfit.web.records.views import job_page
from runningfit.workshop.build.money import how_much as reckon
from runningfit.workshop.pieces.queries import has_places
from runningfit.workshop.records.queries import job_by_id


def how_much(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what is spent, committed, offered and not yet quoted, the latest day, and what blocks."""
    job = job_by_id(job_id)
    today = timezone.localdate()
    page = job_page(
        job,
        here="plan",
        slip="how_much",
        money=reckon(job=job, today=today),
        today=today,
        described=has_places(job),
        title="How much, and when",
    )
    return render(request, "plan/how_much.html", page)
