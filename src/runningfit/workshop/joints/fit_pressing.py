"""A press fit of one hole and one shaft as measured: does it stay tight, and what does assembly take."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.press_fits.case import PressCase
from runningfit.core.joints.press_fits.judging import judge_press
from runningfit.core.joints.press_fits.lame import PressGeometry
from runningfit.core.joints.press_fits.materials import ElasticMaterial, read_elastic_material
from runningfit.core.joints.running_fits.clearance import ClearanceAt
from runningfit.core.joints.running_fits.fit_limits import FitLimits
from runningfit.core.joints.running_fits.throughout import Throughout
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.measurements.uncertainty.inputs import Part, effective_dof
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C
from runningfit.core.measurements.uncertainty.shared import u_of_sum
from runningfit.core.units import SaidLength
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict
from runningfit.workshop.joints.fit_answers import CannotTell, PairAnswer, Span
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead
from runningfit.workshop.joints.fit_throughout import of_interference, throughout
from runningfit.workshop.joints.fit_verdicts import worse_verdict
from runningfit.workshop.measurements.corrected import CorrectedPoint

_UM_PER_MM = 1000.0


def judge_pressed(
    fit: RunningFit, hole: LastRead, shaft: LastRead, limits: Sequence[FitLimits]
) -> PairAnswer | CannotTell:
    """Judge a press fit of one pair; its limits are of the interference.

    Raises
    ------
    InvalidInput
        A size or a metal cannot be.
    """
    close = _clearance(hole.narrowest, shaft.widest)
    wide = _clearance(hole.widest, shaft.narrowest)
    cold = Span(close, wide)
    low, high = hole.as_read
    least, most = shaft.as_read
    as_read = (low - most, high - least)
    tightest, loosest = -cold.ends_mm()[0], -cold.ends_mm()[1]
    kept = throughout(hole, shaft, of_interference(limits[0])) if limits else None
    held = [] if kept is None else [_held(cold, kept, limits[0])]
    if tightest <= 0:
        said = Reason.of(
            *("There is ", SaidLength(wide.middle_mm, 4)),
            " of clearance and no interference: the part within is no larger than the hole, even where both "
            "are read most kindly.",
            source="as measured",
        )
        loose = Verdict(Outcome.NOT_SOUND, close.middle_mm, "mm", close.u_mm, None, (said,))
        return PairAnswer(worse_verdict([loose, *held]), as_read, cold, kept=kept)
    missing = [
        words
        for value, words in ((fit.outer_mm, "outside diameter of the outer part"), (fit.length_mm, "length"))
        if value is None
    ]
    if fit.outer_mm is None or fit.length_mm is None:
        return CannotTell(f"A press fit needs the {' and the '.join(missing)}.", "Type it, with its unit.")
    hot = [one for one in (fit.hole_hot_high_c, fit.shaft_hot_high_c) if one is not None]
    case = PressCase(
        PressGeometry(fit.inner_bore_mm or 0.0, hole.narrowest.value, fit.outer_mm, fit.length_mm),
        loosest,
        tightest,
        _metal("shaft material", fit.shaft_material or fit.shaft_set.material),
        _metal("hole material", fit.hole_material or fit.hole_set.material),
        fit.friction_low,
        fit.friction_high,
        max(hot, default=REFERENCE_TEMPERATURE_C),
        None if fit.roughness_mm is None else fit.roughness_mm * _UM_PER_MM,
        needed_push_n=fit.push_n,
    )
    answer = judge_press(case)
    found = answer.verdict
    # The value of the verdict is the clearance as of every fit; the pressure stands among the reasons.
    pressed = Verdict(
        found.outcome, close.middle_mm, "mm", close.u_mm, None, (_interference_said(cold), *found.reasons),
        found.cautions,
    )  # fmt: skip
    return PairAnswer(worse_verdict([pressed, *held]), as_read, cold, press=answer, kept=kept)


def _clearance(hole: CorrectedPoint, shaft: CorrectedPoint) -> ClearanceAt:
    parts = (
        Part(hole.own_u, hole.own_dof),
        Part(shaft.own_u, shaft.own_dof),
        Part(u_of_sum([(1.0, hole.shared), (-1.0, shaft.shared)])),
    )
    value = hole.value - shaft.value
    u = sum(part.u**2 for part in parts) ** 0.5
    return ClearanceAt(value, value, value, u, effective_dof(parts))


def _held(cold: Span, kept: Throughout, limits: FitLimits) -> Verdict:
    """Hold the interference against its limits, everywhere that it was read."""
    outcome, chance, end = Outcome.NOT_PROVEN, kept.inside, cold.close
    cautions: tuple[Caution, ...] = ()
    if kept.inside >= USUAL_WANTED:
        outcome = Outcome.SOUND
        if limits.is_sanity_band:
            outcome = Outcome.NOT_PROVEN
            cautions = (Caution("The limits are not this maker's: keeping them is no pass."),)
    elif max(kept.below, kept.above) >= USUAL_WANTED:
        outcome, chance = Outcome.NOT_SOUND, 1 - kept.inside
        end = cold.close if kept.below > kept.above else cold.wide
    said = Reason(
        f"Over all that was read the interference is within the limits as told with {percent(kept.inside)}: "
        f"too much with {percent(kept.below)}, too little with {percent(kept.above)}.",
        limits.source,
    )
    return Verdict(outcome, end.middle_mm, "mm", end.u_mm, chance, (said,), cautions)


def _interference_said(cold: Span) -> Reason:
    least, most = -cold.wide.middle_mm, -cold.close.middle_mm
    low, high = cold.ends_mm()
    return Reason.of(
        *("Interference ", SaidLength(least, 4, bare=True), " to ", SaidLength(most, 4)),
        " over what was read; with what the readings leave open ",
        *(SaidLength(-high, 4, bare=True), " to ", SaidLength(-low, 4), "."),
        source="as measured, 19 of 20 cases at each end",
    )


@lru_cache(maxsize=128)
def _metal(name: str, said: str) -> ElasticMaterial:
    if not said:
        raise InvalidInput(name, needs="what metal it is, such as steel or cast iron", came="nothing")
    try:
        return read_elastic_material(said)
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=said, remedy=error.remedy) from error
