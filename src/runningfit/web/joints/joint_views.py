"""The page of one joint: drawing, checks, torque, what the plater must know, what a person decided."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.joints.forms import DecideForm
from runningfit.web.joints.joint_page import joint_page
from runningfit.web.joints.listing import next_that_needs_you
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.queries import judged_joint, judged_lots
from runningfit.workshop.joints.services import decide
from runningfit.workshop.pieces.queries import lot_by_number, lots_in_place, place_by_id
from runningfit.workshop.records.queries import job_by_id


def lot_joint(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Show what the pieces of a lot come to, at their place if they have one."""
    lot = lot_by_number(job_by_id(job_id), number)
    one = judged_joint(lot.place, lot)
    return render(request, "joints/joint.html", joint_page(one, DecideForm()))


def place_joint(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Show the joint of a place; where several lots fill it, each of them as a line."""
    place = place_by_id(job_by_id(job_id), place_id)
    lots = lots_in_place(place)
    if len(lots) == 1:
        return redirect("lot_joint", lots[0].job_id, lots[0].number)
    if not lots:
        return render(request, "joints/joint.html", joint_page(judged_joint(place, None), None))
    joints = list(judged_lots(lots).values())
    page = job_page(place.area.job, here="judge", place=place, joints=joints, title=place.name)
    return render(request, "joints/place_joints.html", page)


def next_joint(request: HttpRequest, job_id: int) -> HttpResponse:
    """Lead to the joint that needs a person after the one named; to the judge page where none does."""
    job, (lot_id, place_id) = job_by_id(job_id), (_key(request, name) for name in ("lot", "place"))
    found = next_that_needs_you(job, lot_id, place_id)
    if found is None:
        return redirect("judge", job_id)
    if found.number:
        return redirect("lot_joint", job_id, found.number)
    return redirect("place_joint", job_id, found.place_id)


def _key(request: HttpRequest, name: str) -> int:
    """Return the key of a lot or place in an address; 0 where there is none."""
    said = request.GET.get(name, "")
    return int(said) if said.isdecimal() and len(said) < 16 else 0


@require_POST
def decide_joint(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Keep what a person decides of a joint."""
    lot = lot_by_number(job_by_id(job_id), number)
    form, shown = DecideForm(request.POST), request.POST.get("verdict", "")
    if form.is_valid():
        by = hand(request, form.cleaned_data["why"])
        with kept(form):
            decide(lot=lot, place=lot.place, hand=by, shown=shown, **form.cleaned_data)
        if form.is_valid():
            messages.success(request, "Kept. The verdict stands beside it.")
            return redirect("lot_joint", job_id, number)
    return render(request, "joints/joint.html", joint_page(judged_joint(lot.place, lot), form, shown=shown))
