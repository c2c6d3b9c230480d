"""Photograph the hardware: shoot, wait, look through, keep.

How a tired person with oily hands uses it. The job's first page has a button "Photograph the hardware"
(first press). The page that opens remembers the mat and the bag of last time and has one large button, "Take
the photo" (second press), which opens the phone's own camera; the shutter is the third. Nothing else has to
be pressed: the photo is sent as soon as it is taken, shows how far it is, and comes back either with what is
wrong and what to do, under which the same large button waits, or with every piece outlined and numbered. What
is unsure stands first, each with the one thing that would settle it; a press on a piece opens its page, where
its thread is one tap. Below, the lots stand as they would be kept; one press takes them all into the bag.
A page that is left, or reloaded with the phone in the other hand, loses nothing: the photo is a row, and
the row says how far it is, to whoever looks.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput, NotFound, RunningFitError
from runningfit.web.hands import hand, kept
from runningfit.web.photos.hardware_drawing import picture
from runningfit.web.photos.hardware_forms import OTHERS, SAME, AcceptForm, MatChoice, ShotForm
from runningfit.web.photos.uploads import read_uploads
from runningfit.web.records.views import job_page
from runningfit.workshop.outside_work.queries import out_of, out_with
from runningfit.workshop.photos import hardware as verbs
from runningfit.workshop.photos.accepting import accept
from runningfit.workshop.photos.correcting import confirm
from runningfit.workshop.photos.grouping import grouped, state_of
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.hardware_reads import (
    lots_accepted,
    pieces_of,
    run_of_job,
    runs_of,
    to_settle,
)
from runningfit.workshop.photos.printed_mats import mats
from runningfit.workshop.photos.proposed import hole_of
from runningfit.workshop.photos.running import has_died
from runningfit.workshop.photos.same_pieces import in_its_bag, seen_before
from runningfit.workshop.pieces.bags import bag_by_code, new_code
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.plan.places_for import places_for
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id
from runningfit.workshop.records.writing import Hand

RUNS_SHOWN = 40
BAGS_IN_REACH = 3
# So many photos that may show the same pieces are named.
MOST_BEFORE = 3
# So many consignments are offered to be counted back by a photo.
MOST_OUT = 4
NO_PHOTO = "The photo needs a file; none came. Take a photo first, or choose one that was taken before."
_NOTHING_COUNTED = "Nothing was counted. The photo is kept, to be compared with the earlier one."
_SENT_BEFORE = "This very photo was sent before. Nothing was counted twice: here is what came of it."


def hardware(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take a photo of hardware on a mat, and list those taken before; without a script, a plain form."""
    job = job_by_id(job_id)
    form = ShotForm(mats(), request.POST or None, initial=_last(request, job))
    if request.method == "POST" and form.is_valid():
        runs: list[tuple[PhotoRun, bool]] = []
        with kept(form):
            runs = _shoot(request, job, form)
        if runs and form.is_valid():
            for _run, is_new in runs:
                if not is_new:
                    messages.info(request, _SENT_BEFORE)
            return redirect("hardware_run", job.pk, runs[-1][0].pk)
    page = _shot_page(job, form)
    return render(request, "photos/hardware.html", page, status=400 if form.errors else 200)


@require_POST
def hardware_shot(request: HttpRequest, job_id: int) -> JsonResponse:
    """Take in the one photo that the page's script sends; says where it is measured, or what is wrong."""
    job = job_by_id(job_id)
    form = ShotForm(mats(), request.POST)
    runs: list[tuple[PhotoRun, bool]] = []
    if form.is_valid():
        try:
            runs = _shoot(request, job, form)
        except RunningFitError as error:
            return JsonResponse({"refused": str(error)}, status=400)
    if not runs:
        said = " ".join(str(error) for errors in form.errors.values() for error in errors)
        return JsonResponse({"refused": said}, status=400)
    run, is_new = runs[-1]
    if not is_new:
        messages.info(request, _SENT_BEFORE)
    return JsonResponse({"to": reverse("hardware_run", args=[job.pk, run.pk])})


def hardware_run(request: HttpRequest, job_id: int, run_id: int) -> HttpResponse:
    """Show how far a photo is, or what came of it; take its pieces into the books."""
    run = run_of_job(job_by_id(job_id), run_id)
    if run.state != PhotoRun.MEASURED:
        return render(request, "photos/hardware_run.html", _waiting_page(run))
    pieces = pieces_of(run)
    if run.accepted_by_id is not None:
        return render(request, "photos/hardware_run.html", _accepted_page(run, pieces))
    groups, before = grouped(pieces), seen_before(run, pieces)
    named = [group.first for group in groups if not group.unmeasured]
    # Those nobody could measure stand last, and fit nowhere as far as is known.
    fits = places_for(run.job, named, [hole_of(one) for one in named]) + [[] for _ in groups[len(named) :]]
    last = request.session.get(f"hardware-{job_id}", {})
    start = {"state": state_of(pieces), "area": last.get("area", "")}
    start["bag"] = run.bag.code if run.bag else last.get("into", "")
    form = AcceptForm(run, groups, fits, request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        if form.cleaned_data["twice"] == SAME:
            messages.success(request, _NOTHING_COUNTED)
            return redirect("hardware", job_id)
        with kept(form):
            lots = accept(
                run=run,
                chosen=form.chosen(),
                into=form.into(),
                state=form.cleaned_data["state"],
                others_than_before=form.cleaned_data["twice"] == OTHERS,
                hand=hand(request),
            )
        if form.is_valid():
            bag = lots[0].bag
            _remember(request, run.job, into=bag.code if bag else "", area=form.cleaned_data["area"])
            messages.success(request, _kept_said([lot.number for lot in lots], bag))
            return redirect("hardware_run", job_id, run.pk)
    page = _measured_page(run, pieces, form) | {"before": before[:MOST_BEFORE]}
    return render(request, "photos/hardware_run.html", page, status=400 if form.errors else 200)


def hardware_state(request: HttpRequest, job_id: int, run_id: int) -> HttpResponse:
    """Say how far a photo is; when it is through, the page that asked loads itself anew."""
    run = run_of_job(job_by_id(job_id), run_id)
    through = run.state not in (PhotoRun.WAITING, PhotoRun.RUNNING) or has_died(run)
    answer = render(request, "photos/_hardware_state.html", {"job": run.job, "run": run, "through": through})
    if through:
        answer.headers["HX-Refresh"] = "true"
    return answer


@require_POST
def hardware_again(request: HttpRequest, job_id: int, run_id: int) -> HttpResponse:
    """Measure a photo anew, by this mat or another."""
    run = run_of_job(job_by_id(job_id), run_id)
    form = MatChoice(mats(), request.POST)
    if not form.is_valid():
        raise InvalidInput("mat", needs="one of those in the list", came=request.POST.get("mat", "")[:40])
    new = verbs.measure_again(run=run, mat=form.chosen_mat(), hand=hand(request))
    return redirect("hardware_run", job_id, new.pk)


@require_POST
def hardware_away(request: HttpRequest, job_id: int, run_id: int) -> HttpResponse:
    """Put a photo away; the history can bring it back."""
    verbs.put_run_away(run=run_of_job(job_by_id(job_id), run_id), hand=hand(request))
    messages.success(request, "The photo is put away. The history can bring it back.")
    return redirect("hardware", job_id)


@require_POST
def hardware_so(request: HttpRequest, job_id: int, run_id: int) -> HttpResponse:
    """Say that pieces are what was proposed."""
    run = run_of_job(job_by_id(job_id), run_id)
    numbers = request.POST.get("piece", "").split(",")
    if not all(number.isdecimal() and len(number) <= 9 for number in numbers):
        came = ",".join(numbers)[:40]
        raise InvalidInput("the piece", needs="the number of a piece in this photo", came=came)
    confirm(run=run, numbers=[int(number) for number in numbers], hand=hand(request))
    return redirect(reverse("hardware_run", args=[job_id, run.pk]) + "#settle")


def _shoot(request: HttpRequest, job: Job, form: ShotForm) -> list[tuple[PhotoRun, bool]]:
    """Take in the photos that were sent; those that are none are told once the others are kept."""
    uploads = read_uploads(request.FILES.getlist("photo"))
    if not uploads.pictures:
        for sentence in uploads.refused or (NO_PHOTO,):
            form.add_error(None, sentence)
        return []
    values = form.cleaned_data
    bag = _bag_of(job, values["bag"])
    instead = _instead(job, values["instead"])
    mat = form.chosen_mat()
    first, *rest = uploads.pictures
    runs = [verbs.photograph(job=job, picture=first, mat=mat, bag=bag, instead=instead, hand=hand(request))]
    # The form's token is that of its first photo; the others are known again by themselves.
    its_hand = Hand(who=hand(request).who)
    runs += [verbs.photograph(job=job, picture=one, mat=mat, bag=bag, hand=its_hand) for one in rest]
    for sentence in uploads.refused:
        messages.error(request, sentence)
    _remember(request, job, out_of=bag.code if bag else "", mat=values["mat"])
    return runs


def _bag_of(job: Job, code: str) -> Bag | None:
    if not code.strip():
        return None
    try:
        return bag_by_code(job, code)
    except NotFound as error:
        raise InvalidInput(
            "bag",
            needs="a bag of this job, or nothing",
            came=code,
            remedy="Leave it empty: a new bag is made when the pieces are kept.",
        ) from error


def _instead(job: Job, run_id: int | None) -> PhotoRun | None:
    return PhotoRun.objects.filter(job=job, pk=run_id, withdrawn=False).first() if run_id else None


def _last(request: HttpRequest, job: Job) -> dict[str, Any]:
    last = request.session.get(f"hardware-{job.pk}", {})
    start = {"bag": request.GET.get("bag", last.get("out_of", ""))}
    return start | ({"mat": last["mat"]} if last.get("mat") else {})


def _remember(request: HttpRequest, job: Job, **values: str) -> None:
    request.session[f"hardware-{job.pk}"] = request.session.get(f"hardware-{job.pk}", {}) | values


def _shot_page(job: Job, form: ShotForm) -> dict[str, Any]:
    runs = runs_of(job, most=RUNS_SHOWN)
    return job_page(
        job,
        here="strip",
        form=form,
        kept_mats=form.kept,
        runs=[(run, has_died(run)) for run in runs],
        several=sum(run.state == PhotoRun.MEASURED for run in runs) > 1,
        all_bags=_codes(job),
        slip="hardware",
        title="Photograph the hardware",
    )


def _waiting_page(run: PhotoRun) -> dict[str, Any]:
    kept_mats = mats()
    died = has_died(run)
    failed = died or run.state in (PhotoRun.REFUSED, PhotoRun.BROKE)
    mat_key = str(run.mat_id) if run.mat_id else ""
    bag = run.bag.code if run.bag else ""
    return job_page(
        run.job,
        here="strip",
        run=run,
        died=died,
        failed=failed,
        shot=ShotForm(kept_mats, initial={"mat": mat_key, "bag": bag, "instead": run.pk}) if failed else None,
        again=MatChoice(kept_mats, initial={"mat": mat_key}) if failed else None,
        slip="hardware",
        title=_state_said(run, died=died),
    )


def _accepted_page(run: PhotoRun, pieces: list[PhotoPiece]) -> dict[str, Any]:
    lots = lots_accepted(run)
    counts = counts_of(lots)
    return job_page(
        run.job,
        here="strip",
        run=run,
        drawn=picture(run, pieces),
        lots=[(lot, counts[lot.pk].came_in) for lot in lots],
        slip="hardware",
        title=f"Hardware photo {run.pk}",
    )


def _measured_page(run: PhotoRun, pieces: list[PhotoPiece], form: AcceptForm) -> dict[str, Any]:
    lines = form.lines()
    bags = _codes(run.job)
    chosen = form["bag"].value() or ""
    near = list(dict.fromkeys([*([chosen] if chosen and chosen != "+" else []), *bags]))[:BAGS_IN_REACH]
    return job_page(
        run.job,
        here="strip",
        run=run,
        drawn=picture(run, pieces),
        counted=sum(not piece.fate for piece in pieces),
        in_the_bag=in_its_bag(run),
        out_on=out_with(bag=run.bag) if run.bag else [],
        out=out_of(run.job)[:MOST_OUT],
        aside=[piece for piece in pieces if piece.fate],
        asked_in_all=len(to_settle(pieces)),
        lines=lines,
        unmeasured=sum(len(line.group.pieces) for line in lines if line.group.unmeasured),
        form=form,
        again=MatChoice(mats(), initial={"mat": str(run.mat_id) if run.mat_id else ""}),
        near_bags=near,
        chosen_bag=chosen,
        next_bag=new_code(run.job),
        all_bags=bags,
        all_areas=Area.objects.filter(job=run.job, withdrawn=False)
        .order_by("name")
        .values_list("name", flat=True),
        slip="hardware",
        title="What lies on the mat",
    )


def _codes(job: Job) -> list[str]:
    return list(Bag.objects.filter(job=job, withdrawn=False).order_by("-pk").values_list("code", flat=True))


def _kept_said(numbers: list[int], bag: Bag | None) -> str:
    lots = f"Lot {numbers[0]} is" if len(numbers) == 1 else f"Lots {', '.join(map(str, numbers))} are"
    return f"{lots} in the books{f', in bag {bag.code}' if bag else ''}."


def _state_said(run: PhotoRun, *, died: bool) -> str:
    if died or run.state == PhotoRun.BROKE:
        return "The measuring broke off"
    return "That could not be measured" if run.state == PhotoRun.REFUSED else "Being measured"
