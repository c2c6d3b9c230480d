"""The long form of the torque equation: from preload to torque and back, for any angle, lead and collar."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread
from runningfit.core.standards.profiles import included_angle_deg

# Shigley, 9th edition, p. 438: mean diameter of the bearing face of a hexagon head over the nominal diameter.
USUAL_BEARING = 1.25
_LEAST_FRICTION, _MOST_FRICTION = 0.01, 1.0
_N_MM_PER_N_M = 1000.0


@dataclass(frozen=True, slots=True)
class ScrewGeometry:
    """What of a screw's shape turns torque into preload.

    Parameters
    ----------
    nominal_mm : float
        Nominal diameter [mm]; only the nut factor is made with it.
    pitch_diameter_mm : float
        Mean diameter of the thread's flanks [mm].
    lead_mm : float
        How far one turn goes [mm]: the pitch times the number of starts.
    half_angle_deg : float
        Half of the included angle [°]: 30 for Unified and metric, 27.5 Whitworth, 14.5 Acme, 0 square.
    bearing_diameter_mm : float
        Mean friction diameter of head, nut or collar [mm].
    """

    nominal_mm: float
    pitch_diameter_mm: float
    lead_mm: float
    half_angle_deg: float
    bearing_diameter_mm: float


def geometry_of(thread: Thread, bearing_diameter_mm: float | None = None) -> ScrewGeometry:
    """Give the geometry of a standard thread.

    Parameters
    ----------
    thread : Thread
        A standard thread, single start; its basic dimensions count.
    bearing_diameter_mm : float or None
        Mean friction diameter under head or nut [mm]; none is 1.25 of the nominal diameter.

    Returns
    -------
    ScrewGeometry
        The geometry.

    Raises
    ------
    InvalidInput
        The bearing diameter is smaller than the thread, or more than four times as large.
    """
    bearing = USUAL_BEARING * thread.major_mm if bearing_diameter_mm is None else bearing_diameter_mm
    if not thread.major_mm <= bearing <= 4 * thread.major_mm:
        raise InvalidInput(
            "bearing diameter",
            needs=f"the mean diameter under the head, {thread.major_mm:.2f} to {4 * thread.major_mm:.1f} "
            "mm here",
            came=f"{bearing:g} mm",
            remedy="Take the mean of the head's bearing face and the hole.",
        )
    return ScrewGeometry(
        thread.major_mm,
        thread.pitch_diameter_mm,
        thread.pitch_mm,
        included_angle_deg(thread.form) / 2,
        bearing,
    )


def check_friction(friction: float) -> float:
    """Refuse a coefficient of friction that no pair of surfaces has.

    Parameters
    ----------
    friction : float
        Coefficient of friction [-].

    Returns
    -------
    float
        The same.

    Raises
    ------
    InvalidInput
        It is not from 0.01 to 1.
    """
    if not _LEAST_FRICTION <= friction <= _MOST_FRICTION:
        raise InvalidInput(
            "friction",
            needs="a coefficient from 0.01 to 1, such as 0.15 or 0.10..0.18",
            came=f"{friction:g}",
            remedy="Leave it out and name finish and lubricant if it is not known.",
        )
    return friction


def thread_term(geometry: ScrewGeometry, friction_thread: float, *, loosening: bool = False) -> float:
    """Give the share of the preload that must be pushed around the thread: the tangent of lead and friction.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    friction_thread : float
        Coefficient of friction in the thread [-].
    loosening : bool
        True for turning back, which the lead helps; negative where the thread does not hold itself.

    Returns
    -------
    float
        Tangential over axial force at the pitch diameter [-].

    Raises
    ------
    InvalidInput
        Lead and friction are so large that no torque turns the screw.

    Notes
    -----
    (tan λ + μ / cos α) / (1 - μ tan λ / cos α), with tan λ = lead / (π d2) and α the half angle.

    References
    ----------
    Shigley, Mechanical Engineering Design, 9th edition, equations 8-5, 8-26; p. 438.
    """
    lead = geometry.lead_mm / (pi * geometry.pitch_diameter_mm)
    rub = friction_thread / cos(radians(geometry.half_angle_deg))
    if loosening:
        return (rub - lead) / (1 + rub * lead)
    if rub * lead >= 1:
        raise InvalidInput(
            "friction",
            needs="less than what locks such a lead",
            came=f"{friction_thread:g}",
            remedy="Check it.",
        )
    return (lead + rub) / (1 - rub * lead)


def arm_mm(
    geometry: ScrewGeometry, friction_thread: float, friction_bearing: float, *, loosening: bool = False
) -> float:
    """Give the torque that each unit of preload takes, as an arm.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    friction_thread, friction_bearing : float
        Coefficients of friction in the thread and under what turns [-].
    loosening : bool
        True for turning back.

    Returns
    -------
    float
        Torque over preload [mm].

    Notes
    -----
    d2/2 times `thread_term`, and μ times half of the bearing diameter.
    """
    in_thread = geometry.pitch_diameter_mm / 2 * thread_term(geometry, friction_thread, loosening=loosening)
    return in_thread + friction_bearing * geometry.bearing_diameter_mm / 2


def torque_for_preload_nm(
    geometry: ScrewGeometry, preload_n: float, friction_thread: float, friction_bearing: float
) -> float:
    """Give the torque that tightens to a preload, by the long form.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw: bolt, or square or Acme power screw with its collar.
    preload_n : float
        Preload, or the load that is raised [N].
    friction_thread, friction_bearing : float
        Coefficients of friction in the thread and under head or collar [-].

    Returns
    -------
    float
        Torque [N m].
    """
    return preload_n * arm_mm(geometry, friction_thread, friction_bearing) / _N_MM_PER_N_M


def loosening_torque_nm(
    geometry: ScrewGeometry, preload_n: float, friction_thread: float, friction_bearing: float
) -> float:
    """Give the torque that turns a tightened screw back, or lowers a load.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    preload_n : float
        Preload or load [N].
    friction_thread, friction_bearing : float
        Coefficients of friction in the thread and under head or collar [-].

    Returns
    -------
    float
        Torque [N m]; negative where it runs back by itself.
    """
    return preload_n * arm_mm(geometry, friction_thread, friction_bearing, loosening=True) / _N_MM_PER_N_M


def nut_factor(geometry: ScrewGeometry, friction_thread: float, friction_bearing: float) -> float:
    """Give the nut factor K of T = K F d that the long form comes to.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    friction_thread, friction_bearing : float
        Coefficients of friction [-].

    Returns
    -------
    float
        K [-].
    """
    return arm_mm(geometry, friction_thread, friction_bearing) / geometry.nominal_mm


def torque_by_nut_factor_nm(factor: float, nominal_mm: float, preload_n: float) -> float:
    """Give the torque by the short form.

    Parameters
    ----------
    factor : float
        Nut factor K [-].
    nominal_mm : float
        Nominal diameter [mm].
    preload_n : float
        Preload [N].

    Returns
    -------
    float
        T = K F d [N m].
    """
    return factor * nominal_mm * preload_n / _N_MM_PER_N_M


def friction_of_nut_factor(geometry: ScrewGeometry, factor: float) -> float:
    """Give the coefficient of friction, alike in thread and under the head, that makes a nut factor.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    factor : float
        Nut factor K [-].

    Returns
    -------
    float
        The coefficient [-].

    Raises
    ------
    InvalidInput
        K is less than the lead alone takes.

    Notes
    -----
    The smaller root of the quadratic that the long form is in μ.
    """
    in_thread, under_head = geometry.pitch_diameter_mm / 2, geometry.bearing_diameter_mm / 2
    lead = geometry.lead_mm / (pi * geometry.pitch_diameter_mm)
    steep = 1 / cos(radians(geometry.half_angle_deg))
    arm = factor * geometry.nominal_mm
    square = -under_head * lead * steep
    linear = in_thread * steep + under_head + arm * lead * steep
    constant = in_thread * lead - arm
    if constant >= 0:
        raise InvalidInput(
            "nut factor",
            needs=f"more than the {in_thread * lead / geometry.nominal_mm:.3f} that the lead alone takes",
            came=f"{factor:g}",
            remedy="Check the figure.",
        )
    # square < 0 < linear: this is the root near -constant / linear, without loss of digits.
    return -2 * constant / (linear + sqrt(linear**2 - 4 * square * constant))


def torsion_factor(geometry: ScrewGeometry, friction_thread: float, stress_diameter_mm: float) -> float:
    """Give how much tightening's torsion raises the comparative stress over the tension.

    Parameters
    ----------
    geometry : ScrewGeometry
        The screw.
    friction_thread : float
        Coefficient of friction in the thread [-].
    stress_diameter_mm : float
        Diameter of the stress area [mm].

    Returns
    -------
    float
        von Mises stress over tensile stress [-].

    Notes
    -----
    √(1 + 3 (τ/σ)²) with τ/σ = (3/2) (d2 / d0) × `thread_term`: torsion spread over a section that begins to
    yield as a whole, W = π d0³ / 12.

    References
    ----------
    VDI 2230 part 1, assembly preload (formula from memory; its printed table is reproduced in
    tests/published).
    """
    shear = 1.5 * geometry.pitch_diameter_mm / stress_diameter_mm * thread_term(geometry, friction_thread)
    return sqrt(1 + 3 * shear**2)
