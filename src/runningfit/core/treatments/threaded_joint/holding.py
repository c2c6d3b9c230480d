"""The question of stripping: whether the threads in engagement hold as long as the bolt does."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.engagement import ThreadPair, length_needed_mm, thread_pair, worn_pair
from runningfit.core.joints.real_engagement import Fitted, RealEngagement, full_thread_mm, real_engagement
from runningfit.core.joints.stripping import EngagedThreads, judge_stripping
from runningfit.core.joints.tapped_materials import TappedMaterial, tapped_material
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind, LengthBasis
from runningfit.core.standards import Thread
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.clamping import grade_of_bolt, is_nut_on_stud
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, MateFacts, ThreadState
from runningfit.core.treatments.threaded_joint.reading import bolt_thread, in_range
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_PRACTICE = "common practice, no source"
# One-sided 95 % of a measured diameter, at the side that holds less.
_SURE = 1.6448536269514722
# A washer of which nobody said whether it is there takes about this share of the diameter, and a countersink
# of which nobody said how deep one pitch (common practice, no source).
_WASHER_OVER_DIAMETER = 0.2
# Deeper than any hole.
_VERY_DEEP_MM = 1000.0
_PULLED = "The thread of the hole is damaged: it needs an insert or the machine shop."
_NUT_BAD = "The thread on the other side is damaged: replace it."


def ask_stripping(facts: JointFacts, preload_high_n: float | None) -> Check | None:
    """Ask whether the threads of a joint hold as long as the bolt does.

    Parameters
    ----------
    facts : JointFacts
        The joint.
    preload_high_n : float or None
        95th percentile of its preload [N]; none where it is not known.

    Returns
    -------
    Check or None
        None where no thread clamps.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    found = bolt_thread(facts.piece)
    if found is None:
        return None
    mate = facts.mate
    if mate.thread_state is ThreadState.DEFECTIVE:
        return _bad_mate(facts)
    if mate.mate is Mate.NOT_SAID and not is_nut_on_stud(facts):
        says = "Nobody said what it is screwed into."
        return _check(Verdict(Outcome.NOT_PROVEN, reasons=(Reason(says),)), says, "what it is screwed into")
    pair = _pair(found, facts)
    grade = grade_of_bolt(facts, found)
    tapped = _tapped(facts)
    engagement, why_none = _engagement(found, facts)
    at_most = None
    if why_none == "?" and mate.depth_mm is None:
        deep = replace(facts, mate=replace(mate, depth_mm=_VERY_DEEP_MM, blind=False))
        at_most, why_none = _engagement(found, deep)
    if why_none and engagement is None and not why_none.startswith("?"):
        return _check(
            Verdict(Outcome.NOT_SOUND, reasons=(Reason(why_none),)), why_none, "", needs_a_person=True
        )
    bolt = grade.strength
    gauged = facts.piece.passes_go is True and facts.piece.stops_no_go is True
    doubted = mate.thread_state is ThreadState.NOT_PROVEN or (
        facts.piece.thread_state is ThreadState.DEFECTIVE and mate.thread_state is not ThreadState.GOOD
    )
    verdict = judge_stripping(
        EngagedThreads(pair, bolt, tapped, engagement, preload_high_n, mate_is_bad=doubted and not gauged)
    )
    if at_most is not None:
        best = judge_stripping(EngagedThreads(pair, bolt, tapped, at_most, preload_high_n))
        if best.outcome is Outcome.NOT_SOUND:
            says = (
                f"At most {at_most.engaged_mm:.1f} mm of thread hold, however deep the hole is: too little."
            )
            told = replace(best, reasons=(Reason(says), *best.reasons))
            return _check(told, says, needs_a_person=True)
    needed = length_needed_mm(pair, bolt.tensile_most_mpa, tapped.tensile_low_mpa)
    cautions = [*verdict.cautions, *_cautions(facts)]
    if not grade.is_known:
        cautions.append(Caution("The grade is not known: the bolt is taken as the strongest there is."))
    if not tapped.trusted:
        cautions.append(Caution("The strength of the tapped metal rests on memory or on a guess."))
    if engagement is None:
        says = f"How much thread holds is not known; {needed:.1f} mm are needed."
    elif engagement.bottoms_by_mm > 0:
        says = f"It meets the bottom of the hole {engagement.bottoms_by_mm:.1f} mm before it clamps."
    else:
        says = (
            f"{engagement.engaged_mm:.1f} mm of thread hold; the bolt breaks first from {needed:.1f} mm on."
        )
    if doubted and not gauged:
        says = "The thread on the other side is not proven: gauge it."
    return _check(
        replace(verdict, cautions=tuple(cautions)),
        says,
        needs_a_person=verdict.outcome is Outcome.NOT_SOUND or doubted,
    )


def engagement_of(facts: JointFacts) -> RealEngagement | None:
    """Reckon how much thread holds, as the check of stripping takes it.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    RealEngagement or None
        None where there is no one thread, where a length is not known, or where hardly any thread holds.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    found = bolt_thread(facts.piece)
    return None if found is None else _engagement(found, facts)[0]


def _check(verdict: Verdict, says: str, missing: str = "", *, needs_a_person: bool = False) -> Check:
    return Check(Question.STRIPPING, says, verdict, missing, needs_a_person)


def _bad_mate(facts: JointFacts) -> Check:
    """The other side was found bad: nothing is reckoned on it."""
    if facts.mate.mate is Mate.NUT or is_nut_on_stud(facts):
        return _check(Verdict(Outcome.NOT_SOUND, reasons=(Reason(_NUT_BAD),)), _NUT_BAD, needs_a_person=True)
    if facts.piece.treatment == "thread_insert":
        says = "The hole gets an insert: judge it again when it is in."
        return _check(Verdict(Outcome.SOUND_AFTER_TREATMENT, reasons=(Reason(_PULLED), Reason(says))), says)
    cautions = (
        Caution(
            "Do not tighten into it. Measure wall and depth before an insert is drilled for "
            "(common practice, no source)."
        ),
    )
    return _check(
        Verdict(Outcome.NOT_SOUND, reasons=(Reason(_PULLED),), cautions=cautions),
        _PULLED,
        needs_a_person=True,
    )


def _pair(found: Thread, facts: JointFacts) -> ThreadPair:
    """Bolt and hole at their weaker limits, or as measured at the weaker side of the reading."""
    piece, mate = facts.piece, facts.mate
    outer, inner = (mate, piece) if is_nut_on_stud(facts) else (piece, mate)
    pair = thread_pair(found, outer.thread_class or None, inner.thread_class or None)
    major = piece.major if outer is piece else None
    minor = mate.minor if inner is mate else None
    return worn_pair(
        pair,
        hole_pitch_diameter_mm=_end("pitch diameter of the hole", inner.pitch_diameter, 1),
        hole_minor_mm=_end("minor diameter of the hole", minor, 1),
        bolt_major_mm=_end("major diameter of the bolt", major, -1),
        bolt_pitch_diameter_mm=_end("pitch diameter of the bolt", outer.pitch_diameter, -1),
    )


def _end(name: str, measured: Measured | None, sign: int) -> float | None:
    if measured is None:
        return None
    in_range(f"uncertainty of the {name}", measured.u_mm, 1e-6, 5.0, "mm")
    return in_range(name, measured.mm + sign * _SURE * measured.u_mm, 0.1, 500.0, "mm")


def _tapped(facts: JointFacts) -> TappedMaterial:
    """The metal of the inside thread; of an unknown nut at least the weaker of steel and bronze."""
    words = (
        facts.piece.material.replace("copper_alloy", "bronze")
        if is_nut_on_stud(facts)
        else facts.mate.material
    )
    is_nut = facts.mate.mate is Mate.NUT or is_nut_on_stud(facts)
    if is_nut and words.replace("_", " ") in {"", "unknown", "hardened steel", "stainless"}:
        return replace(tapped_material("steel"), trusted=False, said="steel, as nuts are")
    return tapped_material(words)


def _engagement(found: Thread, facts: JointFacts) -> tuple[RealEngagement | None, str]:
    """What really holds; else nothing and why, with `?` before it where a fact is missing."""
    piece, mate = facts.piece, facts.mate
    in_range("damaged turns", mate.damaged_turns, 0.0, 1000.0, "turns")
    engaged = in_range("length engaged", mate.engaged_mm, 0.0, 1000.0, "mm")
    depth = in_range("depth of the hole", mate.depth_mm, 0.0, 2000.0, "mm")
    chamfer = in_range("chamfer", mate.chamfer_mm, 0.0, 100.0, "mm")
    clamped = in_range("thickness clamped", mate.clamped_mm, 0.0, 2000.0, "mm")
    washer = in_range("thickness of the washers", mate.washer_mm, 0.0, 200.0, "mm")
    length = in_range("length", piece.length_mm, 0.5, 2000.0, "mm")
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
            length, clamped, depth, _is_blind(mate), thick, lost, damaged_turns=mate.damaged_turns
        )
        without = replace(fitted, washer_mm=washer or 0.0)
        bottoms = max(0.0, length - clamped - without.washer_mm - depth) if fitted.is_blind else 0.0
        held = real_engagement(found, fitted)
        return RealEngagement(held.engaged_mm, bottoms), ""
    except InvalidInput as refused:
        if refused.argument != "length of engagement":
            raise
        return None, f"Hardly any thread holds: {refused.needs} is needed, {refused.came} is there."


def _is_blind(mate: MateFacts) -> bool:
    """Whether a bolt can meet a bottom: in a hole of which nobody said that it goes through."""
    return mate.blind is not False and mate.mate is not Mate.NUT


def _cautions(facts: JointFacts) -> list[Caution]:
    mate: MateFacts = facts.mate
    found = []
    if mate.mate is Mate.INSERT:
        found.append(
            Caution(
                "Reckoned as if there were no insert, whose wider outside thread holds more "
                "(common practice, no source)."
            )
        )
    if mate.chamfer_mm is None and mate.engaged_mm is None:
        found.append(
            Caution(f"Nobody said how deep the countersink is: one turn is taken off ({_PRACTICE}).")
        )
    if mate.washer_mm is None and mate.engaged_mm is None and facts.piece.kind is not Kind.STUD:
        found.append(
            Caution(
                "Nobody said whether a washer is under it: one is counted for the thread that holds, none "
                f"for bottoming ({_PRACTICE})."
            )
        )
    if mate.blind is None and mate.mate is Mate.TAPPED_HOLE:
        found.append(Caution("Nobody said whether the hole is blind: it is taken as blind."))
    return found
