"""Pieces that stand: how high they are, by fitting their body in space to its outline in the photo.

A network sees at a glance that a piece stands, but how high it is shows only by how far its upper end leans
away from where the camera stands. That is geometry.
"""

from __future__ import annotations

from math import hypot, pi, sqrt
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.silhouettes import CORNERS, Settled, Viewpoint, hull, ring, settle

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Heads of hexagon bolts: their height over the width across flats, with a standard deviation (0.40 to 0.42 in
# the tables of hexagon bolts); the end of a shank is chamfered by a share of its diameter (common practice,
# no source).
HEAD_SHARE, HEAD_U, CHAMFER = 0.41, 0.02, 0.09
# An outline as a whole is known to this against the camera [mm]; one that strays farther from the silhouette
# is that of something else [mm].
_WHOLE_MM, STRAYS_MM = 0.25, 0.3
# A network's points are this far off, and its sizes by so much more than it says, where a piece stands.
_POINT_MM, WIDER = 0.8, 1.5
LEAST_MM, MOST_MM = 1.5, 150.0
_TURNS, HEIGHTS = 12, 14


def standing_bolt(outline_mm: Array, view: Viewpoint, sizes: Sizes, points_mm: Array) -> Estimate | None:
    """Measure under its head a bolt that stands on it.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: length, thread and width across flats.
    points_mm : array, 3 x 2
        Where the network sees the middle of the head on the mat, the start of the shank and its tip [mm].

    Returns
    -------
    Estimate or None
        Its length under the head; None where no such body has this outline.
    """
    import numpy

    length, major, flats = sizes.length, sizes.major, sizes.head_across_flats
    if length is None or major is None or flats is None:
        return None
    foot, tip, around = points_mm[0], points_mm[2], ring(CORNERS)

    def hulls(at: Array) -> tuple[Array, Array]:
        spot, across, turn, head, thick, high = at[:2], *at[2:]
        corners = spot + ring(6, turn) * across / sqrt(3)
        bevel = CHAMFER * thick
        shank = [
            view.shadow_mm(spot + around * thick / 2, float(head)),
            view.shadow_mm(spot + around * thick / 2, float(high - bevel)),
            view.shadow_mm(spot + around * (thick / 2 - bevel), float(high)),
        ]
        return hull([corners, view.shadow_mm(corners, float(head))]), hull(shank)

    def beside(at: Array) -> Array:
        spot, across, _, head, thick, high = at[:2], *at[2:]
        return numpy.array(
            [
                (across - flats.value_mm) / max(flats.u_mm, 0.3),
                (head / across - HEAD_SHARE) / HEAD_U,
                (thick - major.value_mm) / max(major.u_mm, 0.2),
                (high - head - length.value_mm) / (WIDER * length.u_mm),
                *((view.shadow_mm(spot, float(high)) - tip) / _POINT_MM),
                *((spot - foot) / _POINT_MM),
            ]
        )

    across, head = flats.value_mm, HEAD_SHARE * flats.value_mm
    most = min(12 * major.value_mm, MOST_MM)
    starts = [
        numpy.array([*foot, across, turn, head, major.value_mm, head + high])
        for turn in numpy.arange(_TURNS) * pi / 3 / _TURNS
        for high in numpy.geomspace(0.5 * major.value_mm, most, HEIGHTS)
    ]
    found = settle(outline_mm, hulls, beside, starts, [0.5, 0.5, 0.5, 0.1, 0.5, 0.5, 2.0])
    return height(found, found.at[6] - found.at[4], found.u([0, 0, 0, 0, -1, 0, 1]), view, found.at[6])


def height(found: Settled, value_mm: float, u_mm: float, view: Viewpoint, top_mm: float) -> Estimate | None:
    """How high a body is that came to rest on an outline.

    Parameters
    ----------
    found : Settled
        Where it came to rest; its foot's x and y come first.
    value_mm, u_mm : float
        Its height and the standard uncertainty by the fit alone [mm].
    view : Viewpoint
        Where the camera stands.
    top_mm : float
        How far above the mat its upper end is [mm].

    Returns
    -------
    Estimate or None
        The height with all of its uncertainty; None where the outline is not the body's.
    """
    if found.typical_mm > STRAYS_MM or not LEAST_MM <= value_mm <= MOST_MM:
        return None
    whole = _WHOLE_MM * max(1.0, found.rms_mm / 0.1)
    return Estimate(float(value_mm), hypot(u_mm, view.gain(found.at[:2], float(top_mm)) * whole))
