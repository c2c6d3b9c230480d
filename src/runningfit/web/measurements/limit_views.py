"""Pages of limits: those of a set, typed with their page; and a whole sheet of them read in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.web.hands import hand, kept
from runningfit.web.measurements.sheet_forms import LimitForm, LimitSheetForm
from runningfit.web.measurements.values_said import limit_words
from runningfit.web.records.views import job_page
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.limit_sheets import SheetOfLimits, keep_limits, read_limit_sheet
from runningfit.workshop.measurements.models import LIMITED, STATES, FeatureLimit
from runningfit.workshop.measurements.queries import set_by_id, set_state
from runningfit.workshop.records.queries import job_by_id, the_shop


def set_limits(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Show the limits of a set, take one as it is typed, or take one back."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    taken_back = request.POST.get("take_back", "")
    if taken_back:
        limit = get_object_or_404(
            FeatureLimit,
            feature_set=one,
            pk=int(taken_back) if taken_back.isdecimal() else 0,
            withdrawn=False,
        )
        sets.withdraw_limit(limit=limit, hand=hand(request))
        return redirect("feature_set_limits", job.pk, one.pk)
    unit = the_shop().unit
    form = LimitForm(FeatureKind(one.kind), request.POST or None, unit=unit)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            sets.add_limit(feature_set=one, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("feature_set_limits", job.pk, one.pk)
    limits = [(limit, limit_words(limit, one, unit)) for limit in set_state(one).limits]
    page = job_page(job, here="measure", title=f"Limits: {one.name}", form=form, set=one, limits=limits)
    return render(request, "measurements/limits.html", page, status=400 if form.errors else 200)


def import_limits(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a sheet of limits as understood, then keep the good rows; the others stay to be corrected."""
    job = job_by_id(job_id)
    form = LimitSheetForm(request.POST or None, request.FILES or None)
    sheet: SheetOfLimits | None = None
    if request.method == "POST" and form.is_valid():
        name, data = form.sent
        with kept(form):
            sheet = read_limit_sheet(job=job, data=data, filename=name, unit=the_shop().unit)
            if "keep" in request.POST:
                done = keep_limits(job=job, rows=sheet.rows, source=name, hand=hand(request))
                sheet = sheet.left
                messages.success(request, f"Kept: {len(done)} limit{'s' if len(done) > 1 else ''}.")
                if not sheet.rows:
                    return redirect("measure", job.pk)
        if sheet is not None and not form.errors:
            form = LimitSheetForm(initial={"pasted": sheet.text})
            form.fields["pasted"].label = "Rows of the sheet"
    page = job_page(
        job, here="measure", title="Limits from a sheet", slip="limits", form=form, **_understood(sheet)
    )
    return render(request, "measurements/import_limits.html", page, status=400 if form.errors else 200)


def _understood(sheet: SheetOfLimits | None) -> dict[str, object]:
    if sheet is None:
        return {"sheet": None}
    words = {**dict(LIMITED), **dict(STATES)}
    return {
        "sheet": sheet,
        "rows": [(one, words.get(one.row.what, ""), words.get(one.row.state, "")) for one in sheet.rows],
        "good": len(sheet.good),
        "faulty": len(sheet.rows) - len(sheet.good),
        "names_pasted": ("pasted",),
    }
