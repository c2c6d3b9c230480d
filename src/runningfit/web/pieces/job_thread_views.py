"""The page of a job's threads that ask for a person: open ones, and those unlike their neighbours."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.queries import lines_of
from runningfit.workshop.pieces.thread_doubts import (
    A_PAGE,
    next_measurements,
    open_thread_lots,
    strangers_in_areas,
)
from runningfit.workshop.records.queries import job_by_id


def job_threads(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the lots whose thread is open, each with what to measure next, and those that look swapped."""
    job = job_by_id(job_id)
    asked = request.GET.get("after", "")
    after = int(asked) if asked.isdecimal() else 0
    lots = list(open_thread_lots(job, after=after)[: A_PAGE + 1])
    shown = lots[:A_PAGE]
    page = job_page(
        job,
        here="strip",
        slip="threads",
        open_lots=list(zip(lines_of(shown), next_measurements(shown), strict=True)),
        next_page=shown[-1].number if len(lots) > A_PAGE else 0,
        strangers=strangers_in_areas(job) if not after else [],
        title="Threads",
    )
    return render(request, "pieces/job_threads.html", page)
