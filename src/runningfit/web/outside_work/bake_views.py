"""The page on which one says whether the bake that was asked was done."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.forms import BakedForm
from runningfit.workshop.outside_work.baking import bakes_of, say_baked
from runningfit.workshop.outside_work.queries import consignment_by_number, lines_of


def consignment_bake(request: HttpRequest, number: int) -> HttpResponse:
    """Say of what came back on a consignment whether it was baked."""
    row = consignment_by_number(number)
    lines = bakes_of(lines_of(row))
    form = BakedForm(request.POST or None, initial={"baked": lines[0].baked if lines else ""})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_baked(consignment=row, **form.cleaned_data, hand=hand(request))
            messages.success(request, "Kept. The joints are judged by it.")
        if form.is_valid():
            return redirect("consignment", number)
    page = {"consignment": row, "rows": lines, "form": form, "title": f"Was it baked: consignment {number}"}
    return render(request, "outside_work/bake.html", page)
