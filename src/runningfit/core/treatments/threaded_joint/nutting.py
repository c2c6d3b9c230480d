"""Whether the nut of a joint suits its bolt by its class; no strength of nuts has a source here."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.nut_classes import NutClass, nut_for, read_nut_class
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.reading import NUTS, GradeSaid
from runningfit.core.verdicts import Caution

_NO_TABLE = (
    "No table of how strong nuts are is kept here, so no pass rests on one. Fit a new nut of full height "
    "and of the bolt's own class: 8 on 8.8, SAE J995 5 on SAE J429 5 (common practice, no source)."
)


@dataclass(frozen=True, slots=True)
class NutFound:
    """What is to be said of a nut.

    Parameters
    ----------
    caution : Caution
        Why no pass rests on it, and what to do.
    is_too_weak : bool
        Whether its class is below that of its bolt.
    """

    caution: Caution
    is_too_weak: bool = False


def _stamped(marking: str) -> NutClass | None:
    """The class that is stamped on a nut; lines and letters tell none here."""
    try:
        return read_nut_class(marking)
    except InvalidInput:
        return None


def nut_found(facts: JointFacts, bolt: GradeSaid) -> NutFound:
    """Hold the class of a nut against the grade of its bolt.

    Parameters
    ----------
    facts : JointFacts
        The joint.
    bolt : GradeSaid
        The grade of the bolt or stud.

    Returns
    -------
    NutFound
        By what stands on the nut, or was said of it.

    Raises
    ------
    InvalidInput
        A class that cannot be read.
    """
    piece = facts.piece
    # A nut that is turned is itself the piece; under a bolt it is the other side.
    found = read_nut_class(piece.grade if piece.kind in NUTS else facts.mate.grade)
    if found is None and piece.kind in NUTS:
        found = _stamped(piece.head_marking)
    asked = [nut_for(name) for name in bolt.names]
    wanted = [
        one for one in asked if one is not None and found is not None and one.standard == found.standard
    ]
    if found is None or not wanted:
        return NutFound(Caution(_NO_TABLE))
    strongest = max(wanted, key=lambda one: one.number)
    if found.number < strongest.number:
        return NutFound(
            Caution(
                f"The nut is of class {found.number}, too weak for {bolt.strength.said}: its thread strips."
            ),
            is_too_weak=True,
        )
    return NutFound(
        Caution(
            f"Class {found.number} suits {bolt.strength.said} where the nut is new and of full height (from "
            "memory: ISO 898-2, SAE J995); a worn nut holds less."
        )
    )
