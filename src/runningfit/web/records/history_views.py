"""Views of the history: what happened, who, when, why; taking back; everything out in one file."""

from __future__ import annotations

import re
import tempfile
from typing import Any

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from runningfit.core.errors import NotFound
from runningfit.web.hands import hand, kept
from runningfit.web.records.touched import row_name, touched
from runningfit.web.records.views import job_page
from runningfit.workshop.records.archive import write_archive
from runningfit.workshop.records.models import Change, Job, Record
from runningfit.workshop.records.queries import history, job_by_id
from runningfit.workshop.records.taking_back import standing
from runningfit.workshop.records.taking_back import take_back as take_back_verb

A_PAGE = 100
A_NUMBER = re.compile("[0-9]{1,18}")
ROWS = {
    "lot": "Lot",
    "bag": "Bag",
    "place": "Place",
    "area": "Area",
    "consignment": "Consignment",
    "engine": "Engine",
}


class TakeBackForm(forms.Form):
    """Why a change is taken back."""

    why = forms.CharField(label="Why is it taken back?", max_length=300)


def job_history(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what happened in a job, or to one of its rows, the newest first."""
    job = job_by_id(job_id)
    page = job_page(job, here="strip", title="What happened", **_records(request, job))
    return render(request, "records/history.html", page)


def shop_history(request: HttpRequest) -> HttpResponse:
    """Show what happened in the whole shop, the newest first."""
    page = {"title": "What happened in the shop", **_records(request, None)}
    return render(request, "records/shop_history.html", page)


def record(request: HttpRequest, record_id: int) -> HttpResponse:
    """Show one act with every row it touched, and offer to take it back."""
    act = _record(record_id)
    form = TakeBackForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            take_back_verb(record=act, hand=hand(request))
        if form.is_valid():
            return redirect("record", act.pk)
    changes = act.changes.exclude(kind=Change.REFERRED).order_by("id")
    shown = list(changes[:200])
    page: dict[str, Any] = {
        "act": act,
        "changes": touched(shown),
        "more": changes.count() - len(shown),
        "later": standing(act),
        "form": form,
        "title": act.summary,
    }
    if act.job is not None:
        return render(request, "records/record.html", job_page(act.job, **page))
    return render(request, "records/shop_record.html", page)


@require_POST
def export_all(_request: HttpRequest) -> FileResponse:
    """Send everything as one ZIP of open files."""
    stream = tempfile.TemporaryFile(suffix=".zip")  # noqa: SIM115  (the response closes it)
    write_archive(stream, originals=False)
    stream.seek(0)
    return FileResponse(
        stream, as_attachment=True, filename=f"running-fit-{timezone.localtime():%Y%m%d-%H%M}.zip"
    )


def _records(request: HttpRequest, job: Job | None) -> dict[str, Any]:
    asked, number = request.GET.get("of", ""), _number(request.GET.get("id", ""))
    of = ROWS.get(asked, "") if number is not None else ""
    before = _number(request.GET.get("before", ""))
    records = history(job=job, model=of, object_id=number, before=before, most=A_PAGE + 1)
    return {
        "records": records[:A_PAGE],
        "older": records[A_PAGE - 1].pk if len(records) > A_PAGE else None,
        "of": asked if of else "",
        "number": number,
        "whose": row_name(of, number) if of and number is not None else "",
    }


def _number(text: str) -> int | None:
    """Return the id that an address carries, or None where it carries none."""
    return int(text) if A_NUMBER.fullmatch(text) else None


def _record(record_id: int) -> Record:
    act = Record.objects.select_related("job", "reverses", "reversed_by").filter(pk=record_id).first()
    if act is None:
        raise NotFound(f"There is no entry {record_id} in the history.")
    return act
