"""Views of the people outside: logging a call, and what is known of a shop."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.forms import CallForm, ShopForm
from runningfit.workshop.outside_work import services
from runningfit.workshop.outside_work.queries import consignment_by_number, outside_shops, shop_by_id


def call(request: HttpRequest, number: int) -> HttpResponse:
    """Log a call: what was said, by whom, a new date, a price."""
    row = consignment_by_number(number)
    last = row.calls.filter(withdrawn=False).order_by("-pk").first()
    form = CallForm(request.POST or None, initial={"spoke_to": last.spoke_to if last else ""})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.log_call(consignment=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("consignment", number)
    page = {"form": form, "consignment": row, "title": f"Call with {row.shop.name}"}
    return render(request, "outside_work/call.html", page)


def shops(request: HttpRequest) -> HttpResponse:
    """Show the outside shops with their phones, and add one."""
    form = ShopForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.add_shop(hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("outside_shops")
    page = {"form": form, "shops": outside_shops(), "title": "Outside shops"}
    return render(request, "outside_work/shops.html", page)


def shop(request: HttpRequest, shop_id: int) -> HttpResponse:
    """Change what is known of an outside shop."""
    row = shop_by_id(shop_id)
    start = {name: getattr(row, name) for name in ShopForm.base_fields}
    form = ShopForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.change_shop(shop=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("outside_shops")
    page = {"form": form, "title": row.name, "button": "Keep"}
    return render(request, "outside_work/plain.html", page)
