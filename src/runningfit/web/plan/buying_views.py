"""The list to buy: what places miss, prices new against refurbishing, orders, receiving."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.errors import NotFound
from runningfit.web.hands import hand, kept
from runningfit.web.plan.forms import OrderForm, QuoteForm, ReceiveForm, ToBuyForm
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.plan import buying
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.queries import buying_list, missing_and_unlisted, place_by_id
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id


def to_buy(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the list to buy, and add to it in plain words."""
    job = job_by_id(job_id)
    form = ToBuyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            buying.add_to_buy(job=job, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("to_buy", job.pk)
    page = job_page(
        job,
        here="plan",
        slip="to_buy",
        rows=buying_list(job),
        unlisted=missing_and_unlisted(job),
        form=form,
        title="To buy",
    )
    return render(request, "plan/to_buy.html", page)


def buy_for_place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Put what a place misses on the list, in one tap."""
    job = job_by_id(job_id)
    if request.method == "POST":
        row = buying.add_to_buy(job=job, place=place_by_id(job, place_id), hand=hand(request))
        messages.success(request, f"On the list to buy: {row.count} {row.in_words}.")
    return redirect(_back(request, job))


def buy_instead(request: HttpRequest, job_id: int, number: int) -> HttpResponse:
    """Put new ones on the list beside refurbishing a lot, so that the two prices can be compared."""
    job = job_by_id(job_id)
    lot = Lot.objects.filter(job=job, number=number, withdrawn=False).first()
    if lot is None:
        raise NotFound(f"There is no lot {number} in {job.name}.")
    if request.method == "POST":
        row = buying.add_to_buy(job=job, instead_of=lot, place=lot.place, count=None, hand=hand(request))
        return redirect("bought", job.pk, row.pk)
    return redirect("to_buy", job.pk)


def bought(request: HttpRequest, job_id: int, row_id: int) -> HttpResponse:
    """Quote, order, receive or strike off one thing to buy."""
    job = job_by_id(job_id)
    row = ToBuy.objects.select_related("place__area", "instead_of", "received_as").filter(
        pk=row_id, job=job, withdrawn=False
    )
    found = row.first()
    if found is None:
        raise NotFound("That is not on the list to buy of this job.")
    forms = _forms(request, found)
    act = request.POST.get("act", "")
    form = forms.get(act)
    if form is not None and form.is_valid():
        with kept(form):
            _act(request, act, found, form.cleaned_data)
        if form.is_valid():
            return redirect("to_buy", job.pk)
    if act == "strike":
        buying.strike_off(row=found, hand=hand(request))
        return redirect("to_buy", job.pk)
    page = job_page(
        job, here="plan", slip="to_buy", row=found, title=f"{found.count} {found.in_words}", **forms
    )
    return render(request, "plan/bought.html", page)


def _forms(request: HttpRequest, row: ToBuy) -> dict[str, QuoteForm | OrderForm | ReceiveForm]:
    act = request.POST.get("act", "")
    sent = {name: request.POST if act == name else None for name in ("quote", "order", "receive")}
    kept_values = {name: getattr(row, name) for name in QuoteForm.base_fields}
    return {
        "quote": QuoteForm(sent["quote"], initial=kept_values),
        "order": OrderForm(sent["order"], initial={"ordered_on": row.ordered_on, "due_on": row.due_on}),
        "receive": ReceiveForm(
            sent["receive"], initial={"came": row.count, "paid_each": row.price_each, "look": "unknown"}
        ),
    }


def _act(request: HttpRequest, act: str, row: ToBuy, values: dict[str, object]) -> None:
    if act == "quote":
        buying.quote(row=row, hand=hand(request), **values)  # type: ignore[arg-type]
    elif act == "order":
        buying.order(row=row, hand=hand(request), **values)  # type: ignore[arg-type]
    else:
        lot = buying.receive(
            row=row,
            hand=hand(request),
            count=values["came"],  # type: ignore[arg-type]
            price_each=values["paid_each"],  # type: ignore[arg-type]
            look=str(values["look"]),
        )
        messages.success(request, f"Received as lot {lot.number}.")


def _back(request: HttpRequest, job: Job) -> str:
    wanted = request.POST.get("next", "")
    return wanted if wanted.startswith(f"/jobs/{job.pk}/") else f"/jobs/{job.pk}/plan/to-buy"
