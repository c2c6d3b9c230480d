"""The sizes of a set as the parts are now: of each feature those of the last round in which it was read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.db.models import Max

from runningfit.workshop.measurements.corrected import CorrectedFeature, CorrectedSet, corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import FeatureSet, Reading
from runningfit.workshop.measurements.queries import set_states


def latest_sizes(sets: Sequence[FeatureSet]) -> list[CorrectedSet]:
    """Return sets with the corrected points of each feature as it is now, machined or as found."""
    cupboard = Cupboard.of_the_shop()
    last = Reading.objects.filter(feature__feature_set__in=sets).aggregate(last=Max("round"))["last"] or 0
    found = corrected(set_states(sets, 0), cupboard)
    for number in range(1, last + 1):
        later = corrected(set_states(sets, number), cupboard)
        found = [_over(old, new) for old, new in zip(found, later, strict=True)]
    return found


def _over(old: CorrectedSet, new: CorrectedSet) -> CorrectedSet:
    """Put what was read later over what was read before, feature by feature."""

    def one(was: CorrectedFeature, now: CorrectedFeature) -> CorrectedFeature:
        return now if now.points else was

    features = tuple(one(was, now) for was, now in zip(old.features, new.features, strict=True))
    cautions = tuple(dict.fromkeys((*old.cautions, *new.cautions)))
    return replace(old, features=features, cautions=cautions)
