"""What a rule of acceptance lets through and throws away, over all that a process makes."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds, Prior, prior_cuts
from runningfit.core.measurements.conformity.chances import chances
from runningfit.core.measurements.conformity.integral import integral
from runningfit.core.measurements.uncertainty.measured import Measured

_SPANS = (-8, -5, -3, -2, -1, 0, 1, 2, 3, 5, 8)


@dataclass(frozen=True, slots=True)
class Risks:
    """How often a rule of acceptance errs.

    Parameters
    ----------
    consumer : float
        The probability that a piece is accepted and does not conform [-].
    producer : float
        The probability that a piece is refused and conforms [-].
    """

    consumer: float
    producer: float


def risks(process: Prior, gauge_u: float, bounds: Bounds, accepted: Bounds) -> Risks:
    """Give how often a rule of acceptance errs, over all that a process makes.

    Parameters
    ----------
    process : NormalPrior or GammaPrior
        How the values lie that the process makes.
    gauge_u : float
        The standard uncertainty of the gauge, in the unit of the value.
    bounds : Bounds
        The limits that the value must keep.
    accepted : Bounds
        The limits that the reading must keep.

    Returns
    -------
    Risks
        The consumer's and the producer's risk.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing.

    Notes
    -----
    R_C = ∫ outside g(η) P(accepted | η) dη, R_P = ∫ inside g(η) P(refused | η) dη (JCGM 106:2012, 9.5.2,
    equations (17) and (19), from memory).
    """

    def let_through(x: float) -> float:
        return process.density(x) * chances(Measured(x, gauge_u), accepted).inside

    def thrown_away(x: float) -> float:
        return process.density(x) * chances(Measured(x, gauge_u), accepted).outside

    of_process = prior_cuts(process)
    first, last = of_process[0], of_process[-1]
    low, high = bounds.ends
    edges = [end + span * gauge_u for end in accepted.ends for span in _SPANS]
    cuts = sorted(cut for cut in {*of_process, low, high, *edges} if first <= cut <= last)
    consumer = integral(let_through, [cut for cut in cuts if cut <= low]) + integral(
        let_through, [cut for cut in cuts if cut >= high]
    )
    producer = integral(thrown_away, [cut for cut in cuts if low <= cut <= high])
    return Risks(consumer, producer)


def guard_for_risk(process: Prior, gauge_u: float, bounds: Bounds, most: float) -> float:
    """Give the guard band that keeps the consumer's risk down.

    Parameters
    ----------
    process : NormalPrior or GammaPrior
        How the values lie that the process makes.
    gauge_u : float
        The standard uncertainty of the gauge, in the unit of the value.
    bounds : Bounds
        The limits that the value must keep.
    most : float
        The largest risk allowed [-].

    Returns
    -------
    float
        By how much each limit must be drawn in for the readings; negative where it may be drawn out.

    Raises
    ------
    InvalidInput
        A risk that is not more than 0 and less than 0.5, or one that no guard band reaches.

    Notes
    -----
    By halving, to a millionth of the uncertainty.
    """
    if not 0 < most < 0.5:
        raise InvalidInput("risk", needs="more than 0 and less than 0.5, such as 0.001", came=f"{most:g}")

    def risk(guard: float) -> float:
        lower = None if bounds.lower is None else bounds.lower + guard
        upper = None if bounds.upper is None else bounds.upper - guard
        return risks(process, gauge_u, bounds, Bounds(lower, upper)).consumer

    low, high = -8 * gauge_u, 8 * gauge_u
    if bounds.lower is not None and bounds.upper is not None:
        high = min(high, (bounds.upper - bounds.lower) / 2 * (1 - 1e-6))
    if risk(high) > most:
        raise InvalidInput(
            "risk",
            needs="to be reachable with this gauge",
            came=f"{most:g}",
            remedy="It takes a better gauge.",
        )
    while high - low > 1e-6 * gauge_u:
        middle = 0.5 * (low + high)
        if risk(middle) > most:
            low = middle
        else:
            high = middle
    return high
