"""Washers and nuts that lie on a face: how wide they are, by fitting their body in space to its outline.

What is seen of them is the rim of the upper face, which lies nearer to the camera than the mat and so looks
larger, and beyond it on one side that of the lower.
"""

from __future__ import annotations

from math import atan2, hypot, pi, sqrt
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.silhouettes import CORNERS, Settled, Viewpoint, hull, ring, settle
from runningfit.core.photos.weighing_up import together

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# An outline that strays farther from the silhouette is that of something else [mm].
_STRAYS_MM = 0.4
# What a width is known to besides what the fit says, and how much worse where an outline is torn: by the
# square of what it strays typically beyond that of a dull piece [mm]; and by how much more the network may be
# off than it says, for it takes the rim nearer to the camera. Set on 17 drawn photos, two renderers.
_BASE_MM, _TORN, _WIDER = 0.12, 20.0, 1.6
# Both faces of a nut are turned to a cone: between them its corners are whole over so much of its height, and
# each face is so wide (common practice, no source).
_BEVEL, _FACE = 0.12, 0.97
# The edge of a washer is broken and the ends of a spring washer are bent: so high lies its rim, as a share.
_RIM = 0.9
# A tab stands out by millimetres: where a rim strays from a disc by less than this, root mean square, is none
# (plain washers on drawn photos strayed by 0.19 at most) [mm].
_ROUND_MM = 0.25
_TURNS = 6


def washer_width(outline_mm: Array, view: Viewpoint, sizes: Sizes) -> Estimate | None:
    """Measure the outside diameter of a washer.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: outside diameter and thickness.

    Returns
    -------
    Estimate or None
        The diameter; None where no round disc has this outline.
    """
    wide = sizes.outside
    disc = _disc(outline_mm, view, sizes)
    return None if disc is None or wide is None else _weighed(disc, wide)


def has_round_rim(outline_mm: Array, view: Viewpoint, sizes: Sizes) -> bool:
    """Whether the rim of a washer is round all about, so that it has no tab.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: outside diameter and thickness.
    """
    disc = _disc(outline_mm, view, sizes)
    return disc is not None and disc.rms_mm < _ROUND_MM


def _disc(outline_mm: Array, view: Viewpoint, sizes: Sizes) -> Settled | None:
    import numpy

    wide, thick = sizes.outside, sizes.thickness
    if wide is None or thick is None:
        return None
    around = ring(2 * CORNERS)

    def hulls(at: Array) -> tuple[Array, ...]:
        rim = at[:2] + around * at[2] / 2
        return (hull([rim, view.shadow_mm(rim, float(max(_RIM * at[3], 0.0)))]),)

    def beside(at: Array) -> Array:
        return numpy.array([(at[3] - thick.value_mm) / max(thick.u_mm, 0.2)])

    first = numpy.array(
        [*view.foot_mm(outline_mm.mean(axis=0), thick.value_mm), wide.value_mm, thick.value_mm]
    )
    return settle(outline_mm, hulls, beside, [first], [0.3, 0.3, 0.3, 0.3])


def nut_width(outline_mm: Array, view: Viewpoint, sizes: Sizes) -> Estimate | None:
    """Measure the width across flats of a nut that lies on a face.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: width across flats and height.

    Returns
    -------
    Estimate or None
        The width; None where no such prism has this outline.
    """
    import numpy

    flats, thick = sizes.head_across_flats, sizes.thickness
    if flats is None or thick is None:
        return None
    around = ring(2 * CORNERS)

    def hulls(at: Array) -> tuple[Array, ...]:
        spot, across, turn, high = at[:2], at[2], float(at[3]), float(at[4])
        corners, face = spot + ring(6, turn) * across / sqrt(3), spot + around * _FACE * across / 2
        return (
            hull(
                [
                    face,
                    view.shadow_mm(corners, _BEVEL * high),
                    view.shadow_mm(corners, (1 - _BEVEL) * high),
                    view.shadow_mm(face, high),
                ]
            ),
        )

    def beside(at: Array) -> Array:
        return numpy.array([(at[4] - thick.value_mm) / max(thick.u_mm, 0.3)])

    middle = outline_mm.mean(axis=0)
    spot = view.foot_mm(middle, thick.value_mm)
    farthest = outline_mm[numpy.hypot(*(outline_mm - middle).T).argmax()] - middle
    begin = atan2(farthest[1], farthest[0])
    starts = [
        numpy.array([*spot, flats.value_mm, begin + turn, thick.value_mm])
        for turn in numpy.arange(_TURNS) * pi / 3 / _TURNS
    ]
    return _weighed(settle(outline_mm, hulls, beside, starts, [0.3, 0.3, 0.3, 0.1, 0.5]), flats)


def _weighed(found: Settled, read: Estimate) -> Estimate | None:
    if found.typical_mm > _STRAYS_MM or found.at[2] <= 0:
        return None
    u_mm = hypot(found.u_of(2), _BASE_MM + _TORN * found.torn_mm**2)
    return together(Estimate(float(found.at[2]), u_mm), Estimate(read.value_mm, _WIDER * read.u_mm))
