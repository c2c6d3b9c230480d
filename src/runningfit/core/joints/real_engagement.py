"""How much of a bolt's thread really holds: what washer, chamfer, depth and damage take away."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread


@dataclass(frozen=True, slots=True)
class Fitted:
    """A bolt in its hole or nut, as measured.

    Parameters
    ----------
    bolt_length_mm : float
        Length under the head [mm].
    clamped_mm, washer_mm : float
        Thickness of what is clamped and of all washers [mm].
    thread_depth_mm : float
        Depth to which the hole is tapped, or height of the nut [mm].
    is_blind : bool
        Whether the hole has a bottom.
    chamfer_mm : float
        Depth of the hole's countersink [mm].
    point_mm : float or None
        Length of the bolt's point without full thread [mm]; none is one pitch (common practice, no source).
    damaged_turns : float
        Turns of either thread that hold no more.
    """

    bolt_length_mm: float
    clamped_mm: float
    thread_depth_mm: float
    is_blind: bool = False
    washer_mm: float = 0.0
    chamfer_mm: float = 0.0
    point_mm: float | None = None
    damaged_turns: float = 0.0


@dataclass(frozen=True, slots=True)
class RealEngagement:
    """What really holds.

    Parameters
    ----------
    engaged_mm : float
        Full thread in full thread [mm].
    bottoms_by_mm : float
        By how much the bolt meets the bottom of a blind hole before it clamps [mm]; 0 where it does not.
    """

    engaged_mm: float
    bottoms_by_mm: float


def real_engagement(thread: Thread, fitted: Fitted) -> RealEngagement:
    """Reckon the real engagement of a bolt as it is fitted.

    Parameters
    ----------
    thread : Thread
        Its thread.
    fitted : Fitted
        What was measured.

    Returns
    -------
    RealEngagement
        Engagement less point, countersink and damaged turns; and whether the bolt bottoms.

    Raises
    ------
    InvalidInput
        A negative measure, or no full thread engaged at all.
    """
    point = thread.pitch_mm if fitted.point_mm is None else fitted.point_mm
    measures = (
        fitted.bolt_length_mm,
        fitted.clamped_mm,
        fitted.thread_depth_mm,
        fitted.washer_mm,
        fitted.chamfer_mm,
        point,
        fitted.damaged_turns,
    )
    if min(measures) < 0:
        raise InvalidInput("length", needs="measures that are not negative", came=f"{min(measures):g}")
    reach = fitted.bolt_length_mm - fitted.clamped_mm - fitted.washer_mm
    # A bolt that comes out at the far side leaves its point outside.
    full = min(reach - point, fitted.thread_depth_mm)
    return RealEngagement(
        full_thread_mm(thread, full, fitted.chamfer_mm, fitted.damaged_turns),
        max(0.0, reach - fitted.thread_depth_mm) if fitted.is_blind else 0.0,
    )


def full_thread_mm(
    thread: Thread, engaged_mm: float, chamfer_mm: float = 0.0, damaged_turns: float = 0.0
) -> float:
    """Take countersink and damaged turns off a length of engagement.

    Parameters
    ----------
    thread : Thread
        The thread.
    engaged_mm : float
        Length of engagement as measured [mm].
    chamfer_mm : float
        Depth of countersink and point within it [mm].
    damaged_turns : float
        Turns that hold no more.

    Returns
    -------
    float
        Full thread in full thread [mm].

    Raises
    ------
    InvalidInput
        Nothing is left, less than the one turn that point and chamfer alone take, or a negative measure.
    """
    if not (chamfer_mm >= 0 and damaged_turns >= 0):
        raise InvalidInput(
            "chamfer or damaged turns",
            needs="numbers that are not negative",
            came=f"{chamfer_mm:g} mm and {damaged_turns:g}",
        )
    lost = chamfer_mm + damaged_turns * thread.pitch_mm
    left = engaged_mm - lost
    if left <= 0 or engaged_mm < thread.pitch_mm:
        taken = (
            f"{lost:.2f} mm of chamfer and damaged turns" if lost else f"one turn, {thread.pitch_mm:.2f} mm"
        )
        raise InvalidInput(
            "length of engagement",
            needs=f"more than {taken}",
            came=f"{engaged_mm:g} mm",
            remedy="Measure how far the thread is engaged: such a bolt holds nothing.",
        )
    return left
