"""Pages of machining: the step of a set, its order, all orders of a job with what came back, the sheet."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.machining.clean_up import CannotTell
from runningfit.core.units import LengthUnit, format_measured
from runningfit.core.verdicts import Reason
from runningfit.reports.machine_sheet import machine_sheet
from runningfit.web.hands import hand, kept
from runningfit.web.records.views import job_page
from runningfit.web.treatments import machining_saying as saying
from runningfit.web.treatments.machining_forms import BackForm, DecideForm, OrderForm, PlanForm
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import set_by_id, sets_of_job
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.queries import consignment_by_number, consignments
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, the_shop
from runningfit.workshop.treatments import machining
from runningfit.workshop.treatments.machining_choice import (
    LEFT_MM,
    MACHINED,
    MachiningChoice,
    all_cautions,
    machining_choice,
)
from runningfit.workshop.treatments.machining_orders import (
    JudgedOperation,
    MachiningOrder,
    OrderedSet,
    orders_of_job,
)
from runningfit.workshop.treatments.machining_targets import targets
from runningfit.workshop.treatments.machining_words import unit_of_words


def set_machining(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Show what each step would make of a set, what it costs, what was decided and ordered."""
    job = job_by_id(job_id)
    return _page(request, job, machining_choice(set_by_id(job, set_id)))


@require_POST
def say_machining(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Say which steps can be had, at what price, and how it is done."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    choice = machining_choice(one)
    form = PlanForm(one, request.POST, unit=the_shop().unit, plan=choice.plan)
    if form.is_valid():
        with kept(form):
            machining.say_machining(feature_set=one, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("set_machining", job_id, set_id)
    return _page(request, job, choice, plan_form=form)


@require_POST
def decide_step(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Decide on a step."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    choice = machining_choice(one)
    form = DecideForm(choice, request.POST)
    if form.is_valid():
        with kept(form):
            machining.decide_step(feature_set=one, steps=form.steps, hand=hand(request))
        if form.is_valid():
            messages.success(request, "Decided. It can be ordered now.")
            return redirect("set_machining", job_id, set_id)
    return _page(request, job, choice, decide_form=form)


@require_POST
def order_machining(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Order what was decided: its piece goes on a consignment."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    choice = machining_choice(one)
    form = _order_form(choice, request.POST)
    if form.is_valid():
        with kept(form):
            made = machining.make_order(feature_set=one, hand=hand(request), **form.order)
        if form.is_valid():
            messages.success(request, f"On consignment {made.number}. Print its sheet before it goes.")
            return redirect("job_machining", job_id)
    return _page(request, job, choice, order_form=form)


def job_machining(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what of a job goes where to be machined, when it is back, and what it came to."""
    return _orders_page(request, job_by_id(job_id))


@require_POST
def machining_back(request: HttpRequest, job_id: int, number: int, set_id: int) -> HttpResponse:
    """Say that machined features came back, and on which of them marks are left."""
    job = job_by_id(job_id)
    ordered = next(
        (
            one
            for order in orders_of_job(job)
            for one in order.sets
            if order.consignment.number == number and one.feature_set.pk == set_id
        ),
        None,
    )
    if ordered is None:
        raise Http404
    form = BackForm(ordered, request.POST)
    if form.is_valid():
        with kept(form):
            machining.say_back(
                operations=[one.operation for one in ordered.operations],
                done_on=form.cleaned_data["done_on"],
                marks_left={int(key) for key in form.cleaned_data["marks_left"]},
                came_with=form.cleaned_data["came_with"],
                hand=hand(request),
            )
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("job_machining", job_id)
    return _orders_page(request, job, wrong=(number, set_id, form))


def machine_paper(_request: HttpRequest, number: int) -> HttpResponse:
    """Print the machine-shop sheet of a consignment."""
    paper = machine_sheet(consignment_by_number(number), today=timezone.localdate())
    return HttpResponse(
        paper,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="machine-shop-sheet-{number}.pdf"'},
    )


def _page(
    request: HttpRequest,
    job: Job,
    choice: MachiningChoice,
    *,
    plan_form: PlanForm | None = None,
    decide_form: DecideForm | None = None,
    order_form: OrderForm | None = None,
) -> HttpResponse:
    shop = the_shop()
    one = choice.feature_set
    unit = LengthUnit(shop.unit)
    spoken = unit_of_words(choice, unit)
    told = choice.choice.in_unit(spoken) if isinstance(choice.choice, CannotTell) else None
    decided = saying.decision_words(choice)
    can_order = decided is not None and not (decided["since"] or decided["earlier"] or choice.ordered)
    if choice.decision is not None and all(step == LEFT_MM for step in choice.decision.steps.values()):
        can_order = False
    page = job_page(
        job,
        here="measure",
        title=f"Machining: {one.name}",
        set=one,
        choice=choice,
        machined=choice.state.kind in MACHINED,
        told=told,
        rows=saying.step_rows(choice, shop.currency, spoken),
        names=[row.name for row in choice.readings],
        recommendation=saying.recommendation(choice, shop.currency),
        besides=saying.besides(choice, shop.currency),
        reasons=[one.in_unit(spoken) for one in _reasons(choice)],
        cautions=[one.in_unit(spoken) for one in all_cautions(choice)],
        decided=decided,
        came=[(row.operation.feature.name, row.came.value, saying.STAMPS[row.came]) for row in choice.came],
        plan_form=plan_form or PlanForm(one, unit=shop.unit, plan=choice.plan),
        plan_open=plan_form is not None or choice.plan is None,
        decide_form=decide_form or DecideForm(choice),
        order_form=order_form or (_order_form(choice) if can_order else None),
        waits=machining.waiting_tests(one) if can_order else [],
        targets=_targets(choice, unit) if can_order else [],
    )
    wrong = any(form is not None for form in (plan_form, decide_form, order_form))
    return render(request, "treatments/machining.html", page, status=400 if wrong else 200)


def _reasons(choice: MachiningChoice) -> tuple[Reason, ...]:
    for found in (choice.choice, choice.found):
        if not isinstance(found, CannotTell):
            return found.verdict.reasons
    return ()


def _order_form(choice: MachiningChoice, data: Any = None) -> OrderForm:
    drafts = [row.consignment for row in consignments() if row.consignment.sent_on is None]
    return OrderForm(
        choice,
        data,
        drafts=drafts,
        has_lot=bool(machining.lots_of(choice.feature_set)),
        waits=bool(machining.waiting_tests(choice.feature_set)),
    )


def _targets(choice: MachiningChoice, unit: LengthUnit) -> list[dict[str, object]]:
    """The sizes that the shop would be told, or nothing where the tolerance is missing."""
    assert choice.decision is not None
    try:
        sizes = targets(choice, choice.decision.steps)
    except InvalidInput:
        return []
    return [
        {
            "name": size.feature.name,
            "target": format_measured(size.target_mm, unit),
            "low": format_measured(size.lower_mm, unit).rpartition(" ")[0],
            "high": format_measured(size.upper_mm, unit),
            "based_on": size.based_on,
        }
        for size in sizes
    ]


def _orders_page(
    request: HttpRequest, job: Job, wrong: tuple[int, int, BackForm] | None = None
) -> HttpResponse:
    unit = LengthUnit(the_shop().unit)
    orders = orders_of_job(job)
    ordered = {one.feature_set.pk for order in orders for one in order.sets}
    page = job_page(
        job,
        here="measure",
        title="Machining",
        slip="machining",
        orders=[_order_words(order, wrong, unit) for order in orders],
        others=[one for one in sets_of_job(job) if _can_be(one) and one.pk not in ordered],
        today=timezone.localdate(),
    )
    return render(request, "treatments/job_machining.html", page, status=400 if wrong else 200)


def _can_be(one: FeatureSet) -> bool:
    return one.kind in {kind.value for kind in MACHINED}


def _order_words(
    order: MachiningOrder, wrong: tuple[int, int, BackForm] | None, unit: LengthUnit
) -> dict[str, object]:
    row: Consignment = order.consignment
    return {
        "consignment": row,
        "outside": order.outside,
        "is_back": bool(row.sent_on) and not order.outside,
        "sets": [_set_words(one, row, wrong, unit) for one in order.sets],
    }


def _operation_words(judged: JudgedOperation, unit: LengthUnit) -> dict[str, object]:
    row = judged.operation
    return {
        "name": row.feature.name,
        "target": format_measured(row.target_mm, unit),
        "low": format_measured(row.lower_mm, unit).rpartition(" ")[0],
        "high": format_measured(row.upper_mm, unit),
        "came": judged.came.value,
        "stamp": saying.STAMPS[judged.came],
        "says": judged.says,
    }


def _set_words(
    one: OrderedSet, row: Consignment, wrong: tuple[int, int, BackForm] | None, unit: LengthUnit
) -> dict[str, object]:
    is_wrong = wrong is not None and wrong[:2] == (row.number, one.feature_set.pk)
    return {
        "ordered": one,
        "set": one.feature_set,
        "what": list(dict.fromkeys(judged.operation.what for judged in one.operations)),
        "rows": [_operation_words(judged, unit) for judged in one.operations],
        "form": wrong[2] if is_wrong and wrong else BackForm(one) if row.sent_on else None,
        "form_open": is_wrong,
        "done_on": one.operations[0].operation.done_on,
        "came_with": one.operations[0].operation.came_with,
        "anyway": one.operations[0].operation.anyway,
    }
