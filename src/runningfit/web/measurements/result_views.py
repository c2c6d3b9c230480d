"""The page of what a set of readings comes to; how deep the pits of a feature are is said there too."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from runningfit.web.addresses import address
from runningfit.web.hands import hand, kept
from runningfit.web.measurements.result_forms import PitsForm
from runningfit.web.measurements.result_page import result_page
from runningfit.web.records.views import job_page
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.models import Feature
from runningfit.workshop.measurements.queries import set_by_id
from runningfit.workshop.records.queries import job_by_id, the_shop


def set_result(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Show what the readings of a set come to; keep how deep the pits of one of it are."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    sent = None
    if request.method == "POST":
        key = request.POST.get("feature", "")
        feature = get_object_or_404(
            Feature, feature_set=one, pk=int(key) if key.isdecimal() else 0, withdrawn=False
        )
        form = PitsForm(request.POST, unit=the_shop().unit, auto_id=f"id_%s_{feature.pk}")
        if form.is_valid():
            with kept(form):
                sets.say_pits(
                    feature=feature, depth=form.figure("depth"), u=form.figure("u"), hand=hand(request)
                )
            if form.is_valid():
                return redirect(f"{address('set_result', job.pk, one.pk)}#f{feature.pk}")
        sent = (feature.pk, form)
    page = job_page(job, here="measure", **result_page(request, job, one, sent))
    return render(request, "measurements/result.html", page, status=400 if sent else 200)
