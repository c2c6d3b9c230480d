"""One fact that may be missing, and how facts are put with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadSeries
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.carrying import grade_of_bolt
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.reading import NUTS, one_thread

_METRIC = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})
_UNIFIED = frozenset(
    {ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN, ThreadSeries.UNS}
)


@dataclass(frozen=True, slots=True)
class Gap:
    """One fact that may be missing.

    Parameters
    ----------
    said : callable
        What it is called, as a person would say it.
    is_missing : callable
        Whether it is missing.
    good, bad : callable
        The facts with it at the end that helps, and at the end that harms; where not to know it is itself the
        careful end, it is left out.
    blocks : frozenset of Question
        The questions that have no answer at all before it is known.
    refines : bool
        Whether it only narrows what is known well enough for a refusal.
    """

    said: Callable[[JointFacts], str]
    is_missing: Callable[[JointFacts], bool]
    good: Callable[[JointFacts], JointFacts]
    bad: Callable[[JointFacts], JointFacts]
    blocks: frozenset[Question] = frozenset()
    refines: bool = False


def with_piece(facts: JointFacts, **new: Any) -> JointFacts:
    """Put something known of the piece in the place of what is.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    **new
        The fields, by name.

    Returns
    -------
    JointFacts
        With them.
    """
    return replace(facts, piece=replace(facts.piece, **new))


def with_mate(facts: JointFacts, **new: Any) -> JointFacts:
    """Put something known of the other side in the place of what is.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    **new
        The fields, by name.

    Returns
    -------
    JointFacts
        With them.
    """
    return replace(facts, mate=replace(facts.mate, **new))


def with_torque(facts: JointFacts, **new: Any) -> JointFacts:
    """Put something known of the torque in the place of what is.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    **new
        The fields, by name.

    Returns
    -------
    JointFacts
        With them.
    """
    return replace(facts, torque=replace(facts.torque, **new))


def called(text: str) -> Callable[[JointFacts], str]:
    """Call a fact the same whatever else is known.

    Parameters
    ----------
    text : str
        What it is called.

    Returns
    -------
    callable
        For `Gap.said`.
    """
    return lambda _facts: text


def its_thread(facts: JointFacts) -> Thread:
    """Give the one thread of a piece.

    Parameters
    ----------
    facts : JointFacts
        What is known.

    Returns
    -------
    Thread
        The thread.

    Raises
    ------
    InvalidInput
        It has none, or may have several.
    """
    found = one_thread(facts.piece)
    if found is None:
        raise InvalidInput(
            "thread", needs="one thread", came="no thread", remedy="Name it on the lot's page."
        )
    return found


def bolt_called(facts: JointFacts) -> str:
    """Call the grade of what carries the tension.

    Parameters
    ----------
    facts : JointFacts
        What is known.

    Returns
    -------
    str
        By whether the piece is a nut.
    """
    return "the grade of the stud or bolt" if facts.piece.kind in NUTS else "its grade: the mark on the head"


def is_ungraded(facts: JointFacts) -> bool:
    """Tell whether the grade of what carries the tension is missing.

    Parameters
    ----------
    facts : JointFacts
        What is known.

    Returns
    -------
    bool
        True where nobody said and no head tells.

    Raises
    ------
    InvalidInput
        A grade that cannot be read.
    """
    if facts.piece.kind in NUTS:
        return not facts.mate.grade
    return not grade_of_bolt(facts, its_thread(facts)).is_known


def graded(facts: JointFacts, *, strong: bool) -> JointFacts:
    """Give what carries the tension the strongest or the weakest grade of its family of threads.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    strong : bool
        Which of the two.

    Returns
    -------
    JointFacts
        With the grade.
    """
    series = its_thread(facts).series
    if series in _METRIC:
        grade = "ISO 898-1 12.9" if strong else "ISO 898-1 4.6"
    elif series in _UNIFIED:
        grade = "SAE J429 8" if strong else "SAE J429 1"
    else:
        grade = "BS 1768 X" if strong else "BS 1768 A"
    if facts.piece.kind in NUTS:
        return with_mate(facts, grade=grade)
    return with_piece(facts, grade=grade, head_marking="")
