"""To what size a feature is machined, within what limits, and what that rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.measurements.corrected import corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import Feature, FeatureSet
from runningfit.workshop.measurements.queries import set_state
from runningfit.workshop.treatments.machining_choice import LEFT_MM, MachiningChoice

# A piston of the oversize is smaller than its bore by its clearance, and no more than this (common practice,
# no source); one that is smaller still is of another size.
_MOST_CLEARANCE_MM = 0.2


@dataclass(frozen=True, slots=True)
class Target:
    """The size at 20 °C to which a feature is machined [mm], and what it rests on, in words."""

    feature: Feature
    step_mm: float
    target_mm: float
    lower_mm: float
    upper_mm: float
    based_on: str


def targets(choice: MachiningChoice, steps: Mapping[str, float]) -> tuple[Target, ...]:
    """Return the sizes that features are machined to; those that are left as they are have none.

    Parameters
    ----------
    choice : MachiningChoice
        With the plan and the nominal size.
    steps : mapping of str to float
        The step of each feature, by its key [mm].

    Raises
    ------
    InvalidInput
        Nobody said the tolerance of the finished size.

    Notes
    -----
    Bore: size of its new piston + wanted clearance, where both are known; else nominal + step. Journal:
    nominal - step. Both within plus or minus the tolerance.
    """
    plan, feature_set = choice.plan, choice.feature_set
    if plan is None or plan.target_tolerance_mm is None:
        raise InvalidInput(
            "tolerance", needs="how far the finished size may be off, either way", came="",
            remedy="Ask who makes the pistons or the shells; the shop must know it.",
        )  # fmt: skip
    nominal = feature_set.nominal or 0.0
    outward = FeatureKind(feature_set.kind) is FeatureKind.BORE
    pistons = _pistons(feature_set) if outward and plan.finished_clearance_mm is not None else {}
    found = []
    for feature in choice.features:
        step = steps[str(feature.pk)]
        if step == LEFT_MM:
            continue
        size = nominal + step if outward else nominal - step
        based_on = f"nominal {nominal:.3f} mm {'+' if outward else '−'} {choice.step_words(step)}"
        piston = pistons.get(feature.position)
        clearance = plan.finished_clearance_mm or 0.0
        if piston is not None and 0 < size - piston < _MOST_CLEARANCE_MM:
            size = piston + clearance
            based_on = f"its piston {piston:.3f} mm + clearance {plan.typed.get('finished_clearance', '')}"
        elif outward and plan.finished_clearance_mm is not None:
            based_on += "; no piston of that size is measured"
        size = round(size, 4)
        tolerance = plan.target_tolerance_mm
        found.append(
            Target(feature, step, size, round(size - tolerance, 4), round(size + tolerance, 4), based_on)
        )
    return tuple(found)


def _pistons(bores: FeatureSet) -> dict[int, float]:
    """Return the largest size of each piston that runs in these bores, by its number in the row [mm]."""
    fit = (
        RunningFit.objects.filter(hole_set=bores, kind="piston", withdrawn=False)
        .select_related("shaft_set")
        .order_by("-pk")
        .first()
    )
    if fit is None:
        return {}
    (one,) = corrected([set_state(fit.shaft_set)], Cupboard.of_the_shop())
    return {
        each.feature.position: max(at.value for at in each.points.values())
        for each in one.features
        if each.points
    }
