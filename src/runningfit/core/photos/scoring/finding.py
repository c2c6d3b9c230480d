"""Which outline of a measured photo is which piece of the truth; what was missed, split or merged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.photos.items import PhotoItem
from runningfit.core.photos.truths import TruePiece

# An outline's middle is near where it is this far at most: a distance, and a share of the piece's extent.
_NEAR_MM, _NEAR_SHARE = 4.0, 0.25


@dataclass(frozen=True, slots=True)
class Found:
    """Pieces of the truth with their outlines, one to one.

    Parameters
    ----------
    pairs : tuple
        The pieces that were found, each with its outline.
    missed : tuple of TruePiece
        The pieces that were not.
    extra : tuple of PhotoItem
        The outlines that are no piece of their own.
    split : tuple of TruePiece
        Found pieces of which an extra outline is a part.
    merged : tuple of PhotoItem
        Outlines of a piece that hold a missed one as well.
    """

    pairs: tuple[tuple[TruePiece, PhotoItem], ...]
    missed: tuple[TruePiece, ...]
    extra: tuple[PhotoItem, ...]
    split: tuple[TruePiece, ...]
    merged: tuple[PhotoItem, ...]


def found_pieces(pieces: Sequence[TruePiece], items: Sequence[PhotoItem]) -> Found:
    """Match outlines and pieces one to one: as many pairs as can be near each other, then the nearest.

    Parameters
    ----------
    pieces : sequence of TruePiece
        What lies on the mat.
    items : sequence of PhotoItem
        What was found.

    Returns
    -------
    Found
        The pairs and what is left. Near is within 4 mm and a quarter of the piece's extent, middle from
        middle, or under the outline. An extra outline whose middle lies within a found piece splits it; a
        missed piece whose middle lies within the outline of another is merged with it.
    """
    pairs = _paired(pieces, items)
    taken_pieces = {id(piece) for piece, _ in pairs}
    taken_items = {id(item) for _, item in pairs}
    missed = tuple(one for one in pieces if id(one) not in taken_pieces)
    extra = tuple(one for one in items if id(one) not in taken_items)
    return Found(
        pairs,
        missed,
        extra,
        tuple(p for p, _ in pairs if any(_within(one.mat_xy_mm, p.footprint_mm) for one in extra)),
        tuple(i for _, i in pairs if any(_within(one.mat_xy_mm, i.outline_mm) for one in missed)),
    )


def _paired(
    pieces: Sequence[TruePiece], items: Sequence[PhotoItem]
) -> tuple[tuple[TruePiece, PhotoItem], ...]:
    if not pieces or not items:
        return ()
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    ours = np.array([one.mat_xy_mm for one in pieces])
    theirs = np.array([one.mat_xy_mm for one in items])
    apart = np.hypot(*(ours[:, None, :] - theirs[None, :, :]).transpose(2, 0, 1))
    gates = np.array([_NEAR_MM + _NEAR_SHARE * one.extent_mm for one in pieces])[:, None]
    # The outline of a piece that stands leans far away from its foot, but covers it.
    covers = [[_within(piece.mat_xy_mm, item.outline_mm) for item in items] for piece in pieces]
    possible = (apart <= gates) | np.array(covers)
    # No sum of distances outweighs one more pair.
    far = 1.0 + gates.max() * min(len(pieces), len(items))
    rows, columns = linear_sum_assignment(np.where(possible, np.minimum(apart, gates), far))
    return tuple(
        (pieces[row], items[column])
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        if possible[row, column]
    )


def _within(spot: tuple[float, float], outline: Sequence[tuple[float, float]]) -> bool:
    """Whether a spot lies within an outline, by how often a ray to the right crosses it."""
    x, y = spot
    crossings = 0
    for (x_first, y_first), (x_next, y_next) in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        if (y_first > y) != (y_next > y):
            crossings += x < x_first + (y - y_first) / (y_next - y_first) * (x_next - x_first)
    return crossings % 2 == 1
