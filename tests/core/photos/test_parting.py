"""Connected things told apart, from maps drawn as the finding network is trained to give them.

Each drawing has the number of the uppermost piece in each pixel, a quarter of a millimetre wide; its border
is where another piece lies within two pixels, its ways point to the middle of what shows of each piece.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from runningfit.core.photos.networks import FLAT_MM
from runningfit.core.photos.parting import Meets, Part, parts_of

Numbers = NDArray[np.uint8]
Maps = NDArray[np.float32]
Draw = Callable[[], Numbers]


def sheet() -> Numbers:
    return np.zeros((240, 320), np.uint8)


def washer(on: Numbers, number: int, at_mm: tuple[float, float], outside_mm: float = 16.0) -> None:
    middle = tuple(round(one / FLAT_MM) for one in at_mm)
    ring = np.zeros_like(on)
    cv2.circle(ring, middle, round(outside_mm / 2 / FLAT_MM), 1, -1)
    cv2.circle(ring, middle, round(outside_mm / 4 / FLAT_MM), 0, -1)
    on[ring > 0] = number


def nut(on: Numbers, number: int, at_mm: tuple[float, float], across_mm: float = 12.0) -> None:
    turns = np.radians(np.arange(6) * 60 + 30)
    radius = across_mm / np.sqrt(3)
    corners = np.array(at_mm) + radius * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    cv2.fillPoly(on, [np.rint(corners / FLAT_MM).astype(np.int32)], number)


def bolt(
    on: Numbers, number: int, at_mm: tuple[float, float], towards_deg: float = 0.0, length_mm: float = 25.0
) -> None:
    """A bolt whose head ends at a place and whose tip points that way."""
    turn = np.radians(towards_deg)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    for start, end, half in ((0.0, 5.0, 6.5), (4.0, length_mm, 3.5)):
        corners = [
            at_mm + s * along + h * across
            for s, h in ((start, -half), (end, -half), (end, half), (start, half))
        ]
        cv2.fillPoly(on, [np.rint(np.array(corners) / FLAT_MM).astype(np.int32)], number)


def maps_of(numbers: Numbers) -> tuple[NDArray[np.bool_], Maps, Maps]:
    """What the network is trained to see of a drawing: pieces, border, ways."""
    near = np.ones((5, 5), np.uint8)
    most = cv2.dilate(numbers, near)
    least = cv2.erode(np.where(numbers == 0, 255, numbers).astype(np.uint8), near)
    border = np.where((most > 0) & (least < 255) & (most != least), 4.0, -4.0).astype(np.float32)
    way = np.zeros((2, *numbers.shape), np.float32)
    places = np.indices(numbers.shape)
    rows, columns = places[0], places[1]
    for number in range(1, int(numbers.max()) + 1):
        on = numbers == number
        way[0][on] = (columns[on].mean() - columns[on]) * FLAT_MM
        way[1][on] = (rows[on].mean() - rows[on]) * FLAT_MM
    return numbers > 0, border, way


def parted(numbers: Numbers, *, seed: int = 1) -> tuple[Part, ...]:
    """The parts of a drawing whose ways stray and whose border has gaps, as a network's do."""
    window, border, way = maps_of(numbers)
    chance = np.random.default_rng(seed)
    strayed = cv2.GaussianBlur(chance.normal(0, 4, (*window.shape, 2)).astype(np.float32), (0, 0), 3)
    flicker = cv2.GaussianBlur(chance.normal(0, 12, window.shape).astype(np.float32), (0, 0), 1.5)
    return parts_of(window, border + flicker, way + strayed.transpose(2, 0, 1))


def overlap(part: Part, on: NDArray[np.bool_]) -> float:
    return float((part.mask & on).sum() / (part.mask | on).sum())


@pytest.mark.parametrize("draw", [washer, nut, bolt])
def test_a_piece_alone_stays_one(draw: Callable[[Numbers, int, tuple[float, float]], None]) -> None:
    numbers = sheet()
    draw(numbers, 1, (40.0, 30.0))
    (part,) = parted(numbers)
    assert part.meets is Meets.ALONE
    assert (part.mask == (numbers > 0)).all()


def side_by_side() -> Numbers:
    numbers = sheet()
    washer(numbers, 1, (20.0, 30.0))
    washer(numbers, 2, (36.1, 30.0))
    return numbers


def nut_and_washer() -> Numbers:
    numbers = sheet()
    nut(numbers, 1, (20.0, 30.0))
    washer(numbers, 2, (34.3, 31.0))
    return numbers


def heads_touching() -> Numbers:
    numbers = sheet()
    bolt(numbers, 1, (20.0, 15.0), 92.0)
    bolt(numbers, 2, (33.2, 16.0), 88.0)
    return numbers


def chain() -> Numbers:
    numbers = sheet()
    for at in range(5):
        washer(numbers, at + 1, (10.0 + 12.1 * at, 20.0 + 5.0 * (at % 2)), 13.2)
    return numbers


@pytest.mark.parametrize("draw", [side_by_side, nut_and_washer, heads_touching, chain])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_pieces_that_touch_at_a_point_are_told_apart(draw: Draw, seed: int) -> None:
    numbers = draw()
    parts = parted(numbers, seed=seed)
    assert {part.meets for part in parts} == {Meets.TOLD_APART}
    assert len(parts) == numbers.max()
    for number in range(1, len(parts) + 1):
        assert max(overlap(part, numbers == number) for part in parts) > 0.9


@pytest.mark.parametrize("silent", ["border", "ways"])
def test_one_of_the_two_maps_is_enough_to_see_that_there_are_two(silent: str) -> None:
    numbers = side_by_side()
    window, border, way = maps_of(numbers)
    if silent == "border":
        border = np.full_like(border, -4)
        parts = parts_of(window, border, way)
        assert [part.meets for part in parts] == [Meets.TOLD_APART] * 2
    else:
        # All pixels point to the middle of both: the network takes them for one.
        rows, columns = np.indices(window.shape)
        way = np.stack([28.0 - columns * FLAT_MM, 30.0 - rows * FLAT_MM]).astype(np.float32)
        parts = parts_of(window, np.full_like(border, -4), way)
        assert [part.meets for part in parts] == [Meets.TOUCHES] * 2


def shanks_along_each_other() -> Numbers:
    numbers = sheet()
    bolt(numbers, 1, (15.0, 20.0), 0.0, 40.0)
    bolt(numbers, 2, (62.0, 27.0), 180.0, 40.0)
    return numbers


def tip_against_a_shank() -> Numbers:
    numbers = sheet()
    bolt(numbers, 1, (15.0, 15.0), 0.0, 40.0)
    bolt(numbers, 2, (35.0, 46.0), 270.0, 27.5)
    return numbers


@pytest.mark.parametrize("draw", [shanks_along_each_other, tip_against_a_shank])
def test_pieces_that_meet_over_a_long_line_are_not_measured(draw: Draw) -> None:
    parts = parted(draw())
    assert [part.meets for part in parts] == [Meets.TOUCHES] * 2


def bolt_across_a_bolt() -> Numbers:
    numbers = sheet()
    bolt(numbers, 1, (15.0, 30.0), 0.0, 45.0)
    bolt(numbers, 2, (38.0, 14.0), 80.0, 35.0)
    return numbers


def washer_half_on_a_washer() -> Numbers:
    numbers = sheet()
    washer(numbers, 1, (30.0, 30.0))
    washer(numbers, 2, (37.0, 32.0))
    return numbers


def nut_on_a_washer() -> Numbers:
    numbers = sheet()
    washer(numbers, 1, (30.0, 30.0), 22.0)
    nut(numbers, 2, (30.0, 30.0), 13.0)
    return numbers


def bolt_through_a_washer() -> Numbers:
    numbers = sheet()
    bolt(numbers, 1, (15.0, 30.0), 0.0, 35.0)
    washer(numbers, 2, (30.0, 30.0), 17.0)
    bolt(numbers, 1, (15.0, 30.0), 0.0, 28.0)
    return numbers


@pytest.mark.parametrize(
    "draw", [bolt_across_a_bolt, washer_half_on_a_washer, nut_on_a_washer, bolt_through_a_washer]
)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_pieces_that_lie_on_each_other_are_not_measured(draw: Draw, seed: int) -> None:
    parts = parted(draw(), seed=seed)
    assert not {part.meets for part in parts} & {Meets.ALONE, Meets.TOLD_APART}


def test_two_holes_are_two_pieces_whatever_the_maps_say() -> None:
    numbers = washer_half_on_a_washer()
    cv2.circle(numbers, (148, 128), 6, 0, -1)
    window, border, way = maps_of((numbers > 0).astype(np.uint8))
    (part,) = parts_of(window, border, way)
    assert part.meets is Meets.UNCLEAR


def test_a_piece_cut_in_two_by_one_across_it_is_said_to_lie_beneath() -> None:
    assert {part.meets for part in parted(bolt_across_a_bolt())} == {Meets.LIES_ON}


def test_ways_that_point_all_over_are_not_taken_for_a_piece() -> None:
    numbers = sheet()
    cv2.rectangle(numbers, (60, 60), (200, 120), 1, -1)
    window, border, _ = maps_of(numbers)
    chance = np.random.default_rng(3)
    way = cv2.GaussianBlur(chance.normal(0, 300, (*window.shape, 2)).astype(np.float32), (0, 0), 12)
    parts = parts_of(window, border, np.asarray(way.transpose(2, 0, 1), dtype=np.float32))
    assert not {part.meets for part in parts} & {Meets.ALONE, Meets.TOLD_APART}
