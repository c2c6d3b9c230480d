"""The areas in which a pair of threads shears, side by side as each authority reckons them."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.engagement import (
    ISO_SHEAR_OVER_TENSILE,
    ThreadPair,
    thread_areas,
)
from runningfit.core.joints.stress_area import tensile_area_mm2
from runningfit.core.joints.thread_shear import (
    bolt_bending,
    fed_std_2a_mm2_per_mm,
    fed_std_3_mm2_per_mm,
    fed_std_4a_mm2_per_mm,
    fed_std_5_mm2_per_mm,
    fed_std_6b_mm2_per_mm,
    iso_tr_16224_bolt_mm2_per_mm,
    iso_tr_16224_nut_mm2_per_mm,
    nut_bending,
    nut_dilation,
)
from runningfit.core.standards import ThreadForm
from runningfit.core.standards.profiles import included_angle_deg

FED, ISO = "FED-STD-H28/2B", "ISO/TR 16224:2012"
_SIXTY_DEG = 60.0


@dataclass(frozen=True, slots=True)
class ShearAreas:
    """The areas of one pair of threads by one authority.

    Parameters
    ----------
    authority : str
        Which, with its formulas or clause.
    at : str
        At which sizes of the threads.
    internal_mm2_per_mm, external_mm2_per_mm : float or None
        In which the hole's and the bolt's threads shear [mm²/mm]; none where it has no formula for it here.
    counts : bool
        Whether the verdict is reckoned with it.
    note : str
        How far it was carried beyond what its authority wrote; empty where it was not.
    """

    authority: str
    at: str
    internal_mm2_per_mm: float | None
    external_mm2_per_mm: float | None
    counts: bool = False
    note: str = ""


def shear_areas(pair: ThreadPair) -> tuple[ShearAreas, ...]:
    """Give the shear areas of a pair by every authority that has a formula for it.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and hole at least material, or as measured.

    Returns
    -------
    tuple of ShearAreas
        FED-STD-H28/2B at these sizes first, by which the verdict is reckoned, then at the basic sizes; then
        ISO/TR 16224, for threads of 60 degrees only.

    Raises
    ------
    InvalidInput
        Crests that pass each other.
    """
    thread, pitch = pair.thread, pair.thread.pitch_mm
    angle = included_angle_deg(thread.form)
    carried = "" if angle == _SIXTY_DEG else "carried over from 60° by geometry"
    least = thread_areas(pair)
    at_least, at_basic = "least material", "nominal size"
    major, middle, minor = thread.major_mm, thread.pitch_diameter_mm, thread.minor_internal_mm
    found = [
        ShearAreas(
            f"{FED}, formulas 2a and 4a",
            at_least,
            least.internal_mm2_per_mm,
            least.external_mm2_per_mm,
            counts=True,
            note=carried,
        ),
        ShearAreas(
            f"{FED}, formulas 2a and 4a",
            at_basic,
            fed_std_2a_mm2_per_mm(pitch, major, middle, angle / 2),
            fed_std_4a_mm2_per_mm(pitch, minor, middle, angle / 2),
            note=carried,
        ),
    ]
    if angle != _SIXTY_DEG:
        return tuple(found)
    found += [
        ShearAreas(
            f"{FED}, formulas 3 and 5, simplified", at_basic, _formula_3(pair), fed_std_5_mm2_per_mm(middle)
        ),
        ShearAreas(f"{FED}, formula 6b", at_basic, None, fed_std_6b_mm2_per_mm(minor)),
    ]
    inch = "" if thread.form is ThreadForm.METRIC60 else "written for metric threads, here by geometry"
    found += [
        ShearAreas(f"{ISO}, 4.2.3.1", at_least, *_iso_least(pair), note=inch),
        ShearAreas(
            f"{ISO}, 4.2.3.1",
            at_basic,
            iso_tr_16224_nut_mm2_per_mm(pitch, major, middle),
            iso_tr_16224_bolt_mm2_per_mm(pitch, minor, middle),
            note=inch,
        ),
    ]
    return tuple(found)


def _formula_3(pair: ThreadPair) -> float | None:
    try:
        return fed_std_3_mm2_per_mm(pair.thread.pitch_diameter_mm, pair.thread.major_mm)
    except InvalidInput:
        # Below a quarter of an inch the standard does not use it.
        return None


def _iso_least(pair: ThreadPair) -> tuple[float, float]:
    pitch = pair.thread.pitch_mm
    return (
        iso_tr_16224_nut_mm2_per_mm(pitch, pair.major_min_mm, pair.pitch_diameter_max_mm),
        iso_tr_16224_bolt_mm2_per_mm(pitch, pair.minor_max_mm, pair.pitch_diameter_min_mm),
    )


@dataclass(frozen=True, slots=True)
class IsoStripping:
    """What ISO/TR 16224 says of threads in engagement.

    Parameters
    ----------
    needed_mm : float
        Length at which the strongest bolt breaks first [mm].
    load_n_per_mm : float
        What the weakest threads hold for each mm engaged [N/mm].
    """

    needed_mm: float
    load_n_per_mm: float


def iso_tr_16224_stripping(
    pair: ThreadPair,
    *,
    bolt_tensile_mpa: float,
    bolt_tensile_most_mpa: float,
    tapped_tensile_mpa: float,
    flats_over_major: float | None = None,
) -> IsoStripping | None:
    """Reckon stripping as ISO/TR 16224:2012 does, with the threads at least material.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and hole.
    bolt_tensile_mpa, bolt_tensile_most_mpa : float
        Tensile strength of the bolt, least and most [MPa].
    tapped_tensile_mpa : float
        Least tensile strength of the tapped metal [MPa].
    flats_over_major : float or None
        Width across flats of a nut over the diameter [-]; none for a hole in a wall that does not widen.

    Returns
    -------
    IsoStripping or None
        None outside the report: another thread than metric, strengths too unlike, walls too thin.

    Notes
    -----
    F = 0.6 Rm AS C1 C2 for the bolt's threads, 0.6 Rm AS C1 C3 for the nut's.
    """
    if pair.thread.form is not ThreadForm.METRIC60:
        return None
    of_nut, of_bolt = _iso_least(pair)
    try:
        widened = 1.0 if flats_over_major is None else nut_dilation(flats_over_major, 1.0)
        held = []
        for bolt_mpa in (bolt_tensile_mpa, bolt_tensile_most_mpa):
            ratio = tapped_tensile_mpa * of_nut / (bolt_mpa * of_bolt)
            by_bolt = bolt_mpa * of_bolt * bolt_bending(ratio)
            by_nut = tapped_tensile_mpa * of_nut * nut_bending(ratio)
            held.append(ISO_SHEAR_OVER_TENSILE * widened * min(by_bolt, by_nut))
    except InvalidInput:
        return None
    return IsoStripping(tensile_area_mm2(pair.thread) * bolt_tensile_most_mpa / held[1], held[0])
