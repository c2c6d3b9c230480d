"""Spacers and bushes: how long they are, by fitting a tube that stands or lies to its outline in the photo.

A short tube on its side and one that stands and leans away from the camera look much alike. Both are tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, sqrt
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.silhouettes import CORNERS, Axis, Settled, Viewpoint, hull, ring, settle
from runningfit.core.photos.upright import HEIGHTS, LEAST_MM, MOST_MM, STRAYS_MM, WIDER, height
from runningfit.core.photos.weighing_up import together

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# What the length of a tube that lies is known to, besides what the fit says, as of bolts that lie [mm].
_BASE_MM = 0.12
# How much less an outline must stray from one body than from the other, for it alone to be the one; and the
# least that it ever strays [mm].
_NEARER, _PIXELS_MM = 0.75, 0.03
# How far the network's points are off [mm].
_POINT_MM = 1.0
_TURNS, _SHORTER = 9, (1.0, 0.75, 0.5)


@dataclass(frozen=True, slots=True)
class Tube:
    """Length and outside diameter of a spacer or bush."""

    length: Estimate
    outside: Estimate


def tube_sizes(outline_mm: Array, view: Viewpoint, sizes: Sizes, points_mm: Array) -> Tube | None:
    """Measure a spacer or bush.

    Parameters
    ----------
    outline_mm : array, point x 2
        Its outline on the plane of the mat [mm].
    view : Viewpoint
        Where the camera stands.
    sizes : Sizes
        What the network reads: its outside diameter, and its length where it has one.
    points_mm : array, 3 x 2
        The last two: where the network sees both ends of its axis on the mat [mm].

    Returns
    -------
    Tube or None
        Its sizes; None where no tube that stands or lies has this outline. Where both have it, that which
        goes better with the ends of the axis, less sure for the other.
    """
    wide = sizes.outside
    if wide is None:
        return None
    stands, lies = _standing(outline_mm, view, wide), _lying(outline_mm, view, wide, sizes.length)
    upright = height(stands, stands.at[3], stands.u_of(3), view, stands.at[3])
    flat = _along(lies)
    if upright is None or flat is None:
        if upright is not None:
            return Tube(upright, _across(stands, 2, wide))
        return None if flat is None else Tube(flat, _across(lies, 4, wide))
    standing, lying = Tube(upright, _across(stands, 2, wide)), Tube(flat, _across(lies, 4, wide))
    strays = stands.typical_mm + _PIXELS_MM, lies.typical_mm + _PIXELS_MM
    if strays[0] < _NEARER * strays[1]:
        return standing
    if strays[1] < _NEARER * strays[0]:
        return lying
    apart = hypot(*(points_mm[2] - points_mm[1]))
    lean = (float(view.reach(float(stands.at[3]))) - 1) * hypot(*(stands.at[:2] - view.below_mm))
    return _either(standing, (apart - lean) / _POINT_MM, lying, (apart - flat.value_mm) / _POINT_MM)


def _standing(outline_mm: Array, view: Viewpoint, wide: Estimate) -> Settled:
    import numpy

    around, middle = ring(2 * CORNERS), outline_mm.mean(axis=0)

    def hulls(at: Array) -> tuple[Array, ...]:
        foot = at[:2] + around * at[2] / 2
        return (hull([foot, view.shadow_mm(foot, float(at[3]))]),)

    def beside(at: Array) -> Array:
        return numpy.array([(at[2] - wide.value_mm) / max(WIDER * wide.u_mm, 0.4)])

    starts = []
    for high in numpy.geomspace(0.3 * wide.value_mm, min(5 * wide.value_mm, MOST_MM), HEIGHTS):
        starts.append(numpy.array([*view.foot_mm(middle, float(high)), wide.value_mm, high]))
    return settle(outline_mm, hulls, beside, starts, [0.5, 0.5, 0.5, 2.0])


def _lying(outline_mm: Array, view: Viewpoint, wide: Estimate, length: Estimate | None) -> Settled:
    import numpy

    around, middle = ring(2 * CORNERS), outline_mm.mean(axis=0)
    reach = float(view.reach(wide.value_mm / 2))
    seen = view.below_mm + (middle - view.below_mm) / reach

    def hulls(at: Array) -> tuple[Array, ...]:
        axis = Axis(numpy.array([at[0], at[1], at[4] / 2]), float(at[2]), 0.0)
        return (hull([axis.ring_mm(view, side * at[3] / 2, at[4] / 2, around) for side in (-1.0, 1.0)]),)

    def beside(at: Array) -> Array:
        known = [(at[4] - wide.value_mm) / max(WIDER * wide.u_mm, 0.4)]
        if length is not None:
            known.append((abs(at[3]) - length.value_mm) / max(2 * WIDER * length.u_mm, 2.0))
        return numpy.array(known)

    starts = []
    for turn in numpy.arange(_TURNS) * numpy.pi / _TURNS:
        along = (outline_mm - middle) @ numpy.array([numpy.cos(turn), numpy.sin(turn)])
        most = float(numpy.ptp(along)) / reach
        # Of one that points to the camera an end is seen too, so that it looks longer than it is.
        starts += [numpy.array([*seen, turn, share * most, wide.value_mm]) for share in _SHORTER]
    return settle(outline_mm, hulls, beside, starts, [0.5, 0.5, 0.05, 0.5, 0.5])


def _along(found: Settled) -> Estimate | None:
    value_mm = abs(float(found.at[3]))
    if found.typical_mm > STRAYS_MM or not LEAST_MM <= value_mm <= MOST_MM:
        return None
    return Estimate(value_mm, hypot(found.u_of(3), _BASE_MM * max(1.0, found.rms_mm / 0.1)))


def _across(found: Settled, place: int, read: Estimate) -> Estimate:
    u_mm = hypot(found.u_of(place), _BASE_MM * max(1.0, found.rms_mm / 0.1))
    return together(Estimate(float(found.at[place]), u_mm), Estimate(read.value_mm, WIDER * read.u_mm))


def _either(one: Tube, off: float, other: Tube, other_off: float) -> Tube:
    """The likelier of two, its length so unsure as the other is likely; both by how far the ends are off."""
    if other_off**2 < off**2:
        one, off, other, other_off = other, other_off, one, off
    share = 1 / (1 + exp(min((other_off**2 - off**2) / 2, 50.0)))
    apart = other.length.value_mm - one.length.value_mm
    u_mm = sqrt(one.length.u_mm**2 + share * apart**2)
    return Tube(Estimate(one.length.value_mm, u_mm), one.outside)
