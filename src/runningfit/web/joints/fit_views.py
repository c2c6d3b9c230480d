"""Pages of fits: every pair of a job with its verdict, one fit drawn with its numbers, what is known."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.addresses import address
from runningfit.web.hands import hand, kept
from runningfit.web.joints.fit_forms import FitForm, FittedForm, UsualFitsForm, fit_start
from runningfit.web.joints.fit_page import fit_shown
from runningfit.web.joints.fit_saying import fit_sections
from runningfit.web.records.views import job_page
from runningfit.workshop.joints import fits as verbs
from runningfit.workshop.joints.fit_answers import counted
from runningfit.workshop.joints.fit_fitted import say_fitted_shells
from runningfit.workshop.joints.fit_judging import fits_of_sheet
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.measurements.sheet_now import sheet_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, the_shop


def fits(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show every pair of a job, what needs a person first; add the usual fits in one tap."""
    job = job_by_id(job_id)
    sheet = sheet_of(job)
    judged = fits_of_sheet(job, sheet)
    proposed = verbs.proposed_fits(sheet.sets, [one.fit for one in judged])
    form = UsualFitsForm(proposed, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            verbs.add_proposed(job=job, proposed=proposed, keys=form.cleaned_data["keys"], hand=hand(request))
        if form.is_valid():
            return redirect("fits", job.pk)
    page = job_page(
        job,
        here="measure",
        title="Fits",
        slip="fits",
        form=form,
        fits=judged,
        counts=counted(judged),
        sections=fit_sections(judged, the_shop().unit),
    )
    return render(request, "joints/fits.html", page, status=400 if form.errors else 200)


def add_fit(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a fit of one's own."""
    job = job_by_id(job_id)
    form = FitForm(job, request.POST or None, unit=the_shop().unit)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = verbs.add_fit(job=job, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("fit", job.pk, made.pk)
    page = job_page(job, here="measure", title="A fit of your own", slip="fits", form=form)
    return render(request, "joints/fit_form.html", page, status=400 if form.errors else 200)


def fit(request: HttpRequest, job_id: int, fit_id: int) -> HttpResponse:
    """Show one fit: a pair drawn with its numbers and reasons, the others beside it."""
    job = job_by_id(job_id)
    return _fit_page(request, job, verbs.fit_by_id(job, fit_id), request.GET.get("pair", ""))


@require_POST
def say_fitted(request: HttpRequest, job_id: int, fit_id: int) -> HttpResponse:
    """Say which grades of shells were fitted in a bearing: its fit is then judged with them."""
    job = job_by_id(job_id)
    one = verbs.fit_by_id(job, fit_id)
    bearing = request.POST.get("pair", "")
    form = FittedForm(one, request.POST)
    if form.is_valid():
        with kept(form):
            say_fitted_shells(fit=one, bearing=bearing, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            messages.success(request, "Kept, and judged with these shells.")
            return redirect(f"{address('fit', job.pk, one.pk)}?{urlencode({'pair': bearing})}")
    return _fit_page(request, job, one, bearing, form)


def _fit_page(
    request: HttpRequest, job: Job, one: RunningFit, pair: str, form: FittedForm | None = None
) -> HttpResponse:
    shown = fit_shown(one, pair, the_shop().unit)
    line = shown["line"]
    if one.shell_grades and line is not None:
        upper, lower = one.fitted_shells.get(line.pair.name, ("", ""))
        shown["fitted"] = upper if upper == lower else f"{upper} above, {lower} below"
        shown["fitted_form"] = form or FittedForm(one, initial={"upper": upper, "lower": lower})
    page = job_page(job, here="measure", title=one.name, slip="fits", **shown)
    return render(request, "joints/fit.html", page, status=400 if form else 200)


def change_fit(request: HttpRequest, job_id: int, fit_id: int) -> HttpResponse:
    """Say or change what is known of a fit."""
    job = job_by_id(job_id)
    one = verbs.fit_by_id(job, fit_id)
    form = FitForm(job, request.POST or None, unit=the_shop().unit, initial=fit_start(one))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            verbs.change_fit(fit=one, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("fit", job.pk, one.pk)
    page = job_page(job, here="measure", title=f"Known of: {one.name}", slip="fits", form=form, fit=one)
    return render(request, "joints/fit_form.html", page, status=400 if form.errors else 200)


@require_POST
def take_off_fit(request: HttpRequest, job_id: int, fit_id: int) -> HttpResponse:
    """Take a fit off the list; the history can bring it back."""
    one = verbs.fit_by_id(job_by_id(job_id), fit_id)
    verbs.withdraw_fit(fit=one, hand=hand(request))
    messages.success(request, f"{one.name}: taken off. Its readings stay; the history can bring it back.")
    return redirect("fits", job_id)
