"""Photos as files and as pages: served only through the application, shown with what they belong to."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from runningfit.web.hands import hand, kept
from runningfit.web.photos.forms import AttachForm
from runningfit.web.records.views import job_page
from runningfit.workshop.photos import services
from runningfit.workshop.photos.files import path_of
from runningfit.workshop.photos.queries import inbox_count, photo_by_id, photo_of_job, photos_of
from runningfit.workshop.records.queries import job_by_id

A_PAGE = 60
_TYPES = {".jpg": "image/jpeg", ".png": "image/png", ".webp": "image/webp", ".heic": "image/heic"}


@require_safe
def photo_file(_request: HttpRequest, photo_id: int, size: str) -> FileResponse:
    """Send a photo's file; the original, which still tells place and device, only as a download."""
    photo = photo_by_id(photo_id)
    path = path_of(photo, size)
    response = FileResponse(
        path.open("rb"),
        content_type=_TYPES.get(path.suffix, "application/octet-stream"),
        as_attachment=size == "original",
        filename=f"photo-{photo.pk}{path.suffix}",
    )
    # What a photo's address gives never changes, but it is the shop's own: no cache between may keep it.
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return response


def photos(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the photos of a job, the newest first."""
    job = job_by_id(job_id)
    before = request.GET.get("before", "")
    rows = photos_of(job, before=int(before) if before.isdecimal() else None, most=A_PAGE + 1)
    page = job_page(
        job,
        here="strip",
        photos=rows[:A_PAGE],
        before=rows[A_PAGE - 1].pk if len(rows) > A_PAGE else None,
        inbox=inbox_count(job),
        slip="inbox",
        title="All photos",
    )
    return render(request, "photos/photos.html", page)


def photo_page(request: HttpRequest, job_id: int, photo_id: int) -> HttpResponse:
    """Show one photo large, and let it be said anew what it shows."""
    photo = photo_of_job(job_id, photo_id)
    form = AttachForm(photo.job, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.attach_photo(photo=photo, pictured=form.pictured(), hand=hand(request))
        if form.is_valid():
            messages.success(request, "The photo is kept with it.")
            return redirect("photo_page", job_id, photo_id)
    title = f"Photo {photo.pk}"
    page = job_page(photo.job, here="strip", photo=photo, form=form, slip="inbox", title=title)
    return render(request, "photos/photo.html", page)


@require_POST
def put_away(request: HttpRequest, job_id: int, photo_id: int) -> HttpResponse:
    """Put a photo away; the history can bring it back."""
    services.withdraw_photo(photo=photo_of_job(job_id, photo_id), hand=hand(request))
    messages.success(request, "The photo is put away. The history can bring it back.")
    return redirect("inbox", job_id)
