"""Whether the bake that was asked of an outside shop was done: asked at the count, or said later."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.outside_work.confirming import with_parts
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.opening import held
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.outside_work.telling import is_bake_asked
from runningfit.workshop.pieces.done_work import BAKED, chain_said, works_of
from runningfit.workshop.pieces.lots import held_lot
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Hand


def bakes_of(lines: Sequence[ConsignmentLine]) -> list[ConsignmentLine]:
    """Return the lines that came back and of which the shop was asked to bake the pieces."""
    return [line for line in lines if line.back_count and is_bake_asked(line)]


def need_baked(baked: str) -> None:
    """Refuse what is no answer to whether pieces were baked."""
    if baked not in BAKED:
        raise InvalidInput("baked", needs=f"one of {', '.join(BAKED.values())}", came=baked)


def say_baked(*, consignment: Consignment, baked: str, why: str, hand: Hand) -> None:
    """Say of all that came back whether it was baked as it was asked.

    Parameters
    ----------
    baked : str
        One of `BAKED`; empty where it turns out that nobody knows.
    why : str
        How that is known; required.

    Raises
    ------
    InvalidInput
        That is no answer, or it is not said how it is known.
    Conflict
        Nothing of it came back for which a bake was asked.
    """
    need_baked(baked)
    need_words("why", why, "how that is known")
    reason = " ".join(why.split())
    with held(consignment, verb="say_baked", summary="said of a bake", hand=hand.because(reason)) as (
        entry,
        fresh,
    ):
        lines = bakes_of(lines_of(fresh))
        if not lines:
            raise Conflict(f"Nothing came back on consignment {fresh.number} of which a bake was asked.")
        for line in lines:
            entry.change(line, baked=baked)
            for lot in with_parts([line.lot]).values():
                if any(work.treatment == line.treatment for work in works_of(lot.done_chain)):
                    chain = chain_said(lot.done_chain, line.treatment, baked=baked)
                    entry.change(held_lot(lot), done_chain=chain)
        entry.say(f"consignment {fresh.number}, baked: {BAKED[baked]}")
