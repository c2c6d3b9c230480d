"""The end gap of a ring in its bore: as read, and grown with the bore to where that is widest."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from runningfit.core.joints.running_fits.clearance import ClearanceAt
from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.core.joints.running_fits.ring_gap import (
    RingGap,
    gap_in_bore,
    gap_when_hot,
    judge_ring_gap,
)
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import SaidLength
from runningfit.core.verdicts import Reason
from runningfit.workshop.joints.fit_answers import CannotTell, PairAnswer, Span
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead, expansion_of
from runningfit.workshop.joints.fit_verdicts import state_said, worse_verdict


def judge_ring(
    fit: RunningFit, bore: LastRead, gap: LastRead, limits: Sequence[FitLimits]
) -> PairAnswer | CannotTell:
    """Judge the end gap of one ring, in its bore where that is narrowest and where it is widest.

    Raises
    ------
    InvalidInput
        Sizes that are no ring's, or a temperature that no ring has.
    """
    if not limits:
        return CannotTell("No limits were told.", "Type those of the manual with their page.")
    renewed = bool(bore.round or gap.round)
    kind = LimitsFor.NEW if renewed else LimitsFor.WEAR
    held = next((one for one in limits if one.used_for is kind), limits[0])
    rings = [_ring(fit, bore, gap, widest=False)]
    if len(bore.points) > 1:
        rings.append(_ring(fit, bore, gap, widest=True))
    hots = [_hot(fit, one) for one in rings]
    verdicts = [judge_ring_gap(one, held, hot=hot) for one, hot in zip(rings, hots, strict=True)]
    colds = [gap_in_bore(one) for one in rings]
    where = (
        Reason("The gap was read in its own bore, taken to be where that is narrowest.")
        if fit.read_in_mm is None
        else Reason.of("The gap was read in ", SaidLength(fit.read_in_mm, 3), ".")
    )
    first = [state_said(bore, gap)] if renewed else []
    close, wide = hots[0], hots[-1]
    return PairAnswer(
        worse_verdict(verdicts, (*first, where)),
        gap.as_read,
        Span(colds[0], colds[-1]),
        Span(close, wide) if close is not None and wide is not None else None,
    )


def _ring(fit: RunningFit, bore: LastRead, gap: LastRead, *, widest: bool) -> RingGap:
    point = bore.widest if widest else bore.narrowest
    read = (gap.widest if widest else gap.narrowest).whole
    if fit.read_in_mm is not None:
        return RingGap(read, fit.read_in_mm, point.whole)
    # Read in its own bore: what the bore gauge errs by is in both its sizes; only their difference counts.
    start = bore.narrowest
    own = hypot(point.own_u, start.own_u) if widest else 0.0
    return RingGap(read, start.value, Measured(point.value, own, min(point.own_dof, start.own_dof)))


def _hot(fit: RunningFit, ring: RingGap) -> ClearanceAt | None:
    bore_c, ring_c = fit.hole_hot_low_c, fit.shaft_hot_high_c
    if bore_c is None or ring_c is None or fit.hole_hot_high_c is None or fit.shaft_hot_low_c is None:
        return None
    metals = (
        expansion_of(fit.shaft_material or fit.shaft_set.material),
        expansion_of(fit.hole_material or fit.hole_set.material),
    )
    # The closest gap is that of the hottest ring in the coolest wall.
    close = gap_when_hot(ring, *metals, ring_c, bore_c)
    wide = gap_when_hot(ring, *metals, fit.shaft_hot_low_c, fit.hole_hot_high_c)
    return ClearanceAt(close.low_mm, (close.low_mm + wide.high_mm) / 2, wide.high_mm, close.u_mm, close.dof)
