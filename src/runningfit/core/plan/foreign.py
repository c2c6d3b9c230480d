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
    known = [need for need in needs if whole.kind in kinds_for(need.kind)]
    if not known:
        return Foreign(
            ForeignAnswer.CANNOT_TELL, f"no place for a {kind_said(piece.kind)} is described in this job yet"
        )
    answers = [fit(need, whole) for need in known]
    if any(answer.fits for answer in answers):
        return Foreign(ForeignAnswer.BELONGS, "it fits a place")
    ask = next((answer.asks[0] for answer in answers if answer.verdict is FitVerdict.MAY_FIT), "")
    if ask:
        return Foreign(ForeignAnswer.CANNOT_TELL, f"find out {ask}")
    return Foreign(ForeignAnswer.FOREIGN, nearest_miss(whole, known))


def nearest_miss(piece: PieceSpec, needs: Iterable[PlaceNeed]) -> str:
    """Say how a piece misses the place that it comes nearest to.

    Parameters
    ----------
    piece : PieceSpec
        A piece that fits none of them.
    needs : iterable of PlaceNeed
        The needs of every place known.

    Returns
    -------
    str
        The reason of the nearest one: of the same thread first, then of the nearest length; empty where no
        place takes a piece of its kind.
    """
    near = [need for need in needs if piece.kind in kinds_for(need.kind)]
    if not near:
        return ""
    nearest = min(near, key=lambda need: _distance(piece, need))
    return next(iter(fit(nearest, piece).reasons), "")


def _distance(piece: PieceSpec, need: PlaceNeed) -> tuple[bool, float]:
    another_thread = not set(piece.end_a + piece.end_b) & set(need.end_a + need.end_b)
    if piece.length_mm is None or need.length_mm is None:
        return another_thread, 0.0
    return another_thread, abs(piece.length_mm - need.length_mm)
