"""How bores and journals wear: forms of wear to weigh against the readings (common practice, no source)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# How many forms are weighed, of which the first three numbers tell the shape that an engine's bores share.
FORMS, _COLUMNS, _SHAPE = 1024, 6, 3
# So many shapes of an engine are weighed; its bores keep to one give or take so much of the whole range.
SHAPES, _ALIKE = 64, 0.12
# A bore's wear is worst where the top ring turns, just below the ridge where it is read first. It dies away
# within a sixth of the length read, or hardly within it, to at most half of itself; in one engine of five
# only towards the bottom.
_FADE_LEAST, _FADE_RATIO, _REST_MOST, _LATE = 0.15, 10.0, 0.5, 0.2
# A journal's wear may be a cone that loses half of its mean at one end, and a barrel or waist by a tenth.
_CONE, _BARREL = 0.5, 0.1
# Directions square to each other are read along and across the wear, give or take something between these.
_ASKEW_LEAST_DEG, _ASKEW_MOST_DEG = 4.0, 12.0


class Wearing(StrEnum):
    """What wears a bore or journal, and so in which form."""

    RINGS = "piston rings, most at the top"
    JOURNAL = "a bearing, all along"
    GUIDE = "a stem or pin, most at the mouths"
    STEM = "a guide, where it runs"
    HELD = "nothing runs in it: it is only drawn out of shape"


@dataclass(frozen=True, slots=True, eq=False)
class WearForms:
    """Forms of wear, each with 1 where it is worst.

    Parameters
    ----------
    at_mm : array of float, forms by places
        What each form takes off, or adds to, the diameter at the places, for one millimetre of wear [mm].
    turn_rad : array of float
        In which direction each form is worn most [rad].
    steep : array of float
        By what share each form is worn more above the least depth, for each length read [-].
    """

    at_mm: Floats
    turn_rad: Floats
    steep: Floats


def wear_forms(
    grid: Floats,
    directions_deg: tuple[float, ...],
    outward: int,
    wearing: Wearing = Wearing.RINGS,
    read_mm: tuple[float, float] | None = None,
) -> WearForms:
    """Give the forms that wear may have.

    Parameters
    ----------
    grid : array of float, two columns
        Depth [mm] and direction [rad] of the places.
    directions_deg : tuple of float
        The directions that were read [°].
    outward : int
        1 for a bore, which grows, -1 for a journal, which shrinks.
    wearing : Wearing
        What wears it.
    read_mm : tuple of float or None
        The least and the greatest depth read [mm]; none for those of the grid. Beyond them a journal's wear
        goes on as it does between them.

    Returns
    -------
    WearForms
        The forms.

    Notes
    -----
    h(z) (c + (1 - c) cos²(θ - α)): across the worst direction is lost anything from nothing to as much as
    along it. Below piston rings h = f + (1 - f) exp(-z/l), or 1 - z^q for exp with q from
    1 to 2; on a journal 1 + t z + b (z² - 1/3) with z from -1
    to 1; in a guide lines from both mouths, one of them perhaps less worn, to a middle worn less still; on a
    stem lines between any wear at both ends and in the middle; what is only held is alike all along. All
    are evenly spread, l in its logarithm. Where two directions square to each other were read, α lies near
    one of them, otherwise anywhere.
    """
    import numpy as np

    dealt = dealt_out(FORMS, _COLUMNS)
    first, last = read_mm or (float(grid[:, 0].min()), float(grid[:, 0].max()))
    span = (last - first) or 1.0
    turn = np.pi * dealt[:, 3]
    if _square(directions_deg):
        near = np.array(directions_deg)[(dealt[:, 4] * len(directions_deg)).astype(int)]
        askew = _ASKEW_LEAST_DEG + (_ASKEW_MOST_DEG - _ASKEW_LEAST_DEG) * dealt[:, 5]
        turn = np.radians(near + askew * quantiles(dealt[:, 3]))
    across, along = dealt[:, :1], (grid[None, :, 0] - first) / span
    fade = _along(along, dealt[:, 1:2], dealt[:, 2:3], wearing)
    around = across + (1 - across) * np.cos(grid[None, :, 1] - turn[:, None]) ** 2
    steep = np.zeros(FORMS)
    if wearing is Wearing.RINGS and last > first:
        at_once = (1 - _REST_MOST * dealt[:, 2]) / _length(dealt[:, 1])
        steep = np.where(dealt[:, 1] > 1 - _LATE, 0.0, at_once)
    return WearForms(outward * fade * around, turn, steep)


def _length(one: Floats) -> Floats:
    """Within how much of the length read the wear below piston rings dies away."""
    return _FADE_LEAST * _FADE_RATIO ** (one / (1 - _LATE))


def _along(along: Floats, one: Floats, other: Floats, wearing: Wearing) -> Floats:
    """How much of the wear is found along the axis, from 0 to 1 of the length read, by two numbers."""
    import numpy as np

    middle = 2 * along - 1
    if wearing is Wearing.RINGS:
        rest = _REST_MOST * other
        late = 1 - along ** (1 + np.maximum(one - 1 + _LATE, 0) / _LATE)
        return np.asarray(rest + (1 - rest) * np.where(one > 1 - _LATE, late, np.exp(-along / _length(one))))
    if wearing is Wearing.JOURNAL:
        cone = 1 + _CONE * (2 * one - 1) * middle
        return np.maximum(cone + _BARREL * (2 * other - 1) * (middle**2 - 1 / 3), 0.0)
    if wearing is Wearing.GUIDE:
        # Below a half the first mouth is worn less, above it the second.
        mouths = np.minimum(2 * one, 1.0), np.minimum(2 - 2 * one, 1.0)
        waist = other * np.minimum(*mouths)
        ends = np.where(middle < 0, mouths[0], mouths[1])
        return np.asarray(ends * abs(middle) + waist * (1 - abs(middle)))
    if wearing is Wearing.STEM:
        # Of both ends and the middle one is worn most, and nobody knows which.
        ends = np.where(middle < 0, np.clip(3 * one - 1, 0, 1), np.clip(2 - 3 * one, 0, 1))
        return np.asarray(ends * abs(middle) + other * (1 - abs(middle)))
    return np.ones(np.broadcast(along, one).shape)


@lru_cache(maxsize=1)
def likeness() -> Floats:
    """Say how probable each form of a bore is, given the shape of its engine.

    Returns
    -------
    array of float, shapes by forms
        Probabilities [-], in sum 1 for each shape.

    Notes
    -----
    Normal about the shape, with a deviation of 0.12 of the range in each of three numbers (common practice,
    no source: bores of one engine wear alike, but not quite).
    """
    import numpy as np

    forms, shapes = dealt_out(FORMS, _COLUMNS)[:, :_SHAPE], dealt_out(SHAPES, _SHAPE)
    away = ((shapes[:, None, :] - forms[None, :, :]) ** 2).sum(axis=2)
    near = np.exp(-0.5 * away / _ALIKE**2)
    found: Floats = near / near.sum(axis=1, keepdims=True)
    return found


def _square(directions_deg: tuple[float, ...]) -> bool:
    return len(directions_deg) == 2 and abs(directions_deg[1] - directions_deg[0] - 90.0) < 15.0


def dealt_out(count: int, columns: int) -> Floats:
    """Deal out points evenly in a cube.

    Parameters
    ----------
    count, columns : int
        How many points, of how many numbers each.

    Returns
    -------
    array of float
        Numbers from 0 to 1, points by columns.

    Notes
    -----
    Multiples of the powers of the generalised golden ratio (common practice, no source).
    """
    import numpy as np

    golden = 2.0
    for _ in range(60):
        golden = (1 + golden) ** (1 / (columns + 1))
    steps = golden ** -np.arange(1, columns + 1.0)
    found: Floats = (0.5 + np.outer(np.arange(count), steps)) % 1.0
    return found


@lru_cache(maxsize=1)
def _table() -> tuple[Floats, Floats]:
    import numpy as np

    from runningfit.core.measurements.normal import normal_below

    at = np.linspace(-8.0, 8.0, 4001)
    return at, np.array([normal_below(float(one)) for one in at])


def below(deviations: Floats) -> Floats:
    """Give the share of a normal distribution below values.

    Parameters
    ----------
    deviations : array of float
        In standard deviations from the mean [-].

    Returns
    -------
    array of float
        From 0 to 1, to 1e-6.
    """
    import numpy as np

    at, share = _table()
    found: Floats = np.interp(deviations, at, share)
    return found


def quantiles(shares: Floats) -> Floats:
    """Give the values of a normal distribution below which shares lie.

    Parameters
    ----------
    shares : array of float
        From 0 to 1 [-].

    Returns
    -------
    array of float
        In standard deviations from the mean [-], at most 8.
    """
    import numpy as np

    at, share = _table()
    found: Floats = np.interp(shares, share, at)
    return found
