"""Bodies in space fitted to outlines that an independent caster of rays drew."""

from __future__ import annotations

from itertools import pairwise
from math import cos, sin, sqrt

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from runningfit.core.photos.domed import domed_nut
from runningfit.core.photos.flat import has_round_rim, nut_width, washer_width
from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.lying import lying_piece
from runningfit.core.photos.silhouettes import Viewpoint, outside
from runningfit.core.photos.tubes import tube_sizes
from runningfit.core.photos.upright import standing_bolt
from simulators.solid_outlines import Hexagon, Round, outline

pytestmark = pytest.mark.slow

Array = NDArray[np.float64]

EYE = np.array([200.0, 140.0, 430.0])
UP = np.array([0.0, 0.0, 1.0])


def view() -> Viewpoint:
    return Viewpoint(EYE[:2], float(EYE[2]))


def seen(point: Array) -> Array:
    """Where a point is seen on the mat."""
    return np.asarray(EYE[:2] + (point[:2] - EYE[:2]) * EYE[2] / (EYE[2] - point[2]))


def bolt(long: float, thick: float, across: float, head: float, turn: float = 0.0) -> list[Round | Hexagon]:
    """A bolt whose underside of the head is at 0, its tip at its length."""
    bevel = 0.1 * thick
    return [
        Hexagon(-head, 0.0, across, turn),
        Round(0.0, long - bevel, thick / 2, thick / 2),
        Round(long - bevel, long, thick / 2, thick / 2 - bevel),
    ]


@pytest.mark.parametrize("spot", [(40.0, 60.0), (330.0, 90.0), (120.0, 230.0)])
@pytest.mark.parametrize(
    ("long", "thick", "across"), [(25.4, 7.94, 12.7), (50.8, 9.53, 14.29), (12.0, 6.0, 10.0)]
)
def test_a_bolt_that_stands_on_its_head_shows_its_length_by_its_lean(
    spot: tuple[float, float], long: float, thick: float, across: float
) -> None:
    head = 0.4 * across
    foot = np.array([*spot, 0.0])
    drawn = outline(bolt(long, thick, across, head, 0.3), foot + head * UP, UP, EYE)
    # The network is off by a third, and says so.
    read = Sizes(
        length=Estimate(long * 0.7, long * 0.25), major=Estimate(thick + 0.2, 0.3),
        head_across_flats=Estimate(across - 0.3, 0.4),
    )  # fmt: skip
    points = np.array([foot[:2] + 0.4, seen(foot + head * UP), seen(foot + (head + long) * UP) - 0.5])
    found = standing_bolt(drawn, view(), read, points)
    assert found is not None
    assert found.value_mm == pytest.approx(long, abs=max(2 * found.u_mm, 0.8))
    assert found.u_mm < long * 0.12


@pytest.mark.parametrize("long", [6.0, 15.0, 40.0])
def test_a_spacer_that_stands_shows_its_height(long: float) -> None:
    tube: list[Round | Hexagon] = [Round(0.0, long, 6.5, 6.5)]
    read = Sizes(outside=Estimate(12.6, 0.4), length=Estimate(long + 2.0, 2.0))
    foot = np.array([330.0, 60.0, 0.0])
    ends = np.array([foot[:2], foot[:2] + 0.5, seen(foot + long * UP) - 0.5])
    found = tube_sizes(outline(tube, foot, UP, EYE), view(), read, ends)
    assert found is not None
    assert found.length.value_mm == pytest.approx(long, abs=0.8)
    assert found.length.u_mm < 1.0
    assert found.outside.value_mm == pytest.approx(13.0, abs=0.3)


@pytest.mark.parametrize("turn", [0.1, 0.7, 2.4])
@pytest.mark.parametrize("long", [6.0, 8.0, 15.0, 40.0])
def test_a_spacer_on_its_side_is_not_taken_to_stand(long: float, turn: float) -> None:
    tube: list[Round | Hexagon] = [Round(0.0, long, 6.5, 6.5)]
    read = Sizes(outside=Estimate(12.6, 0.4), length=Estimate(long + 2.0, 2.0))
    begin, way = np.array([330.0, 60.0, 6.5]), np.array([cos(turn), sin(turn), 0.0])
    ends = np.array([seen(begin), seen(begin) + 0.5, seen(begin + long * way) - 0.5])
    found = tube_sizes(outline(tube, begin, way, EYE), view(), read, ends)
    assert found is not None
    assert found.length.value_mm == pytest.approx(long, abs=0.35)
    assert found.outside.value_mm == pytest.approx(13.0, abs=0.3)


def test_what_is_no_tube_gets_no_sizes_of_one() -> None:
    arm, end = 1.5, 12.0
    corners = [(arm, arm), (end, arm), (end, -arm), (arm, -arm), (arm, -end), (-arm, -end), (-arm, -arm)]
    corners += [(-end, -arm), (-end, arm), (-arm, arm), (-arm, end), (arm, end)]
    cross = np.array(corners) + 70
    read = Sizes(outside=Estimate(12.6, 0.4))
    assert tube_sizes(cross, view(), read, np.zeros((3, 2))) is None
    disc = Sizes(outside=Estimate(12.6, 0.4), thickness=Estimate(1.0, 0.3))
    assert washer_width(cross, view(), disc) is None
    nut = Sizes(head_across_flats=Estimate(12.6, 0.4), thickness=Estimate(5.0, 0.5))
    assert nut_width(cross, view(), nut) is None
    dome = Sizes(head_across_flats=Estimate(12.6, 0.4), length=Estimate(13.0, 1.0))
    assert domed_nut(cross, view(), dome, np.full((3, 2), 70.0)) is None


@pytest.mark.parametrize("spot", [(40.0, 60.0), (330.0, 90.0)])
@pytest.mark.parametrize(("wide", "thick"), [(12.0, 0.8), (24.0, 2.0), (17.0, 3.2)])
def test_a_washer_is_as_wide_as_its_rim_not_as_its_picture(
    spot: tuple[float, float], wide: float, thick: float
) -> None:
    disc: list[Round | Hexagon] = [Round(0.0, thick, wide / 2, wide / 2)]
    # The network takes the rim, nearer to the camera than the mat, for wider than it is.
    read = Sizes(outside=Estimate(wide + 0.4, 0.4), thickness=Estimate(thick + 0.2, 0.4))
    found = washer_width(outline(disc, np.array([*spot, 0.0]), UP, EYE), view(), read)
    assert found is not None
    assert found.value_mm == pytest.approx(wide, abs=0.2)
    assert abs(found.value_mm - wide) < 2.5 * found.u_mm


def test_a_tab_shows_in_the_rim_of_a_washer() -> None:
    spot, way = np.array([330.0, 90.0, 0.0]), np.array([cos(0.6), sin(0.6), 0.0])
    read = Sizes(outside=Estimate(12.4, 0.4), thickness=Estimate(1.2, 0.4))
    disc = outline([Round(0.0, 1.0, 6.0, 6.0)], spot, UP, EYE)
    assert has_round_rim(disc, view(), read)
    # The least tab that training draws: 0.15 of the width long, 0.25 of it wide.
    corners = np.array([[5.0, -1.5], [7.8, -1.5], [7.8, 1.5], [5.0, 1.5]])
    tab = spot[:2] + corners[:, :1] * way[:2] + corners[:, 1:] * np.array([-way[1], way[0]])
    both = cv2.convexHull(np.concatenate([disc[disc @ way[:2] > spot @ way + 4.5], tab]).astype(np.float32))
    drawn = np.zeros((800, 800), np.uint8)
    for line in (disc, both[:, 0]):
        cv2.fillPoly(drawn, [np.rint((line - spot[:2] + 20) * 20).astype(np.int32)], 1)
    contour, _ = cv2.findContours(drawn, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    assert not has_round_rim(contour[0][:, 0] / 20 - 20 + spot[:2], view(), read)


@pytest.mark.parametrize("turn", [0.0, 0.4, 0.9])
@pytest.mark.parametrize(("across", "high"), [(10.0, 5.0), (19.05, 10.9)])
def test_a_nut_is_measured_across_its_flats(across: float, high: float, turn: float) -> None:
    prism: list[Round | Hexagon] = [Hexagon(0.0, high, across, turn)]
    read = Sizes(head_across_flats=Estimate(across + 0.5, 0.5), thickness=Estimate(high - 0.6, 0.8))
    found = nut_width(outline(prism, np.array([330.0, 60.0, 0.0]), UP, EYE), view(), read)
    assert found is not None
    assert found.value_mm == pytest.approx(across, abs=0.25)
    assert found.u_mm < 0.3


def dome(across: float, high: float, neck: float) -> tuple[list[Round | Hexagon], float]:
    """A domed nut from its lower face, the ball as twelve stumps; and its height over all."""
    ball = 0.44 * across
    # The faces of the hexagon are turned to a cone, so that its corners end short of them.
    parts: list[Round | Hexagon] = [
        Hexagon(0.1 * high, 0.9 * high, across), Round(0.0, high, 0.48 * across, 0.48 * across),
        Round(high, high + max(neck, 0.01), ball, ball),
    ]  # fmt: skip
    rounds = np.linspace(0, np.pi / 2, 13)
    for low, top in pairwise(rounds):
        parts.append(
            Round(
                high + neck + ball * sin(low), high + neck + ball * sin(top), ball * cos(low), ball * cos(top)
            )
        )
    return parts, high + neck + ball


@pytest.mark.parametrize("across", [10.0, 14.3, 20.8])
def test_a_domed_nut_that_stands_is_measured_by_how_it_leans(across: float) -> None:
    parts, over_all = dome(across, 0.5 * across, 0.12 * across)
    foot = np.array([330.0, 60.0, 0.0])
    read = Sizes(length=Estimate(over_all + 1.5, 1.5), head_across_flats=Estimate(across + 0.5, 0.5))
    ends = np.array([foot[:2], foot[:2] - 0.4, seen(foot + over_all * UP) + 0.4])
    found = domed_nut(outline(parts, foot, UP, EYE), view(), read, ends)
    assert found is not None
    assert found.length is not None
    assert found.head_across_flats is not None
    assert found.length.value_mm == pytest.approx(over_all, abs=1.2)
    assert abs(found.length.value_mm - over_all) < 1.96 * found.length.u_mm
    assert found.length.u_mm < 1.0
    assert found.head_across_flats.value_mm == pytest.approx(across, abs=0.35)


@pytest.mark.parametrize("turn", [0.3, 2.8, 4.4])
@pytest.mark.parametrize("across", [10.0, 20.8])
def test_a_domed_nut_on_its_side_is_as_long_as_its_outline_says(across: float, turn: float) -> None:
    parts, over_all = dome(across, 0.5 * across, 0.12 * across)
    begin, way = np.array([90.0, 200.0, across / 2]), np.array([cos(turn), sin(turn), 0.0])
    read = Sizes(length=Estimate(over_all - 2.0, 1.5), head_across_flats=Estimate(across + 0.5, 0.5))
    ends = np.array([seen(begin), seen(begin) + 0.4, seen(begin + over_all * way) - 0.4])
    found = domed_nut(outline(parts, begin, way, EYE), view(), read, ends)
    assert found is not None
    assert found.length is not None
    assert found.head_across_flats is not None
    assert found.length.value_mm == pytest.approx(over_all, abs=0.4)
    assert found.head_across_flats.value_mm == pytest.approx(across, abs=0.3)


@pytest.mark.parametrize("turn", [0.2, 1.9, 4.0])
@pytest.mark.parametrize(
    ("long", "thick", "across"), [(38.1, 7.94, 12.7), (63.5, 12.7, 19.05), (16.0, 6.0, 10.0)]
)
def test_a_bolt_that_lies_is_measured_where_the_network_is_off(
    turn: float, long: float, thick: float, across: float
) -> None:
    rises = (thick - across) / 2 / long
    flat = sqrt(1 - rises**2)
    way = np.array([flat * cos(turn), flat * sin(turn), rises])
    under = np.array([90.0, 200.0, across / 2])
    # A plain shank: what a thread takes off its silhouette is added again where a pitch is told.
    drawn = outline(bolt(long, thick, across, 0.4 * across), under, way, EYE)
    read = Sizes(
        length=Estimate(long + 1.2, 1.0), major=Estimate(thick + 0.4, 0.5),
        head_across_flats=Estimate(across - 0.6, 0.6),
    )  # fmt: skip
    ends = [seen(under) + 0.5, seen(under + long * way) - 0.4]
    found = lying_piece(drawn, view(), read, np.array([ends[0], *ends]), pitch_mm=0.0)
    assert found is not None
    sizes = found.sizes
    assert sizes.length is not None
    assert sizes.major is not None
    assert sizes.head_across_flats is not None
    assert sizes.length.value_mm == pytest.approx(long, abs=0.35)
    assert sizes.major.value_mm == pytest.approx(thick, abs=0.25)
    assert sizes.head_across_flats.value_mm == pytest.approx(across, abs=0.3)
    assert np.hypot(*(found.tip_mm - seen(under + long * way))) < 0.3


def test_a_stud_is_measured_and_an_outline_that_is_no_stud_teaches_nothing() -> None:
    way = np.array([cos(1.1), sin(1.1), 0.0])
    begin = np.array([300.0, 210.0, 4.0])
    stud: list[Round | Hexagon] = [
        Round(0, 0.8, 3.2, 4.0),
        Round(0.8, 44.2, 4.0, 4.0),
        Round(44.2, 45.0, 4.0, 3.2),
    ]
    read = Sizes(length=Estimate(43.6, 1.0), major=Estimate(8.4, 0.4))
    points = np.array([seen(begin), seen(begin), seen(begin + 45 * way)])
    found = lying_piece(outline(stud, begin, way, EYE), view(), read, points, pitch_mm=0.0)
    assert found is not None
    assert found.sizes.length is not None
    assert found.sizes.length.value_mm == pytest.approx(45.0, abs=0.3)
    assert found.sizes.length.u_mm < 0.3
    torn = outline([*stud, Round(10.0, 30.0, 9.0, 9.0)], begin, way, EYE)
    assert lying_piece(torn, view(), read, points, pitch_mm=0.0) is None


def test_what_contradicts_the_network_is_told_with_more_doubt() -> None:
    way = np.array([1.0, 0.0, 0.0])
    begin = np.array([300.0, 210.0, 4.0])
    drawn = outline([Round(0.0, 45.0, 4.0, 4.0)], begin, way, EYE)
    points = np.array([seen(begin), seen(begin), seen(begin + 45 * way)])
    doubts = []
    for said in (45.0, 41.0):
        read = Sizes(length=Estimate(said, 0.3), major=Estimate(8.0, 0.4))
        found = lying_piece(drawn, view(), read, points, pitch_mm=0.0)
        assert found is not None
        assert found.sizes.length is not None
        doubts.append(found.sizes.length.u_mm)
    assert doubts[1] > 2 * doubts[0]


def test_how_far_points_lie_outside_a_hull_is_a_distance() -> None:
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    points = np.array([[2.0, 2.0], [2.0, 5.0], [7.0, 8.0], [4.0, 1.0], [3.5, 2.0]])
    assert outside(square, points) == pytest.approx([-2.0, 1.0, 5.0, 0.0, -0.5])
    assert outside(square[::-1], points) == pytest.approx([-2.0, 1.0, 5.0, 0.0, -0.5])


def test_what_a_search_tries_beyond_the_camera_is_seen_at_a_finite_place() -> None:
    there = view().shadow_mm(np.array([[10.0, 20.0]]), float(EYE[2]))
    beyond = view().shadow_mm(np.array([[10.0, 20.0]]), 2 * float(EYE[2]))
    assert np.isfinite(there).all()
    assert beyond == pytest.approx(there)
