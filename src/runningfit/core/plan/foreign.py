"""Whether a piece belongs to no place of any engine of the job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.plan.fit import FitVerdict, PieceSpec, PlaceNeed, fit, kind_said, kinds_for


class ForeignAnswer(StrEnum):
    """Whether a piece belongs to no place."""

    FOREIGN = "foreign"
    BELONGS = "belongs"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class Foreign:
    """Whether a piece fits no place of any engine of the job, and why.

    Parameters
    ----------
    answer : ForeignAnswer
        Foreign, belongs, or cannot tell.
    why : str
        One sentence.
    """

    answer: ForeignAnswer
    why: str


def foreign(piece: PieceSpec, needs: Iterable[PlaceNeed]) -> Foreign:
    """Say whether a piece is foreign: fits no place of any engine of the job, sound or not.

    Parameters
    ----------
    piece : PieceSpec
        What the piece is; a defective thread does not make it foreign.
    needs : iterable of PlaceNeed
        The needs of every place known.

    Returns
    -------
    Foreign
        CANNOT_TELL where no place of its kind is known, or where something must be found out first.
    """
    whole = PieceSpec(
        piece.kind, piece.end_a, piece.end_b, piece.length_mm, piece.length_basis, piece.size_said
    )
    ask = ""
    nearest = ""
    known = False
    for need in needs:
        if whole.kind not in kinds_for(need.kind):
            continue
        known = True
        answer = fit(need, whole)
        if answer.fits:
            return Foreign(ForeignAnswer.BELONGS, "it fits a place")
        if answer.verdict is FitVerdict.MAY_FIT:
            ask = ask or answer.asks[0]
        elif not nearest or "thread" in nearest:
            # A piece that only the length keeps out says more than one of another thread.
            nearest = answer.reasons[0]
    if ask:
        return Foreign(ForeignAnswer.CANNOT_TELL, f"find out {ask}")
    if not known:
        return Foreign(
            ForeignAnswer.CANNOT_TELL, f"no place for a {kind_said(piece.kind)} is described in this job yet"
        )
    return Foreign(ForeignAnswer.FOREIGN, nearest)
