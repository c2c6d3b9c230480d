"""Where sorts of pieces belong among the needs of a job, each sort judged once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum

from runningfit.core.plan.fit import FitVerdict, PieceSpec, PlaceNeed, kinds_for
from runningfit.core.plan.foreign import foreign, nearest_miss
from runningfit.core.plan.matching import matches


class Belongs(StrEnum):
    """Where a sort of piece belongs."""

    SURELY = "surely"
    DOUBTFULLY = "doubtfully"
    OPEN = "open"
    NOWHERE = "nowhere"


class Belonging:
    """Judges sorts of pieces against the needs of a job; what was judged once is not judged again.

    A judgement follows from the needs and the sort alone, so it stands as long as the needs do.

    Parameters
    ----------
    needs : mapping of PlaceNeed to bool
        Each need, and whether it is known; False where it is only assumed from what came off.
    """

    def __init__(self, needs: Mapping[PlaceNeed, bool]) -> None:
        self._needs = needs
        self._kinds = {kind for need in needs for kind in kinds_for(need.kind)}
        self._judged: dict[PieceSpec, Belongs] = {}
        self._asks: dict[PieceSpec, str] = {}
        self._whys: dict[PieceSpec, str] = {}

    def judge(self, pieces: Iterable[PieceSpec]) -> dict[PieceSpec, Belongs]:
        """Say of each sort where it belongs.

        Parameters
        ----------
        pieces : iterable of PieceSpec
            The sorts.

        Returns
        -------
        dict
            SURELY where it fits a known need, DOUBTFULLY where it fits only assumed ones, OPEN where
            something must be found out or no place of its kind is known, NOWHERE where it fits none.
        """
        asked = list(pieces)
        self._judge_fresh([piece for piece in asked if piece not in self._judged])
        return {piece: self._judged[piece] for piece in asked}

    def _judge_fresh(self, fresh: list[PieceSpec]) -> None:
        if not fresh:
            return
        fits: dict[PieceSpec, bool] = {}
        asks: dict[PieceSpec, str] = {}
        for need, matched in matches(self._needs, fresh).items():
            for match in matched:
                if match.fit.verdict is FitVerdict.FITS:
                    fits[match.piece] = fits.get(match.piece, False) or self._needs[need]
                else:
                    asks.setdefault(match.piece, match.fit.asks[0])
        self._asks |= asks
        for piece in fresh:
            if piece in fits:
                self._judged[piece] = Belongs.SURELY if fits[piece] else Belongs.DOUBTFULLY
            else:
                unknown = piece in asks or piece.kind not in self._kinds
                self._judged[piece] = Belongs.OPEN if unknown else Belongs.NOWHERE

    def why(self, piece: PieceSpec) -> str:
        """Say in a few words why a sort belongs nowhere, or what must be found out first.

        Parameters
        ----------
        piece : PieceSpec
            A sort that was judged OPEN or NOWHERE.

        Returns
        -------
        str
            Nothing while no need is known.
        """
        if not self._needs:
            return ""
        if piece not in self._whys:
            self._whys[piece] = (
                f"find out {self._asks[piece]}"
                if piece in self._asks
                else nearest_miss(piece, self._needs) or foreign(piece, self._needs).why
            )
        return self._whys[piece]
