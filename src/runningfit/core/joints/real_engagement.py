"""How much of a bolt's thread really holds: what washer, chamfer, depth and damage take away."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadForm
from runningfit.core.units.lengths import MM_PER_INCH

# Up to which length of bolt how much is added to twice the diameter [mm].
_MORE_THREAD_MM = ((125.0, 6.0), (200.0, 12.0), (inf, 25.0))
_LONG_IN, _SLACK_MM = 6.0, 1e-6


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
    thread_length_mm : float or None
        Length of the bolt's thread from its end [mm]; none is up to the head.
    """

    bolt_length_mm: float
    clamped_mm: float
    thread_depth_mm: float
    is_blind: bool = False
    washer_mm: float = 0.0
    chamfer_mm: float = 0.0
    point_mm: float | None = None
    damaged_turns: float = 0.0
    thread_length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class RealEngagement:
    """What really holds.

    Parameters
    ----------
    engaged_mm : float
        Full thread in full thread [mm].
    bottoms_by_mm : float
        By how much the bolt meets the bottom of a blind hole before it clamps [mm]; 0 where it does not.
    shank_by_mm : float
        By how much its plain shank meets the inside thread before it clamps [mm]; 0 where it does not.
    """

    engaged_mm: float
    bottoms_by_mm: float
    shank_by_mm: float = 0.0

    @property
    def clamps(self) -> bool:
        """Whether nothing stops the bolt before it clamps."""
        return self.bottoms_by_mm <= 0 and self.shank_by_mm <= 0


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
        fitted.bolt_length_mm if fitted.thread_length_mm is None else fitted.thread_length_mm,
    )
    if min(measures) < 0:
        raise InvalidInput("length", needs="measures that are not negative", came=f"{min(measures):g}")
    reach = fitted.bolt_length_mm - fitted.clamped_mm - fitted.washer_mm
    # A bolt that comes out at the far side leaves its point outside.
    full = min(reach - point, fitted.thread_depth_mm)
    return RealEngagement(
        full_thread_mm(thread, full, fitted.chamfer_mm, fitted.damaged_turns),
        max(0.0, reach - fitted.thread_depth_mm) if fitted.is_blind else 0.0,
        0.0 if fitted.thread_length_mm is None else shank_reach_mm(fitted, fitted.thread_length_mm),
    )


def shank_reach_mm(fitted: Fitted, thread_length_mm: float) -> float:
    """Give how far the plain shank of a bolt reaches into the thread of its hole or nut.

    Parameters
    ----------
    fitted : Fitted
        What was measured.
    thread_length_mm : float
        Length of the bolt's thread from its end [mm].

    Returns
    -------
    float
        What is left of the shank behind clamped parts, washers and countersink [mm]; 0 where nothing is.
    """
    shank = fitted.bolt_length_mm - thread_length_mm
    return max(0.0, shank - fitted.clamped_mm - fitted.washer_mm - fitted.chamfer_mm)


def usual_thread_length_mm(thread: Thread, bolt_length_mm: float) -> float:
    """Give the thread length that standards give a bolt of a length, where nobody measured it.

    Parameters
    ----------
    thread : Thread
        Its thread.
    bolt_length_mm : float
        Length under the head [mm].

    Returns
    -------
    float
        2 d + 6 mm up to 125 mm, 12 mm more up to 200 mm, 25 mm more beyond, for metric threads (ISO 888, from
        memory); 2 d + 1/4 in up to 6 in and 1/2 in more beyond for inch threads (ASME B18.2.1, from memory;
        British bolts alike by common practice, no source) [mm]. Never more than the bolt is long.
    """
    if thread.form is ThreadForm.METRIC60:
        more = next(more for up_to, more in _MORE_THREAD_MM if bolt_length_mm <= up_to)
    else:
        more = MM_PER_INCH / (4 if bolt_length_mm <= _LONG_IN * MM_PER_INCH + _SLACK_MM else 2)
    return min(bolt_length_mm, 2 * thread.major_mm + more)


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
