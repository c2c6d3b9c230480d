"""Views of a lot: everything of it, a new one by form, and changing what is said of it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments import treatment
from runningfit.core.units import LengthUnit
from runningfit.web.hands import hand, kept
from runningfit.web.pieces.keeping import kept_as
from runningfit.web.pieces.lot_forms import (
    AddLotForm,
    JoinForm,
    LotForm,
    MoveForm,
    OriginForm,
    RecountForm,
    SplitForm,
    ThreadForm,
    lot_changes,
    lot_start,
)
from runningfit.web.pieces.measured_lines import measured_lines
from runningfit.web.records.views import job_page
from runningfit.web.treatments.drawn_lines import compare_link, warning
from runningfit.workshop.joints.facts import is_judged
from runningfit.workshop.outside_work.queries import lines_of_lot, out_with
from runningfit.workshop.photos.queries import photos_of_lot
from runningfit.workshop.pieces.described import change_described, keep_described, without_open_thread
from runningfit.workshop.pieces.ledger import CUSTODY_WORDS, Counts, count_of
from runningfit.workshop.pieces.models import CUSTODIES, Area, Lot
from runningfit.workshop.pieces.queries import findings_at, lines_of, lot_by_number, splits_of
from runningfit.workshop.records.queries import history, job_by_id, the_shop
from runningfit.workshop.treatments.queries import warnings_of

HISTORY_SHOWN = 30


def lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Show everything of a lot."""
    return lot_page(request, lot_by_number(job_by_id(job_id), number))


def add_lot(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a lot by a form, where a line in words does not do."""
    job = job_by_id(job_id)
    form = AddLotForm(job, request.POST or None, initial=_add_start(request, job_id))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        with kept(form):
            made = keep_described(
                job=job,
                facts=form.facts(shop_unit()),
                area_name=values["area_name"],
                bag_code=values["bag_code"],
                hand=hand(request),
            )
        if form.is_valid():
            messages.success(request, kept_as([made]))
            return redirect("add_lot" if "another" in request.POST else "strip", job.pk)
    return render(
        request, "pieces/add_lot.html", job_page(job, here="strip", form=form, title="A lot by form")
    )


def edit_lot(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Change what is said of a lot."""
    job = job_by_id(job_id)
    row = lot_by_number(job, number)
    form = LotForm(job, request.POST or None, initial=lot_start(row))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            change_described(lot=row, hand=hand(request), **lot_changes(form, shop_unit()))
        if form.is_valid():
            return redirect("lot", job.pk, number)
    page = job_page(job, here="strip", lot=row, form=form, title=f"Change lot {number}")
    return render(request, "pieces/edit_lot.html", page)


def lot_page(request: HttpRequest, row: Lot, **forms_back: forms.Form) -> HttpResponse:
    """Show a lot; a form that was refused comes back open, with what was typed in it."""
    counts = count_of(row)
    held = [(name, CUSTODY_WORDS[name], getattr(counts, name)) for name in CUSTODIES if getattr(counts, name)]
    open_ends = _open_ends(row)
    findings, measured = findings_at(lot=row), measured_lines(row)
    is_anything_found = bool(measured) or any(not one.settled for one in findings)
    changed = sorted(name for name, form in forms_back.items() if form.errors)
    page: dict[str, Any] = {
        "lot": row,
        "counts": counts,
        "held": held,
        "away": out_with(lot=row) if counts.outside else [],
        "treatment_words": _treatment_words(row),
        "treatment_warning": warning(row, warnings_of([row]).get(row.pk)),
        "compare": compare_link(row),
        "sources": [(word, number) for word, number in _sources(counts) if number],
        "splits": lines_of(splits_of(row)),
        "photos": photos_of_lot(row),
        "findings": findings,
        "sent": lines_of_lot(row),
        "records": history(model="Lot", object_id=row.pk, most=HISTORY_SHOWN),
        "open_ends": open_ends,
        "has_thread": Kind(row.kind).has_thread,
        "judged": is_judged(row.kind, row.end_a or row.end_b, row.kind_said),
        "measured": measured,
        # Which thread it is, is asked by the candidates to tap; the sentence need not ask it again.
        "questions": without_open_thread(row.questions) if open_ends else row.questions,
        "open_form": changed[0] if changed else "",
        "slip": "strip",
        "title": f"Lot {row.number}",
    }
    return render(
        request,
        "pieces/lot.html",
        job_page(
            row.job, here="strip", **{**page, **_act_forms(row, counts, is_anything_found), **forms_back}
        ),
    )


def _treatment_words(row: Lot) -> str:
    if not row.treatment:
        return ""
    beside = [f"coat {row.ordered_coat}" if row.ordered_coat else "", row.ordered_steps]
    return "; ".join(part for part in (treatment(row.treatment).label, *beside) if part)


def shop_unit() -> LengthUnit:
    """Return the unit in which the shop works."""
    return LengthUnit(the_shop().unit)


def _act_forms(row: Lot, counts: Counts, is_anything_found: bool) -> dict[str, forms.Form]:
    first = next(
        (name for name in ("bench", "store", "fitted", "missing", "scrapped") if getattr(counts, name)),
        "bench",
    )
    origin = OriginForm.LOST if row.origin_lost else str(row.origin_id or "")
    there: int = getattr(counts, first)
    return {
        "split": SplitForm(prefix="split", is_anything_found=is_anything_found),
        "join": JoinForm(prefix="join"),
        "recount": RecountForm(prefix="recount", initial={"custody": first}),
        "move": MoveForm(
            prefix="move",
            initial={
                "count": there or None,
                "from_custody": first,
                "to_custody": "store" if first == "bench" else "bench",
            },
        ),
        "thread": ThreadForm(prefix="thread", initial={"state": row.thread_state or None}),
        "origin": OriginForm(row.job, prefix="origin", initial={"origin": origin, "said": row.origin_said}),
    }


def _open_ends(row: Lot) -> list[tuple[str, str, list[str]]]:
    """Return the ends whose thread is open: the field, what to call it, the candidates."""
    two = bool(row.end_b) and row.end_a != row.end_b
    ends = [("end_a", "one end" if two else "the thread", row.end_a)]
    if two:
        ends.append(("end_b", "the other end", row.end_b))
    return [(field, words, end.split("|")) for field, words, end in ends if "|" in end]


def _sources(counts: Counts) -> list[tuple[str, int]]:
    return [("found", counts.found), ("bought", counts.bought), ("received over", counts.received_over)]


def _add_start(request: HttpRequest, job_id: int) -> dict[str, Any]:
    asked = request.GET.get("area", "")
    area = Area.objects.filter(job_id=job_id, pk=asked).first() if asked.isdecimal() else None
    subject = job_by_id(job_id).engines.filter(withdrawn=False, role="subject").first()
    return {"area_name": area.name if area else "", "origin": subject}
