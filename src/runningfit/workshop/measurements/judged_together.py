"""How probably all of a set keep their limits at once: what their gauge errs by, it errs by in all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import prod

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.together import ReadOfSet, set_conforms
from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint
from runningfit.core.measurements.uncertainty.columns import OwnError
from runningfit.core.treatments.machining.judging import WearLimits, judge_wear
from runningfit.core.treatments.machining.readings import Readings
from runningfit.workshop.measurements.corrected import CorrectedFeature
from runningfit.workshop.measurements.held_limits import Held, LimitGroup
from runningfit.workshop.measurements.judged_kinds import readings_of, wear_limits_of


@dataclass(frozen=True, slots=True)
class Together:
    """All of a set against the limits that decide.

    Parameters
    ----------
    group : LimitGroup
        The limits.
    count : int
        How many features.
    within : float
        How probably all of them keep these limits at once [-].
    """

    group: LimitGroup
    count: int
    within: float


def together(
    kind: FeatureKind, points: Sequence[SheetPoint], read: Sequence[tuple[CorrectedFeature, Held | None]]
) -> Together | None:
    """Return how probably all features of a set keep their limits at once.

    Parameters
    ----------
    points : sequence of SheetPoint
        The points of each.
    read : sequence of (CorrectedFeature, Held or None)
        All features, each with what decides for it.

    Returns
    -------
    Together or None
        None for a single feature, where one is not wholly read, where not all are held against the same
        limits, or where the limits are not this engine's.
    """
    helds = [held for _, held in read if held is not None]
    if len(read) < 2 or len(helds) < len(read) or any(len(one.points) < len(points) for one, _ in read):
        return None
    group = helds[0].group
    if group.borrowed or any(held.group != group for held in helds):
        return None
    features = [one for one, _ in read]
    try:
        within = _within(kind, points, features, group, helds)
    except InvalidInput:
        return None
    if within is None:
        return None
    # Surfaces judged together tell of each other, and come out surer than each alone: none is shown surer.
    return Together(group, len(read), min(within, *(held.within for held in helds)))


def _within(
    kind: FeatureKind,
    points: Sequence[SheetPoint],
    features: Sequence[CorrectedFeature],
    group: LimitGroup,
    helds: Sequence[Held],
) -> float | None:
    if kind.is_round and len(points) > 1:
        readings = tuple(readings_of(kind, points, one) for one in features)
        return _all_within(readings, wear_limits_of(group))
    if kind in (FeatureKind.FACE, FeatureKind.RUNOUT):
        # What an indicator errs by alike in all its readings drops out of each: nothing is shared.
        return prod(held.within for held in helds)
    if group.of("rate"):
        return None
    limits = group.of("size")
    if any(one.at_mm is not None and one.at_mm not in [point.depth_mm for point in points] for one in limits):
        return None
    return set_conforms(
        [
            ReadOfSet(at.value, OwnError(at.own_u, at.own_dof, at.even), at.shared, limit.bounds)
            for one in features
            for point in points
            for limit in limits
            if limit.at_mm is None or limit.at_mm == point.depth_mm
            for at in (one.points[point.key],)
        ]
    ).together


@lru_cache(maxsize=512)
def _all_within(readings: tuple[Readings, ...], limits: WearLimits) -> float:
    return judge_wear(readings, limits).probability_within
