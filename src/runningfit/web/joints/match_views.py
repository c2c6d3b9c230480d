"""Pages of what goes with what: pistons to bores, parts by weight, shims to valves; what was kept of it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput, NotFound
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.units import LengthUnit
from runningfit.web.hands import hand, kept
from runningfit.web.joints.match_forms import (
    PistonsForm,
    ShimsForm,
    WeightsForm,
    pistons_start,
    shims_start,
    weights_start,
)
from runningfit.web.records.views import job_page
from runningfit.workshop.joints import matching as verbs
from runningfit.workshop.joints.match_running import fit_to_match, match_pistons
from runningfit.workshop.joints.match_shims import ShimAnswer, match_shims, say_valves, shim_sheet
from runningfit.workshop.joints.match_weights import match_weights
from runningfit.workshop.joints.matching import MatchShown
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import set_state
from runningfit.workshop.plan.buying_shims import buy_shims
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, the_shop


def matching(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what can be matched, and which pairings were kept."""
    job = job_by_id(job_id)
    kinds = set(FeatureSet.objects.filter(job=job, withdrawn=False).values_list("kind", flat=True))
    weighed = FeatureSet.objects.filter(job=job, withdrawn=False, kind=FeatureKind.WEIGHT.value).count()
    page = job_page(
        job,
        here="measure",
        slip="matching",
        title="What goes with what",
        kept=verbs.kept_matches(job),
        pistons_ready={"bore", "shaft"} <= kinds,
        weights_ready=weighed > 1,
        shims_ready=shim_sheet(job) is not None,
    )
    return render(request, "joints/matching.html", page)


def pistons(request: HttpRequest, job_id: int) -> HttpResponse:
    """Pair pistons with bores: the best, the second best and why."""
    job = job_by_id(job_id)
    unit = the_shop().unit
    start = pistons_start(job, fit_to_match(job), unit)
    form, shown = _pistons(job, request.GET, start, unit)
    return _answer(request, job, form, shown, "Pistons to bores")


def weights(request: HttpRequest, job_id: int) -> HttpResponse:
    """Pair parts by weight with the least metal taken off."""
    job = job_by_id(job_id)
    form, shown = _weights(job, request.GET)
    return _answer(request, job, form, shown, "By weight")


def shims(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show which shim goes under which valve, and what to buy."""
    job = job_by_id(job_id)
    answer = _shims(job)
    page: dict[str, Any] = {"answer": answer.shown if answer else None, "buy": answer.buy if answer else ()}
    page |= {"kind": "shims", "kept": [one for one in verbs.kept_matches(job) if one.kind == "shims"]}
    return render(
        request,
        "joints/match_shims.html",
        job_page(job, here="measure", slip="matching", title="Shims to valves", **page),
    )


def valves(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say the clearance of each valve and the shim now under it."""
    job = job_by_id(job_id)
    unit = the_shop().unit
    lash = FeatureSet.objects.filter(job=job, purpose="lash", withdrawn=False).order_by("id").first()
    start = shims_start(shim_sheet(job), set_state(lash) if lash else None, unit)
    form = ShimsForm(request.POST or None, unit=unit, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_valves(job=job, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("match_shims", job.pk)
    page = job_page(job, here="measure", slip="matching", title="The valves and their shims", form=form)
    return render(request, "joints/match_valves.html", page, status=400 if form.errors else 200)


@require_POST
def buy(request: HttpRequest, job_id: int) -> HttpResponse:
    """Put the shims that the plan buys on the list to buy."""
    job = job_by_id(job_id)
    answer = _shims(job)
    made = buy_shims(job=job, shims=answer.buy if answer else (), hand=hand(request))
    count = sum(row.count for row in made)
    messages.success(request, f"On the list to buy: {count} shim{'s' if count > 1 else ''}.")
    return redirect("match_shims", job.pk)


@require_POST
def keep(request: HttpRequest, job_id: int, kind: str) -> HttpResponse:
    """Keep the best or the second best of the pairings on the page."""
    job = job_by_id(job_id)
    shown = _shown(job, kind, QueryDict(request.POST.get("asked", "")))
    if shown is None:
        raise NotFound("There is nothing to keep: it cannot be worked out any more. Look at the page again.")
    verbs.keep_match(
        job=job,
        shown=shown,
        choice=request.POST.get("choice", ""),
        seen_key=request.POST.get("key", ""),
        hand=hand(request),
    )
    messages.success(request, "Kept. It stands under What goes with what, to be printed.")
    return redirect("matching", job.pk)


@require_POST
def take_back(request: HttpRequest, job_id: int, decision_id: int) -> HttpResponse:
    """Take back a pairing that was kept."""
    job = job_by_id(job_id)
    verbs.take_back_match(decision=verbs.match_by_id(job, decision_id), hand=hand(request))
    messages.success(request, "Taken back; the history keeps it.")
    return redirect("matching", job.pk)


def _shown(job: Job, kind: str, asked: QueryDict) -> MatchShown | None:
    if kind == "shims":
        answer = _shims(job)
        return answer.shown if answer else None
    if kind == "weights":
        return _weights(job, asked)[1]
    unit = the_shop().unit
    return _pistons(job, asked, pistons_start(job, fit_to_match(job), unit), unit)[1]


def _pistons(
    job: Job, asked: QueryDict, start: dict[str, Any], unit: str
) -> tuple[PistonsForm, MatchShown | None]:
    # A fit with limits needs no asking: its answer stands at once.
    whole = all(start.get(name) for name in ("bores", "pistons", "least", "most"))
    data = asked or (start if whole else None)
    form = PistonsForm(job, data, unit=unit, initial=start)
    shown = None
    if form.is_valid():
        with kept(form):
            shown = match_pistons(form.said(), LengthUnit(unit))
    return form, shown


def _weights(job: Job, asked: QueryDict) -> tuple[WeightsForm, MatchShown | None]:
    form = WeightsForm(job, asked or None, initial=weights_start(job))
    shown = None
    if form.is_valid():
        with kept(form):
            shown = match_weights(form.said())
            if shown is None:
                raise InvalidInput(
                    "tolerance", needs="a pairing that stays within what may come off", came="none",
                    remedy="Allow more metal to come off, or a larger difference.",
                )  # fmt: skip
    return form, shown


def _shims(job: Job) -> ShimAnswer | None:
    sheet = shim_sheet(job)
    return match_shims(sheet, LengthUnit(the_shop().unit)) if sheet is not None else None


def _answer(
    request: HttpRequest, job: Job, form: forms.Form, shown: MatchShown | None, title: str
) -> HttpResponse:
    page = job_page(
        job,
        here="measure",
        slip="matching",
        title=title,
        form=form,
        answer=shown,
        asked=urlencode(dict(shown.asked)) if shown else "",
        kept=[one for one in verbs.kept_matches(job) if shown and one.kind == shown.kind],
    )
    return render(request, "joints/match.html", page)
