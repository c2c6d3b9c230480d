"""Views on which one says which finish came back: of a consignment, or of one lot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.treatments import treatment
from runningfit.core.treatments.cautions import CADMIUM
from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.forms import FinishForm
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.facts import CHANGES_FINISH, finish_received
from runningfit.workshop.outside_work.confirming import confirm_finish, is_as_asked, lots_back_on
from runningfit.workshop.outside_work.queries import consignment_by_number, lines_of
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.queries import lot_by_number
from runningfit.workshop.records.queries import job_by_id


def consignment_finish(request: HttpRequest, number: int) -> HttpResponse:
    """Say which finish came back on a consignment, for the lots that are ticked."""
    row = consignment_by_number(number)
    lots = lots_back_on(lines_of(row))
    form = FinishForm(lots, request.POST or None)
    if _confirmed(request, form):
        return redirect("consignment", number)
    page = {"consignment": row, "rows": _rows(lots, form), "form": form, "caution": CADMIUM.text}
    return render(
        request,
        "outside_work/finish.html",
        {**page, "title": f"Which finish came back: consignment {number}"},
    )


def lot_finish(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Say which finish the pieces of one lot wear."""
    lot = lot_by_number(job_by_id(job_id), number)
    form = FinishForm([lot], request.POST or None)
    if _confirmed(request, form):
        return redirect("lot_joint", job_id, number)
    page = job_page(
        lot.job,
        here="judge",
        lot=lot,
        waiting=treatment(lot.treatment).label if lot.treatment in CHANGES_FINISH else "",
        rows=_rows([lot], form),
        form=form,
        caution=CADMIUM.text,
        title=f"Which finish: lot {number}",
    )
    return render(request, "outside_work/lot_finish.html", page)


def _confirmed(request: HttpRequest, form: FinishForm) -> bool:
    """Keep what was said; true when it is kept, and the page can be left."""
    if request.method != "POST" or not form.is_valid():
        return False
    with kept(form):
        others = confirm_finish(**form.facts(), hand=hand(request))
        messages.success(request, "Confirmed.")
        if others:
            messages.warning(
                request,
                "It is not the finish that was asked for: that stays open on the consignment. "
                "The torques are reckoned for what came.",
            )
    return form.is_valid()


def _rows(lots: Sequence[Lot], form: FinishForm) -> list[dict[str, Any]]:
    """Return each lot with what was asked and what is known; those that nobody confirmed are ticked."""
    counts = counts_of(lots)
    ticked = {str(key) for key in form["lot"].value() or ()} if form.is_bound else None
    return [
        {
            "lot": lot,
            "count": counts[lot.pk].usable,
            "asked": treatment(lot.treatment_done).label if lot.treatment_done else "",
            "confirmed": finish_received(lot),
            "other": not is_as_asked(lot) and bool(finish_received(lot)),
            "ticked": str(lot.pk) in ticked
            if ticked is not None
            else len(lots) == 1 or not finish_received(lot),
        }
        for lot in lots
    ]
