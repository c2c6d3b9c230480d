"""The areas in which threads shear off, by the formula of each authority and named for it."""

from __future__ import annotations

from math import pi, radians, sqrt, tan

from runningfit.core.errors import InvalidInput

# ISO/TR 16224 clause 4.2.3.1: six tenths of the engagement at D1, the rest at the bell mouth of the nut.
_STRAIGHT, _BELL_MOUTHED, _BELL_MOUTH = 0.6, 0.4, 1.026
_SMALLEST_FOR_3_MM = 6.35


def fed_std_2a_mm2_per_mm(
    pitch_mm: float, major_min_mm: float, pitch_diameter_max_mm: float, half_angle_deg: float = 30.0
) -> float:
    """Shear area of the internal thread at least material, FED-STD-H28/2B formula 2a, per mm engaged.

    Parameters
    ----------
    pitch_mm : float
        Pitch [mm].
    major_min_mm : float
        Least major diameter of the bolt [mm].
    pitch_diameter_max_mm : float
        Largest pitch diameter of the hole [mm].
    half_angle_deg : float
        Half of the included angle [°]; the standard's is 30, others are carried over by geometry.

    Returns
    -------
    float
        π (1/P) dmin (P/2 + tan α (dmin - D2max)) [mm²/mm].
    """
    slope = tan(radians(half_angle_deg))
    thick = pitch_mm / 2 + slope * (major_min_mm - pitch_diameter_max_mm)
    return _positive(pi / pitch_mm * major_min_mm * thick)


def fed_std_4a_mm2_per_mm(
    pitch_mm: float, minor_max_mm: float, pitch_diameter_min_mm: float, half_angle_deg: float = 30.0
) -> float:
    """Shear area of the external thread at least material, FED-STD-H28/2B formula 4a, per mm engaged.

    Parameters
    ----------
    pitch_mm : float
        Pitch [mm].
    minor_max_mm : float
        Largest minor diameter of the hole [mm].
    pitch_diameter_min_mm : float
        Least pitch diameter of the bolt [mm].
    half_angle_deg : float
        Half of the included angle [°]; the standard's is 30, others are carried over by geometry.

    Returns
    -------
    float
        π (1/P) D1max (P/2 + tan α (d2min - D1max)) [mm²/mm].
    """
    slope = tan(radians(half_angle_deg))
    thick = pitch_mm / 2 + slope * (pitch_diameter_min_mm - minor_max_mm)
    return _positive(pi / pitch_mm * minor_max_mm * thick)


def _positive(area: float) -> float:
    if area <= 0:
        raise InvalidInput(
            "thread",
            needs="threads that still touch each other",
            came="crests that pass each other",
            remedy="Measure bolt and hole again: such a bolt falls through.",
        )
    return area


def fed_std_3_mm2_per_mm(pitch_diameter_mm: float, major_mm: float) -> float:
    """Shear area of the internal thread, simplified, FED-STD-H28/2B formula 3.

    Parameters
    ----------
    pitch_diameter_mm, major_mm : float
        Basic pitch and major diameter [mm].

    Returns
    -------
    float
        3/4 π D2 [mm²/mm].

    Raises
    ------
    InvalidInput
        Below a quarter of an inch, where the standard does not use it.
    """
    if major_mm < _SMALLEST_FOR_3_MM - 1e-6:
        raise InvalidInput(
            "major diameter", needs="a quarter of an inch or more for formula 3", came=f"{major_mm:g} mm"
        )
    return 0.75 * pi * pitch_diameter_mm


def fed_std_5_mm2_per_mm(pitch_diameter_mm: float) -> float:
    """Shear area of the external thread, simplified, FED-STD-H28/2B formula 5.

    Parameters
    ----------
    pitch_diameter_mm : float
        Basic pitch diameter [mm].

    Returns
    -------
    float
        5/8 π d2 [mm²/mm].
    """
    return 0.625 * pi * pitch_diameter_mm


def fed_std_6b_mm2_per_mm(minor_mm: float) -> float:
    """Shear area of the external thread at basic size, FED-STD-H28/2B formula 6b.

    Parameters
    ----------
    minor_mm : float
        Basic minor diameter of the hole [mm].

    Returns
    -------
    float
        3/4 π D1 [mm²/mm].
    """
    return 0.75 * pi * minor_mm


def iso_tr_16224_nut_mm2_per_mm(pitch_mm: float, major_mm: float, pitch_diameter_mm: float) -> float:
    """Shear area of the nut's thread, ISO/TR 16224:2012 clause 4.2.3.1, per mm engaged.

    Parameters
    ----------
    pitch_mm, major_mm, pitch_diameter_mm : float
        Pitch, major diameter of the bolt and pitch diameter of the nut [mm]; basic ones, or dmin and D2max.

    Returns
    -------
    float
        The area [mm²/mm].
    """
    return pi / pitch_mm * major_mm * (pitch_mm / 2 + (major_mm - pitch_diameter_mm) / sqrt(3))


def iso_tr_16224_bolt_mm2_per_mm(pitch_mm: float, minor_mm: float, pitch_diameter_mm: float) -> float:
    """Shear area of the bolt's thread, ISO/TR 16224:2012 clause 4.2.3.1, per mm engaged.

    Parameters
    ----------
    pitch_mm, minor_mm, pitch_diameter_mm : float
        Pitch, minor diameter of the nut and pitch diameter of the bolt [mm]; basic ones, or D1max and d2min.

    Returns
    -------
    float
        0.6 of it at D1, 0.4 at 1.026 D1, where the nut is bell-mouthed [mm²/mm].
    """

    def at(inner_mm: float) -> float:
        return pi / pitch_mm * inner_mm * (pitch_mm / 2 + (pitch_diameter_mm - inner_mm) / sqrt(3))

    return _STRAIGHT * at(minor_mm) + _BELL_MOUTHED * at(_BELL_MOUTH * minor_mm)


def nut_dilation(across_flats_mm: float, major_mm: float) -> float:
    """Give the factor C1 by which a nut's widening weakens the threads, ISO/TR 16224 equation 6.

    Parameters
    ----------
    across_flats_mm, major_mm : float
        Width across flats of the nut, or of the wall around a hole, and major diameter [mm].

    Returns
    -------
    float
        C1 [-]; 1 from 1.8 on, where the formula reaches it. The bound that the report itself prints differs
        slightly: the equation was read in a library that says so.

    Raises
    ------
    InvalidInput
        Walls thinner than the formula was made for.
    """
    ratio = across_flats_mm / major_mm
    if ratio < 1.4:
        raise InvalidInput(
            "width across flats",
            needs="1.4 times the thread or more for ISO/TR 16224",
            came=f"{ratio:.2f} times",
            remedy="Test one, or take a thicker nut.",
        )
    return 1.0 if ratio >= 1.8 else -(ratio**2) + 3.8 * ratio - 2.6


def bolt_bending(strength_ratio: float) -> float:
    """Give the factor C2 for the bolt's threads, ISO/TR 16224.

    Parameters
    ----------
    strength_ratio : float
        Shear strength of the nut's threads over that of the bolt's: (Rm ASn) / (Rm ASb) [-].

    Returns
    -------
    float
        C2 [-].

    Raises
    ------
    InvalidInput
        A ratio of 2.2 or more, for which the report has none.
    """
    if strength_ratio >= 2.2:
        raise _outside(strength_ratio, "less than 2.2")
    if strength_ratio <= 1:
        return 0.897
    r = strength_ratio
    return 5.594 - 13.682 * r + 14.107 * r**2 - 6.057 * r**3 + 0.9353 * r**4


def nut_bending(strength_ratio: float) -> float:
    """Give the factor C3 for the nut's threads, ISO/TR 16224.

    Parameters
    ----------
    strength_ratio : float
        Shear strength of the nut's threads over that of the bolt's [-].

    Returns
    -------
    float
        C3 [-].

    Raises
    ------
    InvalidInput
        A ratio of 0.4 or less, for which the report has none.
    """
    if strength_ratio <= 0.4:
        raise _outside(strength_ratio, "more than 0.4")
    if strength_ratio >= 1:
        return 0.897
    r = strength_ratio
    return 0.728 + 1.769 * r - 2.896 * r**2 + 1.296 * r**3


def _outside(strength_ratio: float, needs: str) -> InvalidInput:
    return InvalidInput(
        "strength ratio",
        needs=f"{needs} for ISO/TR 16224",
        came=f"{strength_ratio:.2f}",
        remedy="Reckon by FED-STD-H28/2B instead.",
    )
