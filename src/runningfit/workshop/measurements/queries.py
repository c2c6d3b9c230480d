"""Shared reads of the measurements room: a set with its points and what stands at each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from statistics import median

from django.db.models import QuerySet

from runningfit.core.errors import NotFound
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, SheetPoint, points_of
from runningfit.workshop.measurements.models import Feature, FeatureLimit, FeatureSet, Reading
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared


@dataclass(slots=True)
class Standing:
    """What stands at one point of one feature: its readings, averaged where it was read again on purpose.

    ``rows`` are those that count; ``superseded`` how many earlier ones gave way.
    """

    rows: list[Reading] = field(default_factory=list)
    superseded: int = 0

    @property
    def values(self) -> list[float]:
        """The values that count [mm, ml, g or N]."""
        return [row.value for row in self.rows if row.value is not None]

    @property
    def mean(self) -> float | None:
        """Their mean; none where the point is not read."""
        values = self.values
        return sum(values) / len(values) if values else None


@dataclass(frozen=True, slots=True)
class FeatureState:
    """A feature with what stands at each of its points, by the points' keys."""

    feature: Feature
    points: dict[str, Standing]

    @property
    def read_count(self) -> int:
        """How many of its points are read."""
        return sum(1 for one in self.points.values() if one.rows)


@dataclass(frozen=True, slots=True)
class SetState:
    """A set as far as it is read, in one round: 0 as found, 1 and on after machining."""

    feature_set: FeatureSet
    points: tuple[SheetPoint, ...]
    features: tuple[FeatureState, ...]
    limits: tuple[FeatureLimit, ...]
    round: int

    @property
    def kind(self) -> FeatureKind:
        """What sort of thing it is."""
        return FeatureKind(self.feature_set.kind)

    @property
    def point_count(self) -> int:
        """How many points there are in all."""
        return len(self.points) * len(self.features)

    @property
    def read_count(self) -> int:
        """How many of them are read."""
        return sum(one.read_count for one in self.features)

    @property
    def next_point(self) -> tuple[Feature, SheetPoint] | None:
        """The first point that is not read, feature by feature; none where all are."""
        for state in self.features:
            for point in self.points:
                if not state.points[point.key].rows:
                    return state.feature, point
        return None

    def limit(self, what: str, state: str, at_mm: float | None = None) -> FeatureLimit | None:
        """Return the limit of something in a state, where one is known."""
        return next(
            (one for one in self.limits if one.what == what and one.state == state and one.at_mm == at_mm),
            None,
        )


def pattern_of(feature_set: FeatureSet) -> Pattern:
    """Return the pattern of points of a set."""
    return Pattern(tuple(feature_set.first_numbers), tuple(feature_set.second_numbers), feature_set.places)


def points_of_set(feature_set: FeatureSet) -> tuple[SheetPoint, ...]:
    """Return the points at which each feature of a set is read, in the order of reading."""
    return points_of(FeatureKind(feature_set.kind), pattern_of(feature_set))


def readings_of_set(feature_set: FeatureSet, round: int | None = None) -> list[Reading]:
    """Return all readings of a set, oldest first; of one round or of all."""
    rows = Reading.objects.filter(feature__feature_set=feature_set)
    if round is not None:
        rows = rows.filter(round=round)
    return list(rows.order_by("id"))


def standing(rows: Iterable[Reading]) -> dict[tuple[int, str, int], Standing]:
    """Return what stands at each point, by feature, point and round, from readings in their order.

    A reading takes the place of what was there, a repeat joins it, a strike leaves nothing.
    """
    found: dict[tuple[int, str, int], Standing] = {}
    for row in rows:
        one = found.setdefault((row.feature_id, row.point, row.round), Standing())
        if row.kind != "repeat":
            one.superseded += len(one.rows)
            one.rows = []
        if row.kind != "struck":
            one.rows.append(row)
    return found


def set_states(sets: Sequence[FeatureSet], round: int = 0) -> list[SetState]:
    """Return sets with their features, limits and readings of one round, in few queries."""
    features: dict[int, list[Feature]] = {one.pk: [] for one in sets}
    by_key = {one.pk: one for one in sets}
    for feature in _features_of(list(by_key)):
        feature.feature_set = by_key[feature.feature_set_id]
        features[feature.feature_set_id].append(feature)
    limits: dict[int, list[FeatureLimit]] = {one.pk: [] for one in sets}
    for limit in _limits_of(list(by_key)):
        limits[limit.feature_set_id].append(limit)
    stands = standing(_readings_of(list(by_key), round))
    states = []
    for one in sets:
        points = points_of_set(one)
        states.append(
            SetState(
                one,
                points,
                tuple(
                    FeatureState(
                        feature,
                        {
                            point.key: stands.get((feature.pk, point.key, round), Standing())
                            for point in points
                        },
                    )
                    for feature in features[one.pk]
                ),
                tuple(limits[one.pk]),
                round,
            )
        )
    return states


def set_state(feature_set: FeatureSet, round: int = 0) -> SetState:
    """Return one set with its features, limits and readings of one round."""
    return set_states([feature_set], round)[0]


def sets_of_job(job: Job) -> list[FeatureSet]:
    """Return the sets of a job's sheet in their order."""
    return sets_of(job.pk)


@prepared
def sets_of(job_id: int) -> QuerySet[FeatureSet]:
    """Return the sets on the sheet of the job of a key, in their order."""
    rows = FeatureSet.objects.filter(job=job_id, withdrawn=False)
    return rows.select_related("instrument", "engine", "area", "lot").order_by("position", "id")


@prepared
def _features_of(sets: list[int]) -> QuerySet[Feature]:
    return Feature.objects.filter(feature_set__in=sets, withdrawn=False).order_by("position")


@prepared
def _limits_of(sets: list[int]) -> QuerySet[FeatureLimit]:
    return FeatureLimit.objects.filter(feature_set__in=sets, withdrawn=False).order_by("id")


@prepared
def _readings_of(sets: list[int], round: int) -> QuerySet[Reading]:
    return Reading.objects.filter(feature__feature_set__in=sets, round=round).order_by("id")


def set_by_id(job: Job, set_id: int) -> FeatureSet:
    """Return a set of a job's sheet, or raise NotFound saying so."""
    sets = FeatureSet.objects.select_related("job", "instrument", "engine", "area", "lot")
    one = sets.filter(job=job, pk=set_id, withdrawn=False).first()
    if one is None:
        raise NotFound(f"There is no set {set_id} on the reading sheet of {job.name}.")
    return one


def usual_value(feature_set: FeatureSet, point: str, values: Sequence[tuple[str, float]]) -> float | None:
    """Return what a reading of a point is about: the nominal, or the middle of what was read; none so far.

    The load of a spring is another at each height, so it is compared with those at the same height alone.

    Parameters
    ----------
    point : str
        The key of the point.
    values : sequence of (str, float)
        What was read of the set, each with the key of its point.
    """
    by_point = feature_set.kind == FeatureKind.LOAD
    if feature_set.nominal is not None and not by_point:
        return feature_set.nominal
    alike = [value for key, value in values if key == point or not by_point]
    return median(alike) if len(alike) >= 2 else None


def last_round(feature_set: FeatureSet) -> int:
    """Return the latest round that was read; 0 where only the parts as found were."""
    latest = (
        Reading.objects.filter(feature__feature_set=feature_set)
        .order_by("-round")
        .values_list("round", flat=True)
        .first()
    )
    return latest or 0
