"""One piece of a photo: what was read of it, what it is, where it would fit."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.units import LengthUnit, format_measured
from runningfit.web.hands import hand, kept
from runningfit.web.photos.hardware_drawing import READ_TO_MM, cut_out
from runningfit.web.photos.hardware_forms import JoinForm, PieceForm, SeveralForm
from runningfit.web.records.views import job_page
from runningfit.workshop.photos import correcting
from runningfit.workshop.photos.grouping import is_unmeasured
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.hardware_reads import corrections_of, piece_by_number, run_of_job
from runningfit.workshop.photos.proposed import hole_of, sizes_of
from runningfit.workshop.plan.places_for import places_for
from runningfit.workshop.records.queries import job_by_id, the_shop

PLACES_SHOWN = 12
_PITCH_TO_MM = 0.01
_SIZES = {
    "length": "length",
    "major": "thread, outside",
    "pitch": "pitch",
    "head_across_flats": "across flats",
    "outside": "outside",
    "inside": "inside",
    "thickness": "thickness",
    "width": "width",
}


def hardware_piece(request: HttpRequest, job_id: int, run_id: int, piece: int) -> HttpResponse:
    """Show a piece and what was read of it, and let it be said what it is."""
    run, row = _piece(job_id, run_id, piece)
    form = PieceForm(row, correcting.alike(run, row), request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            changed = correcting.correct(
                run=run,
                numbers=form.concerned(),
                spec=form.spec(LengthUnit(the_shop().unit)),
                look=form.cleaned_data["look"],
                hand=hand(request),
            )
        if form.is_valid():
            named = ", ".join(str(one.number) for one in changed)
            messages.success(request, f"Piece{'s' if len(changed) > 1 else ''} {named}: as you said.")
            return redirect(_back_to(run))
    return _page(request, run, row, form)


@require_POST
def hardware_piece_fate(request: HttpRequest, job_id: int, run_id: int, piece: int) -> HttpResponse:
    """Say that it is no piece, one after all, part of another one, or several."""
    run, row = _piece(job_id, run_id, piece)
    what = request.POST.get("what", "")
    form: forms.Form = forms.Form(request.POST)
    if what == "aside":
        correcting.set_aside(run=run, number=row.number, hand=hand(request))
    elif what == "piece":
        correcting.count_again(run=run, number=row.number, hand=hand(request))
    elif what == "join":
        form = JoinForm(request.POST)
        if form.is_valid():
            with kept(form):
                correcting.join(
                    run=run, number=row.number, into=form.cleaned_data["into"], hand=hand(request)
                )
    elif what == "split":
        form = SeveralForm(request.POST)
        if form.is_valid():
            with kept(form):
                correcting.split(
                    run=run, number=row.number, count=form.cleaned_data["count"], hand=hand(request)
                )
    else:
        raise InvalidInput("what it is", needs="aside, piece, join or split", came=what[:40])
    if not form.is_valid():
        return _page(request, run, row, PieceForm(row, correcting.alike(run, row)), fate=form, what=what)
    return redirect(_back_to(run))


def _back_to(run: PhotoRun) -> str:
    return reverse("hardware_run", args=[run.job_id, run.pk]) + "#settle"


def _piece(job_id: int, run_id: int, number: int) -> tuple[PhotoRun, PhotoPiece]:
    run = run_of_job(job_by_id(job_id), run_id)
    return run, piece_by_number(run, number)


def _page(
    request: HttpRequest,
    run: PhotoRun,
    row: PhotoPiece,
    form: PieceForm,
    fate: forms.Form | None = None,
    what: str = "",
) -> HttpResponse:
    fitting = [] if row.fate else places_for(run.job, [row], [hole_of(row)])[0]
    unmeasured = is_unmeasured(row)
    page = job_page(
        run.job,
        here="strip",
        run=run,
        piece=row,
        form=form,
        join_form=fate if what == "join" else JoinForm(),
        several_form=fate if what == "split" else SeveralForm(),
        fate_asked=what,
        drawn=cut_out(row, run),
        read=_read(row),
        kinds=_chances(row),
        unmeasured=unmeasured,
        fitting=[] if unmeasured else fitting[:PLACES_SHOWN],
        more_places=0 if unmeasured else max(0, len(fitting) - PLACES_SHOWN),
        said=corrections_of(row),
        slip="hardware",
        title=f"Piece {row.number}",
    )
    wrong = form.errors or (fate is not None and fate.errors)
    return render(request, "photos/hardware_piece.html", page, status=400 if wrong else 200)


def _read(row: PhotoPiece) -> list[dict[str, Any]]:
    """Return the sizes that were read, each with the range that holds it 95 times in 100."""
    if row.split_off_id is not None:
        return []
    sizes = sizes_of(row.proposed)
    unit = LengthUnit.MM
    told = []
    for name, words in _SIZES.items():
        size = getattr(sizes, name)
        if size is not None:
            low, high = (max(0.0, end) for end in size.interval_95_mm)
            places = 2 if name == "pitch" else 1
            step_mm = _PITCH_TO_MM if name == "pitch" else READ_TO_MM
            shown = format_measured(size.value_mm, unit, step_mm)
            told.append(
                {"name": words, "value": shown, "between": f"{low:.{places}f} to {high:.{places}f} mm"}
            )
    return told


def _chances(row: PhotoPiece) -> list[str]:
    kinds = sorted(row.proposed.get("kinds", {}).items(), key=lambda pair: -pair[1])
    words = [
        f"{label(Kind(kind), 1).partition(' ')[2]} {100 * chance:.0f} %"
        for kind, chance in kinds
        if chance > 0.02
    ]
    return words[:3]
