"""Pages of the shop's drawer of shims: what lies in it, a size put in or changed, a sheet of it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.web.hands import hand, kept
from runningfit.web.joints.match_forms import DrawerForm, DrawerSheetForm, drawer_start
from runningfit.workshop.joints import drawer as verbs
from runningfit.workshop.records.queries import the_shop


def drawer(request: HttpRequest) -> HttpResponse:
    """Show what lies in the drawer, and put a size into it."""
    form = DrawerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = verbs.put_in_drawer(said=form.said(the_shop().unit), hand=hand(request))
        if form.is_valid():
            messages.success(request, f"In the drawer: {made.count} of {made.size_typed}.")
            return redirect("drawer")
    shims = verbs.shims_in_drawer()
    page = {"form": form, "shims": shims, "count": sum(one.count for one in shims)}
    page |= {"slip": "drawer", "title": "The drawer of shims"}
    return render(request, "joints/drawer.html", page, status=400 if form.errors else 200)


def drawer_shim(request: HttpRequest, shim_id: int) -> HttpResponse:
    """Say anew how many of a size there are, or what one costs."""
    shim = verbs.shim_by_id(shim_id)
    form = DrawerForm(request.POST or None, initial=drawer_start(shim))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            verbs.change_in_drawer(shim=shim, said=form.said(the_shop().unit), hand=hand(request))
        if form.is_valid():
            return redirect("drawer")
    page = {"form": form, "shim": shim, "slip": "drawer", "title": f"Shims of {shim.size_typed}"}
    return render(request, "joints/drawer_shim.html", page, status=400 if form.errors else 200)


def import_drawer(request: HttpRequest) -> HttpResponse:
    """Take a sheet of what lies in the drawer."""
    form = DrawerSheetForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = verbs.import_drawer(data=form.sent[1], hand=hand(request))
        if form.is_valid():
            messages.success(request, f"{len(made)} sizes are in the drawer as the sheet says.")
            return redirect("drawer")
    page = {"form": form, "slip": "drawer", "title": "The drawer from a sheet"}
    return render(request, "joints/drawer_import.html", page, status=400 if form.errors else 200)
