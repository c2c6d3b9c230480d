"""The inbox of a job: photos that nobody has described yet, one after the other."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.photos.forms import AttachForm
from runningfit.web.pieces.keeping import kept_as
from runningfit.web.pieces.saying import said
from runningfit.web.pieces.strip_forms import QuickForm
from runningfit.web.records.views import job_page
from runningfit.workshop.photos import services
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.queries import inbox as waiting_photos
from runningfit.workshop.photos.queries import inbox_count, inbox_page, photo_of_job
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, subject_engine

SHOWN_AT_ONCE = 60


def inbox(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the photos that wait, one of them large with the line that makes it a lot."""
    job = job_by_id(job_id)
    asked = request.GET.get("photo", "")
    photo = waiting_photos(job).filter(pk=asked).first() if asked.isdecimal() else None
    return render(
        request, "photos/inbox.html", _page(job, photo or next(iter(inbox_page(job, most=1)), None))
    )


@require_POST
def describe(request: HttpRequest, job_id: int, photo_id: int) -> HttpResponse:
    """Make the lot that the photo shows; what was not shown as understood is shown first."""
    photo = photo_of_job(job_id, photo_id)
    form = QuickForm(photo.job, request.POST)
    if form.is_valid() and form.was_shown and form.as_understood is not None:
        more = bool(request.POST.get("more"))
        with kept(form):
            lots = services.describe_photo(
                photo=photo,
                line=form.as_understood,
                origin=form.cleaned_data["origin"],
                more=more,
                hand=hand(request),
            )
        if form.is_valid():
            messages.success(request, kept_as(lots))
            return redirect(reverse("inbox", args=[job_id]) + (f"?photo={photo_id}" if more else ""))
    return render(request, "photos/inbox.html", _page(photo.job, photo, form=form))


@require_POST
def attach(request: HttpRequest, job_id: int, photo_id: int) -> HttpResponse:
    """Say which lot, bag or finding of the books the photo shows."""
    photo = photo_of_job(job_id, photo_id)
    form = AttachForm(photo.job, request.POST)
    if form.is_valid():
        with kept(form):
            services.attach_photo(photo=photo, pictured=form.pictured(), hand=hand(request))
        if form.is_valid():
            messages.success(request, "The photo is kept with it.")
            return redirect("inbox", job_id)
    return render(request, "photos/inbox.html", _page(photo.job, photo, attach_form=form))


@require_POST
def nothing(request: HttpRequest, job_id: int, photo_id: int) -> HttpResponse:
    """Say that the photo shows nothing to catalogue."""
    services.nothing_to_keep(photo=photo_of_job(job_id, photo_id), hand=hand(request))
    return redirect("inbox", job_id)


def _page(
    job: Job, photo: Photo | None, form: QuickForm | None = None, attach_form: AttachForm | None = None
) -> dict[str, Any]:
    engine = subject_engine(job)
    quick = form or QuickForm(job, initial={"origin": engine.pk if engine else None})
    return job_page(
        job,
        here="strip",
        photo=photo,
        form=quick,
        said=said(quick.as_understood) if quick.as_understood is not None else None,
        attach_form=attach_form or AttachForm(job),
        attaching=attach_form is not None,
        waiting=inbox_page(job, most=SHOWN_AT_ONCE),
        inbox=inbox_count(job),
        slip="inbox",
        title="Photos to name",
    )
