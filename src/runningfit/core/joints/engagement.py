"""How long a thread must be engaged so that the bolt breaks before the threads strip, and how long it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.stress_area import tensile_area_mm2
from runningfit.core.joints.thread_shear import (
    bolt_bending,
    fed_std_2a_mm2_per_mm,
    fed_std_4a_mm2_per_mm,
    iso_tr_16224_bolt_mm2_per_mm,
    iso_tr_16224_nut_mm2_per_mm,
    nut_bending,
    nut_dilation,
)
from runningfit.core.standards import Thread, ThreadForm
from runningfit.core.standards.limits import external_limits, internal_limits
from runningfit.core.standards.profiles import included_angle_deg

# FED-STD-H28/2B: threads are taken to shear at half of the tensile strength; ISO/TR 16224 takes 0.6.
FED_SHEAR_OVER_TENSILE = 0.5
ISO_SHEAR_OVER_TENSILE = 0.6
_BOTH_FAIL = 0.95


@dataclass(frozen=True, slots=True)
class ThreadPair:
    """The least material of a bolt and of its hole.

    Parameters
    ----------
    thread : Thread
        The thread.
    external_class, internal_class : str
        Their classes.
    major_min_mm, pitch_diameter_min_mm : float
        Least major and pitch diameter of the bolt [mm].
    pitch_diameter_max_mm, minor_max_mm : float
        Largest pitch and minor diameter of the hole [mm].
    statuses : tuple of str
        How sure the limits are.
    """

    thread: Thread
    external_class: str
    internal_class: str
    major_min_mm: float
    pitch_diameter_min_mm: float
    pitch_diameter_max_mm: float
    minor_max_mm: float
    statuses: tuple[str, ...]


def thread_pair(
    thread: Thread, external_class: str | None = None, internal_class: str | None = None
) -> ThreadPair:
    """Give the least material of a bolt and its hole by their classes.

    Parameters
    ----------
    thread : Thread
        A parallel thread.
    external_class, internal_class : str or None
        Their classes; none is the usual one.

    Returns
    -------
    ThreadPair
        At the limits, before plating.

    Raises
    ------
    InvalidInput
        A pipe thread or a class that the series has not.
    """
    tensile_area_mm2(thread)
    outer, inner = external_limits(thread, external_class), internal_limits(thread, internal_class)
    return ThreadPair(
        thread,
        outer.thread_class,
        inner.thread_class,
        outer.major_min_mm,
        outer.pitch_diameter_min_mm,
        inner.pitch_diameter_max_mm,
        inner.minor_max_mm,
        (outer.status, inner.status),
    )


def worn_pair(
    pair: ThreadPair,
    *,
    hole_pitch_diameter_mm: float | None = None,
    hole_minor_mm: float | None = None,
    bolt_major_mm: float | None = None,
    bolt_pitch_diameter_mm: float | None = None,
) -> ThreadPair:
    """Put measured diameters in the place of the limits, where they are worse or better.

    Parameters
    ----------
    pair : ThreadPair
        At its limits.
    hole_pitch_diameter_mm, hole_minor_mm : float or None
        Pitch and minor diameter of the hole as measured [mm].
    bolt_major_mm, bolt_pitch_diameter_mm : float or None
        Major and pitch diameter of the bolt as measured [mm].

    Returns
    -------
    ThreadPair
        With what was measured.

    Raises
    ------
    InvalidInput
        A diameter that lies more than two pitches off: another thread.
    """
    basic = pair.thread
    for value, nominal, name in (
        (hole_pitch_diameter_mm, basic.pitch_diameter_mm, "pitch diameter of the hole"),
        (hole_minor_mm, basic.minor_internal_mm, "minor diameter of the hole"),
        (bolt_major_mm, basic.major_mm, "major diameter of the bolt"),
        (bolt_pitch_diameter_mm, basic.pitch_diameter_mm, "pitch diameter of the bolt"),
    ):
        if value is not None and abs(value - nominal) > 2 * basic.pitch_mm:
            raise InvalidInput(
                name, needs=f"about {nominal:.2f} mm for {basic.designation}", came=f"{value:g} mm"
            )
    return replace(
        pair,
        pitch_diameter_max_mm=hole_pitch_diameter_mm or pair.pitch_diameter_max_mm,
        minor_max_mm=hole_minor_mm or pair.minor_max_mm,
        major_min_mm=bolt_major_mm or pair.major_min_mm,
        pitch_diameter_min_mm=bolt_pitch_diameter_mm or pair.pitch_diameter_min_mm,
    )


@dataclass(frozen=True, slots=True)
class ThreadAreas:
    """The areas that carry a pair of threads, FED-STD-H28/2B at least material.

    Parameters
    ----------
    stress_mm2 : float
        On which the bolt breaks [mm²].
    internal_mm2_per_mm, external_mm2_per_mm : float
        In which the hole's and the bolt's threads shear, per mm engaged [mm²/mm].
    """

    stress_mm2: float
    internal_mm2_per_mm: float
    external_mm2_per_mm: float


def thread_areas(pair: ThreadPair) -> ThreadAreas:
    """Give the areas of a pair.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and hole.

    Returns
    -------
    ThreadAreas
        Formulas 1b, 2a and 4a; other angles than 60 degrees carried over by geometry. The nominal stress area
        counts for steels above 180 000 psi too: the bolt that is hardest to break asks most of its threads.
    """
    pitch = pair.thread.pitch_mm
    half_angle = included_angle_deg(pair.thread.form) / 2
    return ThreadAreas(
        tensile_area_mm2(pair.thread),
        fed_std_2a_mm2_per_mm(pitch, pair.major_min_mm, pair.pitch_diameter_max_mm, half_angle),
        fed_std_4a_mm2_per_mm(pitch, pair.minor_max_mm, pair.pitch_diameter_min_mm, half_angle),
    )


def fed_std_13_mm(stress_mm2: float, pitch_diameter_mm: float) -> float:
    """Length at which bolt and hole strip together as the bolt breaks, FED-STD-H28/2B formula 13.

    Parameters
    ----------
    stress_mm2, pitch_diameter_mm : float
        Stress area [mm²] and basic pitch diameter [mm].

    Returns
    -------
    float
        4 As / (π d2) [mm].
    """
    return 4 * stress_mm2 / (pi * pitch_diameter_mm)


def fed_std_14_mm(areas: ThreadAreas) -> float:
    """Length at which the bolt's own threads strip as it breaks, FED-STD-H28/2B formula 14.

    Parameters
    ----------
    areas : ThreadAreas
        The areas.

    Returns
    -------
    float
        2 As / ASs [mm].
    """
    return areas.stress_mm2 / FED_SHEAR_OVER_TENSILE / areas.external_mm2_per_mm


def fed_std_16_mm(areas: ThreadAreas, bolt_tensile_mpa: float, tapped_tensile_mpa: float) -> float:
    """Length at which the hole's threads strip as the bolt breaks, FED-STD-H28/2B formula 16.

    Parameters
    ----------
    areas : ThreadAreas
        The areas.
    bolt_tensile_mpa, tapped_tensile_mpa : float
        Tensile strengths [MPa].

    Returns
    -------
    float
        (2 As / ASn) / R2, with R2 the tapped over the bolt's strength [mm].
    """
    of_equals = areas.stress_mm2 / FED_SHEAR_OVER_TENSILE / areas.internal_mm2_per_mm
    return of_equals * bolt_tensile_mpa / tapped_tensile_mpa


def length_needed_mm(pair: ThreadPair, bolt_tensile_mpa: float, tapped_tensile_mpa: float) -> float:
    """Give the engagement that makes the bolt break before either thread strips.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and hole.
    bolt_tensile_mpa, tapped_tensile_mpa : float
        Tensile strengths [MPa]; for safety the bolt's largest and the hole's least.

    Returns
    -------
    float
        The largest of formulas 14 and 16 of FED-STD-H28/2B, and of 13 where both threads fail about together
        or the hole's first [mm].

    Raises
    ------
    InvalidInput
        A strength that is nothing.
    """
    for value, name in ((bolt_tensile_mpa, "bolt tensile"), (tapped_tensile_mpa, "tapped tensile")):
        if not 20 <= value <= 3000:
            raise InvalidInput(
                name,
                needs="a tensile strength from 20 to 3000 MPa, such as 827 MPa or 120 ksi",
                came=f"{value:g} MPa",
                remedy="Check the unit.",
            )
    areas = thread_areas(pair)
    needed = max(fed_std_14_mm(areas), fed_std_16_mm(areas, bolt_tensile_mpa, tapped_tensile_mpa))
    share = areas.external_mm2_per_mm / areas.internal_mm2_per_mm * bolt_tensile_mpa / tapped_tensile_mpa
    if share >= _BOTH_FAIL:
        needed = max(needed, fed_std_13_mm(areas.stress_mm2, pair.thread.pitch_diameter_mm))
    return needed


def iso_tr_16224_length_mm(
    thread: Thread,
    bolt_tensile_mpa: float,
    nut_tensile_mpa: float,
    across_flats_mm: float,
) -> float:
    """Give the engagement of a metric nut that makes the bolt break first, by ISO/TR 16224:2012.

    Parameters
    ----------
    thread : Thread
        A metric thread; its basic dimensions count.
    bolt_tensile_mpa, nut_tensile_mpa : float
        Tensile strengths [MPa].
    across_flats_mm : float
        Width across flats of the nut [mm].

    Returns
    -------
    float
        The length [mm].

    Raises
    ------
    InvalidInput
        Another thread than metric, or outside the ranges of the report's factors.
    """
    if thread.form is not ThreadForm.METRIC60:
        raise InvalidInput(
            "thread",
            needs="a metric one for ISO/TR 16224",
            came=thread.designation,
            remedy="Reckon by FED-STD-H28/2B instead.",
        )
    pitch = thread.pitch_mm
    of_bolt = iso_tr_16224_bolt_mm2_per_mm(pitch, thread.minor_internal_mm, thread.pitch_diameter_mm)
    of_nut = iso_tr_16224_nut_mm2_per_mm(pitch, thread.major_mm, thread.pitch_diameter_mm)
    ratio = nut_tensile_mpa * of_nut / (bolt_tensile_mpa * of_bolt)
    widened = nut_dilation(across_flats_mm, thread.major_mm)
    area = tensile_area_mm2(thread)
    by_bolt = area / (ISO_SHEAR_OVER_TENSILE * of_bolt * widened * bolt_bending(ratio))
    by_nut = (
        area
        * bolt_tensile_mpa
        / (ISO_SHEAR_OVER_TENSILE * nut_tensile_mpa * of_nut * widened * nut_bending(ratio))
    )
    return max(by_bolt, by_nut)


def stripping_load_n(
    areas: ThreadAreas,
    engaged_mm: float,
    bolt_tensile_mpa: float,
    tapped_tensile_mpa: float,
    tapped_shear_mpa: float | None = None,
) -> float:
    """Give the load at which the weaker thread strips.

    Parameters
    ----------
    areas : ThreadAreas
        The areas.
    engaged_mm : float
        Real engagement [mm].
    bolt_tensile_mpa, tapped_tensile_mpa : float
        Least tensile strengths [MPa].
    tapped_shear_mpa : float or None
        Least shear strength of the tapped metal where it is known [MPa]; none is half of its tensile
        strength.

    Returns
    -------
    float
        The load [N].
    """
    tapped = FED_SHEAR_OVER_TENSILE * tapped_tensile_mpa if tapped_shear_mpa is None else tapped_shear_mpa
    of_hole = areas.internal_mm2_per_mm * engaged_mm * tapped
    of_bolt = areas.external_mm2_per_mm * engaged_mm * FED_SHEAR_OVER_TENSILE * bolt_tensile_mpa
    return min(of_hole, of_bolt)
