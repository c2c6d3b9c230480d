"""The walk over a set: readings one by one as a plain form, or from the page's queue as a gauge types."""

from __future__ import annotations

import json
import uuid
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from runningfit.core.errors import Conflict, InvalidInput, NothingChanged
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.shown_values import shown_value
from runningfit.web.hands import hand, kept
from runningfit.web.measurements.read_with import ReadWith, read_with, remember, unit_words, units_for
from runningfit.web.measurements.sheet_forms import ReadWithForm
from runningfit.web.measurements.values_said import instead_typed
from runningfit.web.measurements.walk_page import (
    next_unread,
    round_of,
    state_page,
    walk_page,
    walk_url,
)
from runningfit.web.records.views import job_page
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.models import FeatureSet, Instrument
from runningfit.workshop.measurements.queries import set_by_id, set_state
from runningfit.workshop.measurements.taking import (
    LONGEST_TYPED,
    MOST_READINGS_AT_ONCE,
    Answered,
    Taken,
    take_readings,
)
from runningfit.workshop.measurements.typed import typed_number
from runningfit.workshop.records.queries import job_by_id
from runningfit.workshop.records.writing import Hand

# By what readings of a queue belong together: all that was chosen once when they were typed.
_CHOSEN = ("gauge", "unit", "setat", "temperature", "round")


class ReadingForm(forms.Form):
    """One reading; what is left empty takes nothing."""

    typed = forms.CharField(
        label="Reading",
        max_length=LONGEST_TYPED,
        required=False,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "inputmode": "decimal", "enterkeyhint": "next", "autofocus": True}
        ),
    )


def walk(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Show what to measure next; as a plain form it takes one reading after the other."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    form = ReadingForm(request.POST or None)
    at, asked = "", None
    if request.method == "POST" and form.is_valid():
        at = f"{request.POST.get('feature', '')}:{request.POST.get('point', '')}"
        _read_in(request, one, request.POST.get("read_in", ""))
        with_ = read_with(request, one)
        with kept(form):
            taken = _of_form(request, form.cleaned_data["typed"])
            asked = take_readings(
                feature_set=one,
                readings=[taken],
                hand=hand(request),
                temperature_c=with_.temperature_c,
                unit=with_.unit,
                round=round_of(request, one),
            )[0]
            if asked.kept:
                return redirect(_after(request, one, at))
            if asked.value is None:
                form.add_error("typed", asked.why)
    page = job_page(job, here="measure", form=form, **walk_page(request, job, one, at))
    page["with_form"] = _with_form(one, page["with"])
    if asked is not None and asked.value is not None and not asked.kept:
        page["asked"] = _said(asked, form.cleaned_data["typed"], one, page["with"])
    return render(request, "measurements/walk.html", page, status=400 if form.errors else 200)


@require_POST
def readings(request: HttpRequest, job_id: int, set_id: int) -> JsonResponse:
    """Take what the page has in its queue, in order; say what became of each, and show the sheet anew."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    try:
        items = _items(request)
        _read_in(request, one, items[-1]["read_in"] if items else "")
        answers = _take(one, items, Hand(who=hand(request).who))
    except Conflict as error:
        return JsonResponse({"why": str(error)}, status=409)
    except InvalidInput as error:
        return JsonResponse({"why": str(error)}, status=400)
    with_ = read_with(request, one)
    round = items[-1]["round"] if items else ""
    state = set_state(one, int(round) if round.isdecimal() else 0)
    page = {"job": job, "set": one, **state_page(job, state, with_)}
    shown = render_to_string("measurements/walk.html#state", page, request=request)
    typed = {item["token"]: item for item in items}
    said = [
        _said(
            answer,
            typed[answer.token]["typed"],
            one,
            with_ if answer.instead is None else _chosen(typed[answer.token]),
        )
        for answer in answers
    ]
    return JsonResponse({"answers": said, "shown": shown})


@require_POST
def choose_gauge(request: HttpRequest, job_id: int, set_id: int) -> HttpResponse:
    """Choose with what the set is read from now on."""
    job = job_by_id(job_id)
    one = set_by_id(job, set_id)
    form = ReadWithForm(one, request.POST)
    if form.is_valid():
        values = form.cleaned_data
        with kept(form):
            set_at = typed_number(
                "set_at", values.get("set_at", ""), unit=values["unit"], kind=FeatureKind.LENGTH
            )
            _use(request, one, values["instrument"], set_at)
        if form.is_valid():
            remember(request, one, unit=values["unit"], temperature=values["temperature"])
            return redirect("feature_set", job.pk, one.pk)
    page = job_page(job, here="measure", form=ReadingForm(), **walk_page(request, job, one), with_form=form)
    return render(request, "measurements/walk.html", page, status=400)


def _read_in(request: HttpRequest, one: FeatureSet, unit: str) -> None:
    """Read the whole sheet in another unit from now on, where a person said so of what was typed."""
    if unit in units_for(one):
        remember(request, one, unit=unit, temperature=read_with(request, one).temperature)


def _use(request: HttpRequest, one: FeatureSet, instrument: Instrument | None, set_at: Any) -> None:
    same = one.instrument_id == (instrument.pk if instrument else None)
    if same and one.set_at_mm == (set_at.value if set_at else None):
        return
    try:
        changed = sets.use_gauge(feature_set=one, instrument=instrument, set_at=set_at, hand=hand(request))
    except NothingChanged:
        return
    one.instrument, one.set_at_mm = changed.instrument, changed.set_at_mm


def _with_form(one: FeatureSet, with_: ReadWith) -> ReadWithForm:
    return ReadWithForm(one, initial=with_.initial)


def _of_form(request: HttpRequest, typed: str) -> Taken:
    feature = request.POST.get("feature", "")
    return Taken(
        token=request.POST.get("once") or uuid.uuid4().hex,
        feature=int(feature) if feature.isdecimal() else 0,
        point=request.POST.get("point", ""),
        typed=typed,
        kind="struck" if "strike" in request.POST else request.POST.get("kind") or "reading",
        surely=request.POST.get("surely", ""),
    )


def _after(request: HttpRequest, one: FeatureSet, at: str) -> str:
    """The address of the next point that is not read; of the sheet of the set where all are."""
    round = round_of(request, one)
    place = next_unread(set_state(one, round), after=at)
    return walk_url(one.job_id, one.pk, place.at if place else "", round)


def _items(request: HttpRequest) -> list[dict[str, str]]:
    try:
        sent = json.loads(request.body)["items"]
        items = [{str(name): str(value) for name, value in item.items()} for item in sent]
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise InvalidInput("readings", needs="a list of readings", came="something else") from error
    if len(items) > MOST_READINGS_AT_ONCE or not all(item.get("token") for item in items):
        raise InvalidInput(
            "readings", needs=f"at most {MOST_READINGS_AT_ONCE}, each with a token", came=len(items)
        )
    names = ("feature", "point", "typed", "kind", "surely", "read_in", *_CHOSEN)
    return [{"token": item["token"], **{name: item.get(name, "") for name in names}} for item in items]


def _take(one: FeatureSet, items: Sequence[dict[str, str]], its_hand: Hand) -> list[Answered]:
    """Take readings in their order; those that were typed with the same gauge, unit and warmth together."""
    answers: list[Answered] = []
    for _chosen_once, group in groupby(items, key=lambda item: tuple(item[name] for name in _CHOSEN)):
        together = list(group)
        try:
            answers += _take_alike(one, together, its_hand)
        except InvalidInput as error:
            answers += [Answered(item["token"], kept=False, why=str(error)) for item in together]
    return answers


def _take_alike(one: FeatureSet, items: Sequence[dict[str, str]], its_hand: Hand) -> list[Answered]:
    first = items[0]
    chosen = _chosen(first)
    return take_readings(
        feature_set=one,
        readings=[
            Taken(
                token=item["token"],
                feature=int(item["feature"]) if item["feature"].isdecimal() else 0,
                point=item["point"],
                typed=item["typed"],
                kind=item["kind"] or "reading",
                surely=item["surely"],
            )
            for item in items
        ],
        hand=its_hand,
        instrument=chosen.instrument,
        temperature_c=chosen.temperature_c,
        unit=chosen.unit,
        round=int(first["round"]) if first["round"].isdecimal() else 0,
        set_at_mm=chosen.set_at_mm,
    )


def _chosen(item: dict[str, str]) -> ReadWith:
    """With what a reading of the queue was taken, as the page stood when it was typed."""
    gauge = item["gauge"]
    instrument = Instrument.objects.filter(pk=int(gauge)).first() if gauge.isdecimal() else None
    return ReadWith(
        instrument=instrument,
        unit=item["unit"],
        set_at_mm=_figure("setting of the gauge", item["setat"]),
        set_at="",
        temperature=item["temperature"] if _figure("temperature", item["temperature"]) is not None else "",
    )


def _figure(name: str, text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError as error:
        raise InvalidInput(name, needs="a number", came=text[:20]) from error


def _said(answer: Answered, typed: str, one: FeatureSet, with_: ReadWith) -> dict[str, Any]:
    """An answer as the page shows it: what stands, what is asked with what it may mean, or why not."""
    kind = FeatureKind(one.kind)
    said: dict[str, Any] = {
        "token": answer.token,
        "typed": typed,
        "kept": answer.kept,
        "why": answer.why,
        "asked": answer.value is not None and not answer.kept,
    }
    if answer.instead is not None:
        said["instead_typed"] = instead_typed(answer.instead, kind, with_.unit, with_.set_at_mm)
        said["instead_said"] = shown_value(answer.instead, kind.quantity, unit=with_.unit).said
    if answer.typed_in:
        said["typed_in"] = answer.typed_in
        said["typed_in_said"] = unit_words(answer.typed_in)
    return said
