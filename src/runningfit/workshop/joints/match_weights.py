"""Pistons and rods by weight from two sets of the sheet: pairs that weigh alike with the least metal off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.weights import WeighedPart, WeightPlan, pair_by_weight
from runningfit.core.verdicts import Caution
from runningfit.workshop.joints.matching import MatchRow, MatchShown, Pairing, listed
from runningfit.workshop.measurements.corrected import CorrectedSet, cautions_of
from runningfit.workshop.measurements.latest_sizes import latest_sizes
from runningfit.workshop.measurements.models import FeatureSet


@dataclass(frozen=True, slots=True)
class WeightsAsked:
    """Which parts, how much may come off each of them, and how alike the pairs shall be [g]."""

    first_set: FeatureSet
    other_set: FeatureSet
    off_first_g: float
    off_other_g: float
    tolerance_g: float
    typed: Mapping[str, str] | None = None


def match_weights(asked: WeightsAsked) -> MatchShown | None:
    """Pair parts by weight; none where no pairing stays within the metal that may come off.

    Raises
    ------
    InvalidInput
        A set of which nothing is read, or not as many of the one as of the other.
    """
    first, other = latest_sizes([asked.first_set, asked.other_set])
    ones, others = _parts(first, asked.off_first_g), _parts(other, asked.off_other_g)
    plan = pair_by_weight(ones, others, asked.tolerance_g)
    if plan is None:
        return None
    doubt = max(point.own_u for of in (first, other) for one in of.features for point in one.points.values())
    return MatchShown(
        "weights",
        Pairing(
            _said(plan),
            (asked.first_set.name, asked.other_set.name, "together", "off the first", "off the second"),
            _rows(plan),
        ),
        None,
        _reasons(asked, plan, _as_numbered(ones, others, asked.tolerance_g), doubt),
        (*_unread(first), *_unread(other), *cautions_of([first, other])),
        dict(asked.typed or {}),
    )


def _parts(of: CorrectedSet, removable_g: float) -> list[WeighedPart]:
    found = []
    for one in of.features:
        if one.points:
            weight = sum(point.value for point in one.points.values()) / len(one.points)
            found.append(WeighedPart(one.feature.called, weight, removable_g))
    if not found:
        name = of.feature_set.name
        raise InvalidInput(name, needs="readings", came="none yet", remedy="Weigh them on the sheet first.")
    return found


def _said(plan: WeightPlan) -> str:
    if plan.removed_g == 0:
        return f"Nothing need come off: the pairs differ by {plan.spread_before_g:.1f} g."
    return (
        f"{plan.removed_g:.1f} g come off in all; the lightest pair, {plan.target_g:.1f} g, sets the weight."
    )


def _rows(plan: WeightPlan) -> tuple[MatchRow, ...]:
    return tuple(
        MatchRow(
            (one.one, one.other, f"{one.weight_g:.1f} g", _off(one.off_one_g), _off(one.off_other_g)),
            "open" if one.off_one_g or one.off_other_g else "good",
            "lighten" if one.off_one_g or one.off_other_g else "as it is",
        )
        for one in plan.pairs
    )


def _off(off_g: float) -> str:
    return f"{off_g:.1f} g" if off_g else "nothing"


def _as_numbered(ones: list[WeighedPart], others: list[WeighedPart], tolerance_g: float) -> float:
    """What would come off if the first went with the first, and so on [g]."""
    weights = [one.weight_g + other.weight_g for one, other in zip(ones, others, strict=True)]
    return sum(max(0.0, weight - min(weights) - tolerance_g) for weight in weights)


def _reasons(asked: WeightsAsked, plan: WeightPlan, numbered_g: float, doubt_g: float) -> tuple[str, ...]:
    return (
        f"The pairs may differ by {asked.tolerance_g:g} g; before, the heaviest weighs "
        f"{plan.spread_before_g:.1f} g more than the lightest.",
        f"No other pairing takes less metal off, proven. Paired as they are numbered, {numbered_g:.1f} g "
        f"would come off{' instead' if numbered_g > plan.removed_g else ', the same'}.",
        f"One weight against another is sure to ± {2 * doubt_g:.2g} g: what the balance errs by in all alike "
        "does not count between them.",
    )


def _unread(of: CorrectedSet) -> list[Caution]:
    names = [one.feature.called for one in of.features if not one.points]
    return [Caution(f"{of.feature_set.name}: {listed(names)} not weighed, so left out.")] if names else []
