"""How probably a clearance keeps its limits everywhere that it was read, by draws of all that is unsure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.clearance import Reading
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.uncertainty.columns import Columns, OwnError, evenly_from_0_to_1

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Array = NDArray[numpy.float64]

_GRID = 256
# Of the width of the limits: with this seven of ten are believed to lie within them before measuring.
_BELIEVED = 0.7


@dataclass(frozen=True, slots=True)
class FitAsRead:
    """A fit by all places where its parts were read.

    Parameters
    ----------
    around : tuple of Reading
        The hole, place by place.
    within : tuple of Reading
        The shaft, place by place; every place of the one may meet every place of the other.
    taken_off : tuple of (float, Reading)
        What else is taken off, with how often it counts, such as 2 for shells of one thickness.
    widened_mm : tuple of float
        The least and the largest by which fitting widens it [mm]; anywhere between is as likely.
    hot_mm : float or None
        By how much more the closest place has when it runs, at the careful end of metals and temperatures
        [mm]; none where no hot clearance is asked for.
    """

    around: tuple[Reading, ...]
    within: tuple[Reading, ...]
    taken_off: tuple[tuple[float, Reading], ...] = ()
    widened_mm: tuple[float, float] = (0.0, 0.0)
    hot_mm: float | None = None

    @property
    def readings(self) -> tuple[Reading, ...]:
        """All sizes in it."""
        return (*self.around, *self.within, *(one for _, one in self.taken_off))


@dataclass(frozen=True, slots=True)
class Throughout:
    """How a clearance keeps its limits over all places that were read.

    Parameters
    ----------
    inside : float
        The probability that it is within its limits at every place, and free when hot where that was asked
        [-].
    below : float
        That it is below the lower limit at its closest place [-].
    above : float
        That it is above the upper limit at its widest place [-].
    """

    inside: float
    below: float
    above: float


@lru_cache(maxsize=4096)
def kept_throughout(fit: FitAsRead, bounds: Bounds, *, made_to_them: bool = True) -> Throughout | None:
    """Give how probably a clearance keeps its limits everywhere that it was read.

    Parameters
    ----------
    fit : FitAsRead
        The sizes with their uncertainties.
    bounds : Bounds
        The limits of the clearance at 20 °C [mm].
    made_to_them : bool
        Whether parts of this sort were made to these limits, so that the clearance was to be expected about
        them before it was measured; a borrowed limit tells nothing of that.

    Returns
    -------
    Throughout or None
        The same each time for the same sizes; none where the uncertainty of a reading was not told.

    Raises
    ------
    InvalidInput
        No reading of the hole or of the shaft, or no uncertainty at all.

    Notes
    -----
    JCGM 101:2008 by 4096 stratified draws, good to about 0.005. What readings share moves them together; a
    gauge's step lies evenly, its scatter as Student's distribution; crush lies evenly between its ends.

    The smallest of several readings is on average too small, by what they scatter. So the places of a part
    are taken to lie about their mean with a form of any order of size, v = form² + scatter² with a density
    of 1/v, and each is drawn towards the mean by scatter²/v (James and Stein's rule with its doubt, from
    memory).

    Before measuring, seven of ten clearances are believed to lie within their limits, most about the middle
    m, with tails that give way to any sure reading: density 1/(1 + ((c - m)/0.7w)²)² for limits w apart
    (common practice, no source); with one limit alone, or ``made_to_them`` false, nothing is believed.
    """
    if not fit.around or not fit.within:
        raise InvalidInput("sizes", needs="a reading of the hole and one of the shaft", came="none")
    if any(one.u_mm is None for one in fit.readings):
        return None
    if not any(one.u_mm or one.shared for one in fit.readings):
        raise InvalidInput(
            "uncertainty", needs="more than nothing", came="0",
            remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
        )  # fmt: skip
    return _counted(*_ends(fit), fit.hot_mm, bounds, made_to_them=made_to_them)


def _counted(
    close: Array, wide: Array, hot_mm: float | None, bounds: Bounds, *, made_to_them: bool
) -> Throughout:
    import numpy

    low, high = bounds.ends
    weight = numpy.ones_like(close)
    if made_to_them and isfinite(high - low):
        away = ((close + wide) - (low + high)) / 2 / (_BELIEVED * (high - low))
        weight = (1 + away * away) ** -2
    whole = float(weight.sum())
    too_close, too_wide = close < low, wide > high
    kept = ~(too_close | too_wide)
    if hot_mm is not None:
        kept &= close + hot_mm > 0
    return Throughout(*(float(weight[one].sum()) / whole for one in (kept, too_close, too_wide)))


def _ends(fit: FitAsRead) -> tuple[Array, Array]:
    """Draw the clearance where it is closest and where it is widest."""
    draws = Columns()
    hole, shaft = _places(fit.around, draws), _places(fit.within, draws)
    low, high = fit.widened_mm
    other = (low + high) / 2 + (high - low) / 2 * draws.even()
    for times, one in fit.taken_off:
        other = other - times * _places((one,), draws)[0]
    close = hole.min(axis=0) - shaft.max(axis=0) + other
    wide = hole.max(axis=0) - shaft.min(axis=0) + other
    return close, wide


def _places(readings: Sequence[Reading], draws: Columns) -> Array:
    """Draw a part at each place where it was read."""
    import numpy

    own = numpy.stack(draws.own([OwnError(one.u_mm or 0.0, one.dof, one.even_mm) for one in readings]))
    sizes = numpy.array([one.mm for one in readings])[:, None]
    if len(readings) > 1:
        u = sqrt(sum((one.u_mm or 0.0) ** 2 for one in readings) / len(readings))
        if u > 0:
            towards, mean, about = _drawn_together(sizes, u, draws)
            own, sizes = numpy.sqrt(1 - towards) * own, sizes - towards * (sizes - mean) + about
    # Mostly all places of a part err by the same.
    together = {parts: draws.shared(parts) for parts in dict.fromkeys(one.shared for one in readings)}
    return numpy.asarray(sizes + own + numpy.stack([together[one.shared] for one in readings]))


def _drawn_together(sizes: Array, u: float, draws: Columns) -> tuple[Array, float, Array]:
    """Draw by how much the places are drawn to their mean, give that mean, and draw what it is off."""
    import numpy

    count, mean = len(sizes), float(sizes.mean())
    squares = float(((sizes - mean) ** 2).sum()) / u**2
    # By w = scatter/√v, of which all that is asked for is a smooth function.
    edges = (numpy.arange(_GRID) + 0.5) / _GRID
    logarithm = (count - 2) * numpy.log(edges) - edges**2 * squares / 2
    density = numpy.exp(logarithm - logarithm.max())
    below = numpy.concatenate(([0.0], numpy.cumsum(density)))
    in_order = numpy.interp(evenly_from_0_to_1() * below[-1], below, numpy.arange(_GRID + 1) / _GRID)
    share = draws.shuffled(in_order)
    return share**2, mean, share * u / sqrt(count) * draws.normal()
