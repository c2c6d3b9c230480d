"""Views of the acts on a lot: split, join, recount, move, mark its threads, settle what is open."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.lot_forms import JoinForm, MoveForm, OriginForm, RecountForm, SplitForm, ThreadForm
from runningfit.web.pieces.lot_views import lot_page
from runningfit.workshop.pieces.described import give_origin, settle_question, settle_thread, split_described
from runningfit.workshop.pieces.inheriting import is_anything_found
from runningfit.workshop.pieces.lots import join_lots, move_pieces, recount
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.queries import lot_by_number
from runningfit.workshop.pieces.threads import say_thread as say_thread_verb
from runningfit.workshop.records.queries import job_by_id


@require_POST
def split_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Split pieces off a lot; goes to the new one."""
    row = _lot(job_id, number)
    form = SplitForm(request.POST, prefix="split", is_anything_found=is_anything_found(row))
    if form.is_valid():
        with kept(form):
            new = split_described(lot=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("lot", job_id, new.number)
    return lot_page(request, row, split=form)


@require_POST
def join_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Join another lot into this one."""
    row = _lot(job_id, number)
    form = JoinForm(request.POST, prefix="join")
    if form.is_valid():
        with kept(form):
            join_lots(into=row, other=_lot(job_id, form.cleaned_data["number"]), hand=hand(request))
        if form.is_valid():
            return redirect("lot", job_id, number)
    return lot_page(request, row, join=form)


@require_POST
def recount_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Enter a fresh count of a lot."""
    row = _lot(job_id, number)
    form = RecountForm(request.POST, prefix="recount")
    if form.is_valid():
        values = form.cleaned_data
        with kept(form):
            recount(
                lot=row,
                counted=values["counted"],
                custody=values["custody"],
                missing=not values["wrong"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("lot", job_id, number)
    return lot_page(request, row, recount=form)


@require_POST
def move_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Move pieces of a lot: bench, store, fitted, scrapped, missing."""
    row = _lot(job_id, number)
    form = MoveForm(request.POST, prefix="move")
    if form.is_valid():
        with kept(form):
            move_pieces(lot=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("lot", job_id, number)
    return lot_page(request, row, move=form)


@require_POST
def say_thread(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Say what the threads of a lot are like; goes to the lot that has them."""
    row = _lot(job_id, number)
    form = ThreadForm(request.POST, prefix="thread")
    if form.is_valid():
        values = form.cleaned_data
        with kept(form):
            marked = say_thread_verb(
                lot=row, state=values["state"], count=values["count"], hand=hand(request, values["why"])
            )
        if form.is_valid():
            return redirect("lot", job_id, marked.number)
    return lot_page(request, row, thread=form)


@require_POST
def say_origin(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Say which engine a lot came off, or that this is lost."""
    row = _lot(job_id, number)
    form = OriginForm(row.job, request.POST, prefix="origin")
    if form.is_valid():
        chosen = form.cleaned_data["origin"]
        with kept(form):
            give_origin(
                lot=row,
                origin=form.engines.get(chosen),
                lost=chosen == OriginForm.LOST,
                said=form.cleaned_data["said"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("lot", job_id, number)
    return lot_page(request, row, origin=form)


@require_POST
def settle_lot_thread(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Settle an open thread by tapping the candidate it is."""
    row = _lot(job_id, number)
    settle_thread(
        lot=row,
        end=request.POST.get("end", ""),
        designation=request.POST.get("designation", ""),
        hand=hand(request),
    )
    return redirect("lot", job_id, number)


@require_POST
def settle_lot_question(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Strike out a question that somebody looked into."""
    settle_question(lot=_lot(job_id, number), question=request.POST.get("question", ""), hand=hand(request))
    return redirect("lot", job_id, number)


def _lot(job_id: int, number: int) -> Lot:
    return lot_by_number(job_by_id(job_id), number)
