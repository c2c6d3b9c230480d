"""The one line that warns where a treatment was chosen that a piece does not stand, or not without a bake."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.treatments.threaded_joint.answers import JointJudgement, Question
from runningfit.core.verdicts import Outcome


@dataclass(frozen=True, slots=True)
class TreatmentWarning:
    """What is wrong with a chosen treatment.

    Parameters
    ----------
    outcome : Outcome
        Not sound, or sound only after what is said.
    says : str
        Why, in one line.
    must_not_go : bool
        Whether the pieces must not be sent for it at all.
    """

    outcome: Outcome
    says: str
    must_not_go: bool = False


def warning_of(judgement: JointJudgement) -> TreatmentWarning | None:
    """Give the warning that stands beside a chosen treatment.

    Parameters
    ----------
    judgement : JointJudgement
        What the joint comes to with the treatment that was chosen.

    Returns
    -------
    TreatmentWarning or None
        What must not be done before what only needs a bake; none where the treatment itself does no harm, or
        its bake is ordered, whatever else may be wrong with the joint.
    """
    plater = judgement.plater
    if plater.do_not_send:
        return TreatmentWarning(Outcome.NOT_SOUND, plater.do_not_send, must_not_go=True)
    harmed = [
        check
        for check in judgement.checks
        if check.question in {Question.HYDROGEN, Question.PLATING}
        and check.verdict.outcome is Outcome.NOT_SOUND
    ]
    if harmed:
        return TreatmentWarning(Outcome.NOT_SOUND, harmed[0].says)
    unseen = [one for one in judgement.checks if one.question is Question.HYDROGEN and one.needs_a_person]
    if plater.wasted:
        return TreatmentWarning(Outcome.NOT_SOUND, plater.wasted)
    if plater.bake is not None and unseen:
        return TreatmentWarning(Outcome.SOUND_AFTER_TREATMENT, f"Bake at {plater.bake.said}.")
    return None
