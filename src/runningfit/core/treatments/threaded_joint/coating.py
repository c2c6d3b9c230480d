"""The question of plating: whether the thread still goes together once the new coat is on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from runningfit.core.standards.limits import external_classes
from runningfit.core.treatments.plating import NO_COAT, PlatedThread, ThreadHistory, judge_plating, read_coat
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.facts import PieceFacts
from runningfit.core.treatments.threaded_joint.reading import NUTS, one_thread
from runningfit.core.treatments.threaded_joint.work import (
    coat_said,
    is_coat_from_memory,
    is_coated_by,
    is_plated_now,
    treatment_of,
)
from runningfit.core.verdicts import Caution, Outcome


@dataclass(frozen=True, slots=True)
class CoatAnswer:
    """The answer about a coat on a thread.

    Parameters
    ----------
    check : Check
        For the page.
    plated : PlatedThread
        The thread after plating.
    thickest_um : float
        The thickest coat with which a new part at most material and this very part both assemble [um].
    """

    check: Check
    plated: PlatedThread
    thickest_um: float


def ask_plating(piece: PieceFacts) -> CoatAnswer | None:
    """Ask whether the thread of a piece still goes together once it is coated.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    CoatAnswer or None
        None where nothing is laid on, or there is no parallel thread.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    if not is_coated_by(piece):
        return None
    found = one_thread(piece)
    if found is None or not external_classes(found):
        return None
    coat = coat_said(piece.coat, treatment_of(piece).key)
    stripped = NO_COAT
    if piece.old_coat.strip():
        stripped = read_coat(piece.old_coat, argument="old coat")
    lost = read_coat(piece.lost, argument="lost metal") if piece.lost.strip() else NO_COAT
    judged = judge_plating(
        found,
        coat,
        piece.thread_class or None,
        internal=piece.kind in NUTS,
        history=ThreadHistory(piece.pitch_diameter, stripped, lost),
    )
    plated, verdict = judged.plated, judged.verdict
    cautions = list(verdict.cautions)
    if is_coat_from_memory(piece):
        cautions.insert(0, Caution(f"How thick this coat comes out is from memory ({coat.said}): ask."))
        if verdict.outcome is Outcome.SOUND:
            verdict = replace(verdict, outcome=Outcome.NOT_PROVEN)
    if is_plated_now(piece) and not piece.old_coat.strip() and piece.pitch_diameter is not None:
        cautions.append(
            Caution(
                "It was measured over an old coat of which nobody said how thick: none is taken off here."
            )
        )
    thickest_um = 1000 * min(plated.max_thickness_new_mm, plated.max_thickness_as_is_mm)
    side = "its mate" if plated.internal else "a nut of its thread"
    says = (
        f"{coat.said} of coat: goes into {side} with probability {plated.probability_go:.2f}; "
        f"at most {thickest_um:.1f} µm."
    )
    if plated.probability_engagement <= plated.probability_go and verdict.outcome is not Outcome.SOUND:
        says = f"Once bare it keeps its class with probability {plated.probability_engagement:.2f} only."
    check = Check(
        Question.PLATING,
        says,
        replace(verdict, cautions=tuple(cautions)),
        needs_a_person=verdict.outcome is Outcome.NOT_SOUND,
    )
    return CoatAnswer(check, plated, thickest_um)
