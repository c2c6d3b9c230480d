"""What each machining step would give a fit: the clearance with the new part of the matching size."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.core.measurements.ranges import NormalAndRanges
from runningfit.core.verdicts import Caution
from runningfit.workshop.joints.fit_answers import CannotTell, JudgedFit, JudgedPair


@dataclass(frozen=True, slots=True)
class PlannedSteps:
    """What a plan of machining says of one of the sets of a fit.

    Parameters
    ----------
    of_hole : bool
        Whether it is the part around that is machined.
    steps_mm : tuple of float
        Over- or undersizes [mm].
    tolerance_mm : float or None
        How far the finished size may be off, either way [mm].
    clearance_mm : float or None
        The clearance that the plan aims at, where it names one [mm].
    """

    of_hole: bool
    steps_mm: tuple[float, ...]
    tolerance_mm: float | None
    clearance_mm: float | None


@dataclass(frozen=True, slots=True)
class StepGives:
    """One step in one pair: the size to machine to, the clearance then, and the chance that it is right.

    Parameters
    ----------
    step_mm : float
        The step [mm].
    pair : str
        Which pair.
    size_mm : float
        What it is machined to [mm].
    clearance_mm : float
        The middle of the clearance then [mm].
    low_mm, high_mm : float
        Its ends, with the whole tolerance and two standard uncertainties of what was read [mm].
    within : float or None
        How probably it lies within the limits for new parts [-]; none where there are none, or no tolerance
        was told.
    """

    step_mm: float
    pair: str
    size_mm: float
    clearance_mm: float
    low_mm: float
    high_mm: float
    within: float | None


_ASSUMED = Caution(
    "The new part is taken to be just of its size: measure it, and machine to what was measured. Whether a "
    "step cleans up is judged on the machining page."
)


@dataclass(frozen=True, slots=True)
class WhatStepsGive:
    """What all steps of a plan would give, and what was taken for granted."""

    rows: tuple[StepGives, ...]
    cautions: tuple[Caution, ...] = (_ASSUMED,)


def what_steps_give(judged: JudgedFit, plan: PlannedSteps) -> WhatStepsGive | CannotTell:
    """Say what clearance each step of a plan would give, pair by pair.

    Parameters
    ----------
    judged : JudgedFit
        The fit as it is now.
    plan : PlannedSteps
        The steps, from the treatments.

    Notes
    -----
    A hole is machined to nominal + step and its new part is nominal + step; where the plan names a clearance,
    the hole is machined to the new part + that. A journal is machined to nominal - step, its new shells are
    thicker by half of the step; the housing stays as it was read.
    """
    hole, shaft = judged.fit.hole_set.nominal, judged.fit.shaft_set.nominal
    limits = next((one for one in judged.limits if one.used_for is LimitsFor.NEW), None)
    if plan.of_hole:
        if hole is None:
            return CannotTell("The nominal size of the hole was not told.", "Say it on the sheet.")
        if shaft is None and plan.clearance_mm is None:
            return CannotTell(
                "Neither the nominal size of the new part nor the clearance wanted was told.",
                "Say one of them: on the sheet, or in the plan of machining.",
            )
        aimed = plan.clearance_mm if plan.clearance_mm is not None else hole - (shaft or hole)
        # Where the plan names a clearance and the part is known, the hole is made to suit the part.
        base = shaft + aimed if shaft is not None and plan.clearance_mm is not None else hole
        rows = [_row(step, "all", base + step, aimed, 0.0, plan, limits) for step in plan.steps_mm]
        return WhatStepsGive(tuple(rows))
    if shaft is None:
        return CannotTell("The nominal size of the journal was not told.", "Say it on the sheet.")
    if judged.fit.kind == "bearing" and judged.fit.shell_mm is None:
        return CannotTell(
            "The thickness of the standard shells was not told.", "Type it in what is known of the fit."
        )
    found = [
        row
        for step in plan.steps_mm
        for pair in judged.pairs
        if (row := _of_journal(judged, pair, step, shaft, plan, limits)) is not None
    ]
    if not found:
        return CannotTell("No housing is read yet.", "Read the housings.")
    return WhatStepsGive(tuple(found))


def _of_journal(
    judged: JudgedFit,
    pair: JudgedPair,
    step: float,
    nominal: float,
    plan: PlannedSteps,
    limits: FitLimits | None,
) -> StepGives | None:
    if pair.hole is None or not pair.hole.points:
        return None
    around = pair.hole.narrowest
    shells = 2 * (judged.fit.shell_mm or 0.0)
    # What the shells gain, half of the step on each side, is what the journal loses.
    clearance = (
        around.value - shells - nominal if judged.fit.kind == "bearing" else (around.value - (nominal - step))
    )
    size = nominal - step
    if plan.clearance_mm is not None:
        size, clearance = size + clearance - plan.clearance_mm, plan.clearance_mm
    return _row(step, pair.name, size, clearance, around.whole.u, plan, limits)


def _row(
    step: float,
    pair: str,
    size: float,
    clearance: float,
    u: float,
    plan: PlannedSteps,
    limits: FitLimits | None,
) -> StepGives:
    tolerance = plan.tolerance_mm or 0.0
    reach = tolerance + 2 * u
    within = None
    if limits is not None and plan.tolerance_mm:
        low, high = limits.bounds.ends
        spread = NormalAndRanges(clearance, u, (tolerance,))
        within = spread.below(high) - spread.below(low)
    return StepGives(step, pair, size, clearance, clearance - reach, clearance + reach, within)
