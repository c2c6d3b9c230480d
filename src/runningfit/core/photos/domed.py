"""Domed nuts: how wide and how high they are, standing or on a side, by their body in space.

Standing, the dome leans away from the camera over the hexagon; on its side such a nut rests on a flat.
"""

from __future__ import annotations

from dataclasses import replace
from math import atan2, hypot, pi, sqrt
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.silhouettes import CORNERS, Axis, Settled, Viewpoint, hull, ring, settle
from runningfit.core.photos.weighing_up import together

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Radius of the dome, height of the hexagon and of a neck above it over the width across flats, with standard
# deviations; the lower face is turned to a cone (common practice, no source).
_DOME, _DOME_U, _FACE, _BEVEL = 0.43, 0.03, 0.97, 0.12
_HIGH, _HIGH_U, _NECK, _NECK_U = 0.5, 0.1, 0.1, 0.08
# Where it lies on its side, the ends of the axis as the network sees them lie farther apart than this share
# of its height; one that stands leans by half of it at most.
_LIES = 0.6
# As of other pieces in `lying.py` and `flat.py` [mm].
_STRAYS_MM, _BASE_MM, _TORN = 0.4, 0.15, 20.0
_WIDER, _POINT_MM, _WHOLE_MM = 1.5, 1.0, 0.25
_TURNS = 6


def domed_nut(outline_mm: Array, view: Viewpoint, sizes: Sizes, points_mm: Array) -> Sizes | None:
    """Measure a domed nut.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: height over all and width across flats.
    points_mm : array, 3 x 2
        The last two: where the network sees the lower face and the top of the dome on its axis [mm].

    Returns
    -------
    Sizes or None
        What the network reads and what the outline says, weighed together; None where no such nut has this
        outline.
    """
    import numpy

    length, flats = sizes.length, sizes.head_across_flats
    if length is None or flats is None:
        return None
    under, tip = points_mm[1], points_mm[2]
    way = tip - under
    lies = hypot(*way) > _LIES * length.value_mm
    around, corners = ring(CORNERS), ring(6)

    def rings(at: Array) -> list[tuple[float, float, Array]]:
        """Height along the axis, radius and corners of what makes the body up."""
        across, high, top, dome = float(at[3]), float(at[4]), _over_all(at), float(at[6] * at[3])
        ball = top - dome
        round_off = [(ball + dome * sin, dome * cos) for sin, cos in ((0.0, 1.0), (0.5, 0.866), (0.866, 0.5))]
        hexagon = [(_BEVEL * high, across / sqrt(3)), ((1 - _BEVEL) * high, across / sqrt(3))]
        faces = [(0.0, _FACE * across / 2), (high, _FACE * across / 2)]
        return (
            [(z, r, around) for z, r in faces] + [(z, r, corners) for z, r in hexagon]
            + [(z, r, around) for z, r in [(high, dome), *round_off, (top, 0.05 * dome)]]
        )  # fmt: skip

    def hulls(at: Array) -> tuple[Array, ...]:
        body = rings(at)
        if lies:
            axis = Axis(numpy.array([at[0], at[1], at[3] / 2]), float(at[2]), 0.0)
            drawn = [axis.ring_mm(view, z, r, shape) for z, r, shape in body]
        else:
            turn = ring(6, float(at[2]))
            drawn = [
                view.shadow_mm(at[:2] + (turn if shape is corners else shape) * r, z) for z, r, shape in body
            ]
        return hull(drawn[:4]), hull(drawn[4:])

    def beside(at: Array) -> Array:
        known = [
            (at[3] - flats.value_mm) / max(_WIDER * flats.u_mm, 0.3),
            (_over_all(at) - length.value_mm) / max(_WIDER * length.u_mm, 0.5),
            (at[4] / at[3] - _HIGH) / _HIGH_U,
            (at[5] / at[3] - _NECK) / _NECK_U,
            (at[6] - _DOME) / _DOME_U,
        ]
        ends = _ends(at, view, lies=lies)
        return numpy.array([*known, *((ends[0] - under) / _POINT_MM), *((ends[1] - tip) / _POINT_MM)])

    share = flats.value_mm / 2 / view.height_mm if lies else 0.0
    spot = under + (view.below_mm - under) * share
    begin, wide = atan2(way[1], way[0]) if lies else 0.0, flats.value_mm
    starts = [
        numpy.array([*spot, begin + turn, wide, _HIGH * wide, _NECK * wide, _DOME])
        for turn in ([0.0] if lies else numpy.arange(_TURNS) * pi / 3 / _TURNS)
    ]
    found = settle(outline_mm, hulls, beside, starts, [0.5, 0.5, 0.1, 0.4, 0.5, 0.7, 0.02])
    return _weighed(found, view, sizes, length, flats, lies=lies)


def _over_all(at: Array) -> float:
    """Height over all: of the hexagon, of a neck above it, and of the dome's ball [mm]."""
    return float(at[4] + max(at[5], 0.0) + at[6] * at[3])


def _ends(at: Array, view: Viewpoint, *, lies: bool) -> tuple[Array, Array]:
    """Where both ends of the axis are seen on the mat."""
    import numpy

    if not lies:
        return at[:2], view.shadow_mm(at[None, :2], _over_all(at))[0]
    axis = Axis(numpy.array([at[0], at[1], at[3] / 2]), float(at[2]), 0.0)
    both = numpy.stack([axis.point_mm(0.0), axis.point_mm(_over_all(at))])
    seen = view.shadow_mm(both[:, :2], both[:, 2])
    return seen[0], seen[1]


def _weighed(
    found: Settled, view: Viewpoint, sizes: Sizes, length: Estimate, flats: Estimate, *, lies: bool
) -> Sizes | None:
    if found.typical_mm > _STRAYS_MM or found.at[3] <= 0 or found.at[4] <= 0:
        return None
    torn = _BASE_MM + _TORN * found.torn_mm**2
    top = _over_all(found.at)
    high = 0.0 if lies else view.gain(found.at[:2], top) * _WHOLE_MM
    across_u = hypot(found.u_of(3), torn)
    top_u = hypot(found.u([0, 0, 0, float(found.at[6]), 1, 1, float(found.at[3])]), torn, high)
    return replace(
        sizes,
        length=together(Estimate(top, top_u), length),
        head_across_flats=together(Estimate(float(found.at[3]), across_u), flats),
    )
