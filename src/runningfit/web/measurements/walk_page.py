"""What the walk over a set shows: the next point in words and drawn, every point with what stands there."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.utils import timezone
from django.utils.safestring import SafeString

from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint
from runningfit.web.addresses import address
from runningfit.web.measurements.point_drawing import point_drawing
from runningfit.web.measurements.read_with import ReadWith, read_with
from runningfit.web.measurements.values_said import (
    limit_words,
    read_by,
    stands,
    stands_in_words,
)
from runningfit.workshop.measurements.doubtful import Doubtful, cautions_of_gauge, doubtful_of
from runningfit.workshop.measurements.gauges import calibrations_of
from runningfit.workshop.measurements.models import Feature, FeatureSet
from runningfit.workshop.measurements.queries import (
    FeatureState,
    SetState,
    last_round,
    set_state,
    set_states,
    sets_of_job,
)
from runningfit.workshop.records.models import Job


@dataclass(frozen=True, slots=True)
class Place:
    """One point of one feature."""

    feature: Feature
    point: SheetPoint

    @property
    def at(self) -> str:
        """How it stands in an address."""
        return f"{self.feature.pk}:{self.point.key}"


def round_of(request: HttpRequest, one: FeatureSet) -> int:
    """Return which round is asked for; the one that begins next may be asked for too."""
    asked = request.POST.get("round") or request.GET.get("round") or ""
    latest = last_round(one)
    return min(int(asked[:4]), latest + 1) if asked.isdecimal() else latest


def places_of(state: SetState) -> list[Place]:
    """Return all points of a set in the order of reading."""
    return [Place(one.feature, point) for one in state.features for point in state.points]


def next_unread(state: SetState, after: str = "") -> Place | None:
    """Return the first point behind another that is not read, from the start again at the end."""
    places = places_of(state)
    start = next((index + 1 for index, one in enumerate(places) if one.at == after), 0)
    read = {
        f"{one.feature.pk}:{key}" for one in state.features for key, point in one.points.items() if point.rows
    }
    return next((one for one in places[start:] + places[:start] if one.at not in read), None)


def walk_page(request: HttpRequest, job: Job, one: FeatureSet, at: str = "") -> dict[str, Any]:
    """Return what the page of a set shows, at the point asked for or the next that is not read."""
    round = round_of(request, one)
    state = set_state(one, round)
    places = places_of(state)
    asked = at or request.GET.get("at", "")
    now = next((place for place in places if place.at == asked), None) or next_unread(state)
    with_ = read_with(request, one)
    rounds = max(last_round(one), round)
    page = {
        "set": one,
        "round": round,
        "rounds": [(number, round_words(number)) for number in range(rounds + 1)] if rounds else [],
        "with": with_,
        "now": now,
        "title": one.name,
        **state_page(job, state, with_, now),
    }
    if now is not None:
        page["now_name"] = now.feature.called
        page["back"] = _back(job, one, places, now, round)
        point = next(s for s in state.features if s.feature.pk == now.feature.pk).points[now.point.key]
        page["stands"] = stands_in_words(point, state.kind, with_.unit)
        page["read_by"] = read_by(point.rows[-1]) if point.rows else ""
    if state.points:
        key = now.point.key if now else ""
        page["drawing"] = point_drawing(state.kind, state.points, key, "where to measure, drawn")
    return page


def state_page(job: Job, state: SetState, with_: ReadWith, now: Place | None = None) -> dict[str, Any]:
    """Return what the part of the page shows that follows every reading."""
    one = state.feature_set
    unit = with_.unit if with_.unit in ("mm", "in") else "mm"
    doubts = doubtful_of(state, unit=unit)
    checks = calibrations_of([one.instrument])[one.instrument.pk] if one.instrument else []
    return {
        "state": state,
        "points": _points_table(job, state, with_.unit, now, doubts),
        "doubts": [(one.feature.called, _words_of(state, one.point), one.why) for one in doubts],
        "cautions": cautions_of_gauge(state, checks, timezone.localdate()),
        "limits": [(limit, limit_words(limit, one, with_.unit)) for limit in state.limits],
        "go_on": go_on(job, besides=one.pk) if state.read_count == state.point_count else None,
    }


def go_on(job: Job, besides: int = 0) -> FeatureSet | None:
    """Return the next set of a job's sheet with a point that is not read."""
    sets = [one for one in sets_of_job(job) if one.pk != besides]
    return next((one.feature_set for one in set_states(sets) if one.next_point is not None), None)


def round_words(number: int) -> str:
    """Say which round of readings it is."""
    return "as found" if number == 0 else f"after machining{f', round {number}' if number > 1 else ''}"


def walk_url(job_id: int, set_id: int, at: str, round: int) -> str:
    """Return the address of a point."""
    asked = {"at": at, **({"round": str(round)} if round else {})}
    return f"{address('feature_set', job_id, set_id)}?{urlencode(asked, safe=':@')}"


def _back(job: Job, one: FeatureSet, places: list[Place], now: Place, round: int) -> str:
    index = places.index(now)
    return walk_url(job.pk, one.pk, places[index - 1].at, round) if index else ""


def _words_of(state: SetState, key: str) -> str:
    return next((point.said for point in state.points if point.key == key), "")


def _points_table(
    job: Job, state: SetState, unit: str, now: Place | None, doubts: tuple[Doubtful, ...]
) -> SafeString:
    """Draw every point with what stands there, a body for each feature; a tap goes there."""
    rows = _rows(state)
    odd = {(one.feature.pk, one.point) for one in doubts}
    head = _head(state)
    bodies = [_body(job, state, one, rows, unit, now.at if now else "", odd) for one in state.features]
    return SafeString(
        f'<div class="scroll"><table class="points"><caption>{state.read_count} of {state.point_count} read'
        f"</caption>{head}{''.join(bodies)}</table></div>"
    )


def _rows(state: SetState) -> list[tuple[str, list[SheetPoint]]]:
    """The points row by row: of a round thing depth by depth, of a face as its grid lies."""
    if state.kind.is_round:
        return [
            (f"{depth:g} mm", list(points))
            for depth, points in groupby(state.points, key=lambda point: point.depth_mm)
        ]
    if state.kind is FeatureKind.FACE:
        return [
            (next(iter(points)).key[0], [point for point in state.points if point.y_mm == y])
            for y, points in groupby(state.points, key=lambda point: point.y_mm)
        ]
    return [(point.said, [point]) for point in state.points]


def _head(state: SetState) -> str:
    if state.kind.is_round:
        heads = [f"{angle:g}°" for angle in dict.fromkeys(point.angle_deg for point in state.points)]
    elif state.kind is FeatureKind.FACE:
        heads = [
            f"{number + 1}" for number in range(len(dict.fromkeys(point.x_mm for point in state.points)))
        ]
    else:
        return ""
    cells = "".join(f'<th scope="col" class="num">{escape(head)}</th>' for head in heads)
    return f"<thead><tr><td></td>{cells}</tr></thead>"


def _body(
    job: Job,
    state: SetState,
    one: FeatureState,
    rows: list[tuple[str, list[SheetPoint]]],
    unit: str,
    now: str,
    odd: set[tuple[int, str]],
) -> str:
    name = escape(one.feature.called)
    if len(rows) == 1 and not rows[0][0]:
        cells = _cell(job, state, one, rows[0][1][0], unit, now, odd)
        return f'<tbody><tr><th scope="row">{name}</th>{cells}</tr></tbody>'
    width = max(len(points) for _name, points in rows) + 1
    lines = "".join(
        f'<tr><th scope="row">{escape(head)}</th>'
        + "".join(_cell(job, state, one, point, unit, now, odd) for point in points)
        + "</tr>"
        for head, points in rows
    )
    count = f"{one.read_count} of {len(state.points)}"
    return (
        f'<tbody><tr class="part"><th colspan="{width}" scope="rowgroup">{name} '
        f'<span class="soft">{count}</span></th></tr>{lines}</tbody>'
    )


def _cell(
    job: Job,
    state: SetState,
    one: FeatureState,
    point: SheetPoint,
    unit: str,
    now: str,
    odd: set[tuple[int, str]],
) -> str:
    standing = one.points[point.key]
    at = f"{one.feature.pk}:{point.key}"
    shown = stands(standing, state.kind, unit)
    name = one.feature.called
    where = ", ".join(words for words in (name, point.said) if words)
    if shown is None:
        inside = f'<span aria-hidden="true">·</span><span class="unseen">{escape(where)}: not read</span>'
    else:
        value = shown.said.removesuffix(f" {unit}")
        other = f"<small>{escape(shown.other)}</small>" if shown.other else ""
        inside = f'<span class="unseen">{escape(where)}: </span>{escape(value)}{other}'
        inside += f"<small>mean of {len(standing.rows)}</small>" if len(standing.rows) > 1 else ""
    marks = " read" if shown else ""
    marks += " odd" if (one.feature.pk, point.key) in odd else ""
    current = ' aria-current="true"' if at == now else ""
    words = stands_in_words(standing, state.kind, unit)
    url = walk_url(job.pk, state.feature_set.pk, at, state.round)
    return (
        f'<td><a class="pt{marks}" href="{escape(url)}"{current} data-feature="{one.feature.pk}" '
        f'data-point="{escape(point.key)}" data-name="{escape(name)}" data-said="{escape(point.said)}" '
        f'data-stands="{escape(words)}">{inside}</a></td>'
    )
