"""Snap now, name later: photo, bag, area, done."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from runningfit.core.errors import AlreadyDone, RunningFitError
from runningfit.web.hands import hand, kept
from runningfit.web.photos.forms import NEW_BAG, SnapForm
from runningfit.web.photos.uploads import Uploads, read_uploads
from runningfit.web.records.views import job_page
from runningfit.workshop.photos import services
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.queries import inbox
from runningfit.workshop.pieces.bags import new_code
from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.pieces.queries import finding_by_id, lot_by_number
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id

AREAS_IN_REACH = 4
BAGS_IN_REACH = 3


def snap(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take in photos of an area and a bag; the last ones are remembered on this device."""
    job = job_by_id(job_id)
    form = SnapForm(request.POST or None, initial=_last(request, job))
    if request.method == "POST" and form.is_valid():
        uploads = read_uploads(request.FILES.getlist("photo"))
        photos: list[Photo] = []
        with kept(form):
            photos = _take_in(request, job, form, uploads)
        if photos:
            for sentence in uploads.refused:
                messages.error(request, sentence)
            messages.success(request, _said(photos))
            lot = photos[0].lot
            return redirect("lot", job.pk, lot.number) if lot else redirect("snap", job.pk)
        for sentence in uploads.refused:
            form.add_error(None, sentence)
    return render(request, "photos/snap.html", _page(job, form))


@require_POST
def snap_one(request: HttpRequest, job_id: int) -> JsonResponse:
    """Take in one photo of several that the page's script sends one after the other."""
    job = job_by_id(job_id)
    form = SnapForm(request.POST)
    uploads = read_uploads(request.FILES.getlist("photo"))
    if uploads.refused or not form.is_valid():
        return JsonResponse(
            {"refused": " ".join(uploads.refused) or "The area or bag cannot be used."}, status=400
        )
    try:
        photos = _take_in(request, job, form, uploads)
    except AlreadyDone:
        return JsonResponse({"said": "kept before"})
    except RunningFitError as error:
        return JsonResponse({"refused": str(error)}, status=400)
    bag = photos[0].bag.code if photos[0].bag else ""
    return JsonResponse(
        {"said": _said(photos), "bag": bag, "thumb": reverse("photo", args=[photos[0].pk, "thumb"])}
    )


def _take_in(request: HttpRequest, job: Job, form: SnapForm, uploads: Uploads) -> list[Photo]:
    if uploads.refused and not uploads.pictures:
        return []
    values = form.cleaned_data
    photos = services.snap(
        job=job,
        pictures=uploads.pictures,
        area=values["area"],
        bag="" if values["bag"] == NEW_BAG else values["bag"],
        new_bag=values["bag"] == NEW_BAG,
        words=values["words"],
        lot=lot_by_number(job, values["lot"]) if values["lot"] else None,
        finding=finding_by_id(job, values["finding"]) if values["finding"] else None,
        hand=hand(request),
    )
    area, bag = photos[0].area, photos[0].bag
    request.session[f"snap-{job.pk}"] = {"area": area.name if area else "", "bag": bag.code if bag else ""}
    return photos


def _said(photos: list[Photo]) -> str:
    what = "1 photo" if len(photos) == 1 else f"{len(photos)} photos"
    where = ", ".join(
        part
        for part in (
            photos[0].area.name if photos[0].area else "",
            f"bag {photos[0].bag.code}" if photos[0].bag else "",
        )
        if part
    )
    return f"{what} kept{f': {where}' if where else ''}."


def _last(request: HttpRequest, job: Job) -> dict[str, str]:
    last = request.session.get(f"snap-{job.pk}", {})
    return {
        "area": request.GET.get("area", last.get("area", "")),
        "bag": request.GET.get("bag", last.get("bag", "")),
        "lot": request.GET.get("lot", ""),
        "finding": request.GET.get("finding", ""),
    }


def _page(job: Job, form: SnapForm) -> dict[str, Any]:
    areas = list(Area.objects.filter(job=job, withdrawn=False).order_by("-pk").values_list("name", flat=True))
    bags = list(Bag.objects.filter(job=job, withdrawn=False).order_by("-pk").values_list("code", flat=True))
    area, bag = form["area"].value() or "", form["bag"].value() or ""
    waiting = inbox(job)
    return job_page(
        job,
        here="strip",
        form=form,
        chosen_area=area,
        chosen_bag=bag,
        near_areas=_in_reach(area, areas, AREAS_IN_REACH),
        near_bags=_in_reach("" if bag == NEW_BAG else bag, bags, BAGS_IN_REACH),
        all_areas=areas,
        all_bags=bags,
        next_bag=new_code(job),
        new_bag=NEW_BAG,
        waiting=(count := waiting.count()),
        inbox=count,
        newest=list(waiting.order_by("-pk")[:6]),
        slip="snap",
        title="Snap now, name later",
    )


def _in_reach(chosen: str, known: list[str], most: int) -> list[str]:
    return list(dict.fromkeys([*([chosen] if chosen else []), *known]))[:most]
