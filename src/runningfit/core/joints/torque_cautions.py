"""What to mind of every torque figure: what it rests on, and for which finish it is."""

from __future__ import annotations

from runningfit.core.joints.bolted import CRITICAL, MANUAL_FIRST, NOT_AGAIN
from runningfit.core.joints.friction import JointFriction
from runningfit.core.joints.grades import Strength
from runningfit.core.verdicts import Caution


def torque_cautions(*frictions: JointFriction, strength: Strength | None) -> tuple[Caution, ...]:
    """Name what a torque figure rests on that nobody surely knows, and what holds of every figure.

    Parameters
    ----------
    *frictions : JointFriction
        Of every condition that the figure rests on.
    strength : Strength or None
        Of the bolt; none where its grade is not known.

    Returns
    -------
    tuple of Caution
        What is particular first.
    """
    cautions = []
    if strength is None:
        cautions.append(Caution("The grade is not known: read the head, or replace the bolt by a known one."))
    elif not strength.trusted:
        cautions.append(
            Caution(
                f"The strength of {strength.said} rests on memory or on sources that contradict each "
                "other: try "
                "the torque on a bolt that is thrown away afterwards."
            )
        )
    for friction in frictions:
        if not friction.trusted:
            cautions.append(
                Caution(f"The friction of {friction.said} has no source: try the torque on a test bolt.")
            )
        elif friction.stands_in:
            cautions.append(
                Caution(f"The finish is not known ({friction.said}): the usual ones were counted, no others.")
            )
        elif friction.is_open:
            cautions.append(
                Caution(f"The lubricant is not known ({friction.said}): dry and oil were counted, no others.")
            )
    cautions.append(
        Caution(
            "Use the figure only for the finish that was received, not the one that was asked for: platers "
            "deliver zinc for cadmium."
        )
    )
    return (*cautions, MANUAL_FIRST, CRITICAL, NOT_AGAIN)
