"""Pages of the instrument cupboard: its list, a gauge with its budget and drift, its checks, its scatter."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from runningfit.core.errors import NotFound
from runningfit.web.hands import hand, kept
from runningfit.web.measurements.drift_drawing import drift_drawing
from runningfit.web.measurements.gauge_forms import (
    CertificateForm,
    GaugeForm,
    RingForm,
    ScatterForm,
    gauge_start,
)
from runningfit.web.measurements.gauge_saying import (
    budget_rows,
    doubt_said,
    due_said,
    gauge_lines,
    in_unit,
    plain,
    quantity_of,
    signed,
    warmth_said,
)
from runningfit.workshop.measurements import gauges as verbs
from runningfit.workshop.measurements.gauge_spans import span_said
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import Calibration, Instrument


def cupboard(request: HttpRequest) -> HttpResponse:
    """Show every gauge in use: its step, its last check, when it is due, how sure one reading is."""
    today = timezone.localdate()
    lines = gauge_lines(verbs.gauges(), Cupboard.of_the_shop(), today)
    page = {
        "lines": lines,
        "to_check": [line for line in lines if line.due.stamp == "bad"],
        "slip": "gauges",
        "title": "Gauges",
    }
    return render(request, "measurements/gauges.html", page)


def add_gauge(request: HttpRequest) -> HttpResponse:
    """Put a gauge into the cupboard."""
    form = GaugeForm(request.POST or None, initial=gauge_start(None))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = verbs.add_instrument(said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(
                request, f"{made.name} is in the cupboard. Check it on its ring, and try its scatter."
            )
            return redirect("gauge", made.pk)
    first = ("name", "kind", "unit", "step", "mark", "span_least", "span_most")
    more = tuple(name for name in form.fields if name not in first)
    page = {"form": form, "more": more, "slip": "gauges", "title": "A gauge"}
    return render(request, "measurements/add_gauge.html", page, status=_status(form))


def gauge(request: HttpRequest, gauge_id: int) -> HttpResponse:
    """Show a gauge with its budget, its drift and its checks, and change what is known of it."""
    one = verbs.gauge_by_id(gauge_id)
    form = GaugeForm(request.POST or None, initial=gauge_start(one), but=one)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            verbs.change_instrument(instrument=one, said=form.said(), hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("gauge", one.pk)
    page = {"form": form, **_shown(verbs.gauge_by_id(gauge_id))}
    return render(request, "measurements/gauge.html", page, status=_status(form))


def add_check(request: HttpRequest, gauge_id: int) -> HttpResponse:
    """Keep a check of a gauge: what it read on its ring, or what a calibration shop found."""
    one = verbs.gauge_by_id(gauge_id)
    by_ring = request.GET.get("way", "ring") == "ring" and one.set_with is None
    start = {"ring_size": plain(one.ring_size, one.unit)}
    ring, certificate = RingForm(request.POST or None, initial=start), CertificateForm(request.POST or None)
    form: RingForm | CertificateForm = ring if by_ring else certificate
    if request.method == "POST" and form.is_valid():
        with kept(form):
            if by_ring:
                check = verbs.check_on_ring(instrument=one, said=ring.said(one.unit), hand=hand(request))
            else:
                check = verbs.calibrate(instrument=one, said=certificate.said(one.unit), hand=hand(request))
        if form.is_valid():
            messages.success(request, _check_said(check, one))
            return redirect("gauge", one.pk)
    page = {
        "form": form,
        "gauge": one,
        "by_ring": by_ring,
        "slip": "gauges",
        "title": f"A check of {one.name}",
    }
    return render(request, "measurements/check.html", page, status=_status(form))


def scatter(request: HttpRequest, gauge_id: int) -> HttpResponse:
    """Try how far a gauge scatters, from ten readings of one place."""
    one = verbs.gauge_by_id(gauge_id)
    form = ScatterForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            now = verbs.try_scatter(instrument=one, readings=form.said(one.unit), hand=hand(request))
        if form.is_valid():
            messages.success(request, _scatter_said(now))
            return redirect("gauge", one.pk)
    page = {"form": form, "gauge": one, "slip": "gauges", "title": f"How far does {one.name} scatter?"}
    return render(request, "measurements/scatter.html", page, status=_status(form))


@require_POST
def out_of_use(request: HttpRequest, gauge_id: int) -> HttpResponse:
    """Put a gauge out of use; its readings stay."""
    one = verbs.gauge_by_id(gauge_id)
    verbs.withdraw_instrument(instrument=one, hand=hand(request))
    messages.success(request, f"{one.name} is out of use. Its readings stay.")
    return redirect("gauges")


@require_POST
def take_back_check(request: HttpRequest, gauge_id: int, check_id: int) -> HttpResponse:
    """Take back a check that was wrong."""
    one = verbs.gauge_by_id(gauge_id)
    check = Calibration.objects.filter(instrument=one, pk=check_id).select_related("instrument").first()
    if check is None:
        raise NotFound(f"There is no check {check_id} of {one.name}.")
    verbs.withdraw_check(check=check, hand=hand(request))
    messages.success(request, "Taken back.")
    return redirect("gauge", one.pk)


def _status(form: Form) -> int:
    return 400 if form.errors else 200


def _shown(one: Instrument) -> dict[str, Any]:
    today = timezone.localdate()
    shelf = Cupboard.of_the_shop()
    checks = shelf.checks[one.pk]
    now = shelf.on(one.pk, today)
    unit = one.unit
    return {
        "gauge": one,
        "slip": "gauges",
        "title": one.name,
        "doubt": doubt_said(now, unit),
        "due": due_said(one, checks, today),
        "error": signed(now.error, unit) if now.error else "",
        "quantity": quantity_of(unit),
        "spans": span_said(one),
        "budget": budget_rows(one, now, checks),
        "own": in_unit(now.of_reading.own_u_mm, unit),
        "shared": in_unit(now.of_reading.shared_u_mm, unit),
        "whole": in_unit(now.of_reading.whole(0.0).u, unit),
        "warmth": warmth_said(one),
        "cautions": now.cautions,
        "drift": drift_drawing(checks, unit),
        "checks": [(row, *_columns(row, unit)) for row in checks],
        "set_in_it": [other for other in shelf.instruments.values()
                      if other.set_with_id == one.pk and not other.withdrawn],
    }  # fmt: skip


def _columns(row: Calibration, unit: str) -> tuple[str, str]:
    return signed(row.error, unit), f"± {in_unit(row.expanded_u, unit)}" if row.expanded_u else "not said"


def _check_said(check: Calibration, one: Instrument) -> str:
    if not check.error:
        return f"Kept: {one.name} reads right."
    much = "much" if check.error > 0 else "little"
    error = in_unit(abs(check.error), one.unit)
    return f"Kept: {one.name} reads {error} too {much}. It is taken off its readings."


def _scatter_said(one: Instrument) -> str:
    if not one.repeat_u:
        return f"Kept: all readings are equal. The step of {one.name} hides what it scatters."
    return f"Kept: {one.name} scatters by {in_unit(one.repeat_u, one.unit)} (standard deviation)."
