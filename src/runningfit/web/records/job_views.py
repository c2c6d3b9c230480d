"""The view of one job itself: its name, when it is wanted, its engines, closing and reopening it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.records.forms import JobForm
from runningfit.web.records.views import job_page
from runningfit.workshop.build.standing import reckon
from runningfit.workshop.records import services
from runningfit.workshop.records.queries import donors, job_by_id


def about_job(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what is said of a job, and change it."""
    job = job_by_id(job_id)
    start = {"name": job.name, "wanted_by": job.wanted_by, "note": job.note}
    form = JobForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.change_job(job=job, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("about_job", job.pk)
    page = job_page(
        job,
        here="strip",
        slip="about",
        form=form,
        donors=donors(job),
        standing=reckon([job.pk])[job.pk],
        title="The loose stock" if job.is_stock else "The job",
    )
    return render(request, "records/about_job.html", page)


@require_POST
def close_job(request: HttpRequest, job_id: int) -> HttpResponse:
    """Close a job, or open it again."""
    job = job_by_id(job_id)
    if job.closed_on is None:
        services.close_job(job=job, hand=hand(request))
        messages.success(
            request, f"The job {job.name} is closed. It stands under Closed jobs, with its books."
        )
        return redirect("jobs")
    services.reopen_job(job=job, hand=hand(request))
    messages.success(request, f"The job {job.name} is open again.")
    return redirect("about_job", job.pk)
