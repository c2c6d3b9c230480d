"""Labels of bags: choose which, print, and remember what was labelled."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from runningfit.reports.bag_address import address_fault
from runningfit.reports.labels import MOST_LABELS, SHEETS, sheet_called
from runningfit.reports.labels import labels as set_labels
from runningfit.web.hands import hand, kept
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.bags import BagLine, bag_lines, bags_of, mark_labelled, page_of_bags
from runningfit.workshop.records.queries import job_by_id, the_shop

A_PAGE = 100


class LabelsForm(forms.Form):
    """Which bags, on which labels, and how many of the sheet are used up."""

    sheet = forms.ChoiceField(label="Printed on", choices=[(sheet.name, sheet.said) for sheet in SHEETS])
    used = forms.IntegerField(
        label="Labels already used on the first sheet", min_value=0, max_value=23, required=False
    )
    bags = forms.MultipleChoiceField(
        label="Bags", error_messages={"required": "Tick the bags that need a label."}
    )

    def __init__(self, lines: list[BagLine], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["bags"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(line.bag.code, line.bag.code) for line in lines]

    def clean(self) -> dict[str, Any]:
        """Refuse more used labels than the sheet has."""
        values: dict[str, Any] = super().clean() or {}
        places = sheet_called(values["sheet"]).places if "sheet" in values else 0
        if places and (values.get("used") or 0) >= places:
            self.add_error("used", f"This sheet has {places} label{'s' if places > 1 else ''}.")
        return values


def labels(request: HttpRequest, job_id: int) -> HttpResponse:
    """Choose the bags to label; those without a true label are ticked already."""
    job = job_by_id(job_id)
    rows = page_of_bags(job, after=request.GET.get("after", ""), most=A_PAGE + 1)
    asked = list(bags_of(job).filter(code=request.GET["bag"])) if "bag" in request.GET else []
    lines = bag_lines(asked or rows[:A_PAGE])
    ticked = [line.bag.code for line in lines if asked or _wants_label(line)]
    start = {"sheet": request.session.get("label-sheet", SHEETS[0].name), "bags": ticked}
    form = LabelsForm(lines, request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        with kept(form):
            chosen = [line.bag for line in lines if line.bag.code in values["bags"]]
            mark_labelled(job=job, bags=chosen, hand=hand(request))
        if form.is_valid():
            request.session["label-sheet"] = values["sheet"]
            wanted = {"sheet": values["sheet"], "used": values["used"] or 0, "bags": ",".join(values["bags"])}
            return redirect(f"{reverse('labels_pdf', args=[job.pk])}?{urlencode(wanted)}")
    page = job_page(
        job,
        here="strip",
        form=form,
        lines=lines,
        after=rows[A_PAGE - 1].code if len(rows) > A_PAGE and not asked else "",
        only=asked,
        ticked=set(form["bags"].value() or []),
        fault=address_fault(the_shop().label_address),
        slip="bags",
        title="Labels",
    )
    return render(request, "pieces/labels.html", page)


@require_safe
def labels_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Send the labels that were asked for as a PDF; it can be asked for again."""
    job = job_by_id(job_id)
    asked = request.GET.get("bags", "").split(",")[:MOST_LABELS]
    bags = list(bags_of(job).filter(code__in=asked).select_related("job"))
    used = request.GET.get("used", "0")
    pdf = set_labels(
        bags,
        sheet=sheet_called(request.GET.get("sheet", "")),
        label_address=the_shop().label_address,
        used=int(used) if used.isdecimal() else 0,
    )
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="labels.pdf"', "Cache-Control": "no-store"},
    )


def _wants_label(line: BagLine) -> bool:
    return line.lots > 0 and (line.label_stale or not line.bag.labelled_on)
