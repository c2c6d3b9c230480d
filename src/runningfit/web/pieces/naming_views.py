"""Pages that name a thread from what is measured: alone, or of a lot, where the answer is kept."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.core.pieces.identification import ThreadPrior, identify
from runningfit.core.pieces.kinds import Kind
from runningfit.web.hands import hand, kept
from runningfit.web.pieces.lot_views import shop_unit
from runningfit.web.pieces.naming_forms import BOLT, HOLE, MeasuredForm
from runningfit.web.pieces.naming_saying import said
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.naming import (
    Measured,
    keep_thread_open,
    latest_naming,
    name_thread,
    prior_of,
)
from runningfit.workshop.pieces.queries import lot_by_number
from runningfit.workshop.pieces.thread_doubts import between
from runningfit.workshop.pieces.thread_models import ENDS, ThreadNaming
from runningfit.workshop.records.queries import job_by_id


def name_a_thread(request: HttpRequest) -> HttpResponse:
    """Name a thread that belongs to no lot, from what is measured of it."""
    form = MeasuredForm(request.GET or None, unit=shop_unit())
    page = {"form": form, "title": "Which thread is it?", "slip": "name", **_found(form)}
    return render(request, _template(request), page)


def name_lot_thread(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Name the thread of a lot; what was measured of it before is there already."""
    row = lot_by_number(job_by_id(job_id), number)
    end = asked_end(request.GET)
    form = _lot_form(row, end, request.GET)
    return render(request, _template(request), _lot_page(row, end, form))


@require_POST
def keep_lot_thread(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Keep which thread a lot is, or keep it open; what was measured is kept either way."""
    row = lot_by_number(job_by_id(job_id), number)
    end = asked_end(request.POST)
    form = _lot_form(row, end, request.POST)
    if form.is_valid() and form.readings is not None:
        measured = Measured(form.typed, form.readings, form.prior)
        chosen = request.POST.get("designation", "")
        with kept(form):
            if chosen:
                name_thread(lot=row, end=end, measured=measured, designation=chosen, hand=hand(request))
            else:
                keep_thread_open(lot=row, end=end, measured=measured, hand=hand(request))
        if form.is_valid():
            words = f"Kept: lot {number} is {chosen}." if chosen else f"Kept: lot {number} stays open."
            messages.success(request, words)
            return redirect("lot", job_id, number)
    return render(request, "pieces/name_thread.html", _lot_page(row, end, form))


def _template(request: HttpRequest) -> str:
    live = getattr(request, "htmx", False)
    return "pieces/name_thread.html#found" if live else "pieces/name_thread.html"


def asked_end(sent: QueryDict) -> str:
    """Return which end of a lot is asked about; the first where none is named."""
    end = sent.get("end", "")
    return end if end in dict(ENDS) else "end_a"


def _lot_form(row: Lot, end: str, sent: QueryDict) -> MeasuredForm:
    """Return the form with what was sent, or else with what was measured last, or else what is known."""
    known = prior_of(row)
    named = {name for name in sent if name in MeasuredForm.base_fields}
    options: dict[str, Any] = {"unit": shop_unit(), "neighbours": known.neighbours}
    if named:
        return MeasuredForm(sent, **options)
    last = latest_naming(row, end)
    if last is not None:
        return MeasuredForm(as_sent({**_held_then(last), **last.typed}), **options)
    return MeasuredForm(initial=_start(row, known), beside=True, **options)


def as_sent(typed: dict[str, str]) -> QueryDict:
    """Return what was typed once as a form would send it."""
    sent = QueryDict(mutable=True)
    for name, value in typed.items():
        sent.setlist(name, value.split(", ") if name in ("light", "usual_here") else [value])
    return sent


def _held_then(naming: ThreadNaming) -> dict[str, str]:
    """Return what was held likely when a thread was named, as the form would send it."""
    fields = (("country", "country"), ("built_from",) * 2, ("built_to",) * 2, ("material", "tapped_material"))
    return {field: str(naming.prior[key]) for field, key in fields if naming.prior.get(key)}


def _start(row: Lot, known: ThreadPrior) -> dict[str, Any]:
    return {
        "side": HOLE if _is_nut(row) else BOLT,
        "country": known.country or "",
        "built_from": known.built_from,
        "built_to": known.built_to,
        "material": known.tapped_material or "",
    }


def _is_nut(row: Lot) -> bool:
    return Kind(row.kind).has_thread and not Kind(row.kind).is_externally_threaded


def _lot_page(row: Lot, end: str, form: MeasuredForm) -> dict[str, Any]:
    two_ends = bool(row.end_b) and row.end_a != row.end_b
    now = row.end_a if end == "end_a" else row.end_b
    return job_page(
        row.job,
        here="strip",
        slip="threads",
        lot=row,
        end=end,
        ends=ENDS if two_ends else [],
        now=now,
        advice=between(now, internal=_is_nut(row)) if "|" in now else "",
        form=form,
        title=f"Lot {row.number}: which thread is it?",
        **_found(form),
    )


def _found(form: MeasuredForm) -> dict[str, Any]:
    """Return what the readings come to, as far as there are any."""
    if not form.is_bound or not form.is_valid() or form.readings is None:
        return {"found": None}
    return {"found": said(identify(form.readings, form.prior))}
