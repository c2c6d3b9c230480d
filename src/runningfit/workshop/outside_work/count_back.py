"""Counting back: propose what a count comes to, then keep it in one record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.plan.count_back import Counted, Proposal, reconcile
from runningfit.workshop.outside_work.baking import need_baked
from runningfit.workshop.outside_work.expecting import Outside, Scope, as_kept, outside_of
from runningfit.workshop.outside_work.models import Consignment, CountBack
from runningfit.workshop.outside_work.opening import close_when_done, held
from runningfit.workshop.outside_work.receiving import Receiving
from runningfit.workshop.records.writing import Hand


@dataclass(frozen=True, slots=True)
class Proposed:
    """A proposal with everything it was made from; ``state`` must still hold when it is kept."""

    outside: Outside
    counted: tuple[Counted, ...]
    proposal: Proposal
    state: str


def propose(
    *,
    consignment: Consignment,
    scope: Scope,
    counted: Sequence[Counted],
    finished: bool,
    fixed: Mapping[int, int] | None = None,
) -> Proposed:
    """Say what a count comes to, changing nothing.

    Parameters
    ----------
    scope : Scope
        One bag, or the whole bucket.
    counted : sequence of Counted
        The groups as counted.
    finished : bool
        True when no more is to come, so that what is missing is short.
    fixed : mapping of int to int or None
        By line, how many a person says came back where pieces alike went in several bags.

    Raises
    ------
    Conflict
        The consignment was not sent, or nothing of it is outside.
    InvalidInput
        The count cannot be used.
    """
    outside = outside_of(consignment, scope)
    _need_outside(outside)
    proposal = reconcile(outside.expected, counted, finished=finished, fixed=fixed)
    return Proposed(outside, tuple(counted), proposal, outside.state)


def accept(
    *,
    consignment: Consignment,
    scope: Scope,
    counted: Sequence[Counted],
    finished: bool,
    state: str,
    hand: Hand,
    fixed: Mapping[int, int] | None = None,
    damaged_said: str = "",
    baked: str = "",
) -> CountBack:
    """Keep a count-back in one record: pieces come home, and every difference opens a discrepancy.

    Parameters
    ----------
    state : str
        That of the proposal; when somebody counted back in between it no longer holds.
    damaged_said : str
        What is wrong with the damaged pieces, in words.
    baked : str
        Whether the bake that was asked was done, for the lots that needed one: one of `BAKED`.

    Returns
    -------
    CountBack

    Raises
    ------
    Conflict
        Somebody else counted back, or closed a discrepancy, since the proposal was made.
    InvalidInput
        Nothing was counted and more is to come, or the count cannot be used.
    """
    need_baked(baked)
    if not finished and not any(group.count for group in counted):
        raise InvalidInput("count", needs="at least one piece while more is to come", came="none")
    with held(consignment, verb="count_back", summary="counted back", hand=hand) as (entry, fresh):
        outside = outside_of(fresh, scope)
        _need_outside(outside)
        if outside.state != state:
            raise Conflict(
                f"Somebody counted back on consignment {fresh.number}, or closed a discrepancy of it, since "
                "you began. Nothing of your count was kept. Look at what is still outside, and count that."
            )
        proposal = reconcile(outside.expected, counted, finished=finished, fixed=fixed)
        row = entry.create(
            CountBack(
                consignment=fresh,
                way=scope.way,
                bag=scope.bag,
                finished=finished,
                counted=[as_kept(group) for group in counted],
                at=entry.at,
            )
        )
        receiving = Receiving(
            entry,
            outside,
            counted,
            proposal,
            finished=finished,
            damaged_said=damaged_said.strip(),
            baked=baked,
        )
        receiving.receive()
        close_when_done(entry, fresh)
        entry.say(f"counted back {_said(scope)} of consignment {fresh.number}: {receiving.summary()}")
    return row


def _said(scope: Scope) -> str:
    if scope.way == "bucket":
        return "the bucket"
    return f"bag {scope.bag.code}" if scope.bag else "what had no bag"


def _need_outside(outside: Outside) -> None:
    if outside.consignment.sent_on is None:
        raise Conflict(
            f"Consignment {outside.consignment.number} was not sent yet, so nothing can come back."
        )
    if not outside.expected:
        raise Conflict(
            f"Nothing of consignment {outside.consignment.number} is still outside: all was counted back."
        )
