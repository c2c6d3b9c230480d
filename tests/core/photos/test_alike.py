"""Pieces of one photo weighed against those of many at once come to what each pair of photos comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from photos_of_bags import photo, photo_of
from runningfit.core.photos.comparing.alike import Pieces, alike
from runningfit.core.photos.comparing.likeness import (
    GROSS,
    LENGTH,
    LogSizes,
    length_steps,
    likeness,
    most_of_sizes,
    size_ratio,
)
from runningfit.core.photos.items import Estimate, PhotoItem, Sizes, ThreadChance
from runningfit.core.pieces.kinds import Kind
from simulators import bags

# Sizes of pieces, and what they are about [mm].
SIZES = {
    "length": 30.0, "major": 8.0, "pitch": 1.2, "head_across_flats": 13.0, "outside": 16.0, "inside": 8.0,
    "thickness": 3.0, "width": 10.0,
}  # fmt: skip
# More than are in use, so that some photos together name more than that.
THREADS = [f"thread {number}" for number in range(90)]
LEAST = st.floats(0.5, 6.0)


@st.composite
def pieces(draw: st.DrawFn) -> PhotoItem:
    """Any piece that was measured: sizes near each other or far, some of them, any kinds and threads."""
    sizes = {
        name: Estimate(
            SIZES[name] * draw(st.sampled_from((0.98, 1.0, 1.01, 1.1)) | st.floats(0.3, 3.0)),
            draw(st.floats(0.01, 3.0)),
        )
        for name in sorted(draw(st.sets(st.sampled_from(list(SIZES)))))
    }
    kinds = draw(st.dictionaries(st.sampled_from(list(Kind)), st.floats(0.01, 1.0), max_size=3))
    threads = draw(st.dictionaries(st.sampled_from(THREADS[:4]), st.floats(0.0, 1.0), max_size=3))
    chances = tuple(ThreadChance(name, share) for name, share in threads.items())
    kind = draw(st.sampled_from(list(Kind)))
    return PhotoItem(1, kind, kinds, (0.0, 0.0), (), (), Sizes(**sizes), chances, {}, None, "")


def held_one_by_one(here: Sequence[PhotoItem], there: Sequence[PhotoItem], least: float) -> list[set[int]]:
    """Pairs that come to the least, by both photos alone: surely, and perhaps."""
    if not here or not there:
        return [set(), set()]
    same = np.log(likeness(here, there).same)
    return [set(np.flatnonzero(same >= least + slack).tolist()) for slack in (1e-9, -1e-9)]


def need_equal(
    here: Sequence[PhotoItem], photos: Sequence[Sequence[PhotoItem]], least: Sequence[float]
) -> int:
    """Hold both ways against each other; returns how many pairs there are."""
    count = 0
    found = alike(Pieces.of(here), [Pieces.of(one) for one in photos], least)
    for one, pairs, enough in zip(photos, found, least, strict=True):
        surely, perhaps = held_one_by_one(here, one, enough)
        places = [
            at * len(one) + to for at, to in zip(pairs.here.tolist(), pairs.there.tolist(), strict=True)
        ]
        assert len(places) == len(set(places))
        assert surely <= set(places) <= perhaps
        if places:
            told = np.log(likeness(here, one).same).ravel()[places]
            assert (np.diff(told) < 1e-9).all()
        count += len(places)
    return count


@given(pieces(), pieces())
def test_no_size_brings_more_than_its_bound(one: PhotoItem, other: PhotoItem) -> None:
    first, second = LogSizes.of([one]), LogSizes.of([other])
    most = most_of_sizes(first)[0] + most_of_sizes(second)[0]
    steps = np.nan_to_num(length_steps(first, second)[0])
    for size in range(len(SIZES)):
        ratio = size_ratio(size, first, second)[0] + (GROSS * steps if size == LENGTH else 0.0)
        both = np.isfinite(first.log[0, size]) and np.isfinite(second.log[0, size])
        assert np.log(ratio) <= (most[size] if both else 0.0) + 1e-9


@given(st.lists(pieces(), max_size=6), st.lists(st.tuples(st.lists(pieces(), max_size=5), LEAST), max_size=4))
def test_any_pieces_are_weighed_as_by_two_photos(
    here: list[PhotoItem], photos: list[tuple[list[PhotoItem], float]]
) -> None:
    need_equal(here, [items for items, _ in photos], [least for _, least in photos])


@given(st.integers(50, 90), st.floats(0.1, 1.5), LEAST)
def test_as_many_threads_and_kinds_as_two_photos_name_are_reckoned_with(
    names: int, whole: float, least: float
) -> None:
    """The doubt is spread over more names where two photos show more than are in use."""
    kinds = list(Kind)
    shown = [
        replace(
            photo([PhotoItem(1, kinds[n % 17], {}, (0.0, 0.0), (), (), Sizes(), (), {}, None, "")]).items[0],
            threads=(ThreadChance(name, 0.7 * whole), ThreadChance(THREADS[(n + 7) % names], 0.3 * whole)),
        )
        for n, name in enumerate(THREADS[:names])
    ]
    need_equal(shown[::2], [shown[1::2], shown, shown[:3]], [least] * 3)


@pytest.mark.parametrize(
    "errors", [bags.Errors(), bags.Errors(length=1.0, diameter=0.5, pitch=0.02, scale=0.004)]
)
def test_bags_are_weighed_as_by_two_photos(errors: bags.Errors) -> None:
    chance = Random(11)
    found = 0
    for _ in range(12):
        trials = [bags.trial(chance, errors=errors) for _ in range(6)]
        here = photo_of(trials[0].before).items
        photos = [photo_of(one.after).items for one in trials]
        found += need_equal(here, photos, [chance.uniform(1.0, 4.0) for _ in photos])
    assert found > 500
