"""How likely a plated thread passes: sums of what is spread evenly and what is spread normally, exactly."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from runningfit.core.measurements.normal import normal_below, normal_once, normal_twice

# Below this a spread is nothing: a thousandth of a thousandth of a millimetre.
_NO_SPREAD_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Spread:
    """A size that is not known exactly: one of an even range, with a normal error about it.

    Parameters
    ----------
    low_mm, high_mm : float
        The even range [mm]; the same where there is none.
    u_mm : float
        Standard deviation of the normal error [mm].
    """

    low_mm: float
    high_mm: float
    u_mm: float = 0.0

    @property
    def mean_mm(self) -> float:
        """Its mean [mm]."""
        return (self.low_mm + self.high_mm) / 2

    def moved(self, by_mm: float, u_mm: float = 0.0) -> Spread:
        """The same, moved, with a further normal error."""
        return Spread(self.low_mm + by_mm, self.high_mm + by_mm, sqrt(self.u_mm**2 + u_mm**2))


def probability_below(size: Spread, limit_mm: float) -> float:
    """Probability that a size lies at or below a limit.

    Parameters
    ----------
    size : Spread
        The size.
    limit_mm : float
        The limit [mm].

    Returns
    -------
    float
        From 0 to 1.

    Notes
    -----
    The even range w and the normal error u: u/w [H((limit - low)/u) - H((limit - high)/u)], H the integral of
    the normal distribution.
    """
    width, u = size.high_mm - size.low_mm, size.u_mm
    if width < _NO_SPREAD_MM:
        if u < _NO_SPREAD_MM:
            return 1.0 if size.mean_mm <= limit_mm + _NO_SPREAD_MM else 0.0
        return normal_below((limit_mm - size.mean_mm) / u)
    if u < _NO_SPREAD_MM:
        return min(1.0, max(0.0, (limit_mm - size.low_mm) / width))
    share = (
        u / width * (normal_once((limit_mm - size.low_mm) / u) - normal_once((limit_mm - size.high_mm) / u))
    )
    return min(1.0, max(0.0, share))


def probability_smaller(one: Spread, other: Spread) -> float:
    """Probability that one size is no larger than another, the two not knowing of each other.

    Parameters
    ----------
    one, other : Spread
        The two sizes.

    Returns
    -------
    float
        From 0 to 1.

    Notes
    -----
    The difference of two even ranges with normal errors, by the second integral of the normal distribution.
    """
    wide, far = one.high_mm - one.low_mm, other.high_mm - other.low_mm
    u = sqrt(one.u_mm**2 + other.u_mm**2)
    if wide < _NO_SPREAD_MM or far < _NO_SPREAD_MM:
        # One even range at the most is left: its difference to the other's mean is evenly spread too.
        apart = Spread(one.low_mm - other.high_mm, one.high_mm - other.low_mm, u)
        return probability_below(apart, 0.0)
    # Without any error the four terms vanish one by one; a hair of it keeps them exact enough.
    u = max(u, 1e-4 * min(wide, far))
    lows, highs = other.low_mm - one.low_mm, other.high_mm - one.high_mm
    terms = (
        normal_twice((other.high_mm - one.low_mm) / u)
        - normal_twice(lows / u)
        - normal_twice(highs / u)
        + normal_twice((other.low_mm - one.high_mm) / u)
    )
    return min(1.0, max(0.0, u * u / (wide * far) * terms))
