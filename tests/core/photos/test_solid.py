"""Bodies in space fitted to outlines that an independent caster of rays drew."""

from __future__ import annotations

from math import cos, sin, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray

from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.lying import lying_piece
from runningfit.core.photos.silhouettes import Viewpoint, outside
from runningfit.core.photos.upright import standing_bolt, standing_spacer
from simulators.solid_outlines import Hexagon, Round, outline

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
def test_a_spacer_that_stands_shows_its_height_and_one_that_lies_is_none(long: float) -> None:
    tube: list[Round | Hexagon] = [Round(0.0, long, 6.5, 6.5)]
    read = Sizes(outside=Estimate(12.6, 0.4))
    found = standing_spacer(outline(tube, np.array([330.0, 60.0, 0.0]), UP, EYE), view(), read)
    assert found is not None
    assert found.value_mm == pytest.approx(long, abs=0.8)
    assert found.u_mm < 1.0
    if long > 6.0:
        way = np.array([cos(0.7), sin(0.7), 0.0])
        lies = outline(tube, np.array([330.0, 60.0, 6.5]), way, EYE)
        assert standing_spacer(lies, view(), read) is None


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
