"""Pages of the tally sheet; the caliper's presses come in one by one or in batches, each with its token."""

from __future__ import annotations

import json
import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, RunningFitError
from runningfit.web.hands import hand, kept
from runningfit.web.pieces.tally_forms import OpenSheetForm, PressForm
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces import tally, tally_reads
from runningfit.workshop.pieces.models import Area, Bag, TallySheet
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id, subject_engine
from runningfit.workshop.records.writing import Hand


def sheets(request: HttpRequest, job_id: int) -> HttpResponse:
    """List the open sheets and open a new one; what was fixed last time is there already."""
    job = job_by_id(job_id)
    form = OpenSheetForm(request.POST or None, job=job, initial=_last_marks(job))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            sheet = tally.open_sheet(job=job, **form.cleaned_data, hand=hand(request))
        if form.is_valid():
            return redirect("tally_sheet", job.pk, sheet.pk)
    page = job_page(
        job,
        here="strip",
        title="Tally sheets",
        form=form,
        sheets=[
            (sheet, count, tally_reads.marks_of(sheet, count))
            for sheet, count in tally_reads.open_sheets(job)
        ],
        closed=[(sheet, tally_reads.marks_of(sheet)) for sheet in tally_reads.closed_sheets(job)[:10]],
        areas=Area.objects.filter(job=job, withdrawn=False).order_by("name").values_list("name", flat=True),
        bags=Bag.objects.filter(job=job, withdrawn=False).order_by("code").values_list("code", flat=True),
    )
    return render(request, "pieces/tally.html", page)


def sheet(request: HttpRequest, job_id: int, sheet_id: int) -> HttpResponse:
    """Show a sheet; as a plain form it takes one press after the other."""
    job = job_by_id(job_id)
    one = tally_reads.sheet_by_id(job, sheet_id)
    form = PressForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        press = tally.Pressed(request.POST.get("once") or uuid.uuid4().hex, form.cleaned_data["typed"])
        with kept(form):
            for refused in tally.press(sheet=one, presses=[press], hand=hand(request)):
                form.add_error("typed", refused.why)
        if form.is_valid():
            return redirect("tally_sheet", job.pk, one.pk)
    page = job_page(
        job, here="strip", title=f"Tally: {tally_reads.marks_of(one)}", form=form, sheet=one, **_shown(one)
    )
    if one.closed_at is not None:
        page["lots"] = tally_reads.lots_of(one)
    return render(request, "pieces/tally_sheet.html", page)


@require_POST
def presses(request: HttpRequest, job_id: int, sheet_id: int) -> JsonResponse:
    """Take what the page has in its queue, in order; say what was taken, and show the sheet anew."""
    job = job_by_id(job_id)
    one = tally_reads.sheet_by_id(job, sheet_id)
    who = hand(request).who
    try:
        items = _items(request)
        refused = _take(one, items, who)
    except Conflict as error:
        return JsonResponse({"why": str(error)}, status=409)
    except InvalidInput as error:
        return JsonResponse({"why": str(error)}, status=400)
    page = {"job": job, "sheet": one, **_shown(one)}
    shown = render_to_string("pieces/tally_sheet.html#state", page, request=request)
    return JsonResponse({"taken": [item["token"] for item in items], "refused": refused, "shown": shown})


@require_POST
def answer(request: HttpRequest, job_id: int, sheet_id: int) -> HttpResponse:
    """Answer the question about one press."""
    one = tally_reads.sheet_by_id(job_by_id(job_id), sheet_id)
    token, chosen = request.POST.get("press", ""), request.POST.get("length_mm", "")
    if chosen:
        tally.answer(sheet=one, token=token, length_mm=_number(chosen), hand=hand(request))
    else:
        tally.take_back_press(sheet=one, token=token, hand=hand(request))
    return redirect("tally_sheet", job_id, one.pk)


@require_POST
def close(request: HttpRequest, job_id: int, sheet_id: int) -> HttpResponse:
    """Close a sheet into lots."""
    one = tally_reads.sheet_by_id(job_by_id(job_id), sheet_id)
    lots = tally.close_sheet(sheet=one, hand=hand(request))
    messages.success(request, f"Closed: {len(lots)} lot{'s' if len(lots) > 1 else ''} made of it.")
    return redirect("tally_sheet", job_id, one.pk)


@require_POST
def throw_away(request: HttpRequest, job_id: int, sheet_id: int) -> HttpResponse:
    """Throw a sheet away; the history can bring it back."""
    tally.throw_away_sheet(sheet=tally_reads.sheet_by_id(job_by_id(job_id), sheet_id), hand=hand(request))
    messages.success(request, "Thrown away. The history can bring it back.")
    return redirect("tally", job_id)


def _shown(sheet: TallySheet) -> dict[str, Any]:
    state = tally_reads.state_of(sheet)
    return {"state": state, "words": tally_reads.label_of(sheet, state.total)}


def _last_marks(job: Job) -> dict[str, object]:
    last = TallySheet.objects.filter(job=job).select_related("area", "bag").order_by("-pk").first()
    if last is None:
        return {"origin": subject_engine(job)}
    thread = " / ".join(end.split("|")[0] for end in (last.end_a, last.end_b) if end) or last.size_said
    return {
        "kind": last.kind,
        "thread": "" if "|" in last.end_a + last.end_b else thread,
        "finish_look": last.finish_look,
        "unit": last.unit,
        "area": last.area.name if last.area else "",
        "bag": last.bag.code if last.bag else "",
        "origin": last.origin_id,
    }


def _items(request: HttpRequest) -> list[dict[str, str]]:
    """Return the queue as it was sent: presses, answers and presses to take back, each with its token."""
    try:
        sent = json.loads(request.body)["items"]
        items = [{str(name): str(value) for name, value in item.items()} for item in sent]
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise InvalidInput("presses", needs="a list of presses", came="something else") from error
    if len(items) > tally.MOST_PRESSES_AT_ONCE or not all("token" in item for item in items):
        raise InvalidInput(
            "presses", needs=f"at most {tally.MOST_PRESSES_AT_ONCE}, each with a token", came=len(items)
        )
    return items


def _take(sheet: TallySheet, items: list[dict[str, str]], who: str) -> list[dict[str, str]]:
    refused: list[dict[str, str]] = []
    waiting: list[tally.Pressed] = []
    for item in items:
        if "typed" in item:
            waiting.append(tally.Pressed(item["token"], item["typed"]))
            continue
        refused += _press(sheet, waiting, who)
        waiting = []
        refused += _act(sheet, item, who)
    return refused + _press(sheet, waiting, who)


def _press(sheet: TallySheet, waiting: list[tally.Pressed], who: str) -> list[dict[str, str]]:
    if not waiting:
        return []
    refused = tally.press(sheet=sheet, presses=waiting, hand=Hand(who=who))
    return [{"token": one.token, "typed": one.typed, "why": one.why} for one in refused]


def _act(sheet: TallySheet, item: dict[str, str], who: str) -> list[dict[str, str]]:
    """Answer or take back one press; a second sending of it changes nothing."""
    its_hand = Hand(who=who, token=item["token"])
    try:
        if item.get("length_mm"):
            tally.answer(
                sheet=sheet, token=item["press"], length_mm=_number(item["length_mm"]), hand=its_hand
            )
        elif "press" in item:
            tally.take_back_press(sheet=sheet, token=item["press"], hand=its_hand)
    except AlreadyDone:
        return []
    except RunningFitError as error:
        return [{"token": item["token"], "typed": "", "why": str(error)}]
    return []


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError as error:
        raise InvalidInput("length", needs="a number of millimetres", came=text[:40]) from error
