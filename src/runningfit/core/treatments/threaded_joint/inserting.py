"""A hole that gets a thread insert: what is then known of the other side of the joint."""

from __future__ import annotations

from dataclasses import replace

from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, MateFacts, ThreadState

FITTED = "thread_insert"


def with_new_insert(mate: MateFacts) -> MateFacts:
    """Give the other side of a joint as it is once an insert is in the hole.

    Parameters
    ----------
    mate : MateFacts
        As it is now.

    Returns
    -------
    MateFacts
        With nothing left of the old thread's damage or of what was measured of it.
    """
    return replace(
        mate,
        mate=Mate.INSERT,
        thread_state=ThreadState.NOT_LOOKED_AT,
        damaged_turns=0.0,
        pitch_diameter=None,
        minor=None,
    )


def gets_insert(facts: JointFacts) -> bool:
    """Tell whether an insert is chosen for the hole of a joint and is not in it yet.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    bool
        By the treatment chosen; a nut gets none.
    """
    return facts.piece.treatment == FITTED and facts.mate.mate in {Mate.NOT_SAID, Mate.TAPPED_HOLE}
