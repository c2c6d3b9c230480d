"""What photos of pieces that came back count of the sorts that are outside; a person confirms it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import Sort
from runningfit.core.plan.count_back.sorts import alike
from runningfit.workshop.photos.grouping import PieceGroup, grouped
from runningfit.workshop.photos.hardware_models import PhotoPiece
from runningfit.workshop.photos.proposed import sizes_of

# A length that a photo read is off by at most so many of its uncertainties, and by no more than this [mm].
_OFF, _MOST_OFF_MM = 2.0, 2.5


@dataclass(frozen=True, slots=True)
class PhotoCount:
    """How many pieces of each sort photos show, in the order of the sorts, and what is of none of them.

    Parameters
    ----------
    counts : tuple of int
        For each sort that is outside.
    strangers : tuple of str
        In quick words, a line for each group that is of no such sort.
    unmeasured : int
        Pieces that the photos could not measure and nobody named yet; they are counted nowhere.
    """

    counts: tuple[int, ...]
    strangers: tuple[str, ...]
    unmeasured: int


def count_by_photo(pieces: Sequence[PhotoPiece], sorts: Sequence[tuple[Sort, int]]) -> PhotoCount:
    """Count the pieces of photos against the sorts that are outside.

    Parameters
    ----------
    pieces : sequence of PhotoPiece
        Those of one photo or of several.
    sorts : sequence of (Sort, int)
        What is outside, and how many of each.

    Notes
    -----
    What agrees with a sort is counted first. Of the rest, a piece whose length the photo read not quite so,
    or of a kind that photos take for the other, fills a sort of which some are still missing.
    """
    counts = [0] * len(sorts)
    groups = grouped(pieces)
    open_groups: list[tuple[PieceGroup, Sort, int, list[int]]] = []
    for group in groups:
        if group.unmeasured:
            continue
        seen = _sort_of(group)
        fitting = _nearest(seen, sorts, [at for at, (sort, _) in enumerate(sorts) if alike(seen, sort)])
        left = _fill(counts, sorts, fitting, len(group.pieces))
        open_groups.append((group, seen, left, fitting))
    strangers: list[str] = []
    for group, seen, left, fitting in open_groups:
        near = [at for at, (sort, _) in enumerate(sorts) if _may_be(group, seen, sort)]
        left = _fill(counts, sorts, _nearest(seen, sorts, near), left)
        if left and fitting:
            # More than went of everything that it can be: too many of the nearest.
            counts[fitting[0]] += left
        elif left:
            strangers.append(seen.said(left))
    unmeasured = sum(len(group.pieces) for group in groups if group.unmeasured)
    return PhotoCount(tuple(counts), tuple(strangers), unmeasured)


def _fill(counts: list[int], sorts: Sequence[tuple[Sort, int]], fitting: Sequence[int], count: int) -> int:
    """Count pieces with the sorts of which some are missing; returns how many are left."""
    for at in fitting:
        taken = min(count, max(0, sorts[at][1] - counts[at]))
        counts[at] += taken
        count -= taken
    return count


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


def _may_be(group: PieceGroup, seen: Sort, sort: Sort) -> bool:
    """Whether pieces may be of a sort but for what photos often get wrong; what a person said stands."""
    if group.first.settled:
        return False
    bolts = (Kind.HEX_BOLT, Kind.SETSCREW)
    kind = sort.kind if seen.kind in bolts and sort.kind in bolts else seen.kind
    length_mm, said = seen.length_mm, seen.length_said
    if length_mm is not None and sort.length_mm is not None:
        u_mm = max(
            (one.u_mm for piece in group.pieces if (one := sizes_of(piece.proposed).length)), default=0.0
        )
        if abs(length_mm - sort.length_mm) <= min(_OFF * u_mm, _MOST_OFF_MM):
            length_mm, said = sort.length_mm, sort.length_said
    return alike(replace(seen, kind=kind, length_mm=length_mm, length_said=said), sort)


def _nearest(seen: Sort, sorts: Sequence[tuple[Sort, int]], of: Sequence[int]) -> list[int]:
    return sorted(of, key=lambda at: abs((seen.length_mm or 0.0) - (sorts[at][0].length_mm or 0.0)))
