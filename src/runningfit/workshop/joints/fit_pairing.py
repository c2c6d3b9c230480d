"""What fits what, number by number: each feature as it was read last, with its partner in the other set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.clearance import Reading as Size
from runningfit.core.joints.running_fits.expansion import Expansion, read_expansion
from runningfit.core.verdicts import Caution
from runningfit.workshop.measurements.corrected import CorrectedFeature, CorrectedPoint
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import FeatureState
from runningfit.workshop.measurements.sheet_now import SheetNow


@dataclass(frozen=True, slots=True)
class LastRead:
    """A feature as it was read last: as found where ``round`` is 0, later as it came back from machining."""

    state: FeatureState
    corrected: CorrectedFeature
    round: int

    @property
    def points(self) -> Mapping[str, CorrectedPoint]:
        """Its points that were read."""
        return self.corrected.points

    @property
    def narrowest(self) -> CorrectedPoint:
        """The point with the smallest value."""
        return min(self.points.values(), key=lambda point: point.value)

    @property
    def widest(self) -> CorrectedPoint:
        """The point with the largest value."""
        return max(self.points.values(), key=lambda point: point.value)

    @property
    def as_read(self) -> tuple[float, float]:
        """The smallest and the largest mean of a point as the gauge said it [mm]."""
        means = [mean for one in self.state.points.values() if (mean := one.mean) is not None]
        return min(means), max(means)


@dataclass(frozen=True, slots=True)
class LastReadSet:
    """A set with its features as they were read last, by their names in their order."""

    feature_set: FeatureSet
    features: Mapping[str, LastRead]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """A hole and the shaft of the same number; one of them may be missing."""

    name: str
    hole: LastRead | None
    shaft: LastRead | None


def last_read(sheet: SheetNow) -> dict[int, LastReadSet]:
    """Return the sets of a sheet by their keys with each feature as it was read last."""
    found = {}
    for one in sheet.sets:
        features: dict[str, LastRead] = {}
        cautions: list[Caution] = []
        for round in sheet.rounds[one.pk]:
            read = sheet.corrected(round)[one.pk]
            cautions += read.cautions
            for state, feature in zip(read.state.features, read.features, strict=True):
                if round == 0 or feature.points:
                    features[feature.feature.name] = LastRead(state, feature, round)
        found[one.pk] = LastReadSet(one, features, tuple(dict.fromkeys(cautions)))
    return found


def pairs_of(holes: LastReadSet, shafts: LastReadSet) -> list[Pair]:
    """Put together what has the same number; where no number is alike, by the order in both sets."""
    alike = holes.features.keys() & shafts.features.keys()
    if not alike and len(holes.features) == len(shafts.features):
        return [
            Pair(hole if hole == shaft else f"{hole} / {shaft}", holes.features[hole], shafts.features[shaft])
            for hole, shaft in zip(holes.features, shafts.features, strict=True)
        ]
    names = dict.fromkeys((*holes.features, *shafts.features))
    return [Pair(name, holes.features.get(name), shafts.features.get(name)) for name in names]


def size_of(point: CorrectedPoint) -> Size:
    """Return a corrected point as a size of a fit, with what it shares with others."""
    return Size(point.value, point.own_u, point.own_dof, point.shared, point.even)


def missing_words(pair: Pair, hole_set: FeatureSet, shaft_set: FeatureSet) -> str:
    """Say what of a pair is not on the sheet or not read; empty where both are read."""
    for one, of in ((pair.hole, hole_set), (pair.shaft, shaft_set)):
        if one is None:
            return f"There is no {pair.name} among the {of.name} of the sheet."
        if not one.points:
            return f"{one.corrected.feature.called} of the {of.name} is not read yet."
    return ""


@lru_cache(maxsize=256)
def expansion_of(metal: str) -> Expansion:
    """Return how a metal expands; one that no table has may be any metal."""
    try:
        return read_expansion(metal)
    except InvalidInput:
        return read_expansion("")


def cautions_of_sets(sets: Iterable[LastReadSet]) -> tuple[Caution, ...]:
    """Return what to mind of gauges and temperatures, each sentence once."""
    return tuple(dict.fromkeys(caution for one in sets for caution in one.cautions))
