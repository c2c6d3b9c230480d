"""How probable a reading is: a diameter made within its tolerance, then worn, plated and measured."""

from __future__ import annotations

import math
from dataclasses import dataclass

from runningfit.core.pieces.identification.arithmetic import Arithmetic, Number

_ROOT_TWO_PI = math.sqrt(2 * math.pi)


@dataclass(frozen=True, slots=True)
class Wear:
    """A share of all pieces that has lost, on average, so much by wear, exponentially distributed.

    Parameters
    ----------
    mean_mm : float
        Mean loss [mm]; 0 for pieces as made.
    share : float
        Share of the pieces, 0 to 1.
    """

    mean_mm: float
    share: float


@dataclass(frozen=True, slots=True)
class Growth:
    """A share of all pieces that has grown by plating, normally distributed.

    Parameters
    ----------
    mean_mm, spread_mm : float
        Mean growth of the diameter and its standard deviation [mm].
    share : float
        Share of the pieces, 0 to 1.
    """

    mean_mm: float
    spread_mm: float
    share: float


@dataclass(frozen=True, slots=True)
class Band:
    """Where a dimension lies when it is made, and how it changes afterwards.

    Parameters
    ----------
    limits_mm : tuple of (float, float, float)
        Lowest and highest value [mm] and share of each class it may have been made to; within a class every
        value is as probable as any other.
    wears_down : bool
        Whether wear makes it smaller (a bolt) or larger (a nut); plating does the opposite.
    wear : tuple of Wear
        Kinds of wear; the shares come to 1.
    growth : tuple of Growth
        Plated and bare; the shares come to 1.
    edges : tuple of (float, float)
        Where the density of the dimension as made steps [mm], with its sign changed for a nut, and by how
        much [1/mm]; `band` works it out.
    """

    limits_mm: tuple[tuple[float, float, float], ...]
    wears_down: bool
    wear: tuple[Wear, ...]
    growth: tuple[Growth, ...]
    edges: tuple[tuple[float, float], ...]


def band(
    limits_mm: tuple[tuple[float, float, float], ...],
    *,
    wears_down: bool,
    wear: tuple[Wear, ...],
    growth: tuple[Growth, ...],
) -> Band:
    """Make a band of the limits of its classes.

    Parameters
    ----------
    limits_mm : tuple of (float, float, float)
        Lowest and highest value [mm] and share of each class.
    wears_down : bool
        Whether wear makes the dimension smaller.
    wear : tuple of Wear
        Kinds of wear.
    growth : tuple of Growth
        Plated and bare.

    Returns
    -------
    Band
        With the steps of its density.
    """
    steps: dict[float, float] = {}
    for low, high, share in limits_mm:
        step = share / (high - low)
        first, last = (low, high) if wears_down else (-high, -low)
        steps[first] = steps.get(first, 0.0) + step
        steps[last] = steps.get(last, 0.0) - step
    edges = tuple((place, step) for place, step in steps.items() if step)
    return Band(limits_mm, wears_down, wear, growth, edges)


def normal_density(x: Number, u: Number, arithmetic: Arithmetic[Number]) -> Number:
    """Give the density of a normal error.

    Parameters
    ----------
    x : float or array
        The error [mm].
    u : float or array
        Its standard uncertainty [mm].
    arithmetic : Arithmetic
        For one number or for columns.

    Returns
    -------
    float or array
        Density [1/mm].
    """
    z = x / u
    return arithmetic.exp(-0.5 * z * z) / (u * _ROOT_TWO_PI)


def band_density(x: Number, u: Number, made: Band, arithmetic: Arithmetic[Number]) -> Number:
    """Give the density of a reading of a dimension that lies in a band.

    Parameters
    ----------
    x : float or array
        The reading [mm].
    u : float or array
        Its standard uncertainty [mm].
    made : Band
        Where the dimension was made, and how it changed.
    arithmetic : Arithmetic
        For one number or for columns.

    Returns
    -------
    float or array
        Density [1/mm], not negative.

    Notes
    -----
    Made evenly between the limits of a class, less an exponential wear of mean m, read with a normal error u:
    the sum over the edges of the classes of step times Phi(z) + exp(y/m + u²/2m²) Phi(-z - u/m), where y is
    the distance from the edge and z = y/u; the exponentially modified normal distribution, mirrored.
    """
    value = x if made.wears_down else -x
    density = 0.0 * value
    for growth in made.growth:
        wide = arithmetic.root(u * u + growth.spread_mm**2) if growth.spread_mm else u
        for place, step in made.edges:
            y = value - (place + growth.mean_mm)
            z = y / wide
            stays = arithmetic.below(z)
            for wear in made.wear:
                if wear.mean_mm:
                    by_mean = wide / wear.mean_mm
                    exponent = by_mean * (z + 0.5 * by_mean) + arithmetic.log_below(-z - by_mean)
                    stays = stays + wear.share * arithmetic.exp(exponent)
            density = density + (growth.share * step) * stays
    return arithmetic.at_least(density, 0.0)
