"""Printed mats: print one, measure its ruler once, keep it; several are kept, and one is the usual one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from runningfit.core.errors import NotFound
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.reports.mat_sheet import mat_sheet
from runningfit.web.hands import hand, kept
from runningfit.web.photos.hardware_forms import MatForm, MeasuredMatForm
from runningfit.workshop.photos import printed_mats
from runningfit.workshop.photos.hardware_models import PrintedMat


def photo_mats(request: HttpRequest) -> HttpResponse:
    """Print a mat, and keep what its ruler measures."""
    form = MatForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            mat = printed_mats.keep_mat(**form.cleaned_data, hand=hand(request))
        if form.is_valid():
            messages.success(request, _understood(mat))
            return redirect("photo_mats")
    page = {
        "form": form,
        "kept_mats": printed_mats.mats(),
        "papers": [_paper(paper) for paper in Paper],
        "slip": "mats",
        "title": "Mats to photograph on",
    }
    return render(request, "photos/mats.html", page, status=400 if form.errors else 200)


def photo_mat(request: HttpRequest, mat_id: int) -> HttpResponse:
    """Measure a mat's ruler again, or say otherwise where it lies."""
    mat = printed_mats.mat_by_id(mat_id)
    start = {"scale": mat.scale_typed, "where": mat.where}
    form = MeasuredMatForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            mat = printed_mats.measure_mat(mat=mat, **form.cleaned_data, hand=hand(request))
        if form.is_valid():
            messages.success(request, _understood(mat))
            return redirect("photo_mats")
    page = {"form": form, "mat": mat, "paper": _paper(Paper(mat.paper)), "slip": "mats", "title": str(mat)}
    return render(request, "photos/mat.html", page, status=400 if form.errors else 200)


@require_POST
def usual_mat(request: HttpRequest, mat_id: int) -> HttpResponse:
    """Make a mat the usual one."""
    printed_mats.make_usual(mat=printed_mats.mat_by_id(mat_id), hand=hand(request))
    return redirect("photo_mats")


@require_POST
def put_mat_away(request: HttpRequest, mat_id: int) -> HttpResponse:
    """Put a mat away that is worn or lost; the history can bring it back."""
    printed_mats.put_mat_away(mat=printed_mats.mat_by_id(mat_id), hand=hand(request))
    messages.success(request, "The mat is put away. The history can bring it back.")
    return redirect("photo_mats")


@require_safe
def mat_pdf(_request: HttpRequest, paper: str) -> HttpResponse:
    """Send the mat of a paper as a PDF at true size."""
    sheet = next((one for one in Paper if one.value.lower() == paper.lower()), None)
    if sheet is None:
        raise NotFound(f"There is a mat for {', '.join(Paper)}; there is none for '{paper}'.")
    answer = HttpResponse(mat_sheet(own_mat(sheet)), content_type="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="mat-{sheet.value}.pdf"'
    return answer


def _paper(paper: Paper) -> dict[str, Any]:
    mat = own_mat(paper)
    area = mat.work_area
    return {
        "key": paper.value,
        "words": paper.value.capitalize(),
        "rulers": " and ".join(f"{one.length_mm:g} mm" for one in mat.rulers),
        "room": f"{area.right_mm - area.left_mm:.0f} × {area.bottom_mm - area.top_mm:.0f} mm",
    }


def _understood(mat: PrintedMat) -> str:
    read = printed_mats.scale_of(Paper(mat.paper), mat.scale_typed)
    return (
        f"Kept: {mat}. '{mat.scale_typed}' was read as {read.understood_as}, "
        f"which is a print scale of {mat.print_scale:.3f}."
    )
