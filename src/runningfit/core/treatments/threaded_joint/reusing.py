"""The question of reuse: whether the very piece may go back, by what was found of it and of its thread."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.cautions import CRITICAL
from runningfit.core.treatments.reuse import (
    Locking,
    Neck,
    Role,
    Rust,
    Stretch,
    TenTurns,
    UsedFastener,
    judge_reuse,
)
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.facts import JointFacts, PieceFacts, ThreadState
from runningfit.core.treatments.threaded_joint.reading import NUTS, in_range, one_thread
from runningfit.core.treatments.threaded_joint.work import REPLACED, treatment_of
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_PRACTICE = "common practice, no source"
_LOCKING = {
    Kind.SPRING_WASHER: Locking.SPRING_WASHER,
    Kind.TAB_WASHER: Locking.TAB_WASHER,
    Kind.FIBRE_WASHER: Locking.SEALING_WASHER,
}
_NOT_LOOKED_AT = Reason(
    "What was measured is good, and nobody looked it over for cracks and rust.", _PRACTICE
)
# A caliper at each of two lengths, a micrometer at each of two diameters (common practice, no source).
_CALIPER_U_MM, _MICROMETER_U_MM = 0.02, 0.003
# A caliper on the crests, the mean of three readings (common practice, no source).
_PITCHES_U_MM = 0.01
# Only the difference counts where the maker gives its limit, and of a neck always.
_SOME_LENGTH_MM, _SOME_DIAMETER_MM = 100.0, 10.0


def ask_reuse(facts: JointFacts) -> Check:
    """Ask whether the piece of a joint may be used again.

    Parameters
    ----------
    facts : JointFacts
        What is known.

    Returns
    -------
    Check
        A bad thread of its own refuses it; a bad one of its mate leaves it not proven until it is gauged.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    piece = facts.piece
    if treatment_of(piece).key in REPLACED:
        said = f"It is not used again: {treatment_of(piece).label}."
        return Check(Question.REUSE, said, Verdict(Outcome.SOUND_AFTER_TREATMENT, reasons=(Reason(said),)))
    found, worn = _thread_found(facts), _of_fastener(piece)
    if found is not None and found.verdict.outcome is Outcome.NOT_SOUND:
        if worn.verdict.outcome is not Outcome.NOT_SOUND:
            return found
        # A crack in a piece whose thread is bad is a second fault, and must not be hidden by the first.
        reasons = (*found.verdict.reasons, *worn.verdict.reasons)
        return replace(found, verdict=replace(found.verdict, reasons=reasons))
    if found is not None and worn.verdict.outcome is not Outcome.NOT_SOUND:
        return found
    return worn


def _thread_found(facts: JointFacts) -> Check | None:
    """What the thread itself says, its own or by its mate."""
    piece, mate = facts.piece, facts.mate
    gauged = piece.passes_go is True and piece.stops_no_go is True
    if piece.thread_state is ThreadState.DEFECTIVE:
        return _says(
            Outcome.NOT_SOUND,
            "Its thread is damaged: replace it, and gauge what it was in.",
            "A stretched, pulled or torn thread holds less than it should and spoils its mate.",
        )
    if piece.passes_go is False:
        return _says(
            Outcome.NOT_SOUND,
            "GO does not pass: it would bind or jam.",
            "Chase it with a die nut and gauge again, or replace it.",
        )
    if piece.stops_no_go is False:
        return _says(
            Outcome.NOT_PROVEN,
            "NO-GO goes on: its thread is worn or made beyond its class.",
            "It holds less. Measure its pitch diameter, or replace it.",
            missing="its pitch diameter",
        )
    if gauged:
        return None
    if piece.thread_state is ThreadState.NOT_PROVEN:
        return _says(
            Outcome.NOT_PROVEN,
            "Its thread is not proven: gauge it with GO and NO-GO.",
            "It was the mate of a bad thread, or nobody has gauged it since it was doubted.",
            missing="what GO and NO-GO say of its thread",
        )
    was_in_it = not piece.is_new and piece.thread_state is not ThreadState.GOOD
    if mate.thread_state is ThreadState.DEFECTIVE and was_in_it:
        return _says(
            Outcome.NOT_PROVEN,
            "It was in a damaged thread: gauge it with GO and NO-GO.",
            "What pulled the one thread loaded the other too.",
            missing="what GO and NO-GO say of its thread",
        )
    return None


def _says(outcome: Outcome, says: str, why: str, *, missing: str = "") -> Check:
    reasons = (Reason(says), Reason(why, _PRACTICE))
    return Check(Question.REUSE, says, Verdict(outcome, reasons=reasons), missing, needs_a_person=True)


def _of_fastener(piece: PieceFacts) -> Check:
    """What the rules of reuse say."""
    if piece.is_new and piece.looks_sound is not False and piece.crack_tested is not False:
        cautions = (CRITICAL,) if piece.role is Role.SAFETY_CRITICAL else ()
        said = "It was bought new."
        return Check(Question.REUSE, said, Verdict(Outcome.SOUND, reasons=(Reason(said),), cautions=cautions))
    if piece.kind in NUTS and piece.role is Role.SAFETY_CRITICAL:
        return _of_critical_nut(piece)
    verdict = judge_reuse(
        UsedFastener(
            role=piece.role,
            torque_to_yield=piece.torque_to_yield,
            locking=_LOCKING.get(piece.kind),
            # Who tested it for cracks looked at it.
            looks_sound=piece.crack_tested or None if piece.looks_sound is None else piece.looks_sound,
            fault=piece.fault,
            crack_tested=piece.crack_tested,
            # A nut has neither length nor shank that stretches.
            stretch=None if piece.kind in NUTS else _stretch(piece),
            neck=None if piece.kind in NUTS else _neck(piece),
            ten_turns=_ten_turns(piece),
            rust=_rust(piece),
        )
    )
    if piece.kind is Kind.CLIP and piece.looks_sound is None:
        once = Caution("A circlip is used once (common practice, no source): only another clip may go again.")
        verdict = Verdict(verdict.outcome, reasons=verdict.reasons, cautions=(*verdict.cautions, once))
    if verdict.outcome is Outcome.SOUND and piece.looks_sound is None and piece.crack_tested is None:
        verdict = replace(verdict, outcome=Outcome.NOT_PROVEN, reasons=(_NOT_LOOKED_AT, *verdict.reasons))
    must_not_fail = piece.role is Role.SAFETY_CRITICAL or piece.torque_to_yield
    # That a spring washer is bought new is routine: nobody need decide it.
    needs = verdict.outcome is Outcome.NOT_SOUND and piece.kind not in _LOCKING
    return Check(
        Question.REUSE,
        verdict.reasons[0].text,
        verdict,
        needs_a_person=needs or (must_not_fail and verdict.outcome is not Outcome.SOUND),
    )


def _of_critical_nut(piece: PieceFacts) -> Check:
    """A nut that holds what must not fail: it has no length to stretch, its thread and a crack test tell."""
    found = judge_reuse(
        UsedFastener(looks_sound=piece.looks_sound, fault=piece.fault, crack_tested=piece.crack_tested)
    )
    wanting: list[str] = []
    more: list[Reason] = []
    if piece.passes_go is not True or piece.stops_no_go is not True:
        wanting.append("what GO and NO-GO say of its thread")
    if piece.crack_tested is None:
        wanting.append("a crack test")
    if found.outcome is Outcome.NOT_SOUND:
        (reason, *more), outcome = found.reasons, Outcome.NOT_SOUND
    elif wanting:
        tells = " and ".join(wanting)
        said = f"A safety-critical nut is never passed on looks: {tells} would tell. Or fit a new one."
        reason, outcome = Reason(said, _PRACTICE), Outcome.NOT_PROVEN
    else:
        reason, outcome = (
            Reason("Its thread passes both gauges, and the crack test found nothing."),
            Outcome.SOUND,
        )
    verdict = Verdict(outcome, reasons=(reason, *more), cautions=(CRITICAL,))
    return Check(Question.REUSE, reason.text, verdict, needs_a_person=outcome is not Outcome.SOUND)


def _stretch(piece: PieceFacts) -> Stretch | None:
    grown = in_range("stretch", piece.stretch_mm, -1.0, 50.0, "mm")
    most = in_range("the maker's limit of stretch", piece.stretch_most_mm, 0.0, 50.0, "mm")
    length = in_range("length", piece.length_mm, 0.5, 2000.0, "mm")
    if grown is None:
        return None
    if length is None and most is None:
        # Without either nobody can say how much is too much; as good as not measured.
        return None
    new = length or _SOME_LENGTH_MM
    return Stretch(Measured(new + grown, _CALIPER_U_MM), Measured(new, _CALIPER_U_MM), most)


def _neck(piece: PieceFacts) -> Neck | None:
    thinner = in_range("neck", piece.neck_mm, -0.5, 5.0, "mm")
    most = in_range("the maker's limit of the neck", piece.neck_most_mm, 0.0, 5.0, "mm")
    if thinner is None:
        return None
    return Neck(
        Measured(_SOME_DIAMETER_MM - thinner, _MICROMETER_U_MM),
        Measured(_SOME_DIAMETER_MM, _MICROMETER_U_MM),
        most,
    )


def _ten_turns(piece: PieceFacts) -> TenTurns | None:
    """The thread over ten pitches, where it is known which thread it is."""
    over_ten = in_range("length of ten pitches", piece.over_ten_mm, 0.5, 200.0, "mm")
    thread = one_thread(piece) if len(piece.threads) == 1 else None
    if over_ten is None or thread is None:
        return None
    return TenTurns(thread, Measured(over_ten, _PITCHES_U_MM))


def _rust(piece: PieceFacts) -> Rust | None:
    """What rust has left, against the size of its thread."""
    thread = one_thread(piece) if len(piece.threads) == 1 else None
    if thread is None:
        return None
    thinner = in_range("rust", piece.rust_mm, 0.0, 0.9 * thread.major_mm, "mm")
    if thinner is None:
        return None
    sound = Measured(thread.major_mm, _CALIPER_U_MM)
    return Rust(Measured(thread.major_mm - thinner, _CALIPER_U_MM), sound)
