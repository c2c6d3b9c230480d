"""Where the diameters of each standard thread lie: limits of its usual classes, wear, plating, rough work."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from runningfit.core.pieces.identification.densities import Band, Growth, Wear, band
from runningfit.core.standards import Thread, ThreadForm
from runningfit.core.standards.limits import (
    external_classes,
    external_limits,
    internal_classes,
    internal_limits,
)
from runningfit.core.units import MM_PER_INCH

FORM_ANGLE_DEG: Mapping[ThreadForm, float] = {
    ThreadForm.UNIFIED60: 60.0,
    ThreadForm.WHITWORTH55: 55.0,
    ThreadForm.BA47_5: 47.5,
    ThreadForm.CEI60: 60.0,
    ThreadForm.METRIC60: 60.0,
    ThreadForm.NPT60: 60.0,
}
# Common practice, no source: most pieces are of the usual class, the others share the rest.
_USUAL_CLASS_SHARE = 0.7
_CLASSES_LOOKED_AT = 3
# Common practice, no source: not quite half of old hardware is plated, 8 µm thick give or take 4.
_PLATED_SHARE, _PLATING_MM, _PLATING_SPREAD_MM = 0.4, 0.008, 0.004
# Common practice, no source: crests of bolts nearly as made, rubbed, or flattened by a part of the pitch.
_AS_MADE, _RUBBED = Wear(0.0, 0.50), Wear(0.025, 0.42)
_FLATTENED_SHARE, _FLATTENED_PITCHES = 0.08, 0.06
# Holes are often drilled larger than their class for an easier tap.
_DRILLED_LARGE_SHARE, _DRILLED_LARGE_PITCHES = 0.25, 0.08
# Flanks lose less than crests.
_FLANKS = (Wear(0.0, 0.55), Wear(0.02, 0.40), Wear(0.08, 0.05))
# What no class limits: the root of a bolt below its basic diameter, the major diameter of a tapped hole.
_ROOT_PITCHES, _TAP_PITCHES = 0.12, 0.12


@dataclass(frozen=True, slots=True)
class Diameters:
    """The bands of the three diameters of one side of a thread.

    Parameters
    ----------
    major, pitch_diameter, minor : Band
        Where each lies.
    """

    major: Band
    pitch_diameter: Band
    minor: Band


def plating(factor: float) -> tuple[Growth, ...]:
    """Give the growth of a dimension that may be plated.

    Parameters
    ----------
    factor : float
        By how many thicknesses the dimension grows: 2 on a crest, 2/sin(a/2) on a pitch diameter.

    Returns
    -------
    tuple of Growth
        Bare and plated.
    """
    return (
        Growth(0.0, 0.0, 1 - _PLATED_SHARE),
        Growth(factor * _PLATING_MM, factor * _PLATING_SPREAD_MM, _PLATED_SHARE),
    )


def _shares(classes: tuple[str, ...]) -> tuple[tuple[str, float], ...]:
    looked_at = classes[:_CLASSES_LOOKED_AT]
    if len(looked_at) == 1:
        return ((looked_at[0], 1.0),)
    other = (1 - _USUAL_CLASS_SHARE) / (len(looked_at) - 1)
    return tuple((name, other if at else _USUAL_CLASS_SHARE) for at, name in enumerate(looked_at))


def _crest_wear(pitch_mm: float) -> tuple[Wear, ...]:
    return (_AS_MADE, _RUBBED, Wear(_FLATTENED_PITCHES * pitch_mm, _FLATTENED_SHARE))


def _bore_wear(pitch_mm: float) -> tuple[Wear, ...]:
    large = Wear(_DRILLED_LARGE_PITCHES * pitch_mm, _DRILLED_LARGE_SHARE)
    return (_AS_MADE, Wear(_RUBBED.mean_mm, 1 - _AS_MADE.share - large.share), large)


def _cone_mm(thread: Thread) -> tuple[float, float, float, float, float]:
    """Give major, pitch and minor diameter of a taper, and how far they lie below and above along it."""
    if thread.form is ThreadForm.NPT60:
        # ASME B1.20.1: E0 = D - (0.05 D + 1.1) P in inches at the small end, and the height is 0.8 P; where
        # the thread runs out its crest is the pipe's outside.
        pitch, outside = thread.pitch_mm, thread.major_mm
        below = (0.05 * outside / MM_PER_INCH + 1.1 - 0.8) * pitch
        return outside, outside - 0.8 * pitch, outside - 1.6 * pitch, below, 0.0
    # ISO 7-1, from memory: the gauge plane lies four to five pitches from the small end, and the thread goes
    # on two to three beyond it; 1 in 16 on the diameter.
    along = thread.pitch_mm / 16
    return thread.major_mm, thread.pitch_diameter_mm, thread.minor_internal_mm, 4.5 * along, 2.5 * along


def _tapered(thread: Thread, *, internal: bool) -> Diameters:
    major, flank, minor, below, above = _cone_mm(thread)
    crests = _bore_wear(thread.pitch_mm) if internal else _crest_wear(thread.pitch_mm)

    def made(basic_mm: float, wear: tuple[Wear, ...]) -> Band:
        limits = ((basic_mm - below, basic_mm + above, 1.0),)
        return band(limits, wears_down=not internal, wear=wear, growth=plating(2.0))

    return Diameters(made(major, crests), made(flank, _FLANKS), made(minor, crests))


def _bolt(thread: Thread) -> Diameters:
    limits = [(external_limits(thread, name), share) for name, share in _shares(external_classes(thread))]
    root_mm = thread.minor_external_mm or thread.minor_internal_mm
    roots = []
    for one, share in limits:
        high = one.minor_max_mm or root_mm
        low = one.minor_min_mm or high - _ROOT_PITCHES * thread.pitch_mm
        roots.append((low, high, share))
    half_angle = math.radians(FORM_ANGLE_DEG[thread.form] / 2)
    return Diameters(
        band(
            tuple((one.major_min_mm, one.major_max_mm, share) for one, share in limits),
            wears_down=True,
            wear=_crest_wear(thread.pitch_mm),
            growth=plating(2.0),
        ),
        band(
            tuple((one.pitch_diameter_min_mm, one.pitch_diameter_max_mm, share) for one, share in limits),
            wears_down=True,
            wear=_FLANKS,
            growth=plating(2 / math.sin(half_angle)),
        ),
        band(tuple(roots), wears_down=True, wear=_FLANKS, growth=plating(2.0)),
    )


def _nut(thread: Thread) -> Diameters:
    limits = [(internal_limits(thread, name), share) for name, share in _shares(internal_classes(thread))]
    half_angle = math.radians(FORM_ANGLE_DEG[thread.form] / 2)
    return Diameters(
        band(
            tuple(
                (one.major_min_mm, one.major_min_mm + _TAP_PITCHES * thread.pitch_mm, share)
                for one, share in limits
            ),
            wears_down=False,
            wear=_FLANKS,
            growth=plating(2.0),
        ),
        band(
            tuple((one.pitch_diameter_min_mm, one.pitch_diameter_max_mm, share) for one, share in limits),
            wears_down=False,
            wear=_FLANKS,
            growth=plating(2 / math.sin(half_angle)),
        ),
        band(
            tuple((one.minor_min_mm, one.minor_max_mm, share) for one, share in limits),
            wears_down=False,
            wear=_bore_wear(thread.pitch_mm),
            growth=plating(2.0),
        ),
    )


@cache
def diameters(thread: Thread, *, internal: bool) -> Diameters:
    """Give the bands of the diameters of a thread.

    Parameters
    ----------
    thread : Thread
        The thread.
    internal : bool
        Whether of a nut or hole, and not of a bolt.

    Returns
    -------
    Diameters
        Kept after the first call.

    Notes
    -----
    Of the classes, the usual one has 0.7 and up to two others share the rest. Wear, plating and rough work
    are common practice, no source. A taper has no classes: its diameters lie anywhere along the cone.
    """
    if thread.taper:
        return _tapered(thread, internal=internal)
    return _nut(thread) if internal else _bolt(thread)
