"""What readings come to: each feature of a sheet against its limits, each set by its worst, a whole job."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import inf, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.shown_values import UNITS_OF
from runningfit.core.measurements.uncertainty.shared import u_of_sum
from runningfit.core.verdicts import Caution, Outcome
from runningfit.workshop.measurements.corrected import (
    CorrectedFeature,
    CorrectedPoint,
    CorrectedSet,
    corrected,
)
from runningfit.workshop.measurements.gauge_spans import why_not_spanned
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.held_limits import (
    NEW,
    WEAR,
    Held,
    LimitGroup,
    Value,
    hold,
    limit_groups,
    why_not,
)
from runningfit.workshop.measurements.judged_kinds import Found, already_outside, found_of
from runningfit.workshop.measurements.judged_together import Together, together
from runningfit.workshop.measurements.models import Feature, FeatureSet
from runningfit.workshop.measurements.queries import SetState, last_round, set_states, sets_of_job
from runningfit.workshop.measurements.sheet_now import SheetNow, sheet_of
from runningfit.workshop.records.models import Job


class Answer(StrEnum):
    """What a feature or a set comes to, the worst first."""

    NOT_SOUND = "not_sound"
    NOT_PROVEN = "not_proven"
    CANNOT_TELL = "cannot_tell"
    NOTHING_TO_COMPARE = "nothing_to_compare"
    SOUND = "sound"
    NOT_READ = "not_read"


_WORST_FIRST = list(Answer)
_OF_OUTCOME = {
    Outcome.SOUND: Answer.SOUND,
    Outcome.NOT_SOUND: Answer.NOT_SOUND,
    Outcome.NOT_PROVEN: Answer.NOT_PROVEN,
}
# Which gauges read a kind of feature; of all others any of its quantity may.
_GAUGES_FOR = {
    FeatureKind.BORE: ("bore_gauge", "inside_micrometer", "small_bore_gauge"),
    FeatureKind.SHAFT: ("micrometer",),
    FeatureKind.RUNOUT: ("indicator",),
    FeatureKind.GAP: ("feeler", "indicator", "plastic_strip"),
    FeatureKind.FACE: ("feeler", "indicator", "depth_gauge"),
}


@dataclass(frozen=True, slots=True)
class JudgedFeature:
    """One feature: what it comes to, by which limits first, and what is missing where nobody can tell.

    ``decided_by`` is the first of ``held``, unless the answer is another for what ``why`` says.
    """

    feature: Feature
    points: dict[str, CorrectedPoint]
    of: int
    answer: Answer
    found: Found
    why: str = ""

    @property
    def decided_by(self) -> Held | None:
        """What decides: the limits that count first for it."""
        return self.found.held[0] if self.found.held else None


@dataclass(frozen=True, slots=True)
class JudgedSet:
    """A set by its features; ``spread`` is how far they differ, held against what may be.

    ``together`` is how probably all of them keep the limits that decide, at once.
    """

    corrected: CorrectedSet
    groups: tuple[LimitGroup, ...]
    features: tuple[JudgedFeature, ...]
    spread: tuple[Held, ...]
    spread_why: str
    answer: Answer
    together: Together | None = None

    @property
    def state(self) -> SetState:
        """The set as it was read."""
        return self.corrected.state

    @property
    def feature_set(self) -> FeatureSet:
        """The set itself."""
        return self.corrected.state.feature_set

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to mind of its gauges and temperatures."""
        return self.corrected.cautions

    @property
    def needs_a_person(self) -> bool:
        """Whether it is not sound, or not proven."""
        return self.answer in (Answer.NOT_SOUND, Answer.NOT_PROVEN)

    def counted(self) -> dict[Answer, list[Feature]]:
        """Return its features by what they come to, the worst first."""
        found: dict[Answer, list[Feature]] = {}
        for answer in _WORST_FIRST:
            there = [one.feature for one in self.features if one.answer is answer]
            if there:
                found[answer] = there
        return found


def judged_of_job(job: Job, round: int | None = None) -> list[JudgedSet]:
    """Return all sets of a job's sheet, judged; each in the round that was read last, or all in one.

    Takes seven questions to the database, three more for each further round; none where nothing in it
    changed since.
    """
    if round is None:
        return judged_of_sheet(sheet_of(job))
    sets = sets_of_job(job)
    return judged(corrected(set_states(sets, round), Cupboard.of_the_shop()), _bore_mm(sets)) if sets else []


def judged_of_sheet(sheet: SheetNow) -> list[JudgedSet]:
    """Return all sets of a sheet, judged, each in the round that was read last."""
    return sheet.once(_judged_now)


def _judged_now(sheet: SheetNow) -> list[JudgedSet]:
    if not sheet.sets:
        return []
    last = [sheet.corrected(sheet.rounds[one.pk][-1])[one.pk] for one in sheet.sets]
    return judged(last, _bore_mm(sheet.sets))


def judged_set(
    feature_set: FeatureSet, round: int | None = None, cupboard: Cupboard | None = None
) -> JudgedSet:
    """Return one set, judged; in the round that was read last where none is said."""
    number = last_round(feature_set) if round is None else round
    bores: Iterable[FeatureSet] = ()
    if feature_set.purpose == "ring_gaps":
        bores = FeatureSet.objects.filter(job=feature_set.job_id, purpose="bores", withdrawn=False)
    states = set_states([feature_set], number)
    return judged(corrected(states, cupboard or Cupboard.of_the_shop()), _bore_mm(bores))[0]


def judged(sets: Sequence[CorrectedSet], bore_mm: float | None = None) -> list[JudgedSet]:
    """Return sets, judged.

    Parameters
    ----------
    bore_mm : float or None
        The size of the bores that rings run in.
    """
    return [_judged_one(one, limit_groups(one.state, bore_mm)) for one in sets]


def gauges_good_enough(
    kind: FeatureKind,
    gauge_u: float,
    cupboard: Cupboard,
    day: dt.date,
    *,
    besides: int | None,
    size_mm: float | None = None,
) -> list[str]:
    """Return which gauges of the shop, as they stand on a day, read such features surely enough.

    Parameters
    ----------
    gauge_u : float
        The largest standard uncertainty that would show it.
    besides : int or None
        The gauge with which it was read.
    size_mm : float or None
        The size that it must span; none where it reads no size, or nobody knows it [mm].
    """
    wanted = _GAUGES_FOR.get(kind)
    found = []
    for one in cupboard.instruments.values():
        if one.withdrawn or one.pk == besides or (wanted and one.kind not in wanted):
            continue
        if one.unit not in UNITS_OF[kind.quantity] or why_not_spanned(one, size_mm):
            continue
        of = cupboard.on(one.pk, day).of_reading
        if sqrt(of.own_u_mm**2 + of.shared_u_mm**2) <= gauge_u:
            found.append(one.name)
    return sorted(found)


def _bore_mm(sets: Iterable[FeatureSet]) -> float | None:
    return next((one.nominal for one in sets if one.purpose == "bores" and one.nominal), None)


def _judged_one(one: CorrectedSet, groups: tuple[LimitGroup, ...]) -> JudgedSet:
    features = tuple(_judged_feature(one, feature, groups) for feature in one.features)
    spread, why = _spread(one, groups)
    answers = {each.answer for each in features}
    answers |= {_OF_OUTCOME[held.verdict.outcome] for held in spread[:1]}
    if answers & {Answer.NOT_READ} and answers != {Answer.NOT_READ}:
        # Where some are read, those that are not leave the set open.
        answers = answers - {Answer.NOT_READ} | {Answer.CANNOT_TELL}
    if spread and answers >= {Answer.NOTHING_TO_COMPARE}:
        answers -= {Answer.NOTHING_TO_COMPARE}
    answer = min(answers, key=_WORST_FIRST.index, default=Answer.NOT_READ)
    decided = [(feature, by.decided_by) for feature, by in zip(one.features, features, strict=True)]
    at_once = together(one.state.kind, one.state.points, decided)
    return JudgedSet(one, groups, features, spread, why, answer, at_once)


def _judged_feature(
    one: CorrectedSet, feature: CorrectedFeature, groups: tuple[LimitGroup, ...]
) -> JudgedFeature:
    kind, every = one.state.kind, one.state.points
    points = [point for point in every if point.key in feature.points]
    of = len(every)

    def judged_as(answer: Answer, found: Found | None = None, why: str = "") -> JudgedFeature:
        return JudgedFeature(feature.feature, feature.points, of, answer, found or Found(), why)

    if not points:
        return judged_as(Answer.NOT_READ)
    if len(points) < of:
        already = already_outside(kind, points, feature, groups)
        said = f"Cannot tell yet: {len(points)} of {of} points read."
        if already and already[0].group == next((each for each in groups if each.of("size")), None):
            answer, why = _answer_by(already[0], one.state.round)
            if answer is Answer.NOT_SOUND:
                why = f"{len(points)} of {of} points read; one of them alone shows it."
                return judged_as(answer, Found(held=already), why)
        return judged_as(Answer.CANNOT_TELL, None, said)
    try:
        found = found_of(kind, points, feature, groups)
    except InvalidInput as error:
        return judged_as(Answer.CANNOT_TELL, None, f"Cannot tell: {why_not(error)}")
    if not found.held:
        return judged_as(Answer.NOTHING_TO_COMPARE, found)
    answer, why = _answer_by(found.held[0], one.state.round)
    return judged_as(answer, found, why)


def _answer_by(held: Held, round: int) -> tuple[Answer, str]:
    """Return what limits come to, and why it is not what they say by themselves.

    Limits for new parts are no wear limits: what is worn beyond them may still run, and what was machined
    must keep them.
    """
    outcome, group = held.verdict.outcome, held.group
    if group.borrowed:
        return (
            Answer.NOT_PROVEN,
            "Only other makers' figures or common practice are known.",
        )
    if group.state == NEW and not round and outcome is Outcome.NOT_SOUND:
        return Answer.NOT_PROVEN, (
            "It is beyond the limits for new parts. Whether it may run on, the wear limit tells: type it."
        )
    if group.state == WEAR and round and outcome is Outcome.SOUND:
        return Answer.NOT_PROVEN, (
            "It keeps the wear limit. Machined parts must keep the limits for new parts, not typed yet."
        )
    return _OF_OUTCOME[outcome], ""


def _spread(one: CorrectedSet, groups: tuple[LimitGroup, ...]) -> tuple[tuple[Held, ...], str]:
    """Hold the difference between the largest and the smallest of a set against what may be.

    Of each feature the mean of its points counts; what their gauge errs by in both cancels.
    """
    wanted = [group for group in groups if group.of("spread")]
    if not wanted:
        return (), ""
    read = [each for each in one.features if len(each.points) == len(one.state.points)]
    if len(read) < max(2, len(one.features)):
        return (), f"The difference among them: cannot tell yet, {len(read)} of {len(one.features)} read."
    means = {each.feature.pk: _mean(each) for each in read}
    most = max(read, key=lambda each: means[each.feature.pk])
    least = min(read, key=lambda each: means[each.feature.pk])
    parts = [(1.0, most), (-1.0, least)]
    own_u = sqrt(sum(p.own_u**2 / len(each.points) ** 2 for _, each in parts for p in each.points.values()))
    shared = u_of_sum(
        (sign / len(each.points), p.shared) for sign, each in parts for p in each.points.values()
    )
    said = f"difference of {most.feature.name} and {least.feature.name}"
    value = Value(said, means[most.feature.pk] - means[least.feature.pk], own_u, inf, shared)
    unit = one.state.kind.quantity.unit
    return tuple(hold(group, [(value, each) for each in group.of("spread")], unit) for group in wanted), ""


def _mean(one: CorrectedFeature) -> float:
    return sum(point.value for point in one.points.values()) / len(one.points)
