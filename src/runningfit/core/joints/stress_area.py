"""The area that carries a bolt's tension, by the formula of each authority."""

from __future__ import annotations

from math import pi, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread
from runningfit.core.standards.strength_figures import WHY_NO_AREA, stress_area


def tensile_area_mm2(thread: Thread) -> float:
    """Give the nominal tensile stress area of a bolt.

    Parameters
    ----------
    thread : Thread
        A parallel thread.

    Returns
    -------
    float
        The area [mm²].

    Raises
    ------
    InvalidInput
        A pipe thread, which has none.

    References
    ----------
    `core.standards.strength_figures.stress_area`: FED-STD-H28/2B formula 1b and ASME B1.1; ISO 898-1; common
    practice for Whitworth, B.A. and cycle threads.
    """
    figure = stress_area(thread)
    if figure is None:
        raise InvalidInput(
            "thread",
            needs="one of a bolt, stud or screw",
            came=thread.designation,
            remedy=f"Name another: {WHY_NO_AREA}.",
        )
    return figure.value


def fed_std_1a_mm2(pitch_diameter_mm: float, pitch_mm: float) -> float:
    """Tensile stress area from the pitch diameter, FED-STD-H28/2B formula 1a.

    Parameters
    ----------
    pitch_diameter_mm, pitch_mm : float
        Basic pitch diameter and pitch [mm]; 60 degrees.

    Returns
    -------
    float
        π (d2/2 - 3H/16)², H = P √3/2 [mm²].
    """
    return pi * (pitch_diameter_mm / 2 - 3 * (pitch_mm * sqrt(3) / 2) / 16) ** 2


def fed_std_1b_mm2(major_mm: float, pitch_mm: float) -> float:
    """Tensile stress area from the major diameter, FED-STD-H28/2B formula 1b.

    Parameters
    ----------
    major_mm, pitch_mm : float
        Basic major diameter and pitch [mm]; 60 degrees.

    Returns
    -------
    float
        π/4 (d - 9√3/16 P)² [mm²].
    """
    return pi / 4 * (major_mm - 9 * sqrt(3) / 16 * pitch_mm) ** 2


def high_strength_mm2(pitch_diameter_min_mm: float, pitch_mm: float) -> float:
    """Tensile stress area of steels above 180 000 psi, from the least pitch diameter.

    Parameters
    ----------
    pitch_diameter_min_mm, pitch_mm : float
        Least pitch diameter of the class and pitch [mm]; 60 degrees.

    Returns
    -------
    float
        π (d2min/2 - 0.16238 P)² [mm²].

    References
    ----------
    Machinery's Handbook, 31st edition, p. 1668, equation 2b.
    """
    return pi * (pitch_diameter_min_mm / 2 - 3 * sqrt(3) / 32 * pitch_mm) ** 2


def iso_898_1_mm2(major_mm: float, pitch_mm: float) -> float:
    """Nominal stress area of a metric thread, ISO 898-1 and ISO/TR 16224 clause 4.2.2.2.

    Parameters
    ----------
    major_mm, pitch_mm : float
        Basic major diameter and pitch [mm].

    Returns
    -------
    float
        π/4 ((d2 + d3)/2)², d3 = d1 - H/6 [mm²].
    """
    height = pitch_mm * sqrt(3) / 2
    pitch_diameter = major_mm - 0.75 * height
    return pi / 4 * ((pitch_diameter + major_mm - 1.25 * height - height / 6) / 2) ** 2


def stress_diameter_mm(area_mm2: float) -> float:
    """Give the diameter of a round section of an area.

    Parameters
    ----------
    area_mm2 : float
        The area [mm²].

    Returns
    -------
    float
        The diameter [mm].
    """
    return sqrt(4 * area_mm2 / pi)
