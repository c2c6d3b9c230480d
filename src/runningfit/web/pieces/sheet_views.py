"""The page that names a whole sheet of measured threads at once, pasted or sent as a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import ThreadReadings, identify_many, wrong_units
from runningfit.core.pieces.reading_sheet import SheetRow, read_sheet
from runningfit.web.pieces.naming_forms import BOLT, HOLE
from runningfit.web.pieces.naming_saying import as_number, bar, in_words
from runningfit.web.records.views import job_page
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id

MOST_SHOWN = 1000
_LIKELY_ENOUGH = 0.02
NONE = "none of these"
EXAMPLE = "label,lot,major_mm,tpi,pitch_mm,u_major_mm,u_pitch_mm\ntin 1,,7.87,24,,,\ntin 2,,6.27,,1.27,,0.005"


class SheetForm(forms.Form):
    """Rows of readings, as a file or pasted."""

    file = forms.FileField(
        label="The sheet",
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
    )
    pasted = forms.CharField(
        label="Or paste it here",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        """Read the rows of one of the two."""
        values = super().clean() or {}
        sent = values.get("file")
        try:
            text = sent.read().decode("utf-8-sig") if sent is not None else str(values.get("pasted") or "")
        except UnicodeDecodeError:
            self.add_error("file", "The file is not plain text in UTF-8: save it as CSV.")
            return values
        if not text.strip():
            self.add_error("file", "Choose a file, or paste the rows below.")
            return values
        try:
            values["rows"] = read_sheet(text)
        except InvalidInput as error:
            self.add_error("file" if sent is not None else "pasted", str(error))
            return values
        if len(values["rows"]) > MOST_SHOWN:
            words = (
                f"This page shows {MOST_SHOWN} rows at most; “runningfit thread identify --batch” takes more."
            )
            self.add_error("file" if sent is not None else "pasted", words)
        return values


@dataclass(frozen=True, slots=True)
class NamedRow:
    """A row of the sheet with what it comes to.

    Parameters
    ----------
    row : SheetRow
        As it was read.
    first, words, number : str
        The likeliest thread (empty for none of these), how likely it is in words, and as a number.
    bar : float
        The length of its bar, 0 to 100.
    others : tuple of (str, str)
        The other likely ones with their numbers.
    problem : str
        Why the row could not be named.
    keep_at : str
        The address where its lot is named from these readings; empty without a lot.
    """

    row: SheetRow
    first: str = ""
    words: str = ""
    number: str = ""
    bar: float = 0.0
    others: tuple[tuple[str, str], ...] = ()
    problem: str = ""
    keep_at: str = ""


def name_sheet(request: HttpRequest) -> HttpResponse:
    """Name a sheet that belongs to no job."""
    form = SheetForm(request.POST or None, request.FILES or None)
    page = {"form": form, "title": "Name a whole sheet", "slip": "name", **_named(form, None)}
    return render(request, "pieces/name_sheet.html", page)


def name_job_sheet(request: HttpRequest, job_id: int) -> HttpResponse:
    """Name a sheet whose rows may tell the lots of a job."""
    job = job_by_id(job_id)
    form = SheetForm(request.POST or None, request.FILES or None)
    page = job_page(
        job, here="strip", slip="threads", form=form, title="Name a whole sheet", **_named(form, job)
    )
    return render(request, "pieces/name_sheet.html", page)


def _named(form: SheetForm, job: Job | None) -> dict[str, Any]:
    rows = _name_rows(form.cleaned_data["rows"], job) if form.is_bound and form.is_valid() else None
    return {"rows": rows, "example": EXAMPLE}


def _name_rows(rows: Sequence[SheetRow], job: Job | None) -> list[NamedRow]:
    usable = [row.readings for row in rows if row.readings is not None]
    found = identify_many(usable)
    units = wrong_units(usable, found)
    named: list[NamedRow] = []
    at = 0
    for row in rows:
        if row.readings is None:
            named.append(NamedRow(row, problem=row.problem))
            continue
        candidates = found.candidates(at, least_probability=_LIKELY_ENOUGH)
        none = float(found.none_of_these[at])
        unit = units.get(at)
        at += 1
        if unit is not None and unit.is_asked:
            named.append(NamedRow(row, problem=unit.question))
        elif not candidates:
            named.append(NamedRow(row, problem="no standard thread is near: measure it again"))
        else:
            named.append(_named_row(row, candidates, none, _keep_at(row, row.readings, job)))
    return named


def _named_row(row: SheetRow, candidates: Sequence[tuple[str, float]], none: float, keep_at: str) -> NamedRow:
    """Put the likeliest first, which may be that it is no standard thread."""
    ranked = sorted([*candidates, (NONE, none)], key=lambda pair: -pair[1])
    (first, chance), *rest = [pair for pair in ranked if pair[1] >= _LIKELY_ENOUGH]
    others = tuple((name, as_number(other)) for name, other in rest[:3])
    return NamedRow(
        row,
        first if first != NONE else "",
        in_words(chance),
        as_number(chance),
        bar(chance),
        others,
        keep_at=keep_at,
    )


def _keep_at(row: SheetRow, readings: ThreadReadings, job: Job | None) -> str:
    if job is None or not row.lot.isdecimal() or not 0 < int(row.lot) < 2**31:
        return ""
    address = reverse("name_lot_thread", args=[job.pk, int(row.lot)])
    typed = {
        "side": HOLE if readings.internal else BOLT,
        "major": _mm(readings.major_mm),
        "minor": _mm(readings.minor_mm),
        "pitch_diameter": _mm(readings.pitch_diameter_mm),
        "across_flats": _mm(readings.across_flats_mm),
        "leaf": f"{readings.leaf_tpi:g} tpi" if readings.leaf_tpi is not None else "",
        "turns": "1" if readings.pitch_mm is not None else "",
        "turns_length": _mm(readings.pitch_mm),
        "angle": f"{readings.angle_gauges[0].angle_deg:g}" if readings.angle_gauges else "",
    }
    return f"{address}?{urlencode({name: words for name, words in typed.items() if words})}"


def _mm(value: float | None) -> str:
    return f"{value:.6g} mm" if value is not None else ""
