"""The decision on a measured value: inside its limits, outside, or not proven."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.measurements.conformity.bounds import Bounds, Prior
from runningfit.core.measurements.conformity.chances import (
    Chances,
    chances,
    check_wanted_share,
    disagreement,
    guard_band,
)
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import LengthUnit, SaidLength, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# ISO 14253-1:2017 asks for 95 % unless something else was agreed (secondary source).
USUAL_WANTED = 0.95
# A reading this many deviations from what was believed speaks against the belief (common practice, no
# source).
_DISAGREES = 4.0
_CLAUSES = "JCGM 106:2012, 7.2 to 7.4 and 8.3.2, clause numbers from memory"


class Decision(StrEnum):
    """What is shown of a value against its limits."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    NOT_PROVEN = "not_proven"


_OUTCOMES = {
    Decision.INSIDE: Outcome.SOUND,
    Decision.OUTSIDE: Outcome.NOT_SOUND,
    Decision.NOT_PROVEN: Outcome.NOT_PROVEN,
}


@dataclass(frozen=True, slots=True)
class Conformity:
    """A measured value held against its limits.

    Parameters
    ----------
    decision : Decision
        What is shown.
    chances : Chances
        How probably it lies below, within and above.
    guard_band : float
        How far within a limit an estimate must lie to be shown inside, in the unit of the value.
    verdict : Verdict
        The same as a verdict, with reasons and cautions.
    """

    decision: Decision
    chances: Chances
    guard_band: float
    verdict: Verdict


def decide(
    measured: Measured,
    bounds: Bounds,
    *,
    prior: Prior | None = None,
    wanted: float = USUAL_WANTED,
    unit: str = "",
) -> Conformity:
    """Decide whether a measured value lies within its limits.

    Parameters
    ----------
    measured : Measured
        The value, its standard uncertainty and degrees of freedom.
    bounds : Bounds
        The limits: those of a new part, or the wear limits; which is for the asker to know.
    prior : NormalPrior or GammaPrior or None
        What was believed before; none is a flat prior.
    wanted : float
        How probable inside, or outside on one side, must be to be shown [-]; 0.5 is simple acceptance.
    unit : str
        The unit of the value, for the reasons.

    Returns
    -------
    Conformity
        The decision with its probabilities.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing, a probability that cannot be asked for, or a prior against all readings.

    Notes
    -----
    JCGM 106:2012, clauses 7 and 8 (from memory); ISO 14253-1:2017 has the same three answers. Outside is
    shown on one side only: a gauge that is merely too coarse shows nothing. A prior that disagrees with the
    reading by more than four deviations cannot make a pass.
    """
    check_wanted_share(wanted)
    found = chances(measured, bounds, prior)
    decision = Decision.NOT_PROVEN
    disagrees = prior is not None and disagreement(measured, prior) > _DISAGREES
    if found.inside >= wanted and not disagrees:
        decision = Decision.INSIDE
    elif shown_outside(found, wanted):
        decision = Decision.OUTSIDE
    band = guard_band(measured, wanted)
    before: tuple[SentencePart, ...] = ("nothing was believed before",)
    if prior is not None:
        before = ("the prior was around ", *_figure(prior.middle, "g", unit))
    reasons = [
        Reason.of(
            *(*_figure(measured.value, ".7g", unit, bare=True), " ± ", *_figure(measured.u, ".2g", unit)),
            *(" (standard uncertainty) against ", *_limits_said(bounds, unit)),
            f": within with {percent(found.inside)}, below with {percent(found.below)}, above with "
            f"{percent(found.above)}; ",
            *(*before, "."),
            source=_CLAUSES,
        ),
        Reason.of(
            f"Wanted are {percent(wanted)}. Without a prior a value at least ",
            *(*_figure(band, ".2g", unit), " within a limit, the other being far, reaches it."),
            source=_CLAUSES,
        ),
    ]
    cautions = _cautions(measured, bounds, decision, disagrees=disagrees)
    probability = found.outside if decision is Decision.OUTSIDE else found.inside
    verdict = Verdict(
        _OUTCOMES[decision], measured.value, unit, measured.u, probability, tuple(reasons), cautions
    )
    return Conformity(decision, found, band, verdict)


def shown_outside(found: Chances, wanted: float) -> bool:
    """Say whether a value is shown to lie outside its limits, on one side of them.

    Parameters
    ----------
    found : Chances
        Where it lies.
    wanted : float
        How probable that must be [-].

    Returns
    -------
    bool
        Whether below or above alone is probable enough.
    """
    return max(found.below, found.above) >= wanted


def percent(share: float) -> str:
    """Write a probability for a reader, never as certain.

    Parameters
    ----------
    share : float
        The probability [-].

    Returns
    -------
    str
        Such as `97.3 %`, `less than 0.1 %`, `more than 99.9 %`.
    """
    if share < 0.001:
        return "less than 0.1 %"
    return "more than 99.9 %" if share > 0.999 else f"{share * 100:.1f} %"


def _figure(value: float, form: str, unit: str, *, bare: bool = False) -> tuple[SentencePart, ...]:
    """Write a figure with its unit; a length so that it can be said in inches."""
    if unit == LengthUnit.MM:
        return (SaidLength(value, 0, bare=bare, form=form),)
    return (f"{value:{form}}" + (f" {unit}" if unit and not bare else ""),)


def _limits_said(bounds: Bounds, unit: str) -> tuple[SentencePart, ...]:
    if bounds.lower is not None and bounds.upper is not None:
        low = _figure(bounds.lower, ".7g", unit, bare=True)
        return (*low, " to ", *_figure(bounds.upper, ".7g", unit))
    word, end = ("at most ", bounds.upper) if bounds.lower is None else ("at least ", bounds.lower)
    return (word, *_figure(end or 0.0, ".7g", unit))


def _cautions(
    measured: Measured, bounds: Bounds, decision: Decision, *, disagrees: bool
) -> tuple[Caution, ...]:
    found = []
    if disagrees:
        found.append(
            Caution("The reading disagrees with what was believed before: read it again, or judge without.")
        )
    if bounds.lower is not None and bounds.upper is not None and bounds.upper - bounds.lower < 4 * measured.u:
        found.append(
            Caution("The limits are closer than four standard uncertainties: this gauge can hardly show it.")
        )
    if decision is Decision.NOT_PROVEN:
        found.append(Caution("Not proven is not a pass: measure again, or with a better gauge."))
    return tuple(found)
