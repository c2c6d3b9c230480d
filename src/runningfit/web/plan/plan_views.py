"""What fills which place, and allotting pieces to places."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.errors import InvalidInput, NotFound
from runningfit.web.hands import hand, kept
from runningfit.web.plan.forms import AllotForm, FreeForm, OtherLotForm
from runningfit.web.records.views import job_page
from runningfit.workshop.build.queries import area_by_id
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.pieces.queries import has_places
from runningfit.workshop.plan import services
from runningfit.workshop.plan.proposing import suggest_allotment
from runningfit.workshop.plan.queries import offers_for, place_by_id, place_line, plan_of
from runningfit.workshop.plan.strangers import LISTS, strangers_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, loose_stock


def plan(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show place by place what fills it and what is missing, those that are short first."""
    job = job_by_id(job_id)
    wanted = request.GET.get("area", "")
    area = area_by_id(job, int(wanted)) if wanted.isdecimal() else None
    page = job_page(
        job,
        here="plan",
        slip="places",
        plan=plan_of(job, area=area),
        area=area,
        title="What fills which place",
    )
    return render(request, "plan/plan.html", page)


def allot(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Allot pieces to one place: what fits is offered, any other lot can be named."""
    job = job_by_id(job_id)
    place = place_by_id(job, place_id)
    form = OtherLotForm(request.POST if "number" in request.POST else None)
    offered = AllotForm(request.POST if "lot" in request.POST else None)
    if offered.is_bound and offered.is_valid():
        with kept(offered):
            lot = _lot_by_id(job, offered.cleaned_data["lot"])
            services.allot(lot=lot, place=place, count=offered.cleaned_data["count"], hand=hand(request))
        if offered.is_valid():
            return _next(request, place)
    if form.is_bound and form.is_valid():
        with kept(form):
            _allot_other(request, job, place, form)
        if form.is_valid():
            return _next(request, place)
    page = job_page(
        job,
        here="plan",
        slip="places",
        place=place,
        line=place_line(place),
        offers=offers_for(place),
        form=form,
        offered=offered,
        title=place.name,
    )
    return render(request, "plan/allot.html", page)


def free(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Take a lot out of its place in the plan."""
    job = job_by_id(job_id)
    form = FreeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        services.unallot(lot=_lot_by_id(job, form.cleaned_data["lot"]), hand=hand(request))
    return redirect("allot", job.pk, place_id)


def suggest(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what could go where, and keep what is ticked."""
    job = job_by_id(job_id)
    if request.method == "POST":
        lots = services.allot_many(
            job=job, allotments=_chosen(job, request.POST.getlist("line")), hand=hand(request)
        )
        messages.success(request, f"{len(lots)} line{'s' if len(lots) != 1 else ''} kept.")
        return redirect("plan", job.pk)
    page = job_page(
        job,
        here="plan",
        slip="places",
        proposal=suggest_allotment(job=job),
        most=100,
        described=has_places(job),
        title="What could go where",
    )
    return render(request, "plan/suggest.html", page)


def foreign(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the lots that belong nowhere: foreign, doubtful, still to be told, spare."""
    job = job_by_id(job_id)
    only, after = request.GET.get("list", ""), request.GET.get("after", "")
    only = only if only in LISTS else ""
    strangers = strangers_of(job, only=only, after=int(after) if after.isdecimal() and only else 0)
    page = job_page(
        job, here="plan", slip="foreign", strangers=strangers, only=only, title="Foreign and spare"
    )
    return render(request, "plan/foreign.html", page)


def _allot_other(request: HttpRequest, job: Job, place: Place, form: OtherLotForm) -> None:
    values = form.cleaned_data
    lot = Lot.objects.filter(job=job, number=values["number"], withdrawn=False).first()
    if lot is None:
        raise InvalidInput("number", needs="the number of a lot of this job", came=values["number"])
    services.allot(
        lot=lot,
        place=place,
        count=values["other_count"],
        over=values["over"],
        hand=hand(request, values["why"]),
    )


def _next(request: HttpRequest, place: Place) -> HttpResponse:
    """Go back to the plan when the place is full, and stay where it is not."""
    job = place.area.job
    if place_line(place).missing:
        return redirect("allot", job.pk, place.pk)
    messages.success(request, f"{place.name} is full: {place.count} of {place.count}.")
    return redirect("plan", job.pk)


def _lot_by_id(job: Job, lot_id: int) -> Lot:
    stock = loose_stock()
    jobs = [job.pk] + ([stock.pk] if stock else [])
    lot = Lot.objects.filter(pk=lot_id, job__in=jobs, withdrawn=False).first()
    if lot is None:
        raise NotFound("That lot is not in this job any more. Load the page again.")
    return lot


def _chosen(job: Job, lines: list[str]) -> list[services.Allotment]:
    """Read the ticked lines of a proposal, each as place:lot:count."""
    wanted = []
    for line in lines:
        parts = line.split(":")
        if len(parts) != 3 or not all(part.isdecimal() and len(part) < 16 for part in parts):
            raise InvalidInput("the proposal", needs="lines as they were shown", came=line[:60])
        wanted.append(tuple(int(part) for part in parts))
    places = (
        Place.objects.select_related("area__job").filter(area__job=job).in_bulk([line[0] for line in wanted])
    )
    lots = Lot.objects.in_bulk([line[1] for line in wanted])
    try:
        return [services.Allotment(places[line[0]], lots[line[1]], line[2]) for line in wanted]
    except KeyError as error:
        raise NotFound(
            "A place or lot of the proposal is not there any more. Load the page again."
        ) from error
