"""Views of the Strip step: the quick line, the ways to take in, the engines, the lots area by area."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.keeping import kept_as
from runningfit.web.pieces.saying import said
from runningfit.web.pieces.strip_forms import QuickForm
from runningfit.web.records.views import job_page
from runningfit.workshop.photos.queries import inbox_count
from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.pieces.queries import lot_page, open_findings_count
from runningfit.workshop.pieces.understanding import keep_understood
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import history, job_by_id

JUST_WRITTEN = 3


def job(_request: HttpRequest, job_id: int) -> HttpResponse:
    """Go to the first step of the job."""
    return redirect("strip", job_id)


def strip(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the first page of a job: say, snap, tally, import; and what came off so far."""
    job = job_by_id(job_id)
    form = QuickForm(job)
    form.initial["origin"] = _last_origin(request, job, form.engines)
    return render(request, "pieces/strip.html", _strip_page(request, job, form))


def quick_look(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a line as understood, while it is being typed."""
    form = QuickForm(job_by_id(job_id), request.GET)
    form.is_valid()
    return render(request, "pieces/_understood.html", {"form": form, "said": _said(form)})


@require_POST
def quick_line(request: HttpRequest, job_id: int) -> HttpResponse:
    """Keep a line that was shown as understood; show it first where it was not."""
    job = job_by_id(job_id)
    form = QuickForm(job, request.POST)
    if form.is_valid() and form.was_shown and form.as_understood is not None:
        origin = form.cleaned_data["origin"]
        request.session[f"origin-{job.pk}"] = origin.pk if origin else 0
        with kept(form):
            lots = keep_understood(job=job, line=form.as_understood, hand=hand(request), origin=origin)
        if form.is_valid():
            messages.success(request, kept_as(lots))
            return redirect("strip", job.pk)
    page = job_page(job, here="strip", form=form, said=_said(form), title="As understood")
    return render(request, "pieces/quick.html", page)


def _strip_page(request: HttpRequest, job: Job, form: QuickForm) -> dict[str, Any]:
    asked_area, asked_bag = request.GET.get("area", ""), request.GET.get("bag", "")
    area = (
        Area.objects.filter(job=job, pk=asked_area, withdrawn=False).first()
        if asked_area.isdecimal()
        else None
    )
    bag = Bag.objects.filter(job=job, code=asked_bag, withdrawn=False).first() if asked_bag else None
    lots = lot_page(job, area=area, bag=bag, after=request.GET.get("after", ""))
    # The lots count lots of the whole job unless they are narrowed; an area's own page says what is there.
    return job_page(
        job,
        here="strip",
        form=form,
        lots=lots,
        area=area,
        bag=bag,
        donors=[engine for engine in form.engines if engine.role == Engine.DONOR],
        findings=open_findings_count(job),
        inbox=inbox_count(job),
        written=history(job=job, most=JUST_WRITTEN),
        slip="strip",
        title="Strip",
    )


def _said(form: QuickForm) -> object:
    return said(form.as_asked) if form.as_asked is not None else None


def _last_origin(request: HttpRequest, job: Job, engines: list[Engine]) -> object:
    last = request.session.get(f"origin-{job.pk}")
    if last is not None:
        return last or None
    return next((engine.pk for engine in engines if engine.role == Engine.SUBJECT), None)
