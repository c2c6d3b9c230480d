"""What a coat of plating does to the diameters of a thread, and how much of it there is room for."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, radians, sin

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging.three_wires import HALF_ANGLES_DEG
from runningfit.core.standards import Thread, ThreadForm
from runningfit.core.standards.limits import ExternalLimits


def growth_of_pitch_diameter(form: ThreadForm) -> float:
    """How much the pitch diameter grows for each unit of plating thickness.

    Parameters
    ----------
    form : ThreadForm
        The profile.

    Returns
    -------
    float
        2 / sin(a/2): 4 at 60°, 4.331 at 55°, 4.966 at 47.5°.
    """
    return 2 / sin(radians(HALF_ANGLES_DEG[form]))


def grown_mm(thread: Thread, thickness_mm: float) -> float:
    """How much plating adds to the pitch diameter of a bolt, or takes from that of a hole.

    Parameters
    ----------
    thread : Thread
        Any standard thread.
    thickness_mm : float
        Thickness of the coat on the flanks [mm]; the same everywhere, which tank plating is not.

    Returns
    -------
    float
        The change of the pitch diameter [mm]. Major and minor diameter change by twice the thickness.

    Raises
    ------
    InvalidInput
        The thickness is negative or no number.
    """
    if not (isfinite(thickness_mm) and thickness_mm >= 0):
        raise InvalidInput(
            "thickness", needs="nothing or more [mm]", came=thickness_mm, remedy="Measure the coat."
        )
    return growth_of_pitch_diameter(thread.form) * thickness_mm


def room_for_plating_mm(thread: Thread, limits: ExternalLimits) -> float:
    """The thickest coat that keeps a bolt of greatest size within the basic size.

    Parameters
    ----------
    thread : Thread
        The thread.
    limits : ExternalLimits
        Its limits before plating.

    Returns
    -------
    float
        The thickness [mm]; nothing where the class has no allowance, as 3A, 6h and close have none.

    Notes
    -----
    The allowance divided by 2 / sin(a/2): a quarter of it at 60° (ASME B1.1, arithmetic recomputed).
    """
    allowance = max(0.0, thread.pitch_diameter_mm - limits.pitch_diameter_max_mm)
    return allowance / growth_of_pitch_diameter(thread.form)


def limits_after_plating(thread: Thread, limits: ExternalLimits) -> ExternalLimits:
    """The limits that a bolt must keep once it is plated: the basic size takes the place of the largest.

    Parameters
    ----------
    thread : Thread
        The thread.
    limits : ExternalLimits
        Its limits before plating.

    Returns
    -------
    ExternalLimits
        The smallest sizes stay; the GO gauge is that of the basic size (for Unified, class 3A).

    Notes
    -----
    ASME B1.1 for 2A and ISO 965-1 for position g, from memory; BS 84 and BS 93: common practice, no source.
    """
    minor = limits.minor_max_mm
    allowance = max(0.0, thread.pitch_diameter_mm - limits.pitch_diameter_max_mm)
    return replace(
        limits,
        major_max_mm=max(limits.major_max_mm, thread.major_mm),
        pitch_diameter_max_mm=max(limits.pitch_diameter_max_mm, thread.pitch_diameter_mm),
        minor_max_mm=None if minor is None else minor + allowance,
        source=f"{limits.source}; after plating the basic size is the largest",
    )
