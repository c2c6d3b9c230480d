"""Pages on which one says what is known of a lot, and of the other side of a place's joint."""

from __future__ import annotations

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.joints.forms import KnownOfLotForm, KnownOfPlaceForm, lot_start, place_start, sections
from runningfit.web.joints.saying import WORDS
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.queries import judged_joint, judged_lot, said_of_lot, said_of_place
from runningfit.workshop.joints.services import say_of_lot, say_of_place
from runningfit.workshop.pieces.queries import lot_by_number, place_by_id
from runningfit.workshop.records.queries import job_by_id


def say_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Say what is known of the pieces of a lot; the fact that matters most comes first."""
    lot = lot_by_number(job_by_id(job_id), number)
    form = KnownOfLotForm(request.POST or None, initial=lot_start(said_of_lot(lot)))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_of_lot(lot=lot, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, f"Kept. It is {WORDS[judged_lot(lot).judgement.outcome]} now.")
            return redirect("lot_joint", job_id, number)
    page = job_page(
        lot.job,
        here="judge",
        lot=lot,
        place=lot.place,
        form=form,
        sections=sections(form, request.GET.get("first", "")),
        title=f"What is known of lot {number}",
    )
    return render(request, "joints/known.html", page)


@require_POST
def looked_at(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Say that somebody looked at the pieces of a lot and saw no fault; its line is told anew."""
    lot = lot_by_number(job_by_id(job_id), number)
    say_of_lot(lot=lot, said=replace(said_of_lot(lot), looks_sound=True), hand=hand(request))
    if getattr(request, "htmx", False):
        return render(request, "joints/_line.html", {"joints": [judged_joint(lot.place, lot)]})
    return redirect("judge", lot.place.area.job_id if lot.place else job_id)


def say_place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Say what is known of a place's hole or nut, of what is clamped, and of the torque."""
    place = place_by_id(job_by_id(job_id), place_id)
    form = KnownOfPlaceForm(request.POST or None, initial=place_start(said_of_place(place)))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_of_place(place=place, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("place_joint", job_id, place_id)
    page = job_page(
        place.area.job,
        here="judge",
        place=place,
        form=form,
        sections=sections(form, request.GET.get("first", "")),
        title=f"What is known of the joint: {place.name}",
    )
    return render(request, "joints/known.html", page)
