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

# Shares of the form besides wear: rings of one size, the oval, four lobes, which are about 0.4 as high as the
# oval, since a ring is the stiffer the more lobes it is pressed into. What casting, chuck and bolts do to a
# bore runs mostly along the whole axis; what is ground has along all of it what the wheel left. The rest
# keeps its shape over so much of the length read (common practice, no source).
_BORED, _GROUND = (0.3, 0.6, 0.1, 0.7), (0.2, 0.7, 0.1, 0.95)
_REACH = 0.6
# An anvil's width keeps a micrometer off both fillets of a journal by so much of the length read; what lies
# there was never read, but is ground with the rest (common practice, no source).
_BEYOND = 0.25
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
    clear, before_pits : int
        How many places there are between the least and the greatest depth read, and with those beyond them,
        before those of pits.
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
    before_pits: int
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

    depths, angles, clear = _grid(places)
    ends = (depths[0], depths[-1])
    beyond = _BEYOND * (ends[1] - ends[0]) if wearing is Wearing.JOURNAL else 0.0
    more = [(ends[0] - beyond, angle) for angle in angles] + [(ends[1] + beyond, angle) for angle in angles]
    found = clear + (more if beyond else [])
    before_pits = len(found)
    found += [(min(max(depth, ends[0]), ends[1]), angle) for depth, angle in pits]
    grid = np.array([(depth, radians(angle)) for depth, angle in found])
    order = {place: at for at, place in enumerate((depth, angle) for depth in depths for angle in angles)}
    far = (grid[:, None, 0] - grid[None, :, 0]) / (_REACH * ((depths[-1] - depths[0]) or 1.0))
    around = 2 * (grid[:, None, 1] - grid[None, :, 1])
    near = np.exp(-0.5 * far**2)
    rings, oval, four, all_along = _GROUND if wearing in (Wearing.JOURNAL, Wearing.STEM) else _BORED
    lobes = oval * np.cos(around) + four * np.cos(2 * around)
    covariance = rings * near + lobes * (all_along + (1 - all_along) * near)
    return Layout(
        depths,
        np.radians(np.array(angles)),
        grid,
        len(order),
        before_pits,
        np.array([order[place] for place in places]),
        wear_forms(grid, tuple(sorted({angle for _, angle in places})), outward, wearing, ends),
        covariance,
        np.asarray(np.linalg.cholesky(covariance + 1e-7 * np.eye(len(grid))), dtype=np.float64),
    )


def _grid(
    places: Sequence[tuple[float, float]],
) -> tuple[list[float], list[float], list[tuple[float, float]]]:
    """Where the surface is looked at between the ends of what was read: depths, directions, and places."""
    depths = sorted({depth for depth, _ in places})
    angles = {angle for _, angle in places}
    if len(depths) <= _MOST_DEPTHS:
        depths = sorted({*depths, *((low + high) / 2 for low, high in pairwise(depths))})
    if len(angles) * _STEP_DEG < 180.0:
        angles |= {index * _STEP_DEG for index in range(round(180.0 / _STEP_DEG))}
    ordered = sorted(angles)
    return depths, ordered, [(depth, angle) for depth in depths for angle in ordered]
