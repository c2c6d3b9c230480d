"""Pages that hold a measured or gauged thread against its limits: alone, or of a lot, where it is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging import DiameterCheck, ThreadCheck
from runningfit.core.pieces.kinds import Kind
from runningfit.core.verdicts import Outcome
from runningfit.web.hands import hand, kept
from runningfit.web.pieces.gauging_forms import GaugingForm
from runningfit.web.pieces.lot_views import shop_unit
from runningfit.web.pieces.naming_forms import BOLT, HOLE
from runningfit.web.pieces.naming_saying import as_number
from runningfit.web.pieces.naming_views import asked_end
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.queries import lot_by_number
from runningfit.workshop.pieces.thread_gauging import (
    OUTCOME_WORDS,
    Gauged,
    keep_check,
    latest_check,
    proven_by_gauge,
)
from runningfit.workshop.pieces.thread_models import ENDS
from runningfit.workshop.records.queries import job_by_id

_STAMPS = {Outcome.SOUND: "good", Outcome.NOT_SOUND: "bad", Outcome.NOT_PROVEN: "open"}


def check_a_thread(request: HttpRequest) -> HttpResponse:
    """Hold a thread that belongs to no lot against its limits."""
    form = GaugingForm(request.GET or None, unit=shop_unit())
    page = {"form": form, "title": "Is it within its limits?", "slip": "thread_cards", **_checked(form)}
    return render(request, _template(request), page)


def check_lot_thread(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Hold the thread of a lot against its limits; what was measured of it before is there already."""
    row = lot_by_number(job_by_id(job_id), number)
    end = asked_end(request.GET)
    return render(request, _template(request), _lot_page(row, end, _lot_form(row, end, request.GET)))


@require_POST
def keep_lot_check(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Keep a check on the lot, or on the pieces split off it."""
    row = lot_by_number(job_by_id(job_id), number)
    end = asked_end(request.POST)
    form = _lot_form(row, end, request.POST)
    pieces = HowManyForm(request.POST, most=count_of(row).usable)
    if form.is_valid() and pieces.is_valid() and (gauged := _gauged(form)) is not None:
        with kept(pieces):
            check = keep_check(
                lot=row, end=end, gauged=gauged, count=pieces.cleaned_data["count"], hand=hand(request)
            )
        if pieces.is_valid():
            messages.success(request, f"Kept: {OUTCOME_WORDS[Outcome(check.outcome)]}.")
            return redirect("lot", job_id, check.lot.number)
    return render(request, "pieces/check_thread.html", {**_lot_page(row, end, form), "pieces": pieces})


class HowManyForm(forms.Form):
    """For how many pieces of the lot a check speaks; empty for all of them."""

    count = forms.IntegerField(label="For how many of them", min_value=1, required=False)

    def __init__(self, *args: Any, most: int, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["count"].help_text = f"Of {most}. Empty: all of them; fewer are split off."


@dataclass(frozen=True, slots=True)
class DrawnDiameter:
    """A measured diameter beside its limits, drawn on a line on which the limits stand at 40 and 80.

    Parameters
    ----------
    name, measured, allowed, said : str
        What it is, in words; ``said`` stands for the drawing.
    has_drawing : bool
        Whether it is limited at both sides, so that a line can be drawn.
    at, low, high : float
        Where it lies, and two standard uncertainties to both sides; kept within the drawing.
    """

    name: str
    measured: str
    allowed: str
    said: str
    has_drawing: bool = False
    at: float = 0.0
    low: float = 0.0
    high: float = 0.0


def _drawn(one: DiameterCheck) -> DrawnDiameter:
    measured, low, high = one.measured, one.low_mm, one.high_mm
    said = (
        "within"
        if one.is_within
        else "on the limit"
        if not one.is_outside
        else "below"
        if one.outside_mm < 0
        else "above"
    )
    values = (one.name, f"{measured.mm:.3f} ± {2 * measured.u_mm:.3f}")
    if low is None or high is None:
        allowed = f"up to {high:.3f}" if high is not None else f"from {low:.3f}"
        return DrawnDiameter(*values, allowed, said)

    def place(mm: float) -> float:
        return round(min(max(40 + 40 * (mm - low) / (high - low), 3.0), 117.0), 1)

    spread = 2 * measured.u_mm
    where = (place(measured.mm), place(measured.mm - spread), place(measured.mm + spread))
    return DrawnDiameter(*values, f"{low:.3f} to {high:.3f}", said, True, *where)


def _template(request: HttpRequest) -> str:
    live = getattr(request, "htmx", False)
    return "pieces/check_thread.html#found" if live else "pieces/check_thread.html"


def _lot_form(row: Lot, end: str, sent: QueryDict) -> GaugingForm:
    if any(name in sent for name in GaugingForm.base_fields):
        return GaugingForm(sent, unit=shop_unit())
    last = latest_check(row, end)
    if last is not None:
        known = QueryDict(mutable=True)
        known.update(last.typed)
        return GaugingForm(known, unit=shop_unit())
    now = row.end_a if end == "end_a" else row.end_b
    nut = Kind(row.kind).has_thread and not Kind(row.kind).is_externally_threaded
    start = {"named": now if "|" not in now else "", "side": HOLE if nut else BOLT}
    return GaugingForm(initial=start, unit=shop_unit())


def _lot_page(row: Lot, end: str, form: GaugingForm) -> dict[str, Any]:
    two_ends = bool(row.end_b) and row.end_a != row.end_b
    return job_page(
        row.job,
        here="strip",
        slip="threads",
        lot=row,
        end=end,
        ends=ENDS if two_ends else [],
        form=form,
        pieces=HowManyForm(most=count_of(row).usable),
        title=f"Lot {row.number}: is its thread within limits?",
        **_checked(form),
    )


def _gauged(form: GaugingForm) -> Gauged | None:
    if form.thread is None or form.measurement is None:
        return None
    return Gauged(form.thread.designation, form.chosen_class, form.typed, form.measurement)


def _checked(form: GaugingForm) -> dict[str, Any]:
    """Return what the readings come to, as far as there are any."""
    gauged = _gauged(form) if form.is_bound and form.is_valid() else None
    if gauged is None:
        return {"check": None}
    try:
        check = gauged.check()
    except InvalidInput as error:
        form.add_error(None, str(error))
        return {"check": None}
    return {"check": check, **_said(gauged, check)}


def _said(gauged: Gauged, check: ThreadCheck) -> dict[str, Any]:
    outcome = check.verdict.outcome
    proven = proven_by_gauge(gauged, outcome)
    words = OUTCOME_WORDS[outcome]
    if outcome is Outcome.SOUND:
        words += ", proven by gauge" if proven else " by its diameters"
    becomes = "good" if proven else "defective" if outcome is Outcome.NOT_SOUND else "not proven"
    drawn = [_drawn(one) for one in check.diameters]
    probability = check.verdict.probability
    return {
        "probability": as_number(probability) if probability is not None else "",
        "drawn": drawn,
        "stamp": _STAMPS[outcome],
        "words": words,
        "becomes": becomes,
        "designation": gauged.designation,
    }
