"""The normal distribution and its integrals, of which sums with even ranges are made."""

from __future__ import annotations

from math import erfc, exp, pi, sqrt

_ROOT_2, _ROOT_2_PI = sqrt(2), sqrt(2 * pi)
# A half-width of 95 %, and the width from the 5th to the 95th percentile, in standard deviations.
SIGMAS_95 = 1.959963984540054
SIGMAS_5_TO_95 = 2 * 1.6448536269514722


def normal_below(value: float) -> float:
    """Give the share of a normal distribution that lies below a value.

    Parameters
    ----------
    value : float
        In standard deviations from the mean [-].

    Returns
    -------
    float
        From 0 to 1, exact in the lower tail.
    """
    return 0.5 * erfc(-value / _ROOT_2)


def _density(value: float) -> float:
    return exp(-0.5 * value * value) / _ROOT_2_PI


def normal_once(value: float) -> float:
    """Give the integral of the normal distribution function up to a value.

    Parameters
    ----------
    value : float
        In standard deviations from the mean [-].

    Returns
    -------
    float
        x Φ(x) + φ(x); its difference over a stretch is the mean of Φ there times the stretch.
    """
    return value * normal_below(value) + _density(value)


def normal_twice(value: float) -> float:
    """Give the integral of `normal_once` up to a value.

    Parameters
    ----------
    value : float
        In standard deviations from the mean [-].

    Returns
    -------
    float
        ((x² + 1) Φ(x) + x φ(x)) / 2.
    """
    return 0.5 * ((value * value + 1) * normal_below(value) + value * _density(value))
