"""Views of places: one, a new one, how it is known, proving its holes, many from lots or a list."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.lot_views import shop_unit
from runningfit.web.pieces.place_forms import BasisForm, PlaceForm, PlaceListForm, ProofForm, place_start
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces import places
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.pieces.place_lists import PlaceRow, import_places, text_of, understand_places
from runningfit.workshop.pieces.queries import area_by_id, findings_at, lines_of, lots_in_place, place_by_id
from runningfit.workshop.pieces.threads import prove_thread
from runningfit.workshop.records.queries import job_by_id


def add_place(request: HttpRequest, job_id: int, area_id: int) -> HttpResponse:
    """Add a place to an area."""
    job = job_by_id(job_id)
    area = area_by_id(job, area_id)
    form = PlaceForm(request.POST or None, initial={"basis": "holes_counted"})
    if request.method == "POST" and form.is_valid():
        with kept(form):
            places.add_place(area=area, facts=form.facts(shop_unit()), hand=hand(request))
        if form.is_valid():
            if "another" in request.POST:
                return redirect("add_place", job.pk, area.pk)
            return redirect("area", job.pk, area.pk)
    page = job_page(job, here="strip", slip="areas", area=area, form=form, title=f"A place in {area.name}")
    return render(request, "pieces/edit_place.html", page)


def place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Show a place: what it needs, how that is known, which lots fill it."""
    return _place_page(request, place_by_id(job_by_id(job_id), place_id))


def change_place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Change what is said of a place."""
    job = job_by_id(job_id)
    row = place_by_id(job, place_id)
    form = PlaceForm(request.POST or None, initial=place_start(row))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            places.change_place(place=row, facts=form.facts(shop_unit(), row), hand=hand(request))
        if form.is_valid():
            return redirect("place", job.pk, row.pk)
    page = job_page(
        job, here="strip", slip="areas", area=row.area, place=row, form=form, title=f"Change {row.name}"
    )
    return render(request, "pieces/edit_place.html", page)


@require_POST
def confirm_basis(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Say where the knowledge of a place comes from now."""
    row = place_by_id(job_by_id(job_id), place_id)
    form = BasisForm(request.POST, prefix="basis")
    if form.is_valid():
        with kept(form):
            places.confirm_basis(place=row, hand=hand(request), **form.cleaned_data)
        if form.is_valid():
            return redirect("place", job_id, row.pk)
    return _place_page(request, row, basis=form)


@require_POST
def prove_place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Say how the threads of a place's holes were proven."""
    row = place_by_id(job_by_id(job_id), place_id)
    form = ProofForm(request.POST, prefix="proof")
    if form.is_valid():
        with kept(form):
            prove_thread(thing=row, hand=hand(request, form.cleaned_data["why"]))
        if form.is_valid():
            return redirect("place", job_id, row.pk)
    return _place_page(request, row, proof=form)


@require_POST
def withdraw_place(request: HttpRequest, job_id: int, place_id: int) -> HttpResponse:
    """Withdraw a place that was a mistake."""
    row = place_by_id(job_by_id(job_id), place_id)
    places.withdraw_place(place=row, hand=hand(request))
    return redirect("area", job_id, row.area_id)


def places_from_lots(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the places that could be made from what came off, and make them."""
    job = job_by_id(job_id)
    asked = request.GET.get("area", "") or request.POST.get("area", "")
    area = area_by_id(job, int(asked)) if asked.isdecimal() else None
    if request.method == "POST":
        made = places.places_from_lots(job=job, area=area, hand=hand(request))
        messages.success(request, f"Made {len(made)} place{'s' if len(made) != 1 else ''}, only assumed.")
        return redirect("area", job.pk, area.pk) if area else redirect("areas", job.pk)
    page = job_page(
        job,
        here="strip",
        slip="areas",
        area=area,
        proposals=places.propose_places(job=job, area=area),
        cannot_show=places.CANNOT_SHOW_LOSSES,
        title="Places from what came off",
    )
    return render(request, "pieces/places_from_lots.html", page)


def import_place_list(request: HttpRequest, job_id: int) -> HttpResponse:
    """Read places from a file or from text, show them as understood, keep them."""
    job = job_by_id(job_id)
    form = PlaceListForm(request.POST or None, request.FILES or None)
    rows: list[PlaceRow] = []
    if request.method == "POST" and form.is_valid():
        with kept(form):
            data, filename = form.sent()
            values = form.cleaned_data
            rows = understand_places(
                job=job,
                data=data,
                filename=filename,
                basis=values["basis"],
                basis_said=values["basis_said"],
                default_unit=shop_unit(),
            )
            if "keep" in request.POST:
                made, changed = import_places(job=job, rows=rows, hand=hand(request))
                messages.success(request, f"Places kept: {made} new, {changed} changed.")
                rows = [row for row in rows if row.facts is None]
                if not rows:
                    return redirect("areas", job.pk)
            form = form.with_text(text_of(data, filename, only={row.line_number for row in rows}))
    page = job_page(
        job,
        here="strip",
        slip="areas",
        form=form,
        rows=rows,
        to_keep=sum(row.fate in ("new", "changed") for row in rows),
        not_understood=sum(row.facts is None for row in rows),
        title="Places from a list",
    )
    return render(request, "pieces/import_places.html", page)


def _place_page(request: HttpRequest, row: Place, **forms_back: object) -> HttpResponse:
    job = row.area.job
    page = {
        "area": row.area,
        "place": row,
        "lines": lines_of(lots_in_place(row)),
        "findings": findings_at(place=row),
        "cannot_show": places.CANNOT_SHOW_LOSSES,
        "basis": BasisForm(prefix="basis", initial={"count": row.count, "basis_said": row.basis_said}),
        "proof": ProofForm(prefix="proof"),
        "open_form": next(iter(forms_back), ""),
        "title": row.name,
    }
    return render(
        request, "pieces/place.html", job_page(job, here="strip", slip="areas", **{**page, **forms_back})
    )
