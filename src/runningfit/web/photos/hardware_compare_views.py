"""Two photos of one bag, before it left and after it came back; the corrections, given out by choice."""

from __future__ import annotations

import tempfile
from typing import TYPE_CHECKING, Any

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from runningfit.core.errors import RunningFitError
from runningfit.web.photos.hardware_drawing import picture
from runningfit.web.photos.hardware_forms import TwoPhotosForm, run_words
from runningfit.web.records.views import job_page
from runningfit.workshop.photos.comparing import compare_runs
from runningfit.workshop.photos.hardware_models import PhotoRun
from runningfit.workshop.photos.hardware_reads import measured_runs, pieces_of
from runningfit.workshop.photos.labelled import standing, write_labelled
from runningfit.workshop.pieces.bags import bag_by_code
from runningfit.workshop.records.queries import job_by_id

if TYPE_CHECKING:
    from runningfit.core.photos.comparing import Comparison

RUNS_OFFERED = 60


def hardware_compare(request: HttpRequest, job_id: int) -> HttpResponse:
    """Compare two photos: what is missing, added, swapped."""
    job = job_by_id(job_id)
    code = request.GET.get("bag", "")
    bag = bag_by_code(job, code) if code else None
    runs = measured_runs(job, most=RUNS_OFFERED, bag=bag)
    asked = "before" in request.GET or "after" in request.GET
    form = TwoPhotosForm(runs, request.GET if asked else None, initial=_first_pair(runs))
    page: dict[str, Any] = {"form": form, "runs": runs, "bag": bag}
    if asked and form.is_valid():
        before, after = form.pair()
        page |= _compared(before, after, compare_runs(before, after))
    whole = job_page(job, here="strip", slip="hardware", title="Two photos of one bag", **page)
    return render(request, "photos/hardware_compare.html", whole, status=400 if form.errors else 200)


def photo_corrections(request: HttpRequest) -> HttpResponse:
    """Say what the shop has corrected in photos, and offer it as a file; nothing goes out by itself."""
    page = {"count": standing().count(), "slip": "mats", "title": "What was corrected in photos"}
    return render(request, "photos/corrections.html", page)


@require_POST
def photo_corrections_zip(_request: HttpRequest) -> FileResponse:
    """Send the corrections as cut-outs and a table."""
    stream = tempfile.TemporaryFile(suffix=".zip")  # noqa: SIM115  (the response closes it)
    try:
        write_labelled(stream)
    except RunningFitError:
        stream.close()
        raise
    stream.seek(0)
    return FileResponse(stream, as_attachment=True, filename="corrections.zip")


def _first_pair(runs: list[PhotoRun]) -> dict[str, str]:
    """Return the oldest and the newest photo of the newest photo's bag, or else the two newest of all."""
    same_bag = [run for run in runs if run.bag_id == runs[0].bag_id]
    pair = [same_bag[-1], same_bag[0]] if len(same_bag) > 1 else runs[1::-1]
    return {"before": str(pair[0].pk), "after": str(pair[1].pk)} if len(pair) == 2 else {}


def _compared(before: PhotoRun, after: PhotoRun, found: Comparison) -> dict[str, Any]:
    # Of alike pieces no photo tells which one went; what is marked is there in one of the photos only.
    gone = [one for one in found.groups if not one.after]
    came = [one for one in found.groups if not one.before]
    return {
        "found": found,
        "before": before,
        "after": after,
        "before_words": run_words(before),
        "after_words": run_words(after),
        "before_drawn": picture(before, pieces_of(before), {n for one in gone for n in one.before}),
        "after_drawn": picture(after, pieces_of(after), {n for one in came for n in one.after}),
        "complete": _per_cent(found.probability_complete),
    }


def _per_cent(share: float) -> str:
    if share < 0.01:
        return "less than 1 %"
    return "over 99 %" if share > 0.99 else f"{100 * share:.0f} %"
