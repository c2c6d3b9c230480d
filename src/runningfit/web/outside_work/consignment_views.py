"""Views of consignments: all of them, one of them, making up, sending, the note."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from runningfit.core.treatments import treatment
from runningfit.reports.bag_address import address_fault
from runningfit.reports.consignment_note import consignment_note
from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.discrepancy_views import told_once
from runningfit.web.outside_work.forms import AnywayForm, LineForm, LotsForm, MakeUpForm, SaidForm, SendForm
from runningfit.web.treatments.drawn_lines import warning
from runningfit.workshop.joints.facts import finish_received
from runningfit.workshop.outside_work import services, telling
from runningfit.workshop.outside_work.baking import bakes_of
from runningfit.workshop.outside_work.confirming import lots_back_on
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.queries import (
    consignment_by_number,
    consignments,
    lines_of,
    lots_ready,
    open_discrepancies,
    outstanding,
    ready_count,
)
from runningfit.workshop.pieces.done_work import BAKED
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.queries import the_shop
from runningfit.workshop.treatments import machining
from runningfit.workshop.treatments.machining_orders import operation_count
from runningfit.workshop.treatments.queries import warnings_of

# More than this nobody ticks one by one; the rest shows when these are on it.
MOST_READY = 100


def outside(request: HttpRequest) -> HttpResponse:
    """Show every consignment across all jobs: what is out, what is being made up, what is done."""
    before = request.GET.get("before", "")
    done = consignments(closed=True, before=int(before) if before.isdecimal() else None)
    rows = consignments()
    page = {
        "out": [row for row in rows if row.consignment.sent_on],
        "drafts": [row for row in rows if not row.consignment.sent_on],
        "done": done,
        "ready": ready_count(MOST_READY),
        "today": timezone.localdate(),
        "title": "Outside work",
    }
    return render(request, "outside_work/outside.html", page)


def make_up(request: HttpRequest) -> HttpResponse:
    """Make up a consignment; the lots ticked on another page come along."""
    lots = _ticked(request)
    begun = request.method == "POST" and "begin" not in request.POST
    form = MakeUpForm(lots, request.POST if begun else None)
    if begun and form.is_valid():
        values = form.cleaned_data
        with kept(form):
            made = services.make_up(
                shop_name=values["shop_name"],
                shares=[services.Share(lot, count) for lot, count in form.counts()],
                due_on=values["due_on"],
                asked=values["asked"],
                must_not=values["must_not"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("consignment", made.number)
    warned = warnings_of(lots)
    page = {
        "form": form,
        "rows": [(lot, field, warning(lot, warned.get(lot.pk))) for lot, field in form.rows()],
        "stopped": sum(said.must_not_go for said in warned.values()),
        "title": "Make up a consignment",
    }
    return render(request, "outside_work/make_up.html", page)


def consignment(request: HttpRequest, number: int) -> HttpResponse:
    """Show one consignment: its lots, what is still out, calls, counts back, discrepancies."""
    return _page(request, consignment_by_number(number))


@require_POST
def add_to_consignment(request: HttpRequest, number: int) -> HttpResponse:
    """Put the ticked lots on a consignment that is not sent yet."""
    row = consignment_by_number(number)
    form = LotsForm(request.POST)
    if form.is_valid():
        with kept(form):
            shares = [services.Share(lot) for lot in form.cleaned_data["lot"]]
            services.add_lots(consignment=row, shares=shares, hand=hand(request))
        if form.is_valid():
            return redirect("consignment", number)
    return _page(request, row, wrong=form)


@require_POST
def take_off(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    """Take a lot off a consignment that is not sent yet."""
    services.take_off(line=_line(number, line_id), hand=hand(request))
    return redirect("consignment", number)


def consignment_line(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    """Say what must not be done with one lot, and what it costs."""
    line = _line(number, line_id)
    form = LineForm(request.POST or None, initial={"must_not": line.must_not, "price": line.price})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.change_line(line=line, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("consignment", number)
    page = {
        "form": form,
        "consignment": line.consignment,
        "title": f"Lot {line.lot.number}",
        "button": "Keep",
    }
    return render(request, "outside_work/plain.html", page)


@require_POST
def send_anyway(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    """Say why a lot goes although its verdict says that it must not."""
    line = _line(number, line_id)
    form = AnywayForm(request.POST, line_id=line_id)
    if form.is_valid():
        with kept(form):
            telling.send_anyway(line=line, why=form.cleaned_data["why"], hand=hand(request))
        if form.is_valid():
            return redirect("consignment", number)
    return _page(request, line.consignment, wrong=form)


@require_POST
def send_consignment(request: HttpRequest, number: int) -> HttpResponse:
    """Send a consignment."""
    row = consignment_by_number(number)
    form = SendForm(request.POST)
    if form.is_valid():
        with kept(form):
            services.send(consignment=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            messages.success(request, f"Consignment {number} has gone to {row.shop.name}.")
            return redirect("consignment", number)
    return _page(request, row, wrong=form)


def change_consignment(request: HttpRequest, number: int) -> HttpResponse:
    """Say what is asked, when it is due, and what is quoted and paid."""
    row = consignment_by_number(number)
    start = {name: getattr(row, name) for name in SaidForm.base_fields}
    form = SaidForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.change_consignment(consignment=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("consignment", number)
    page = {"form": form, "consignment": row, "title": f"Consignment {number}", "button": "Keep"}
    return render(request, "outside_work/plain.html", page)


def note(_request: HttpRequest, number: int) -> HttpResponse:
    """Show the note of a consignment as a PDF."""
    pdf = consignment_note(consignment_by_number(number), today=timezone.localdate())
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="consignment-{number}.pdf"'
    return answer


def _page(request: HttpRequest, row: Consignment, wrong: Any = None) -> HttpResponse:
    lines = lines_of(row)
    counts = counts_of([line.lot for line in lines])
    ready = list(lots_ready()[:MOST_READY]) if row.sent_on is None else []
    warned = warnings_of([line.lot for line in lines] + ready) if row.sent_on is None else {}
    shown = [
        {
            "line": line,
            "out": outstanding(line),
            "here": counts[line.lot_id].here,
            "treatment": treatment(line.treatment).label,
            "warning": warning(line.lot, warned.get(line.lot_id)),
        }
        for line in lines
    ]
    keys = dict.fromkeys(line.treatment for line in lines)
    came = lots_back_on(lines)
    bakes = bakes_of(lines)
    page: dict[str, Any] = {
        "consignment": row,
        "came": came,
        "unconfirmed": sum(not finish_received(lot) for lot in came),
        "unbaked": sum(not line.baked for line in bakes),
        "baked": ", ".join(dict.fromkeys(BAKED[line.baked] for line in bakes)),
        "lines": shown,
        "jobs": list(dict.fromkeys(line.lot.job for line in lines)),
        "pieces": sum(line.count for line in lines),
        "operations": operation_count(row) if machining.MACHINE in keys else 0,
        "out": sum(one["out"] for one in shown),
        "told": told_once(open_discrepancies(consignment=row)),
        "calls": row.calls.filter(withdrawn=False).order_by("-pk"),
        "count_backs": row.count_backs.filter(withdrawn=False).select_related("bag").order_by("-pk"),
        "cautions": list(dict.fromkeys(said.text for key in keys for said in treatment(key).cautions)),
        "wrong": wrong,
        "held_back": [
            {
                "line": line,
                "treatment": treatment(line.treatment).label,
                "why_not": warned[line.lot_id].says,
                "form": wrong
                if isinstance(wrong, AnywayForm) and wrong.line_id == line.pk
                else AnywayForm(line_id=line.pk),
            }
            for line in lines
            if line.lot_id in warned and warned[line.lot_id].must_not_go
        ],
        "label_fault": address_fault(the_shop().label_address),
        "today": timezone.localdate(),
        "title": f"Consignment {row.number}",
    }
    if row.sent_on is None:
        page |= {
            "ready": [
                {
                    "lot": lot,
                    "treatment": treatment(lot.treatment).label,
                    "warning": warning(lot, warned.get(lot.pk)),
                }
                for lot in ready
            ],
            "ready_counts": counts_of(ready),
            "send_form": SendForm(initial={"sent_on": page["today"], "due_on": row.due_on}),
        }
        for one in page["ready"]:
            one["count"] = page["ready_counts"][one["lot"].pk].here
    return render(request, "outside_work/consignment.html", page)


def _ticked(request: HttpRequest) -> list[Lot]:
    ids = [value for value in request.POST.getlist("lot") if value.isdecimal()]
    return list(
        Lot.objects.filter(pk__in=ids, withdrawn=False).select_related("job", "bag").order_by("job", "number")
    )


def _line(number: int, line_id: int) -> ConsignmentLine:
    line = (
        ConsignmentLine.objects.filter(pk=line_id, consignment__number=number, withdrawn=False)
        .select_related("consignment__shop", "lot__job")
        .first()
    )
    if line is None:
        raise Http404
    return line
