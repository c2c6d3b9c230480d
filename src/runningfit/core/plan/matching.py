"""Which of many pieces fit which of many places, found through an index instead of pair by pair."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import floor

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.fit import (
    ALIKE_MM,
    LENGTH_COUNTS,
    SIZE_ONLY,
    Fit,
    FitVerdict,
    PieceSpec,
    PlaceNeed,
    fit,
    kinds_for,
    length_key,
    lengths_differ,
    size_key,
)
from runningfit.core.units import LengthUnit

_ANY = ""
_STEP_MM = 2 * ALIKE_MM


@dataclass(frozen=True, slots=True)
class Match:
    """One piece that fits a place, or may.

    Parameters
    ----------
    piece : PieceSpec
        What the piece is.
    fit : Fit
        FITS or MAY_FIT; what does not fit is not among the matches.
    """

    piece: PieceSpec
    fit: Fit


def matches(needs: Iterable[PlaceNeed], pieces: Iterable[PieceSpec]) -> dict[PlaceNeed, tuple[Match, ...]]:
    """Find for each need the pieces that fit or may fit it.

    Parameters
    ----------
    needs : iterable of PlaceNeed
        Needs of places; equal ones are looked at once.
    pieces : iterable of PieceSpec
        What the pieces are; equal ones are looked at once.

    Returns
    -------
    dict
        For each distinct need its matches, those that fit first. The same pairs as `fit` finds one by one.
    """
    index: dict[tuple[Kind, str, int | str], list[PieceSpec]] = defaultdict(list)
    for piece in dict.fromkeys(pieces):
        for key in _piece_keys(piece):
            index[key].append(piece)
    found: dict[PlaceNeed, tuple[Match, ...]] = {}
    for need in dict.fromkeys(needs):
        near: dict[PieceSpec, None] = {}
        for key in _need_keys(need, index):
            near.update(dict.fromkeys(index[key]))
        # Most pieces of a drawer differ by their length alone; that is told before any reason is written.
        answers = [Match(piece, fit(need, piece)) for piece in near if not lengths_differ(need, piece)]
        kept = [match for match in answers if match.fit.verdict is not FitVerdict.NOT]
        found[need] = tuple(
            sorted(kept, key=lambda match: (not match.fit.fits, match.piece.kind != need.kind))
        )
    return found


def _marks(spec: PieceSpec | PlaceNeed) -> tuple[str, ...]:
    """Return the threads or sizes by which a spec is filed; a spec that says none is filed under 'any'."""
    if spec.kind in SIZE_ONLY:
        return tuple(size_key(spec.size_said, spec.end_a)) or (_ANY,)
    return spec.end_a + spec.end_b if spec.end_a else (_ANY,)


def _lengths(spec: PieceSpec | PlaceNeed) -> tuple[int | str, ...]:
    """Return the length drawers of a spec: in two ranks half a step apart, so alike ones share one."""
    if spec.length_mm is None or spec.kind not in LENGTH_COUNTS:
        return (_ANY,)
    drawers: set[int | str] = set()
    for length_mm in (spec.length_mm, *(length_key(spec.length_mm, series) for series in LengthUnit)):
        drawers |= {floor(length_mm / _STEP_MM), floor(length_mm / _STEP_MM + 0.5) + 10**6}
    return tuple(drawers)


def _piece_keys(piece: PieceSpec) -> Iterable[tuple[Kind, str, int | str]]:
    for mark in set(_marks(piece)):
        for drawer in _lengths(piece):
            yield piece.kind, mark, drawer


def _need_keys(
    need: PlaceNeed, index: dict[tuple[Kind, str, int | str], list[PieceSpec]]
) -> list[tuple[Kind, str, int | str]]:
    marks = {*_marks(need), _ANY}
    drawers = (*_lengths(need), _ANY)
    kinds = kinds_for(need.kind)
    if _ANY in _marks(need) or (need.length_mm is None and need.kind in LENGTH_COUNTS):
        # A need that leaves its thread or its length open is looked at against the whole kind.
        return [key for key in index if key[0] in kinds]
    return [
        key
        for kind in kinds
        for mark in marks
        for drawer in drawers
        if (key := (kind, mark, drawer)) in index
    ]
