"""Where a surface is looked at, and how alike it is from place to place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import radians
from typing import TYPE_CHECKING

from runningfit.core.treatments.machining.wear_forms import WearForms, Wearing, wear_forms

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Shares of the form besides wear: rings of one size, the oval, four lobes. What casting, chuck and bolts do
# runs mostly along the whole axis; the rest keeps its shape over so much of the length read (common
# practice, no source).
_RINGS, _OVAL, _FOUR, _ALL_ALONG, _REACH = 0.3, 0.5, 0.2, 0.7, 0.6
# Between measured directions the surface is looked at every so many degrees.
_STEP_DEG = 15.0
_MOST_DEPTHS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """What depends only on where was read: the places looked at, those of pits last, and what they may do.

    Parameters
    ----------
    depths : list of float
        The depths looked at [mm].
    angles_rad : array of float
        The directions looked at [rad].
    grid : array of float, two columns
        Depth [mm] and direction [rad] of each place.
    clear : int
        How many places there are before those of pits.
    read : array of int
        Which places were read.
    forms : WearForms
        What wear may do at the places.
    covariance, root : array of float, places by places
        Of a form besides wear of size one, and its Cholesky root [-].
    """

    depths: list[float]
    angles_rad: Floats
    grid: Floats
    clear: int
    read: NDArray[np.intp]
    forms: WearForms
    covariance: Floats
    root: Floats


@lru_cache(maxsize=16)
def laid_out(
    places: tuple[tuple[float, float], ...],
    pits: tuple[tuple[float, float], ...],
    outward: int,
    wearing: Wearing,
) -> Layout:
    """Lay out where a surface is looked at.

    Parameters
    ----------
    places, pits : tuple of (float, float)
        Depth [mm] and direction [°] of what was read, and of pits.
    outward : int
        1 for a bore, which grows, -1 for a journal, which shrinks.
    wearing : Wearing
        What wears it.

    Returns
    -------
    Layout
        All read places, places between them, and those of pits.
    """
    import numpy as np

    depths, angles, grid = _grid(places, pits)
    order = {place: at for at, place in enumerate((depth, angle) for depth in depths for angle in angles)}
    far = (grid[:, None, 0] - grid[None, :, 0]) / (_REACH * ((depths[-1] - depths[0]) or 1.0))
    around = 2 * (grid[:, None, 1] - grid[None, :, 1])
    near = np.exp(-0.5 * far**2)
    lobes = _OVAL * np.cos(around) + _FOUR * np.cos(2 * around)
    covariance = _RINGS * near + lobes * (_ALL_ALONG + (1 - _ALL_ALONG) * near)
    return Layout(
        depths,
        np.radians(np.array(angles)),
        grid,
        len(order),
        np.array([order[place] for place in places]),
        wear_forms(grid, tuple(sorted({angle for _, angle in places})), outward, wearing),
        covariance,
        np.asarray(np.linalg.cholesky(covariance + 1e-7 * np.eye(len(grid))), dtype=np.float64),
    )


def _grid(
    places: Sequence[tuple[float, float]], pits: Sequence[tuple[float, float]]
) -> tuple[list[float], list[float], Floats]:
    """Where the surface is looked at: depths, directions, and all places with those of pits behind."""
    import numpy as np

    depths = sorted({depth for depth, _ in places})
    angles = {angle for _, angle in places}
    if len(depths) <= _MOST_DEPTHS:
        depths = sorted({*depths, *((low + high) / 2 for low, high in pairwise(depths))})
    if len(angles) * _STEP_DEG < 180.0:
        angles |= {index * _STEP_DEG for index in range(round(180.0 / _STEP_DEG))}
    ordered = sorted(angles)
    found = [(depth, radians(angle)) for depth in depths for angle in ordered]
    found += [(min(max(depth, depths[0]), depths[-1]), radians(angle)) for depth, angle in pits]
    return depths, ordered, np.array(found)
