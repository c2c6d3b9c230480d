"""The page on which the treatments of a lot stand side by side, and one is chosen."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.records.views import job_page
from runningfit.web.treatments.forms import ChooseForm
from runningfit.web.treatments.saying import by_outcome, treatment_rows
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.queries import lot_by_number
from runningfit.workshop.records.queries import job_by_id, the_shop
from runningfit.workshop.treatments.queries import treatments_of


def compare_treatments(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Show the treatments of a lot side by side; choose one."""
    row = lot_by_number(job_by_id(job_id), number)
    shown = treatments_of(row)
    form = ChooseForm(shown, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_treatment(
                lots=[row],
                treatment=form.treatment,
                ordered_steps=form.ordered_steps,
                ordered_coat=form.coat,
                hand=hand(request),
            )
        if form.is_valid():
            if form.needs_a_person:
                messages.warning(request, f"Look at it first: {form.needs_a_person}")
            return redirect("lot", job_id, number)
    count = count_of(row).usable
    coat = form.coat if form.is_bound else row.ordered_coat
    rows = treatment_rows(shown, count, the_shop().currency, request.POST.get("chosen", ""), coat)
    page = job_page(
        row.job,
        here="send",
        lot=row,
        count=count,
        judged=shown.judged,
        wanted=shown.wanted,
        rows=rows,
        groups=by_outcome(rows),
        form=form,
        title=f"Lot {number}: what can be done",
    )
    return render(request, "treatments/compare.html", page)
