"""How probably a value lies below, within and above its limits, now that it was measured (JCGM 106)."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, inf, isfinite, sqrt
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds, NormalPrior, Prior, prior_cuts
from runningfit.core.measurements.conformity.integral import integral
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.student import student_below, student_density, student_quantile

_SPANS = (0.5, 1, 2, 3, 5, 8, 12, 40)
# Of the density that a prior has in its middle, less than this share leaves no room for what was measured.
_NO_ROOM = 1e-12


@dataclass(frozen=True, slots=True)
class Chances:
    """Where a value lies, as probabilities that sum to one.

    Parameters
    ----------
    below, inside, above : float
        The probability of each [-].
    """

    below: float
    inside: float
    above: float

    @property
    def outside(self) -> float:
        """The probability that it does not conform, exact where it is small."""
        return self.below + self.above


def check_uncertain(measured: Measured) -> Measured:
    """Refuse a measured value without uncertainty: no gauge is exact, and no chance follows from it.

    Parameters
    ----------
    measured : Measured
        The value.

    Returns
    -------
    Measured
        The same.

    Raises
    ------
    InvalidInput
        Its uncertainty is nothing.
    """
    if measured.u == 0:
        raise InvalidInput(
            "uncertainty",
            needs="more than nothing",
            came="0",
            remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
        )
    return measured


def chances(measured: Measured, bounds: Bounds, prior: Prior | None = None) -> Chances:
    """Give how probably a measured value lies below, within and above its limits.

    Parameters
    ----------
    measured : Measured
        The value, its standard uncertainty and degrees of freedom.
    bounds : Bounds
        The limits.
    prior : NormalPrior or GammaPrior or None
        What was believed before; none is nothing at all, a flat prior.

    Returns
    -------
    Chances
        The three probabilities.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing, or a prior that all but rules out what was measured.

    Notes
    -----
    JCGM 106:2012, 7.2 to 7.4: with a flat prior the value lies around the estimate as Student's distribution
    of its degrees of freedom; with a prior, by Bayes' rule (6.2). Clause numbers from memory; the tests
    hold the probabilities against the published example of 9.5.4 and against scipy.
    """
    check_uncertain(measured)
    low, high = bounds.ends
    if isinstance(prior, NormalPrior) and not isfinite(measured.dof):
        return chances(_weighed(measured, prior), bounds)
    if prior is not None:
        return _by_bayes(measured, bounds, prior)
    below = student_below((low - measured.value) / measured.u, measured.dof) if low > -inf else 0.0
    above = student_below((measured.value - high) / measured.u, measured.dof) if high < inf else 0.0
    return Chances(below, max(0.0, 1.0 - below - above), above)


def _weighed(measured: Measured, prior: NormalPrior) -> Measured:
    """Estimate and prior weighed by their certainty (JCGM 106:2012, A.4.4, clause number from memory)."""
    if exp(-0.5 * disagreement(measured, prior) ** 2) <= _NO_ROOM:
        _refuse_prior(measured, prior)
    share = prior.deviation**2 / (prior.deviation**2 + measured.u**2)
    middle = prior.middle + share * (measured.value - prior.middle)
    return Measured(middle, measured.u * sqrt(share))


def disagreement(measured: Measured, prior: Prior) -> float:
    """Give how far a measured value lies from what was believed before.

    Parameters
    ----------
    measured : Measured
        The value with its standard uncertainty.
    prior : NormalPrior or GammaPrior
        What was believed.

    Returns
    -------
    float
        In standard deviations of what a reading was to be expected at: prior and gauge together [-].
    """
    return abs(measured.value - prior.middle) / hypot(prior.deviation, measured.u)


def _refuse_prior(measured: Measured, prior: Prior) -> NoReturn:
    raise InvalidInput(
        "prior",
        needs="to leave room for what was measured",
        came=f"{measured.value:g} against a prior around {prior.middle:g}",
        remedy="The reading or the prior is wrong: measure again, or judge without a prior.",
    )


def _by_bayes(measured: Measured, bounds: Bounds, prior: Prior) -> Chances:
    """Any prior and any degrees of freedom, by integrating."""

    def weight(x: float) -> float:
        return prior.density(x) * student_density((x - measured.value) / measured.u, measured.dof)

    of_prior = prior_cuts(prior)
    first, last = of_prior[0], of_prior[-1]
    around = [measured.value + sign * span * measured.u for span in _SPANS for sign in (-1, 1)]
    cuts = [first, last, *of_prior, measured.value, *around, *bounds.ends]
    cuts = sorted(cut for cut in set(cuts) if first <= cut <= last)
    low, high = bounds.ends
    below = integral(weight, [cut for cut in cuts if cut <= low]) if low > first else 0.0
    above = integral(weight, [cut for cut in cuts if cut >= high]) if high < last else 0.0
    inside = integral(weight, [cut for cut in cuts if low <= cut <= high])
    whole = below + inside + above
    if whole <= _NO_ROOM / prior.deviation:
        _refuse_prior(measured, prior)
    return Chances(below / whole, inside / whole, above / whole)


def guard_band(measured: Measured, wanted: float) -> float:
    """Give how far within a limit an estimate must lie so that the value conforms with a probability.

    Parameters
    ----------
    measured : Measured
        Its standard uncertainty and degrees of freedom; the value is not looked at.
    wanted : float
        The probability wanted [-], 0.5 or more.

    Returns
    -------
    float
        The width of the guard band, in the unit of the value; nothing at 0.5, which is simple acceptance.

    Raises
    ------
    InvalidInput
        A probability that is not 0.5 to less than 1.

    Notes
    -----
    w = t u, one-sided (JCGM 106:2012, 8.3.2, clause number from memory); 1.645 u at 0.95, as
    ISO 14253-1:2017 takes it (secondary source: a calibration laboratory's note).
    """
    return student_quantile(check_wanted_share(wanted), measured.dof) * check_uncertain(measured).u


def check_wanted_share(wanted: float) -> float:
    """Refuse a probability that no rule of decision can ask for.

    Parameters
    ----------
    wanted : float
        The probability wanted [-].

    Returns
    -------
    float
        The same.

    Raises
    ------
    InvalidInput
        It is below 0.5, or 1 or more.
    """
    if not 0.5 <= wanted < 1:
        raise InvalidInput(
            "probability wanted", needs="0.5 to less than 1, such as 0.95", came=f"{wanted:g}",
            remedy="Write 0.95 for 95 %; 1 is never reached.",
        )  # fmt: skip
    return wanted
