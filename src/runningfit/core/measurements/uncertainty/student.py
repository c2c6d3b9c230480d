"""Student's distribution in plain floats, so that a command answers at once."""

from __future__ import annotations

from functools import lru_cache
from math import exp, isfinite, lgamma, log, log1p, pi
from statistics import NormalDist

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below

_NORMAL = NormalDist()
_TINY = 1e-300
# Beyond this the two distributions agree to all digits of a float that mean anything here.
_AS_NORMAL = 1e8


def _continued_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function by Lentz's method."""
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1)
    d = 1.0 / (d if abs(d) > _TINY else _TINY)
    whole = d
    for m in range(1, 400):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + term * d
            c = 1.0 + term / c
            d = 1.0 / (d if abs(d) > _TINY else _TINY)
            c = c if abs(c) > _TINY else _TINY
            step = d * c
            whole *= step
        if abs(step - 1.0) < 1e-15:
            break
    return whole


def _beta_share(a: float, b: float, x: float, rest: float) -> float:
    """The regularised incomplete beta function; `rest` is 1 - x, kept apart for its digits."""
    if x <= 0.0 or rest <= 0.0:
        return 0.0 if x <= 0.0 else 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(rest))
    if x < (a + 1) / (a + b + 2):
        return front * _continued_fraction(a, b, x) / a
    return 1.0 - front * _continued_fraction(b, a, rest) / b


def check_dof(dof: float) -> float:
    """Refuse degrees of freedom that cannot be.

    Parameters
    ----------
    dof : float
        Degrees of freedom [-]; infinite where the uncertainty itself is taken as exact.

    Returns
    -------
    float
        The same.

    Raises
    ------
    InvalidInput
        It is less than one, or no number.
    """
    if not dof >= 1:
        raise InvalidInput(
            "degrees of freedom",
            needs="one or more",
            came=f"{dof:g}",
            remedy="Two readings leave one degree of freedom, n readings n - 1.",
        )
    return dof


def student_below(x: float, dof: float) -> float:
    """Give the share of Student's distribution that lies below a value.

    Parameters
    ----------
    x : float
        The value [-], in standard uncertainties.
    dof : float
        Degrees of freedom [-]; infinite is the normal distribution.

    Returns
    -------
    float
        From 0 to 1.

    Raises
    ------
    InvalidInput
        Fewer than one degree of freedom.

    Notes
    -----
    1 - I(ν/(ν + t²); ν/2, 1/2)/2 for t > 0 (JCGM 100:2008, annex G.3, from memory).
    """
    if check_dof(dof) > _AS_NORMAL:
        return normal_below(x)
    whole = dof + x * x
    if not isfinite(whole):
        return 0.0 if x < 0 else 1.0
    tail = 0.5 * _beta_share(dof / 2, 0.5, dof / whole, x * x / whole)
    return tail if x < 0 else 1.0 - tail


# It is sought step by step, and the points of a sheet have few degrees of freedom that differ.
@lru_cache(maxsize=4096)
def student_quantile(probability: float, dof: float) -> float:
    """Give the value below which a share of Student's distribution lies.

    Parameters
    ----------
    probability : float
        The share [-], between 0 and 1.
    dof : float
        Degrees of freedom [-].

    Returns
    -------
    float
        In standard uncertainties.

    Raises
    ------
    InvalidInput
        A share that is not between 0 and 1, or fewer than one degree of freedom.
    """
    if not 0 < probability < 1:
        raise InvalidInput("probability", needs="more than 0 and less than 1", came=f"{probability:g}")
    if check_dof(dof) > _AS_NORMAL:
        return _NORMAL.inv_cdf(probability)
    if probability > 0.5:
        return -student_quantile(1 - probability, dof)
    if probability == 0.5:
        return 0.0
    low = -1.0
    while student_below(low, dof) > probability:
        low *= 2
    high = 0.0
    while high - low > 1e-14 * -low:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if student_below(middle, dof) > probability:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def student_density(x: float, dof: float) -> float:
    """Give the density of Student's distribution at a value.

    Parameters
    ----------
    x : float
        The value [-], in standard uncertainties.
    dof : float
        Degrees of freedom [-]; infinite is the normal distribution.

    Returns
    -------
    float
        The density [-].
    """
    if check_dof(dof) > _AS_NORMAL:
        return _NORMAL.pdf(x)
    front = lgamma((dof + 1) / 2) - lgamma(dof / 2) - 0.5 * log(dof * pi)
    return exp(front - (dof + 1) / 2 * log1p(x * x / dof))
