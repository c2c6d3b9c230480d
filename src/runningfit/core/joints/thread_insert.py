"""A thread insert in a hole: its wider outside thread is what pulls out of the tapped metal."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.joints.engagement import (
    ThreadAreas,
    ThreadPair,
    fed_std_14_mm,
    fed_std_16_mm,
    thread_areas,
)
from runningfit.core.joints.thread_shear import fed_std_2a_mm2_per_mm
from runningfit.core.standards import Thread
from runningfit.core.standards.profiles import included_angle_deg
from runningfit.core.verdicts import Reason

INSERT_SOURCE = (
    "from memory: the hole for a wire insert has a thread wider by twice d - d2, of the same pitch"
)


def widened_by_mm(thread: Thread) -> float:
    """Give by how much the outside thread of a wire insert is wider than the thread in it.

    Parameters
    ----------
    thread : Thread
        The thread of the bolt.

    Returns
    -------
    float
        2 (d - d2), on major and pitch diameter alike [mm]: 1.299 P at 60 degrees, 1.281 P at 55, 1.2 P for
        B.A. From memory; a solid insert is wider still and holds more.
    """
    return 2 * (thread.major_mm - thread.pitch_diameter_mm)


def insert_areas(pair: ThreadPair) -> ThreadAreas:
    """Give the areas of a bolt in a thread insert.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and insert, by the classes of the bolt's own thread.

    Returns
    -------
    ThreadAreas
        That of the hole by FED-STD-H28/2B formula 2a with the diameters of the insert's outside thread; that
        of the bolt as in any hole. The wire itself, stronger than any bolt, is not reckoned.
    """
    thread = pair.thread
    wider = widened_by_mm(thread)
    outside = fed_std_2a_mm2_per_mm(
        thread.pitch_mm,
        pair.major_min_mm + wider,
        pair.pitch_diameter_max_mm + wider,
        included_angle_deg(thread.form) / 2,
    )
    return replace(thread_areas(pair), internal_mm2_per_mm=outside)


def insert_length_needed_mm(pair: ThreadPair, bolt_tensile_mpa: float, tapped_tensile_mpa: float) -> float:
    """Give the length of insert that makes the bolt break before it pulls out.

    Parameters
    ----------
    pair : ThreadPair
        Bolt and insert.
    bolt_tensile_mpa, tapped_tensile_mpa : float
        Tensile strengths [MPa]; for safety the bolt's largest and the hole's least.

    Returns
    -------
    float
        The larger of formulas 14 and 16 of FED-STD-H28/2B [mm]; 13 is for threads that shear together, and
        here they shear on different diameters.
    """
    areas = insert_areas(pair)
    return max(fed_std_14_mm(areas), fed_std_16_mm(areas, bolt_tensile_mpa, tapped_tensile_mpa))


def insert_reason(thread: Thread) -> Reason:
    """Say with which diameters an insert was reckoned.

    Parameters
    ----------
    thread : Thread
        The thread of the bolt.

    Returns
    -------
    Reason
        From memory, so that no pass rests on it.
    """
    wide = thread.major_mm + widened_by_mm(thread)
    return Reason(
        f"The insert pulls out by its outside thread, {wide:.2f} mm over the crests where the bolt has "
        f"{thread.major_mm:.2f} mm.",
        INSERT_SOURCE,
    )
