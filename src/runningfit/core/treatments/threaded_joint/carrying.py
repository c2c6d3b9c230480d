"""Which side of a joint carries the tension and how strong it is, and in which condition it is tightened."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from runningfit.core.joints.conditions import Condition, condition_of, read_condition
from runningfit.core.joints.grades import soft_strength
from runningfit.core.standards import Thread
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, Turned
from runningfit.core.treatments.threaded_joint.reading import (
    NOT_STEEL,
    NUTS,
    GradeSaid,
    finish_said,
    material_of,
    strength_said,
)
from runningfit.core.treatments.threaded_joint.work import gives_finish, treatment_of

# A job has few conditions.
_read_condition = lru_cache(maxsize=1024)(read_condition)


def is_nut_on_stud(facts: JointFacts) -> bool:
    """Tell whether the piece is a nut, so that its mate carries the outside thread.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    bool
        By its kind, or because its mate is a stud.
    """
    return facts.piece.kind in NUTS or facts.mate.mate is Mate.STUD


def grade_of_bolt(facts: JointFacts, thread: Thread) -> GradeSaid:
    """Give the strength of what carries the tension: the piece, or the stud that a nut goes onto.

    Parameters
    ----------
    facts : JointFacts
        The joint.
    thread : Thread
        Its thread.

    Returns
    -------
    GradeSaid
        Of the nut's stud or bolt where the piece is a nut.

    Raises
    ------
    InvalidInput
        A grade that cannot be read.
    """
    if facts.piece.kind in NUTS:
        return strength_said(facts.mate.grade, "", thread)
    said = strength_said(facts.piece.grade, facts.piece.head_marking, thread)
    if not said.is_known and material_of(facts.piece) in NOT_STEEL | {Material.STAINLESS}:
        # Of these nobody reads a grade off the head; the weakest steel would flatter them.
        return replace(said, strength=soft_strength())
    return said


def condition_now(facts: JointFacts) -> Condition:
    """Give the finish and lubricant with which the joint will be tightened, as far as anybody knows.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    Condition
        The finish received where it is confirmed; else that which was asked for; else the one it wears.

    Raises
    ------
    InvalidInput
        A finish or lubricant that cannot be read.
    """
    piece = facts.piece
    words = piece.finish_received
    if not words:
        words = str(treatment_of(piece).process) if gives_finish(piece) else piece.finish_now
    alone = _condition(words, facts.torque.lubricant, facts.mate.on_aluminium)
    return _with_mate(alone, facts) if facts.mate.finish.strip() else alone


def _with_mate(piece: Condition, facts: JointFacts) -> Condition:
    """Add the finish of the other side, where it is another, and which part turns."""
    other = finish_said(facts.mate.finish)
    own, others = piece.finish or piece.unfigured, other.finish or other.unfigured
    if not own or not others or own == others:
        return piece
    if is_nut_on_stud(facts):
        # What is treated is the nut; a condition speaks of the bolt first.
        bolt = replace(piece, finish=other.finish, unfigured=other.unfigured, mate=own)
        is_bolt_turned = facts.mate.mate is not Mate.STUD and facts.mate.turned is Turned.HEAD
        return replace(bolt, nut_turns=not is_bolt_turned)
    if facts.mate.mate is not Mate.NUT:
        return replace(piece, mate=others, nut_turns=False)
    turned = {Turned.HEAD: False, Turned.NUT: True}.get(facts.mate.turned)
    return replace(piece, mate=others, nut_turns=turned)


@lru_cache(maxsize=1024)
def _condition(finish: str, lubricant: str, on_aluminium: bool) -> Condition:
    worn, said = finish_said(finish), condition_of(None, lubricant)
    return replace(
        worn,
        lubricant=said.lubricant or worn.lubricant,
        on_aluminium=worn.on_aluminium or said.on_aluminium or on_aluminium,
    )


def condition_assumed(facts: JointFacts) -> Condition:
    """Give the condition that the maker's figure was made for.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    Condition
        What was not said stays open.

    Raises
    ------
    InvalidInput
        A condition that cannot be read.
    """
    assumed = _read_condition(facts.torque.assumed)
    return replace(assumed, on_aluminium=True) if facts.mate.on_aluminium else assumed
