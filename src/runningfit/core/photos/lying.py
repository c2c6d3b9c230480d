"""Pieces that lie: length, thickness and head by fitting their body in space to its outline in the photo.

A bolt that lies touches the mat with the edge of its head and with its tip, a stud along its whole length; so
the body has few freedoms, and both flanks, both ends and the hexagon together say where it is and how large.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, sqrt
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.silhouettes import CORNERS, Axis, Settled, Viewpoint, hull, ring, settle
from runningfit.core.photos.upright import CHAMFER, HEAD_SHARE, HEAD_U
from runningfit.core.photos.weighing_up import together

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# By so much more all is off where a piece surely looks clear or of bare steel, and mirrors what lies around.
_BRIGHT = 0.7
# Where the network's points are, and how far its sizes may be trusted against what it says of itself.
_POINT_MM, _WIDER = 1.0, 1.5
# A bright piece mirrors the mat, and its outline is torn: what it strays typically beyond that of a dull one
# counts squared, and beyond a bound nothing is learned from it [mm]. Set on 17 drawn photos, two renderers.
_STRAYS_MM = 0.45
_BASE_MM: dict[str, float] = {"length": 0.1, "across_flats": 0.15, "major": 0.24}
_TORN: dict[str, float] = {"length": 20.0, "across_flats": 36.0, "major": 14.0}
# The flanks of a thread end a little within its crests, for light goes around them: by so much of the pitch,
# on diameter (measured on drawn threads of two renderers).
_CRESTS = 0.33
# Above its bevel a head is turned to a cone: so much of its height keeps its corners, and its top is so wide.
_CORNERED, _TOP_SHARE = 0.85, 0.97
_STEEPEST = 0.8


@dataclass(frozen=True, slots=True, eq=False)
class Lain:
    """A piece that lies, as its outline has it.

    Parameters
    ----------
    sizes : Sizes
        What the network reads and what the outline says, weighed together.
    start_mm, tip_mm : array, 2
        Where both ends of the shank's axis are seen on the mat [mm].
    """

    sizes: Sizes
    start_mm: Array
    tip_mm: Array


def lying_piece(
    outline_mm: Array,
    view: Viewpoint,
    sizes: Sizes,
    points_mm: Array,
    *,
    pitch_mm: float,
    bright: float = 0.0,
) -> Lain | None:
    """Measure a bolt, stud or grub screw that lies.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: length and thread, of a bolt the width across flats.
    points_mm : array, 3 x 2
        Where the network sees the top of the head, the start of the shank and its tip [mm].
    pitch_mm : float
        About which pitch its thread has [mm].
    bright : float
        How probably it looks clear or of bare steel, 0 to 1.

    Returns
    -------
    Lain or None
        Its sizes and its axis; None where no such body has this outline.
    """
    import numpy

    length, major, flats = sizes.length, sizes.major, sizes.head_across_flats
    if length is None or major is None or length.value_mm < major.value_mm / 2:
        return None
    start, tip = points_mm[1], points_mm[2]
    around, corners = ring(CORNERS), ring(6)
    headed = flats is not None

    def axis_of(at: Array) -> Axis:
        x, y, turn, long, thick = at[:5]
        high = at[5] / 2 if headed else thick / 2
        rises = (thick / 2 - high) / max(long, 1.0)
        return Axis(numpy.array([x, y, high]), float(turn), float(min(max(rises, -_STEEPEST), 0.0)))

    def hulls(at: Array) -> tuple[Array, ...]:
        axis, (long, thick) = axis_of(at), at[3:5]
        bevel = CHAMFER * thick
        rings = [
            axis.ring_mm(view, long - bevel, thick / 2, around),
            axis.ring_mm(view, long, thick / 2 - bevel, around),
        ]
        if not headed:
            rings += [
                axis.ring_mm(view, bevel, thick / 2, around),
                axis.ring_mm(view, 0.0, thick / 2 - bevel, around),
            ]
            return (hull(rings),)
        across, head = at[5:]
        rings.append(axis.ring_mm(view, 0.0, thick / 2, around))
        block = [
            axis.ring_mm(view, 0.0, across / sqrt(3), corners),
            axis.ring_mm(view, -_CORNERED * head, across / sqrt(3), corners),
            axis.ring_mm(view, -head, _TOP_SHARE * across / 2, around),
        ]
        return hull(rings), hull(block)

    def beside(at: Array) -> Array:
        axis, (long, thick) = axis_of(at), at[3:5]
        known = [
            (long - length.value_mm) / (_WIDER * length.u_mm),
            (thick + _CRESTS * pitch_mm - major.value_mm) / max(major.u_mm, 0.15),
        ]
        if flats is not None:
            known += [(at[5] - flats.value_mm) / max(flats.u_mm, 0.2), (at[6] / at[5] - HEAD_SHARE) / HEAD_U]
        ends = _seen(axis, view, 0.0) - start, _seen(axis, view, float(long)) - tip
        return numpy.array([*known, *(ends[0] / _POINT_MM), *(ends[1] / _POINT_MM)])

    high = (flats.value_mm if flats else major.value_mm) / 2
    begin = start + (view.below_mm - start) * high / view.height_mm
    way = tip - start
    first = [*begin, atan2(way[1], way[0]), length.value_mm, major.value_mm - _CRESTS * pitch_mm]
    steps = [0.5, 0.5, 0.03, 0.5, 0.3]
    if flats:
        first += [flats.value_mm, HEAD_SHARE * flats.value_mm]
        steps += [0.3, 0.2]
    found = settle(outline_mm, hulls, beside, [numpy.array(first)], steps)
    return _weighed(found, view, sizes, pitch_mm, 1 + _BRIGHT * bright, axis_of(found.at))


def _weighed(
    found: Settled, view: Viewpoint, sizes: Sizes, pitch_mm: float, wider: float, axis: Axis
) -> Lain | None:
    """What the outline says beside what the network read."""
    long = float(found.at[3])
    if found.typical_mm > _STRAYS_MM or long <= 0:
        return None

    def size(name: str, value_mm: float, place: int, read: Estimate) -> Estimate:
        u_mm = hypot(found.u_of(place), _BASE_MM[name] + _TORN[name] * found.torn_mm**2)
        both = together(Estimate(value_mm, u_mm), read)
        return Estimate(both.value_mm, wider * both.u_mm)

    assert sizes.length is not None
    assert sizes.major is not None
    flats = sizes.head_across_flats
    return Lain(
        Sizes(
            length=size("length", long, 3, sizes.length),
            major=size("major", float(found.at[4]) + _CRESTS * pitch_mm, 4, sizes.major),
            pitch=sizes.pitch,
            head_across_flats=size("across_flats", float(found.at[5]), 5, flats) if flats else None,
        ),
        _seen(axis, view, 0.0),
        _seen(axis, view, long),
    )


def _seen(axis: Axis, view: Viewpoint, along_mm: float) -> Array:
    point = axis.point_mm(along_mm)
    seen: Array = view.shadow_mm(point[None, :2], float(point[2]))[0]
    return seen
