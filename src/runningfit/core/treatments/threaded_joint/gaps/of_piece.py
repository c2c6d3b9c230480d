"""What may be missing of the piece itself: for reuse, for hydrogen, for its coat."""

from __future__ import annotations

from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards.limits import external_limits, internal_limits
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.facts import JointFacts, ThreadState
from runningfit.core.treatments.threaded_joint.gaps.gap import Gap, called, its_thread, with_piece
from runningfit.core.treatments.threaded_joint.hydrogen import WHAT_IS_ON_IT
from runningfit.core.treatments.threaded_joint.reading import NUTS, grades_said
from runningfit.core.treatments.threaded_joint.work import is_done, may_be_plated


def _is_doubted(facts: JointFacts) -> bool:
    piece = facts.piece
    was_in_it = not piece.is_new and piece.thread_state is not ThreadState.GOOD
    mate_bad = facts.mate.thread_state is ThreadState.DEFECTIVE and was_in_it
    open_state = piece.thread_state is ThreadState.NOT_PROVEN or mate_bad
    open_state = open_state or (piece.kind in NUTS and _must_not_fail(facts))
    return open_state and not (piece.passes_go is not None and piece.stops_no_go is not None)


def _must_not_fail(facts: JointFacts) -> bool:
    """Whether a used piece is passed by measurements alone."""
    piece = facts.piece
    return not piece.is_new and (piece.role is Role.SAFETY_CRITICAL or piece.torque_to_yield)


def _is_stretched(facts: JointFacts) -> bool:
    """Whether what must not fail is a bolt, which stretches before it fails."""
    return _must_not_fail(facts) and facts.piece.kind not in NUTS


def _looked(facts: JointFacts) -> bool:
    piece = facts.piece
    unseen = piece.looks_sound is None and piece.crack_tested is None
    return unseen and not piece.is_new and not _must_not_fail(facts)


OF_REUSE = (
    Gap(
        called("what GO and NO-GO say of its thread"),
        _is_doubted,
        lambda facts: with_piece(facts, passes_go=True, stops_no_go=True),
        lambda facts: with_piece(facts, passes_go=False, stops_no_go=True),
        frozenset({Question.REUSE}),
    ),
    Gap(
        called("how much longer it is than a new one"),
        lambda facts: _is_stretched(facts) and facts.piece.stretch_mm is None,
        lambda facts: with_piece(facts, stretch_mm=0.0, length_mm=facts.piece.length_mm or 100.0),
        lambda facts: with_piece(facts, stretch_mm=1.0, length_mm=facts.piece.length_mm or 100.0),
    ),
    Gap(
        called("what a crack test says"),
        lambda facts: _must_not_fail(facts) and facts.piece.crack_tested is None,
        lambda facts: with_piece(facts, crack_tested=True),
        lambda facts: with_piece(facts, crack_tested=False),
    ),
    Gap(
        called("how much thinner it is at its thinnest place"),
        lambda facts: _is_stretched(facts) and facts.piece.neck_mm is None,
        lambda facts: with_piece(facts, neck_mm=0.0),
        lambda facts: with_piece(facts, neck_mm=0.5),
    ),
    Gap(
        called("how it looks when somebody looks it over"),
        _looked,
        lambda facts: with_piece(facts, looks_sound=True),
        lambda facts: with_piece(facts, looks_sound=False),
    ),
)


def _hardness_called(facts: JointFacts) -> str:
    if facts.piece.kind.is_externally_threaded:
        return "how hard it is: the mark on its head, or a hardness test"
    return "how hard it is: a hardness test"


def _is_graded(facts: JointFacts) -> bool:
    """Whether a grade was said or stands on the head; a bare head tells nothing."""
    return bool(grades_said(facts.piece.grade, facts.piece.head_marking))


_HARDNESS = Gap(
    _hardness_called,
    lambda facts: not facts.piece.hardness and (facts.piece.kind in NUTS or not _is_graded(facts)),
    lambda facts: with_piece(facts, hardness="20 HRC"),
    lambda facts: with_piece(facts, hardness=""),
)
OF_HYDROGEN = (
    _HARDNESS,
    Gap(
        called(WHAT_IS_ON_IT),
        lambda facts: may_be_plated(facts.piece),
        lambda facts: with_piece(facts, finish_now="plain"),
        lambda facts: with_piece(facts, finish_now="zinc"),
    ),
)


def _pitch_diameter(facts: JointFacts, share: float) -> JointFacts:
    """The pitch diameter at a share of its class, from the end that leaves room for a coat."""
    thread, piece = its_thread(facts), facts.piece
    inner = piece.kind in NUTS
    limits = (internal_limits if inner else external_limits)(thread, piece.thread_class or None)
    low, high = limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm
    at = high - share * (high - low) if inner else low + share * (high - low)
    return with_piece(facts, pitch_diameter=Measured(at, 0.003))


OF_PLATING = (
    Gap(
        lambda facts: "how thick the coat came out" if is_done(facts.piece) else "how thick the coat will be",
        lambda facts: not facts.piece.coat.strip(),
        lambda facts: with_piece(facts, coat="3 um"),
        lambda facts: with_piece(facts, coat=""),
    ),
    Gap(
        called("its pitch diameter, measured"),
        lambda facts: facts.piece.pitch_diameter is None,
        lambda facts: _pitch_diameter(facts, 0.2),
        lambda facts: _pitch_diameter(facts, 1.0),
    ),
)
