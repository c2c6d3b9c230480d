"""A normal distribution with any number of even ranges added to it: the sum's distribution, exactly."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import exp, hypot, isfinite, pi, prod, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below

_MOST_RANGES = 8
# A range below this share of the widest part is taken as normal: its shape no longer shows in the sum.
_TOO_NARROW = 0.03
# Beyond so many standard deviations nothing of a normal distribution is left in a float.
_FAR = 9.0


@dataclass(frozen=True, slots=True)
class NormalAndRanges:
    """A sum of one normal and several evenly spread values, all independent.

    Parameters
    ----------
    middle : float
        The mean of the sum.
    u : float
        The standard deviation of the normal part; 0 where there is none.
    half_widths : tuple of float
        Half of the width of each range.

    Raises
    ------
    InvalidInput
        A figure that is negative or not finite, or more than eight ranges.
    """

    middle: float
    u: float
    half_widths: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        figures = (self.u, *self.half_widths)
        if not isfinite(self.middle) or not all(isfinite(one) and one >= 0 for one in figures):
            raise InvalidInput("spread", needs="finite figures, none of them negative", came="others")
        if len(self.half_widths) > _MOST_RANGES:
            raise InvalidInput("ranges", needs=f"at most {_MOST_RANGES}", came=f"{len(self.half_widths)}")

    def below(self, value: float) -> float:
        """Give the share of the sum that lies below a value.

        Parameters
        ----------
        value : float
            In the unit of the sum.

        Returns
        -------
        float
            From 0 to 1.

        Notes
        -----
        Σ ± Iₙ(z ± a₁ ± … ± aₙ) / Π 2aᵢ with Iₙ the n-th integral of the normal distribution function, in
        standard deviations: I₀ = Φ, I₁ = z Φ + φ, Iₙ = (z Iₙ₋₁ + Iₙ₋₂) / n. Ranges narrower than 3 % of the
        widest part are taken as normal.
        """
        widest = max((self.u, *self.half_widths))
        wide = [one for one in self.half_widths if one > _TOO_NARROW * widest]
        narrow = [one / sqrt(3) for one in self.half_widths if one <= _TOO_NARROW * widest]
        sigma = hypot(self.u, *narrow)
        away = value - self.middle
        if abs(away) >= sum(wide) + _FAR * sigma:
            return 1.0 if away >= 0 else 0.0
        # Without a normal part, one too small to show stands in for it, so that one formula holds.
        sigma = max(sigma, _TOO_NARROW / 30 * widest)
        halves = [one / sigma for one in wide]
        if not halves:
            return normal_below(away / sigma)
        # By symmetry from the nearer tail, where the integrals are small and lose no digits.
        z = -abs(away) / sigma
        corners = (
            prod(signs)
            * _repeated_integral(z + sum(s * a for s, a in zip(signs, halves, strict=True)), len(halves))
            for signs in product((1, -1), repeat=len(halves))
        )
        tail = min(1.0, max(0.0, sum(corners) / prod(2 * one for one in halves)))
        return tail if away <= 0 else 1.0 - tail


def _repeated_integral(z: float, times: int) -> float:
    """The normal distribution function integrated so many times from minus infinity."""
    if z < -_FAR:
        return 0.0
    before, now = exp(-0.5 * z * z) / sqrt(2 * pi), normal_below(z)
    for order in range(1, times + 1):
        before, now = now, (z * now + before) / order
    return now
