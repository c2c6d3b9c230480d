"""How bores and journals wear: forms of wear to weigh against the readings (common practice, no source)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# How many forms are weighed.
FORMS = 1024
# A bore's wear is worst where the top ring turns, just below the ridge where it is read first. It dies away
# within a sixth of the length read, or hardly within it, to at most half of itself.
_FADE_LEAST, _FADE_RATIO, _REST_MOST = 0.15, 10.0, 0.5
# A journal's wear may be a cone that loses 0.6 of its mean at one end, and a barrel or waist by 0.3 of it.
_CONE, _BARREL = 0.6, 0.3
# Directions square to each other are read along and across the wear, give or take so much.
_ASKEW_DEG = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class WearForms:
    """Forms of wear, each with 1 where it is worst.

    Parameters
    ----------
    at_mm : array of float, forms by places
        What each form takes off, or adds to, the diameter at the places, for one millimetre of wear [mm].
    turn_rad : array of float
        In which direction each form is worn most [rad].
    """

    at_mm: Floats
    turn_rad: Floats


def wear_forms(grid: Floats, directions_deg: tuple[float, ...], outward: int) -> WearForms:
    """Give the forms that wear may have.

    Parameters
    ----------
    grid : array of float, two columns
        Depth [mm] and direction [rad] of the places, from the least depth read to the greatest.
    directions_deg : tuple of float
        The directions that were read [°].
    outward : int
        1 for a bore, which grows, -1 for a journal, which shrinks.

    Returns
    -------
    WearForms
        The forms.

    Notes
    -----
    h(z) (c + (1 - c) cos²(θ - α)): across the worst direction is lost anything from nothing to as much as
    along it; a bore has h = f + (1 - f) exp(-z/l), a journal 1 + t z + b (z² - 1/3) with z from -1 to 1. All
    are evenly spread, l in its logarithm. Where two directions square to each other were read, α lies near
    one of them, otherwise anywhere.
    """
    import numpy as np

    dealt = dealt_out(FORMS, 5)
    first, span = float(grid[:, 0].min()), float(np.ptp(grid[:, 0])) or 1.0
    turn = np.pi * dealt[:, 3]
    if _square(directions_deg):
        near = np.array(directions_deg)[(dealt[:, 4] * len(directions_deg)).astype(int)]
        turn = np.radians(near + _ASKEW_DEG * quantiles(dealt[:, 3]))
    across, along = dealt[:, :1], (grid[None, :, 0] - first) / span
    if outward > 0:
        rest = _REST_MOST * dealt[:, 2:3]
        fade = rest + (1 - rest) * np.exp(-along / (_FADE_LEAST * _FADE_RATIO ** dealt[:, 1:2]))
    else:
        middle = 2 * along - 1
        fade = 1 + _CONE * (2 * dealt[:, 1:2] - 1) * middle
        fade = fade + _BARREL * (2 * dealt[:, 2:3] - 1) * (middle**2 - 1 / 3)
    around = across + (1 - across) * np.cos(grid[None, :, 1] - turn[:, None]) ** 2
    return WearForms(outward * fade * around, turn)


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
