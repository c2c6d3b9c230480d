"""Circles and flatness: invariance, proven optima against independent solvers, and sheets of points."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from math import cos, hypot, pi, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import least_squares, minimize

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.circles import Circle, Method, fit_circle
from runningfit.core.measurements.form.flatness import flatness
from runningfit.core.measurements.form.point_sheet import read_heights, read_points
from runningfit.core.measurements.form.points import Height, Point, polar_point

Pairs = list[tuple[float, float]]
Floats = NDArray[np.float64]


def ring(noise: list[float], *, radius: float = 40.0, x: float = 7.0, y: float = -3.0) -> list[Point]:
    """Points all around, each off the circle by its noise."""
    step = 2 * pi / len(noise)
    return [
        Point(x + (radius + one) * cos(step * index + 0.3), y + (radius + one) * sin(step * index + 0.3))
        for index, one in enumerate(noise)
    ]


noises = st.lists(st.floats(-0.5, 0.5), min_size=5, max_size=24)


def ring_at(points: list[Point], x: float, y: float) -> float:
    away = [hypot(one.x_mm - x, one.y_mm - y) for one in points]
    return max(away) - min(away)


@settings(max_examples=60)
@given(noises)
def test_the_extreme_circles_are_never_beaten_by_one_another(noise: list[float]) -> None:
    points = ring(noise)
    found = {method: fit_circle(points, method) for method in Method}
    zone = found[Method.MINIMUM_ZONE].out_of_round_mm
    assert all(zone <= one.out_of_round_mm + 1e-11 for one in found.values())
    assert all(found[Method.MINIMUM_CIRCUMSCRIBED].outer_mm <= one.outer_mm + 1e-11 for one in found.values())
    assert all(found[Method.MAXIMUM_INSCRIBED].inner_mm >= one.inner_mm - 1e-11 for one in found.values())


@settings(max_examples=40)
@given(noises, st.floats(0, 6.28), st.floats(-500, 500), st.randoms(use_true_random=False))
def test_a_circle_moves_with_its_points(noise: list[float], turn: float, shift: float, order: object) -> None:
    points = ring(noise)
    moved = [
        Point(
            one.x_mm * cos(turn) - one.y_mm * sin(turn) + shift,
            one.x_mm * sin(turn) + one.y_mm * cos(turn) - shift,
        )
        for one in points
    ]
    getattr(order, "shuffle")(moved)  # noqa: B009
    for method in Method:
        here, there = fit_circle(points, method), fit_circle(moved, method)
        assert there.radius_mm == pytest.approx(here.radius_mm, abs=1e-9)
        if method is not Method.MAXIMUM_INSCRIBED:
            # Two largest circles within can tie, each with another farthest point.
            assert there.out_of_round_mm == pytest.approx(here.out_of_round_mm, abs=1e-9)


def all_small_centres(pairs: Pairs) -> Pairs:
    """Every centre that four points can hold, three on one circle or two on each: another way to the same."""
    found = []
    for one, two, three in combinations(pairs, 3):
        found += solved([bisector(one, two), bisector(one, three)])
    for one, two, three, four in combinations(pairs, 4):
        for first, second in (
            ((one, two), (three, four)),
            ((one, three), (two, four)),
            ((one, four), (two, three)),
        ):
            found += solved([bisector(*first), bisector(*second)])
    return found


def bisector(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float, float]:
    right = (two[0] ** 2 - one[0] ** 2 + two[1] ** 2 - one[1] ** 2) / 2
    return two[0] - one[0], two[1] - one[1], right


def solved(lines: list[tuple[float, float, float]]) -> Pairs:
    (a, b, e), (c, d, f) = lines
    whole = a * d - b * c
    return [] if abs(whole) < 1e-9 else [((e * d - b * f) / whole, (a * f - e * c) / whole)]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-0.5, 0.5), min_size=5, max_size=9))
def test_the_minimum_zone_is_the_best_of_all_that_four_points_can_hold(noise: list[float]) -> None:
    points = ring(noise)
    centres = all_small_centres([(one.x_mm, one.y_mm) for one in points])
    near = [one for one in centres if hypot(one[0] - 7, one[1] + 3) < 30]
    best = min(ring_at(points, *one) for one in near)
    assert fit_circle(points, Method.MINIMUM_ZONE).out_of_round_mm == pytest.approx(best, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("count", [13, 60, 300])
def test_no_general_optimiser_beats_the_circles(seed: int, count: int) -> None:
    generator = np.random.default_rng(seed)
    angle = 2 * pi * np.arange(count) / count
    points = ring(
        list(0.02 * np.cos(3 * angle) + 0.01 * np.cos(2 * angle) + generator.normal(0, 0.004, count))
    )
    x, y = (np.array([getattr(one, name) for one in points]) for name in ("x_mm", "y_mm"))

    def away(centre: Floats) -> Floats:
        found: Floats = np.hypot(x - centre[0], y - centre[1])
        return found

    def misses(told: Floats) -> Floats:
        missed: Floats = away(told[:2]) - told[2]
        return missed

    goals: dict[Method, Callable[[Floats], float]] = {
        Method.MINIMUM_ZONE: lambda c: float(np.ptp(away(c))),
        Method.MINIMUM_CIRCUMSCRIBED: lambda c: float(away(c).max()),
        Method.MAXIMUM_INSCRIBED: lambda c: -float(away(c).min()),
    }
    for method, goal in goals.items():
        found = fit_circle(points, method)
        ours = goal(np.array([found.centre.x_mm, found.centre.y_mm]))
        theirs = min(
            minimize(goal, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12}).fun
            for start in ((7, -3), (7.02, -3), (7, -3.02))
        )
        assert ours <= theirs + 1e-9
        assert ours == pytest.approx(theirs, abs=2e-4)
    theirs_ls = least_squares(misses, (7, -3, 40), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    found = fit_circle(points, Method.LEAST_SQUARES)
    assert (found.centre.x_mm, found.centre.y_mm, found.radius_mm) == pytest.approx(theirs_ls.x, abs=1e-7)


def test_a_known_zone_is_found() -> None:
    # Two points at 40.01 and two at 39.99 by turns: no circle can do better.
    found = fit_circle(ring([0.01, -0.01, 0.01, -0.01]), Method.MINIMUM_ZONE)
    assert found.out_of_round_mm == pytest.approx(0.02, abs=1e-12)
    assert (found.centre.x_mm, found.centre.y_mm) == pytest.approx((7, -3), abs=1e-9)
    assert found.contacts == (0, 1, 2, 3)
    assert found.radius_mm == pytest.approx(40)


def test_three_points_have_one_circle() -> None:
    points = ring([0.0, 0.0, 0.0])
    circles = [fit_circle(points, method) for method in Method]
    assert all(isinstance(one, Circle) for one in circles)
    assert [one.radius_mm for one in circles] == pytest.approx([40] * 4, rel=1e-12)


def test_perfect_circles_far_away_stay_perfect() -> None:
    points = ring([0.0] * 36, x=1e5, y=-2e5)
    for method in Method:
        assert fit_circle(points, method).out_of_round_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("method", [Method.MINIMUM_ZONE, Method.MAXIMUM_INSCRIBED])
def test_an_arc_has_no_circle_within(method: Method) -> None:
    arc = ring([0.01, -0.01, 0.005, 0.0, -0.004] * 6)[:12]
    with pytest.raises(InvalidInput, match=r"points needs to go all around .*Measure the missing side"):
        fit_circle(arc, method)
    with pytest.raises(InvalidInput, match="go all around"):
        fit_circle([Point(0, 0), Point(5, 1), Point(10, 0)], method)
    assert fit_circle(arc, Method.LEAST_SQUARES).radius_mm == pytest.approx(40, abs=0.1)


def test_a_nearly_straight_row_has_no_circle() -> None:
    row = [Point(x, 1e-5 * ((7 * x) % 5)) for x in range(0, 100, 3)]
    with pytest.raises(InvalidInput, match=r"points needs enough of an arc .*Measure further around"):
        fit_circle(row, Method.LEAST_SQUARES)


@pytest.mark.parametrize("seed", range(8))
def test_points_on_a_coarse_grid_break_no_method(seed: int) -> None:
    generator = np.random.default_rng(seed)
    for _ in range(25):
        points = [Point(*map(float, one)) for one in generator.integers(0, 5, (9, 2))]
        smallest = fit_circle(points, Method.MINIMUM_CIRCUMSCRIBED).outer_mm
        outer, said = [], set()
        for method in (Method.MINIMUM_ZONE, Method.MAXIMUM_INSCRIBED):
            try:
                outer.append(fit_circle(points, method).outer_mm)
            except InvalidInput as refused:
                said.add(refused.came)
        assert all(one >= smallest * (1 - 1e-12) for one in outer)
        assert said <= {"an arc, with a gap on one side"}


@pytest.mark.parametrize(
    ("points", "text"),
    [
        ([Point(0, 0), Point(1, 1)], "points needs 3 to 3000 different ones; '2' came. Measure more places"),
        ([Point(0, 0)] * 9, "'1' came"),
        ([Point(0, 0), Point(1, 1), Point(3, 3)], "points that all lie on one line"),
        ([Point(0, 0), Point(1, 1), Point(3, float("nan"))], "points needs finite numbers"),
    ],
)
def test_what_is_no_section_is_refused(points: list[Point], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        fit_circle(points, Method.LEAST_SQUARES)


places = st.tuples(st.floats(0, 400), st.floats(0, 150), st.floats(-0.05, 0.05))


def face(told: list[tuple[float, float, float]]) -> list[Height]:
    return [Height(*one) for one in told]


CORNERS = [(0.0, 0.0, 0.0), (400.0, 0.0, 0.01), (0.0, 150.0, -0.02), (400.0, 150.0, 0.005)]


def narrowest_by_hand(points: Floats) -> float:
    """The least width over all planes through three points or along two pairs: another way to the same."""
    normals = [np.cross(two - one, three - one) for one, two, three in combinations(points, 3)]
    edges = [two - one for one, two in combinations(points, 2)]
    normals += [np.cross(one, two) for one, two in combinations(edges, 2)]
    width = np.inf
    for normal in normals:
        length = np.linalg.norm(normal)
        if length > 1e-6 and abs(normal[2]) > 0.5 * length:
            width = min(width, float(np.ptp(points @ normal / length)))
    return width


@settings(max_examples=40, deadline=None)
@given(st.lists(places, min_size=0, max_size=4))
def test_the_minimum_zone_of_a_face_is_the_width_of_its_hull(told: list[tuple[float, float, float]]) -> None:
    heights = face([*CORNERS, *told])
    found = flatness(heights)
    points = np.array([(one.x_mm, one.y_mm, one.z_mm) for one in heights])
    # Of points over each other, leaning gains less than a linear program sees.
    assert found.minimum_zone_mm == pytest.approx(narrowest_by_hand(points), abs=1e-8)
    assert found.minimum_zone_mm <= found.least_squares_mm


@settings(max_examples=40, deadline=None)
@given(st.lists(places, min_size=1, max_size=30), st.floats(0, 6.28), st.floats(-0.05, 0.05))
def test_flatness_does_not_ask_how_the_face_lies(
    told: list[tuple[float, float, float]], turn: float, tilt: float
) -> None:
    heights = face([*CORNERS, *told])
    spin = np.array([[cos(turn), -sin(turn), 0], [sin(turn), cos(turn), 0], [0, 0, 1]])
    lean = np.array([[cos(tilt), 0, sin(tilt)], [0, 1, 0], [-sin(tilt), 0, cos(tilt)]])
    moved = np.array([(one.x_mm, one.y_mm, one.z_mm) for one in heights]) @ (lean @ spin).T + (9, -5, 3)
    here, there = flatness(heights), flatness([Height(*map(float, one)) for one in moved[::-1]])
    assert there.minimum_zone_mm == pytest.approx(here.minimum_zone_mm, abs=1e-8)
    assert there.least_squares_mm == pytest.approx(here.least_squares_mm, abs=1e-8)


def test_a_twisted_face_has_its_known_zone() -> None:
    # Two corners up and two down by turns: 4 contacts, no plane does better.
    heights = [Height(0, 0, 0.03), Height(300, 0, -0.03), Height(300, 200, 0.03), Height(0, 200, -0.03)]
    found = flatness([*heights, Height(150, 100, 0.0)])
    assert found.minimum_zone_mm == pytest.approx(0.06, rel=1e-6)
    assert (found.highest, found.lowest) == ((0, 2), (1, 3))
    assert found.zone_plane.slope_x == pytest.approx(0, abs=1e-12)


def test_a_plane_is_flat_and_its_slopes_are_told() -> None:
    heights = [Height(x, y, 1 + 0.001 * x - 0.002 * y) for x in (0, 100, 250) for y in (0, 60, 120)]
    found = flatness(heights)
    assert found.minimum_zone_mm == pytest.approx(0, abs=1e-12)
    plane = found.least_squares_plane
    assert (plane.at_origin_mm, plane.slope_x, plane.slope_y) == pytest.approx((1, 0.001, -0.002), abs=1e-12)


@pytest.mark.parametrize(
    ("told", "text"),
    [
        (CORNERS[:3], "points needs 4 to 3000 different ones; '3' came"),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0.1), (3, 0, 0)], "all lie on one line"),
        ([*CORNERS, (10, 10, 300)], "heights needs a face that lies about level; .*Check the columns"),
        ([*CORNERS, (10, 10, float("inf"))], "heights needs finite numbers"),
    ],
)
def test_what_is_no_face_is_refused(told: list[tuple[float, float, float]], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        flatness(face(told))


@pytest.mark.parametrize(
    "text",
    [
        "x_mm,y_mm\n25.4,0\n0,50.8\n",
        "x (in);y (in)\n1,0;0\n0;2,0\n",
        "25.4,0\n0,50.8\n",
        "# from the table\ny_um\tx_cm\n0\t2.54\n50800\t0\n",
        "angle_deg,radius_mm\n0,25.4\n90,50.8\n",
        "\ufeffX,Y,remark_\n25.4,0,ok\n0,50.8,\n".lstrip("\ufeff")
        .replace(",remark_", "")
        .replace(",ok", "")
        .replace("50.8,", "50.8"),
    ],
)
def test_points_are_read_as_they_are_saved(text: str) -> None:
    read = read_points(text)
    assert [(one.x_mm, one.y_mm) for one in read] == [
        pytest.approx((25.4, 0), abs=1e-12), pytest.approx((0, 50.8), abs=1e-12),
    ]  # fmt: skip


def test_heights_are_read_from_columns_and_from_a_bare_grid() -> None:
    columns = read_heights("x_mm,y_mm,z_um\n0,0,5\n50,0,7\n0,50,-2\n")
    grid = read_heights("0.005,0.007\n-0.002,\n", step_mm=50)
    assert (
        columns == pytest.approx(grid) == (Height(0, 0, 0.005), Height(50, 0, 0.007), Height(0, 50, -0.002))
    )


AROUND = [f"{angle},79.4" for angle in range(0, 360, 45)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "sheet needs rows of numbers"),
        ("x_mm\n1\n", "sheet needs the columns x_mm,y_mm or angle_deg,radius_mm; 'x_mm' came"),
        ("x_mm,x_in\n1,2\n", "sheet needs each column once"),
        (
            "x_mm,q\n1,2\n",
            "sheet needs a heading of x, y, angle, radius with a unit; 'q' came. Such as x_mm,y_mm",
        ),
        ("x_mm,y_furlong\n1,2\n", "sheet needs a unit of length: mm, .*; 'y_furlong' came"),
        ("angle_mm,radius_mm\n1,2\n", "sheet needs angles in degrees"),
        (
            "1,2,3\n",
            "sheet needs 2 columns, or a heading; '3 columns without one' came. Write x_mm,y_mm above",
        ),
        ("x_mm,y_mm\n1,2\n3,\n", "sheet needs a number in line 3 under y; nothing came"),
        ("x_mm,y_mm\n1,2\n3,abc\n", "sheet needs a number in line 3 under y; 'abc' came"),
        ("angle_deg,radius_mm\n,79.4\n", "sheet needs a number in line 2 under angle"),
        ("angle_deg,radius_mm\n0,-1\n", "a radius of more than nothing in line 2"),
        (
            "\n".join(["angle_deg,radius_mm", *AROUND, "10,3.126"]),
            "radii of one size, about 79.4 mm; '3.126 mm in line 10' came. Was it typed in inches",
        ),
        (
            "\n".join(["angle_deg,radius_mm", *AROUND, "10,794"]),
            "'794 mm in line 10' came. Was it typed with a slipped decimal point",
        ),
        (
            "x_mm,y_mm\n40,0\n0,40\n-40,0\n0,-40\n28,28\n-280,28\n",
            "points of one circle, .*; '-280, 28 in line 7' came",
        ),
    ],
)
def test_what_is_no_sheet_is_refused_with_its_line(text: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        read_points(text)


def test_a_grid_needs_its_step() -> None:
    with pytest.raises(InvalidInput, match="sheet needs 3 columns, or a heading; '4 columns without one'"):
        read_heights("1,2,3,4\n1,2,3,4\n")
    with pytest.raises(InvalidInput, match="step needs more than nothing"):
        read_heights("1,2,3,4\n", step_mm=0)


@given(st.floats(1, 100), st.floats(0, 360))
def test_a_radius_at_an_angle_is_a_point(radius: float, angle: float) -> None:
    assume(radius > 0)
    point = polar_point(radius, angle)
    assert hypot(point.x_mm, point.y_mm) == pytest.approx(radius)
    assert point.x_mm == pytest.approx(radius * cos(radians(angle)))
