"""Between rows and the core: what a place needs and what a lot is, as far as fitting goes."""

from __future__ import annotations

from functools import lru_cache

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.fit import Fit, PieceSpec, PlaceNeed, fit
from runningfit.workshop.pieces.models import Fastener, Lot, Place

SPEC_FIELDS = ("kind", "end_a", "end_b", "length_mm", "length_basis", "size_said")
_KINDS = {kind.value: kind for kind in Kind}
SpecValues = tuple[str, str, str, float | None, str, str]


@lru_cache(maxsize=8192)
def need_from(values: SpecValues) -> PlaceNeed:
    """Return the need that the SPEC_FIELDS of a place say."""
    kind, end_a, end_b, length_mm, basis, size_said = values
    return PlaceNeed(_kind(kind), _candidates(end_a), _candidates(end_b), length_mm, basis, size_said)


@lru_cache(maxsize=16384)
def spec_from(values: SpecValues, *, thread_state: str = "") -> PieceSpec:
    """Return the piece that the SPEC_FIELDS of a lot say."""
    kind, end_a, end_b, length_mm, basis, size_said = values
    return PieceSpec(
        _kind(kind),
        _candidates(end_a),
        _candidates(end_b),
        length_mm,
        basis,
        size_said,
        thread_state == "defective",
    )


@lru_cache(maxsize=16384)
def kept_fit(need: PlaceNeed, piece: PieceSpec) -> Fit:
    """Say whether a piece fits a place; the answer follows from the two alone, so it is kept."""
    return fit(need, piece)


def need_of(place: Place) -> PlaceNeed:
    """Return what a place needs."""
    return need_from(_values(place))


def spec_of(lot: Lot) -> PieceSpec:
    """Return what the pieces of a lot are."""
    return spec_from(_values(lot), thread_state=lot.thread_state)


def fit_of(place: Place, lot: Lot) -> Fit:
    """Say whether the pieces of a lot fit a place."""
    return kept_fit(need_of(place), spec_of(lot))


def _values(row: Fastener) -> SpecValues:
    return (row.kind, row.end_a, row.end_b, row.length_mm, row.length_basis, row.size_said)


def _candidates(ends: str) -> tuple[str, ...]:
    return tuple(ends.split("|")) if ends else ()


def _kind(kind: str) -> Kind:
    return _KINDS.get(kind, Kind.OTHER)
