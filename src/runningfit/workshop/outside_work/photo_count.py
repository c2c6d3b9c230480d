"""What a photo of a bag that came back counts of the sorts that are outside; a person confirms it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import Sort
from runningfit.core.plan.count_back.sorts import alike
from runningfit.workshop.photos.grouping import PieceGroup, grouped
from runningfit.workshop.photos.hardware_models import PhotoPiece


@dataclass(frozen=True, slots=True)
class PhotoCount:
    """How many pieces of each sort a photo shows, in the order of the sorts, and what is of none of them.

    Parameters
    ----------
    counts : tuple of int
        For each sort that is outside.
    strangers : tuple of str
        In quick words, a line for each group that is of no such sort.
    unmeasured : int
        Pieces that the photo could not measure and nobody named yet; they are counted nowhere.
    """

    counts: tuple[int, ...]
    strangers: tuple[str, ...]
    unmeasured: int


def count_by_photo(pieces: Sequence[PhotoPiece], sorts: Sequence[tuple[Sort, int]]) -> PhotoCount:
    """Count the pieces of a photo against the sorts that are outside.

    Parameters
    ----------
    pieces : sequence of PhotoPiece
        Those of one photo.
    sorts : sequence of (Sort, int)
        What is outside, and how many of each.
    """
    counts = [0] * len(sorts)
    strangers: list[str] = []
    unmeasured = 0
    for group in grouped(pieces):
        if group.unmeasured:
            unmeasured += len(group.pieces)
            continue
        left = len(group.pieces)
        seen = _sort_of(group)
        fitting = sorted(
            (at for at, (sort, _count) in enumerate(sorts) if alike(seen, sort)),
            key=lambda at: _apart_mm(seen, sorts[at][0]),
        )
        for at in fitting:
            taken = min(left, max(0, sorts[at][1] - counts[at]))
            counts[at] += taken
            left -= taken
        if left and fitting:
            # More than went of everything that it can be: too many of the nearest.
            counts[fitting[0]] += left
        elif left:
            strangers.append(seen.said(left))
    return PhotoCount(tuple(counts), tuple(strangers), unmeasured)


def _sort_of(group: PieceGroup) -> Sort:
    one = group.first
    return Sort(
        kind=Kind(one.kind),
        end_a=tuple(one.end_a.split("|")) if one.end_a else (),
        end_b=tuple(one.end_b.split("|")) if one.end_b else (),
        size_said=one.size_said,
        length_mm=group.length_mm,
        length_said=one.length_nominal,
    )


def _apart_mm(seen: Sort, sort: Sort) -> float:
    return abs((seen.length_mm or 0.0) - (sort.length_mm or 0.0))
