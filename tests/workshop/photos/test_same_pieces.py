"""The same pieces laid out anew are noticed, other pieces are not taken for them: by a simulator of bags."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from random import Random

import pytest

from photos_of_bags import photo_of
from runningfit.workshop.models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.proposed import piece_of
from runningfit.workshop.photos.same_pieces import look_the_same
from simulators import bags

TRIALS = 60
# As the pieces of a photo are measured now, and as well as may be hoped for [mm].
ROUGH = bags.Errors(length=1.0, diameter=0.5, pitch=0.02, scale=0.004)


def photographed(makes: Iterable[bags.Make], errors: bags.Errors, chance: Random) -> list[PhotoPiece]:
    """The pieces of a photo in which one of fifty was overlooked, each at a spot of its own."""
    scale = 1 + chance.gauss(0, errors.scale)
    seen = [bags.seen(n, one, errors, scale, chance) for n, one in enumerate(makes) if chance.random() > 0.02]
    chance.shuffle(seen)
    rows = [piece_of(PhotoRun(), item) for item in photo_of(seen).items]
    for row in rows:
        row.x_mm, row.y_mm = chance.uniform(10, 390), chance.uniform(10, 280)
    return rows


def mixed(chance: Random) -> list[bags.Make]:
    """A bag of three to eight sorts."""
    makes: list[bags.Make] = []
    for _ in range(chance.randint(3, 8)):
        makes += [bags.make(chance)] * chance.choice((1, 1, 2, 2, 3, 4, 6))
    return makes


def noticed(pairs: Sequence[tuple[list[PhotoPiece], list[PhotoPiece]]]) -> float:
    return sum(look_the_same(one, other) for one, other in pairs) / len(pairs)


@pytest.mark.parametrize("errors", [bags.Errors(), ROUGH], ids=["well measured", "roughly measured"])
def test_the_same_pieces_laid_out_anew_are_noticed(errors: bags.Errors) -> None:
    chance = Random(1)
    makes = [mixed(chance) for _ in range(TRIALS)]
    twice = [(photographed(one, errors, chance), photographed(one, errors, chance)) for one in makes]
    assert noticed(twice) > 0.9


@pytest.mark.parametrize("errors", [bags.Errors(), ROUGH], ids=["well measured", "roughly measured"])
def test_other_pieces_are_not_taken_for_them(errors: bags.Errors) -> None:
    chance = Random(2)
    pairs, near = [], []
    for _ in range(TRIALS):
        makes = mixed(chance)
        here = photographed(makes, errors, chance)
        pairs.append((here, photographed(mixed(chance), errors, chance)))
        others = [bags.another(one, chance) for one in makes]
        near.append((here, photographed(others, errors, chance)))
    assert noticed(pairs) < 0.05
    assert noticed(near) < 0.1


def test_as_many_other_pieces_of_the_same_sorts_are_asked_about() -> None:
    """No photo tells nine bolts from nine others of their sort: whoever knows is asked."""
    chance = Random(3)
    nine = [bags.Make("hex_bolt", "5/16-24 UNF", 34.925, 0.0, "clear")] * 9
    pairs = [
        (photographed(nine, bags.Errors(), chance), photographed(nine, bags.Errors(), chance))
        for _ in range(20)
    ]
    assert noticed(pairs) > 0.8


def test_a_few_of_one_sort_are_not_taken_for_part_of_a_larger_photo() -> None:
    chance = Random(4)
    bolts = [bags.Make("hex_bolt", "5/16-24 UNF", 34.925, 0.0, "clear")]
    pairs = [
        (
            photographed(bolts * 3, bags.Errors(), chance),
            photographed([*bolts * 9, *mixed(chance)], bags.Errors(), chance),
        )
        for _ in range(20)
    ]
    assert noticed(pairs) == 0
