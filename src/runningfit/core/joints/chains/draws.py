"""A chain by draws: what its gap does when the contributors are not normal and the sum is not either."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.chains.chain import Chain, ChainAnswer, Shape, shared_errors_mm

DRAWS = 1_000_000
_AT_ONCE = 1 << 15
_MOST_DRAWS = 100_000_000
_SEED = 286


@dataclass(frozen=True, slots=True)
class DrawnGap:
    """The gap by draws.

    Parameters
    ----------
    draws : int
        How many.
    mean_mm, sigma_mm : float
        Mean and standard deviation of the gap [mm].
    low_mm, high_mm : float
        The middle 95 % of it [mm].
    probability_within : float or None
        The share within the limits, where there are any.
    u_probability : float or None
        The standard error of that share, for so many draws.
    """

    draws: int
    mean_mm: float
    sigma_mm: float
    low_mm: float
    high_mm: float
    probability_within: float | None
    u_probability: float | None


def draw_chain(chain: Chain, solved: ChainAnswer, draws: int = DRAWS) -> DrawnGap:
    """Draw a chain's contributors and add them up.

    Parameters
    ----------
    chain : Chain
        Gap and contributors.
    solved : ChainAnswer
        What it comes to, for the shim chosen.
    draws : int
        How many, 1000 to 100 million.

    Returns
    -------
    DrawnGap
        The same each time for the same chain.

    Raises
    ------
    InvalidInput
        So many draws cannot be made.

    Notes
    -----
    JCGM 101:2008. Normal contributors, and what gauges err by, add up to one normal draw exactly, of which
    the variance is their sum; even and triangular ones are drawn one by one. Draws in single precision about
    the middle, sums good to 1e-6 of the spread.
    """
    import numpy

    if not 1000 <= draws <= _MOST_DRAWS:
        raise InvalidInput("draws", needs=f"1000 to {_MOST_DRAWS:,}", came=f"{draws:,}")
    # Fixed, so that the same chain always has the same answer.
    random = numpy.random.Generator(numpy.random.SFC64(_SEED))
    single = numpy.float32
    off = numpy.zeros(draws, dtype=single)
    normal_mm = sqrt(
        sum((one.factor * one.sigma_mm) ** 2 for one in chain.contributors if _is_normal(one.shape, one.u_mm))
        + sum(sigma_mm**2 for _, sigma_mm in shared_errors_mm(chain).values())
    )
    bounded = [
        (single(one.factor * one.half_mm), one.shape is Shape.TRIANGULAR)
        for one in chain.contributors
        if not _is_normal(one.shape, one.u_mm) and one.half_mm
    ]
    buffer = numpy.empty(min(draws, _AT_ONCE), dtype=single)
    for start in range(0, draws, _AT_ONCE):
        part = off[start : start + _AT_ONCE]
        drawn = buffer[: len(part)]
        if normal_mm:
            random.standard_normal(out=drawn, dtype=single)
            numpy.multiply(drawn, single(normal_mm), out=part)
        for half, triangular in bounded:
            # A triangle is the sum of two even spreads of half its width.
            reach = half / single(2) if triangular else half
            for _ in range(2 if triangular else 1):
                random.random(out=drawn, dtype=single)
                drawn *= single(2) * reach
                drawn -= reach
                part += drawn
    mean_mm = solved.mean_mm + float(off.mean(dtype=float))
    sigma_mm = float(off.std(dtype=float))
    within = None
    if chain.lower_mm is not None or chain.upper_mm is not None:
        low = -numpy.inf if chain.lower_mm is None else chain.lower_mm - solved.mean_mm
        high = numpy.inf if chain.upper_mm is None else chain.upper_mm - solved.mean_mm
        within = float(numpy.count_nonzero((off >= low) & (off <= high))) / draws
    ranks = (int(0.025 * draws), int(0.975 * draws))
    off.partition(ranks)
    return DrawnGap(
        draws=draws,
        mean_mm=mean_mm,
        sigma_mm=sigma_mm,
        low_mm=solved.mean_mm + float(off[ranks[0]]),
        high_mm=solved.mean_mm + float(off[ranks[1]]),
        probability_within=within,
        u_probability=None if within is None else sqrt(max(within * (1 - within), 1 / draws) / draws),
    )


def _is_normal(shape: Shape, u_mm: float | None) -> bool:
    return shape is Shape.NORMAL or u_mm is not None
