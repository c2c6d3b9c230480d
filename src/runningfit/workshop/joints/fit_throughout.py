"""How probably a pair keeps its limits at all places that were read, and the verdict that this leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from runningfit.core.joints.running_fits.clearance import Reading as Size
from runningfit.core.joints.running_fits.fit_limits import FitLimits
from runningfit.core.joints.running_fits.throughout import FitAsRead, Throughout, kept_throughout
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.measurements.uncertainty.columns import DRAWS
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict
from runningfit.workshop.joints.fit_pairing import LastRead, size_of

_BY_DRAWS = f"JCGM 101:2008 and 106:2012, {DRAWS} draws of what the readings leave open"


def throughout(
    hole: LastRead,
    shaft: LastRead,
    limits: FitLimits,
    *,
    taken_off: Sequence[tuple[float, Size]] = (),
    widened_mm: tuple[float, float] = (0.0, 0.0),
    hot_mm: float | None = None,
) -> Throughout | None:
    """Return how probably the clearance of a pair is within limits at all places; of a press fit they are
    negative.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing.
    """
    fit = FitAsRead(
        tuple(size_of(one) for one in hole.points.values()),
        tuple(size_of(one) for one in shaft.points.values()),
        tuple(taken_off),
        widened_mm,
        hot_mm,
    )
    return kept_throughout(fit, limits.bounds, made_to_them=not limits.is_sanity_band)


def of_interference(limits: FitLimits) -> FitLimits:
    """Return limits of an interference as those of a clearance."""
    bounds = limits.bounds
    lower, upper = (None if end is None else -end for end in (bounds.upper, bounds.lower))
    return replace(limits, bounds=Bounds(lower, upper))


def with_throughout(
    verdict: Verdict, kept: Throughout, places: int, limits: FitLimits, *, shown_outside: bool
) -> Verdict:
    """Return a verdict with the probability that all places keep the limits, and no pass where that is low.

    Parameters
    ----------
    places : int
        How many places of both parts were read.
    shown_outside : bool
        Whether it is the limits that are not kept; a fit may also not be sound for having no clearance.
    """
    outcome, probability = verdict.outcome, verdict.probability
    cautions = verdict.cautions
    if outcome is not Outcome.NOT_SOUND:
        probability = kept.inside
    elif shown_outside:
        probability = 1 - kept.inside
    if outcome is Outcome.SOUND and kept.inside < USUAL_WANTED:
        outcome = Outcome.NOT_PROVEN
        cautions = (
            Caution(
                "Each end by itself is shown to be within its limits, and both together are not: read again, "
                "or with a better gauge."
            ),
            *cautions,
        )
    where = "Where it was read" if places <= 2 else f"Over all {places} places that were read"
    said = Reason(
        f"{where} it is within its limits with {percent(kept.inside)}: too close with "
        f"{percent(kept.below)}, too wide with {percent(kept.above)}.",
        _BY_DRAWS if limits.is_sanity_band else f"{_BY_DRAWS}; believed before: about its limits",
    )
    return replace(
        verdict, outcome=outcome, probability=probability, reasons=(said, *verdict.reasons), cautions=cautions
    )
