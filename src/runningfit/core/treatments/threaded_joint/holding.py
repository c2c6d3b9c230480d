"""The question of stripping: whether the threads in engagement hold as long as the bolt does."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.joints.engagement import ThreadPair, stripping_load_n, thread_pair, worn_pair
from runningfit.core.joints.real_engagement import RealEngagement
from runningfit.core.joints.stripping import EngagedThreads, judge_stripping
from runningfit.core.joints.tapped_materials import TappedMaterial, tapped_material
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.carrying import grade_of_bolt, is_nut_on_stud
from runningfit.core.treatments.threaded_joint.engaging import VERY_DEEP_MM, engaged_thread, usual_shank_mm
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, MateFacts, ThreadState
from runningfit.core.treatments.threaded_joint.inserting import gets_insert, with_new_insert
from runningfit.core.treatments.threaded_joint.nutting import nut_found
from runningfit.core.treatments.threaded_joint.reading import bolt_thread, in_range
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# Width across flats of the narrowest usual hexagon over its thread: M12 has 18 mm, M20 has 30 (ISO 4032).
_HEXAGON = 1.5
_PRACTICE = "common practice, no source"
# One-sided 95 % of a measured diameter, at the side that holds less.
_SURE = 1.6448536269514722
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
    is_planned = gets_insert(facts)
    if is_planned:
        # Judged as it will be: what is damaged is drilled away.
        facts = replace(facts, mate=with_new_insert(facts.mate))
    mate = facts.mate
    if mate.thread_state is ThreadState.DEFECTIVE:
        return _bad_mate(facts)
    if mate.mate is Mate.NOT_SAID and not is_nut_on_stud(facts):
        says = "Nobody said what it is screwed into."
        return _check(Verdict(Outcome.NOT_PROVEN, reasons=(Reason(says),)), says, "what it is screwed into")
    pair = _pair(found, facts)
    grade = grade_of_bolt(facts, found)
    tapped = _tapped(facts)
    engagement, why_none = engaged_thread(found, facts)
    at_most = None
    if why_none == "?" and mate.depth_mm is None:
        deep = replace(facts, mate=replace(mate, depth_mm=VERY_DEEP_MM, blind=False))
        at_most, why_none = engaged_thread(found, deep)
    if why_none and engagement is None and not why_none.startswith("?"):
        return _check(
            Verdict(Outcome.NOT_SOUND, reasons=(Reason(why_none),)), why_none, "", needs_a_person=True
        )
    bolt = grade.strength
    gauged = facts.piece.passes_go is True and facts.piece.stops_no_go is True
    doubted = mate.thread_state is ThreadState.NOT_PROVEN or (
        facts.piece.thread_state is ThreadState.DEFECTIVE and mate.thread_state is not ThreadState.GOOD
    )
    threads = EngagedThreads(
        pair,
        bolt,
        tapped,
        engagement,
        preload_high_n,
        mate_is_bad=doubted and not gauged,
        in_insert=mate.mate is Mate.INSERT,
        flats_over_major=_HEXAGON if _is_nut(facts) else None,
    )
    verdict = judge_stripping(threads)
    if at_most is not None:
        best = judge_stripping(replace(threads, engagement=at_most, mate_is_bad=False))
        if best.outcome is Outcome.NOT_SOUND:
            says = (
                f"At most {at_most.engaged_mm:.1f} mm of thread hold, however deep the hole is: too little."
            )
            told = replace(best, reasons=(Reason(says), *best.reasons))
            return _check(told, says, needs_a_person=True)
    needed = threads.needed_mm
    cautions = [*verdict.cautions, *_cautions(facts)]
    nut = nut_found(facts, grade) if _is_nut(facts) else None
    shank_mm = usual_shank_mm(found, facts)
    if shank_mm > 0 and verdict.outcome is Outcome.SOUND:
        verdict = replace(verdict, outcome=Outcome.NOT_PROVEN)
    if not grade.is_known:
        cautions.append(Caution("The grade is not known: the bolt is taken as the strongest there is."))
    if nut is not None:
        cautions.append(nut.caution)
    elif not tapped.trusted:
        cautions.append(Caution("The strength of the tapped metal rests on memory or on a guess."))
    if shank_mm > 0:
        cautions.append(
            Caution(
                "Nobody measured how long its thread is. With the usual length its plain shank would meet "
                f"the thread {shank_mm:.1f} mm before it clamps (ISO 888, ASME B18.2.1, from memory): look."
            )
        )
    if engagement is None:
        says = f"How much thread holds is not known; {needed:.1f} mm are needed."
    elif engagement.bottoms_by_mm > 0:
        says = f"It meets the bottom of the hole {engagement.bottoms_by_mm:.1f} mm before it clamps."
    elif engagement.shank_by_mm > 0:
        says = f"Its plain shank meets the thread {engagement.shank_by_mm:.1f} mm before it clamps."
    else:
        says = _held(threads, engagement, needed)
    if nut is not None and nut.is_too_weak and verdict.outcome is not Outcome.NOT_SOUND:
        says = nut.caution.text
    if doubted and not gauged and verdict.outcome is not Outcome.NOT_SOUND:
        says = "The thread on the other side is not proven: gauge it."
    if is_planned:
        says = f"Once the insert is in: {says[:1].lower()}{says[1:]}"
    return _check(
        replace(verdict, cautions=tuple(cautions)),
        says,
        needs_a_person=verdict.outcome is Outcome.NOT_SOUND or doubted or bool(nut and nut.is_too_weak),
    )


def _held(threads: EngagedThreads, engagement: RealEngagement, needed_mm: float) -> str:
    engaged_mm, high_n = engagement.engaged_mm, threads.preload_high_n
    bolt, tapped = threads.bolt, threads.tapped
    load = stripping_load_n(
        threads.areas, engaged_mm, bolt.tensile_mpa, tapped.tensile_low_mpa, tapped.shear_low_mpa
    )
    if high_n is not None and high_n > load:
        return (
            f"This torque may pull the thread: the clamp may reach {high_n / 1000:.0f} kN, and "
            f"{engaged_mm:.1f} mm of thread hold {load / 1000:.0f} kN."
        )
    return f"{engaged_mm:.1f} mm of thread hold; the bolt breaks first from {needed_mm:.1f} mm on."


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
    return None if found is None else engaged_thread(found, facts)[0]


def pair_of(facts: JointFacts) -> ThreadPair | None:
    """Give bolt and hole at their weaker limits, or as measured, as the check of stripping takes them.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    ThreadPair or None
        None where no one thread clamps, or it holds in a thread insert.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    found = bolt_thread(facts.piece)
    if found is None or facts.mate.mate is Mate.INSERT or gets_insert(facts):
        return None
    return _pair(found, facts)


def _check(verdict: Verdict, says: str, missing: str = "", *, needs_a_person: bool = False) -> Check:
    return Check(Question.STRIPPING, says, verdict, missing, needs_a_person)


def _bad_mate(facts: JointFacts) -> Check:
    """The other side was found bad: nothing is reckoned on it."""
    if facts.mate.mate is Mate.NUT or is_nut_on_stud(facts):
        return _check(Verdict(Outcome.NOT_SOUND, reasons=(Reason(_NUT_BAD),)), _NUT_BAD, needs_a_person=True)
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
    # What is measured of an insert is the thread in it; what pulls out is the one outside.
    measured = None if mate.mate is Mate.INSERT else inner.pitch_diameter
    major = piece.major if outer is piece else None
    minor = mate.minor if inner is mate else None
    return worn_pair(
        pair,
        hole_pitch_diameter_mm=_end("pitch diameter of the hole", measured, 1),
        hole_minor_mm=_end("minor diameter of the hole", minor, 1),
        bolt_major_mm=_end("major diameter of the bolt", major, -1),
        bolt_pitch_diameter_mm=_end("pitch diameter of the bolt", outer.pitch_diameter, -1),
    )


def _end(name: str, measured: Measured | None, sign: int) -> float | None:
    if measured is None:
        return None
    in_range(f"uncertainty of the {name}", measured.u_mm, 1e-6, 5.0, "mm")
    return in_range(name, measured.mm + sign * _SURE * measured.u_mm, 0.1, 500.0, "mm")


def _is_nut(facts: JointFacts) -> bool:
    return facts.mate.mate is Mate.NUT or is_nut_on_stud(facts)


def _tapped(facts: JointFacts) -> TappedMaterial:
    """The metal of the inside thread; of an unknown nut at least the weaker of steel and bronze."""
    words = (
        facts.piece.material.replace("copper_alloy", "bronze")
        if is_nut_on_stud(facts)
        else facts.mate.material
    )
    if _is_nut(facts) and words.replace("_", " ") in {"", "unknown", "hardened steel", "stainless"}:
        return replace(tapped_material("steel"), trusted=False, said="steel, as nuts are")
    return tapped_material(words)


def _cautions(facts: JointFacts) -> list[Caution]:
    mate: MateFacts = facts.mate
    found = []
    if mate.mate is Mate.INSERT:
        found.append(
            Caution(
                "Reckoned for a wire insert as long as the thread is deep, by diameters from memory: no pass "
                "rests on them. Pull one in scrap of the same metal, or ask its maker's table."
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
