"""How much thread of a joint holds, and what stops a bolt before it clamps, by what is known."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.real_engagement import (
    Fitted,
    RealEngagement,
    full_thread_mm,
    real_engagement,
    shank_reach_mm,
    usual_thread_length_mm,
)
from runningfit.core.pieces.kinds import Kind, LengthBasis
from runningfit.core.standards import Thread
from runningfit.core.treatments.threaded_joint.carrying import is_nut_on_stud
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, MateFacts
from runningfit.core.treatments.threaded_joint.reading import in_range

# A washer of which nobody said whether it is there takes about this share of the diameter, and a countersink
# of which nobody said how deep one pitch (common practice, no source).
_WASHER_OVER_DIAMETER = 0.2
# Deeper than any hole.
VERY_DEEP_MM = 1000.0


def engaged_thread(found: Thread, facts: JointFacts) -> tuple[RealEngagement | None, str]:
    """Reckon what really holds.

    Parameters
    ----------
    found : Thread
        The thread.
    facts : JointFacts
        The joint.

    Returns
    -------
    RealEngagement or None, and str
        Else nothing and why: `?` where a fact is missing.

    Raises
    ------
    InvalidInput
        A length that cannot be.
    """
    piece, mate = facts.piece, facts.mate
    in_range("damaged turns", mate.damaged_turns, 0.0, 1000.0, "turns")
    engaged = in_range("length engaged", mate.engaged_mm, 0.0, 1000.0, "mm")
    depth = in_range("depth of the hole", mate.depth_mm, 0.0, 2000.0, "mm")
    chamfer = in_range("chamfer", mate.chamfer_mm, 0.0, 100.0, "mm")
    clamped = in_range("thickness clamped", mate.clamped_mm, 0.0, 2000.0, "mm")
    washer = in_range("thickness of the washers", mate.washer_mm, 0.0, 200.0, "mm")
    length = in_range("length", piece.length_mm, 0.5, 2000.0, "mm")
    threaded = in_range("length of its thread", piece.thread_length_mm, 0.5, 2000.0, "mm")
    lost = found.pitch_mm if chamfer is None else chamfer
    try:
        if engaged is not None:
            return RealEngagement(full_thread_mm(found, engaged, 0.0, mate.damaged_turns), 0.0), ""
        if is_nut_on_stud(facts) and depth is not None:
            return RealEngagement(full_thread_mm(found, depth, lost, mate.damaged_turns), 0.0), ""
        if depth is None or length is None or clamped is None:
            return None, "?"
        if piece.kind.length_basis is not LengthBasis.UNDER_HEAD:
            return None, "?"
        thick = _WASHER_OVER_DIAMETER * found.major_mm if washer is None else washer
        fitted = Fitted(
            length,
            clamped,
            depth,
            _is_blind(mate),
            thick,
            lost,
            damaged_turns=mate.damaged_turns,
            thread_length_mm=None if threaded is None else min(threaded, length),
        )
        # For what stops the bolt short, no washer and no countersink but those that somebody said.
        bare = replace(fitted, washer_mm=washer or 0.0, chamfer_mm=chamfer or 0.0)
        bottoms = max(0.0, length - clamped - bare.washer_mm - depth) if fitted.is_blind else 0.0
        held = real_engagement(found, fitted)
        shank = 0.0 if bare.thread_length_mm is None else shank_reach_mm(bare, bare.thread_length_mm)
        return RealEngagement(held.engaged_mm, bottoms, shank), ""
    except InvalidInput as refused:
        if refused.argument != "length of engagement":
            raise
        return None, f"Hardly any thread holds: {refused.needs} is needed, {refused.came} is there."


def _is_blind(mate: MateFacts) -> bool:
    """Whether a bolt can meet a bottom: in a hole of which nobody said that it goes through."""
    return mate.blind is not False and mate.mate is not Mate.NUT


def usual_shank_mm(found: Thread, facts: JointFacts) -> float:
    """Give how far the plain shank would reach into the thread if the thread is as long as is usual.

    Parameters
    ----------
    found : Thread
        The thread.
    facts : JointFacts
        The joint.

    Returns
    -------
    float
        0 where the length of the thread or the engagement was measured, where a length is not known, and for
        what is threaded up to its head [mm].
    """
    piece, mate = facts.piece, facts.mate
    is_measured = piece.thread_length_mm is not None or mate.engaged_mm is not None
    if is_measured or piece.kind is not Kind.HEX_BOLT or is_nut_on_stud(facts):
        return 0.0
    if piece.length_mm is None or mate.clamped_mm is None:
        return 0.0
    fitted = Fitted(
        piece.length_mm,
        mate.clamped_mm,
        0.0,
        washer_mm=mate.washer_mm or 0.0,
        chamfer_mm=mate.chamfer_mm or 0.0,
    )
    return shank_reach_mm(fitted, usual_thread_length_mm(found, piece.length_mm))
