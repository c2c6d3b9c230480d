"""What the page of results shows: each feature drawn and said, what would prove it, its past where asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.safestring import SafeString

from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint
from runningfit.core.measurements.sheets.shown_values import shown_value
from runningfit.core.units import LengthUnit
from runningfit.core.verdicts import Caution, Reason
from runningfit.web.addresses import address
from runningfit.web.measurements.result_charts import grid, load_line, on_a_line, turn
from runningfit.web.measurements.result_forms import PitsForm
from runningfit.web.measurements.result_rings import DrawnLimit, profile, ring, scale_of, shown_limits
from runningfit.web.measurements.result_saying import (
    ANSWER_STAMPS,
    ANSWER_WORDS,
    SURE,
    FigureSaid,
    HeldSaid,
    brief_of,
    figure_said,
    held_said,
    proof_said,
    together_said,
    unit_of,
)
from runningfit.web.measurements.walk_page import round_of, round_words, walk_url
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.held_limits import LimitGroup
from runningfit.workshop.measurements.judging import (
    Answer,
    JudgedFeature,
    JudgedSet,
    gauges_good_enough,
    judged_set,
)
from runningfit.workshop.measurements.models import Feature, FeatureSet, Reading
from runningfit.workshop.measurements.queries import last_round, readings_of_set
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import the_shop
from runningfit.workshop.treatments.machining_choice import MACHINED

_PITTED = (FeatureKind.BORE, FeatureKind.SHAFT, FeatureKind.FACE)


@dataclass(frozen=True, slots=True)
class FeatureShown:
    """One feature as the page shows it."""

    feature: Feature
    name: str
    word: str
    stamp: str
    why: str
    figures: Sequence[FigureSaid]
    held: Sequence[HeldSaid]
    proof: str
    gauges: Sequence[str]
    drawings: Sequence[SafeString]
    caption: str
    again: str
    again_words: str
    brief: str
    open: bool
    pits: str
    form: PitsForm | None
    reasons: Sequence[Reason]
    cautions: Sequence[Caution]


@dataclass(frozen=True, slots=True)
class NextStep:
    """What is best done next with a set: the words of its button, and where it leads."""

    words: str
    url: str


@dataclass(frozen=True, slots=True)
class PastLine:
    """One reading of a feature, whatever became of it."""

    row: Reading
    where: str
    value: str
    state: str


def result_page(
    request: HttpRequest, job: Job, one: FeatureSet, sent: tuple[int, PitsForm] | None = None
) -> dict[str, Any]:
    """Return what the page of results shows; ``sent`` is a form about one feature that was refused."""
    round = min(round_of(request, one), last_round(one))
    cupboard = Cupboard.of_the_shop()
    judged = judged_set(one, round, cupboard)
    unit, length_unit = unit_of(one, the_shop().unit), the_shop().unit
    asked = request.GET.get("past", "")
    past_of = int(asked) if asked.isdecimal() and len(asked) < 12 else 0
    worst_first = sorted(judged.features, key=_how_bad)
    opened = {past_of, sent[0] if sent else 0, *(each.feature.pk for each in worst_first[:1])}
    shown = [
        _shown(job, judged, each, unit, length_unit, cupboard, sent, opened=each.feature.pk in opened)
        for each in worst_first
    ]
    rounds = last_round(one)
    return {
        "set": one,
        "judged": judged,
        "round": round,
        "rounds": [(number, round_words(number)) for number in range(rounds + 1)] if rounds else [],
        "title": f"{one.name}: result",
        "word": ANSWER_WORDS[judged.answer],
        "stamp": ANSWER_STAMPS[judged.answer],
        "counted": [
            (ANSWER_WORDS[answer], ANSWER_STAMPS[answer], [(f.pk, f.name) for f in features])
            for answer, features in judged.counted().items()
        ],
        "shown": shown,
        "together": together_said(judged.together) if judged.together else "",
        "spread": [
            (
                held_said(held, one, unit, length_unit),
                held.verdict.in_unit(LengthUnit(length_unit)).reasons[0],
            )
            for held in judged.spread
        ],
        "limits_known": bool(judged.groups),
        "machinable": judged.state.kind in MACHINED,
        "next_step": _next_step(job, judged, shown),
        "past_of": past_of,
        "past": _past(judged, past_of) if past_of else [],
    }


def _how_bad(one: JudgedFeature) -> tuple[int, float]:
    """Order features the worst first: by what they come to, then by how probably their limits are kept."""
    return list(Answer).index(one.answer), one.decided_by.within if one.decided_by else 1.0


def _next_step(job: Job, judged: JudgedSet, shown: Sequence[FeatureShown]) -> NextStep | None:
    """Return what is best done next: read what is missing, machine what is worn, read again what is open."""
    feature_set, round = judged.feature_set, judged.state.round
    missing = next(
        (one for one in judged.features if one.answer in (Answer.CANNOT_TELL, Answer.NOT_READ)), None
    )
    if missing is not None:
        key, words = _again(judged, missing)
        at = walk_url(job.pk, feature_set.pk, f"{missing.feature.pk}:{key}", round)
        return NextStep(f"{words}: {missing.feature.called}", at)
    if judged.answer is Answer.NOT_SOUND and judged.state.kind in MACHINED:
        return NextStep("Choose the machining", address("set_machining", job.pk, feature_set.pk))
    if judged.needs_a_person and judged.groups and shown:
        return NextStep(f"{shown[0].name}: {shown[0].again_words}", shown[0].again)
    return None


def _shown(
    job: Job,
    judged: JudgedSet,
    one: JudgedFeature,
    unit: str,
    length_unit: str,
    cupboard: Cupboard,
    sent: tuple[int, PitsForm] | None,
    *,
    opened: bool,
) -> FeatureShown:
    kind, feature = judged.state.kind, one.feature
    held = [
        held_said(each, judged.feature_set, unit, length_unit, decides=place == 0)
        for place, each in enumerate(one.found.held)
    ]
    figures = [figure_said(figure, kind, unit, length_unit) for figure in one.found.figures]
    drawings, caption = _drawn(judged, one, unit)
    first = one.decided_by
    proof = first.proof if first else None
    gauges: list[str] = []
    if proof and proof.gauge_u and proof.readings is None:
        besides = judged.feature_set.instrument_id
        day = timezone.localdate()
        size_mm = one.found.figures[0].value if kind.is_size and one.found.figures else None
        gauges = gauges_good_enough(kind, proof.gauge_u, cupboard, day, besides=besides, size_mm=size_mm)
    key, words = _again(judged, one)
    form = None
    if kind in _PITTED:
        typed = {"depth": feature.typed.get("pits", ""), "u": feature.typed.get("u", "")}
        form = PitsForm(initial=typed, unit=length_unit, auto_id=f"id_%s_{feature.pk}")
        form = sent[1] if sent and sent[0] == feature.pk else form
    return FeatureShown(
        feature=feature,
        name=feature.called,
        word=ANSWER_WORDS[one.answer],
        stamp=ANSWER_STAMPS[one.answer],
        why=one.why,
        figures=figures,
        held=held,
        proof=proof_said(proof, kind.quantity, unit) if proof else "",
        gauges=gauges,
        drawings=drawings,
        caption=caption,
        again=walk_url(job.pk, judged.feature_set.pk, f"{feature.pk}:{key}", judged.state.round),
        again_words=words,
        brief=brief_of(held, figures) or one.why,
        open=opened,
        pits=_pits(feature),
        form=form,
        reasons=[
            reason.in_unit(LengthUnit(length_unit))
            for reason in dict.fromkeys(r for each in one.found.held for r in each.verdict.reasons)
        ],
        cautions=[caution.in_unit(LengthUnit(length_unit)) for caution in _cautions(one)],
    )


def _cautions(one: JudgedFeature) -> list[Caution]:
    every = [caution for each in one.found.held for caution in each.verdict.cautions]
    return list(dict.fromkeys([*every, *one.found.cautions]))


def _again(judged: JudgedSet, one: JudgedFeature) -> tuple[str, str]:
    """Return the point that is best read next, and in words why."""
    missing = next((point for point in judged.state.points if point.key not in one.points), None)
    if missing is not None:
        return missing.key, "Read on" if one.points else "Read it"
    if one.found.worst:
        said = next((p.said for p in judged.state.points if p.key == one.found.worst[0]), "")
        return one.found.worst[0], f"Read the worst again: {said}" if said else "Read it again"
    return judged.state.points[0].key, "Read it again"


def _pits(feature: Feature) -> str:
    if feature.pit_mm is None:
        return ""
    if feature.pit_mm == 0:
        return "looked at, none"
    sure = f", sure to {feature.typed['u']}" if feature.typed.get("u") else ""
    return f"{feature.typed.get('pits') or f'{feature.pit_mm:g} mm'} deep{sure}"


def _drawn(judged: JudgedSet, one: JudgedFeature, unit: str) -> tuple[list[SafeString], str]:
    """Draw a feature by its kind, and say what the drawing means."""
    kind = judged.state.kind
    points = [point for point in judged.state.points if point.key in one.points]
    if not points:
        return [], ""
    values = {key: point.value for key, point in one.points.items()}
    worst = one.found.worst

    def say(value: float) -> str:
        return shown_value(value, kind.quantity, unit=unit).said.removesuffix(f" {unit}")

    limits = _sizes(judged.groups)
    if kind.is_round and len(points) > 1:
        scale = scale_of(list(values.values()), limits)
        words = [
            f"What strays from {say(scale.middle)} {unit} is drawn {scale.magnified:,.0f} times as large."
        ]
        words += _legend(shown_limits(limits, scale))
        if scale.left_out:
            words.append("Limits far outside are left out.")
        if kind is FeatureKind.SHAFT:
            drawing = profile(points, values, limits, scale, worst=worst, say=say)
            return [drawing], " ".join(["From its smallest to its largest.", *words])
        sections = [
            ring(list(at), values, limits, scale, worst=worst, say=say)
            for _, at in groupby(points, key=lambda point: point.depth_mm)
        ]
        return sections, " ".join(words)
    if kind is FeatureKind.FACE:
        return [grid(points, values, worst=worst, say=say)], (
            "Marked are the points that touch the narrowest pair of planes." if worst else ""
        )
    if kind is FeatureKind.LOAD:
        at = [
            (limit.at_mm, limit.bounds.lower, limit.bounds.upper, _style(group))
            for group in judged.groups
            for limit in group.of("size")
        ]
        return [load_line(points, values, at, say=say)], " ".join(
            _legend([DrawnLimit(0.0, style) for *_, style in at])
        )
    if kind is FeatureKind.RUNOUT and len(points) > 1:
        return [turn(points, values, worst=worst, say=say)], "Highest and lowest are marked."
    names = len(points) > 1
    named = [
        (point.said if names else "", values[point.key], SURE * one.points[point.key].whole.u)
        for point in points
    ]
    return [on_a_line(named, limits, say=say)], " ".join(
        ["The stroke is how sure the reading is.", *_legend(limits)]
    )


def _style(group: LimitGroup) -> str:
    return "borrowed" if group.borrowed else group.state


def _sizes(groups: Sequence[LimitGroup]) -> list[DrawnLimit]:
    return [
        DrawnLimit(end, _style(group))
        for group in groups
        for one in group.of("size")
        if one.at_mm is None
        for end in (one.bounds.lower, one.bounds.upper)
        if end is not None
    ]


_LEGEND = {
    "wear": "Heavy: wear limit.",
    "new": "Dashed: limit for new parts.",
    "borrowed": "Dotted: not this engine's.",
}


def _legend(limits: Sequence[DrawnLimit]) -> list[str]:
    return [words for style, words in _LEGEND.items() if any(one.style == style for one in limits)]


def _past(judged: JudgedSet, asked: int) -> list[PastLine]:
    """Return every reading of one feature, point by point, the latest first."""
    feature = next((one for one in judged.features if one.feature.pk == asked), None)
    if feature is None:
        return []
    state = next(one for one in judged.state.features if one.feature.pk == feature.feature.pk)
    counts = {row.pk for point in state.points.values() for row in point.rows}
    rows = [
        row
        for row in readings_of_set(judged.feature_set, judged.state.round)
        if row.feature_id == feature.feature.pk
    ]
    order = {point.key: (number, point) for number, point in enumerate(judged.state.points)}
    rows.sort(key=lambda row: (order[row.point][0] if row.point in order else len(order), -row.pk))
    return [_past_line(row, order, counts) for row in rows]


def _past_line(row: Reading, order: dict[str, tuple[int, SheetPoint]], counts: set[int]) -> PastLine:
    where = order[row.point][1].said if row.point in order else f"{row.point}, no point of the set now"
    if row.kind == "struck":
        return PastLine(row, where, "struck out", "nothing stands")
    typed = row.typed if any(sign.isalpha() for sign in row.typed) else f"{row.typed} {row.unit}"
    if row.set_at_mm is not None:
        typed += f" on {row.set_at_mm:g} mm"
    state = "counts" if row.pk in counts else "gave way"
    return PastLine(row, where, typed, "averaged" if state == "counts" and row.kind == "repeat" else state)
