"""Pairings are drawn as often as they are probable, held against all pairings counted out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import pytest

from photos_of_bags import piece
from runningfit.core.photos.comparing.likeness import likeness
from runningfit.core.photos.comparing.pairings import ADDED, LOST, SWAPPED, draw_pairings
from runningfit.core.photos.items import PhotoItem
from runningfit.core.pieces.kinds import Kind

# Without sizes, so that the scale says nothing.
FEW: tuple[tuple[PhotoItem, ...], tuple[PhotoItem, ...]] = (
    (
        piece(Kind.STUD, {"M6x1": 0.6, "1/4-26 BSF": 0.4}),
        piece(Kind.STUD, {"M6x1": 0.3, "1/4-26 BSF": 0.6}),
        piece(Kind.HEX_BOLT, {"M8x1": 0.9}),
        piece(Kind.SPACER),
    ),
    (
        piece(Kind.STUD, {"M6x1": 0.2, "M5x0.8": 0.7}),
        piece(Kind.HEX_BOLT, {"M8x1.25": 0.9}),
        piece(Kind.PLAIN_WASHER),
        piece(Kind.STUD, {"M6x1": 0.8}),
    ),
)


def pairings(before: int, after: Sequence[int]) -> Iterator[tuple[tuple[int, int], ...]]:
    """All ways to pair the pieces from 0 to before, or leave them."""
    if not before:
        yield ()
        return
    last = before - 1
    for rest in pairings(last, after):
        yield rest
        taken = {j for _, j in rest}
        yield from ((*rest, (last, j)) for j in after if j not in taken)


@pytest.mark.parametrize("added_piece", [True, False])
def test_each_pairing_comes_as_often_as_it_is_probable(added_piece: bool) -> None:
    before, after = FEW
    if not added_piece:
        after = after[:3]
    found = likeness(before, after)
    alone = LOST * max(ADDED * len(before), 0.2)
    odds = ((1 - LOST - SWAPPED) * found.same + SWAPPED * found.swapped) / alone
    weights = {}
    for pairs in pairings(len(before), range(len(after))):
        weight = 1.0
        for i, j in pairs:
            weight *= odds[i, j]
        weights[frozenset(pairs)] = weight
    total = sum(weights.values())
    draws = draw_pairings(before, after, look_may_change=True).draws
    seen: Counter[tuple[int, int]] = Counter()
    for draw in draws:
        seen.update(draw.same)
        seen.update(draw.swapped)
    for i in range(len(before)):
        for j in range(len(after)):
            expected = sum(weight for pairs, weight in weights.items() if (i, j) in pairs) / total
            if before[i].kind is after[j].kind:
                # A missing and an added piece of one kind are a swap, so those two come together more often.
                assert seen[i, j] / len(draws) >= expected - 0.06
            else:
                assert seen[i, j] / len(draws) == pytest.approx(expected, abs=0.06)


def test_every_piece_is_in_every_pairing_once() -> None:
    before, after = FEW
    for draw in draw_pairings(before, after, look_may_change=True).draws:
        pairs = (*draw.same, *draw.swapped)
        assert sorted([*(i for i, _ in pairs), *draw.missing]) == list(range(len(before)))
        assert sorted([*(j for _, j in pairs), *draw.added]) == list(range(len(after)))


def test_likeness_is_the_same_from_either_side() -> None:
    before = (
        piece(Kind.STUD, {"M6x1": 0.6}, length=30.0, major=6.0),
        piece(Kind.SPACER, length=31.0, outside=12.0),
    )
    after = (piece(Kind.STUD, {"M6x1": 0.9}, length=30.4, major=5.9), piece(Kind.NUT, {"M6x1": 0.7}))
    there, back = likeness(before, after, scale_ratio=1.01), likeness(after, before, scale_ratio=1 / 1.01)
    assert there.same == pytest.approx(back.same.T)


def test_a_size_that_hardly_says_anything_hardly_counts() -> None:
    sure, vague = (
        likeness(
            [piece(Kind.SPACER, length=30.0, u_mm=u_mm)], [piece(Kind.SPACER, length=30.0, u_mm=u_mm)]
        ).same[0, 0]
        for u_mm in (0.1, 25.0)
    )
    bare = likeness([piece(Kind.SPACER)], [piece(Kind.SPACER)]).same[0, 0]
    assert sure > 50 * bare
    assert vague == pytest.approx(bare, rel=0.5)
