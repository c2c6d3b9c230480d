"""Cylinders: known ones are found however they lie, and no other solver beats them."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import Bounds, NonlinearConstraint, differential_evolution, minimize
from scipy.spatial.transform import Rotation

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.circles import Method
from runningfit.core.measurements.form.cylinder import Cylinder, fit_cylinder
from runningfit.core.measurements.form.points import Height

Floats = NDArray[np.float64]


def bore(noise: float, *, length: float = 100.0, seed: int = 0) -> Floats:
    """Points at five depths and eight angles of a cylinder of radius 40 along z."""
    generator = np.random.default_rng(seed)
    angle, depth = np.meshgrid(np.arange(8) * pi / 4, np.linspace(0, length, 5))
    radius = 40 + generator.normal(0, noise, angle.shape) if noise else np.full(angle.shape, 40.0)
    return np.column_stack(
        [(radius * np.cos(angle)).ravel(), (radius * np.sin(angle)).ravel(), depth.ravel()]
    )


def heights(points: Floats) -> list[Height]:
    return [Height(*map(float, one)) for one in points]


@settings(max_examples=30, deadline=None)
@given(
    st.tuples(*[st.floats(-3, 3)] * 3),
    st.tuples(*[st.floats(-500, 500)] * 3),
    st.sampled_from([20.0, 100.0, 400.0]),
)
def test_a_known_cylinder_is_found_however_it_lies(
    turn: tuple[float, float, float], shift: tuple[float, float, float], length: float
) -> None:
    rotation = Rotation.from_rotvec(turn)
    found = fit_cylinder(heights(rotation.apply(bore(0.0, length=length)) + shift))
    assert found.radius_mm == pytest.approx(40, abs=1e-8)
    assert found.cylindricity_mm == pytest.approx(0, abs=1e-7)
    axis = rotation.apply([0, 0, 1])
    assert abs(axis @ (found.along_x, found.along_y, found.along_z)) == pytest.approx(1, abs=1e-12)


def test_no_other_axis_has_a_smaller_sum_of_squares() -> None:
    points = bore(0.01, seed=4)
    found = fit_cylinder(heights(points))
    axis = np.array([found.along_x, found.along_y, found.along_z])
    at = np.array([found.on_axis.x_mm, found.on_axis.y_mm, found.on_axis.z_mm])

    def squares(at: Floats, axis: Floats) -> float:
        away = np.linalg.norm(np.cross(points - at, axis / np.linalg.norm(axis)), axis=1)
        return float(((away - away.mean()) ** 2).sum())

    best = squares(at, axis)
    generator = np.random.default_rng(1)
    for size in (1e-2, 1e-3, 1e-4):
        for _ in range(50):
            assert (
                squares(at + generator.normal(0, size, 3), axis + generator.normal(0, size / 50, 3)) >= best
            )


@pytest.mark.parametrize(
    ("points", "text"),
    [
        (bore(0.0)[:5], "points needs 6 to 3000 different ones; '5' came. Read at two depths"),
        (bore(0.0)[:8], "points needs to tell one cylinder; 'points that all lie in one plane' came"),
        (np.vstack([bore(0.0), [[np.nan, 0, 0]]]), "points needs finite numbers"),
    ],
)
def test_what_tells_no_cylinder_is_refused(points: Floats, text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        fit_cylinder(heights(points))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("length", [40.0, 80.0, 140.0])
def test_four_angles_at_two_depths_tell_the_bore_along_z(seed: int, length: float) -> None:
    # The corners of a box lie on three cylinders; without z only scatter would choose between them.
    generator = np.random.default_rng(seed)
    angle, depth = np.meshgrid(np.arange(4) * pi / 2 + generator.uniform(0, 1), [0.0, length])
    radius = 40 + generator.normal(0, 0.01, angle.shape)
    points = np.column_stack(
        [(radius * np.cos(angle)).ravel(), (radius * np.sin(angle)).ravel(), depth.ravel()]
    )
    found = fit_cylinder(heights(points))
    assert found.radius_mm == pytest.approx(40, abs=0.05)
    assert found.along_z > 0.999
    with pytest.raises(InvalidInput, match="points that two cylinders fit as well"):
        fit_cylinder(heights(Rotation.from_rotvec([0.6, 0.5, 0.3]).apply(points)))


EXTREME = (Method.MINIMUM_ZONE, Method.MINIMUM_CIRCUMSCRIBED, Method.MAXIMUM_INSCRIBED)
GOALS: dict[Method, Callable[[Floats], float]] = {
    Method.MINIMUM_ZONE: lambda away: float(np.ptp(away)),
    Method.MINIMUM_CIRCUMSCRIBED: lambda away: float(away.max()),
    Method.MAXIMUM_INSCRIBED: lambda away: -float(away.min()),
}


def away_from(points: Floats, told: Floats) -> Floats:
    """Distances from an axis through (x, y, 50), told in hundredths of a millimetre."""
    axis = np.array([told[2] / 5000, told[3] / 5000, 1.0])
    across = np.cross(points - [told[0] / 100, told[1] / 100, 50.0], axis / np.linalg.norm(axis))
    found: Floats = np.linalg.norm(across, axis=1)
    return found


def goal_of(found: Cylinder) -> float:
    return {
        Method.MINIMUM_ZONE: found.cylindricity_mm,
        Method.MINIMUM_CIRCUMSCRIBED: found.radius_mm,
        Method.MAXIMUM_INSCRIBED: -found.radius_mm,
    }[found.method]


def best_nearby(points: Floats, method: Method) -> float:
    """Sequential quadratic programming on all distances at once, from several axes: another way."""
    goal, best = GOALS[method], np.inf
    generator = np.random.default_rng(1)
    use_upper, use_lower = method is not Method.MAXIMUM_INSCRIBED, method is not Method.MINIMUM_CIRCUMSCRIBED
    for start in np.vstack([np.zeros(4), generator.normal(0, 1, (4, 4))]):
        away = away_from(points, start)
        constraints = []
        if use_upper:
            constraints.append(NonlinearConstraint(lambda x: x[4] - away_from(points, x[:4]), 0, np.inf))
        if use_lower:
            constraints.append(NonlinearConstraint(lambda x: away_from(points, x[:4]) - x[5], 0, np.inf))

        def width(x: Floats) -> float:
            return float(100 * (use_upper * x[4] - use_lower * x[5]))

        found = minimize(
            width,
            np.concatenate([start, [away.max(), away.min()]]),
            constraints=constraints,
            bounds=Bounds([-10.0] * 4 + [39.0] * 2, [10.0] * 4 + [41.0] * 2),
            method="SLSQP",
            options={"maxiter": 300, "ftol": 1e-13},
        )
        best = min(best, goal(away_from(points, found.x[:4])))
    return best


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("method", EXTREME)
def test_no_other_solver_beats_the_extreme_cylinders(seed: int, method: Method) -> None:
    points = bore(0.01, seed=seed)
    ours = goal_of(fit_cylinder(heights(points), method))
    assert ours == pytest.approx(best_nearby(points, method), abs=1e-7)


@pytest.mark.parametrize("method", EXTREME)
def test_no_search_of_all_axes_within_reach_beats_them(method: Method) -> None:
    points = bore(0.01, seed=11)

    def goal(told: Floats) -> float:
        return GOALS[method](away_from(points, told))

    reach = Bounds([-3.0] * 4, [3.0] * 4)
    searched = differential_evolution(goal, reach, rng=3, tol=1e-6, maxiter=60)
    assert goal_of(fit_cylinder(heights(points), method)) <= searched.fun + 1e-9


@pytest.mark.slow
@settings(max_examples=3, deadline=None)
@given(
    st.integers(0, 10_000),
    st.tuples(*[st.floats(-1, 1)] * 3),
    st.tuples(*[st.floats(-500, 500)] * 3),
    st.randoms(use_true_random=False),
)
def test_a_cylinder_moves_with_its_points_and_asks_for_no_order(
    seed: int, turn: tuple[float, float, float], shift: tuple[float, float, float], order: object
) -> None:
    points = bore(0.01, seed=seed)
    moved = heights(Rotation.from_rotvec(turn).apply(points) + shift)
    getattr(order, "shuffle")(moved)  # noqa: B009
    squares = fit_cylinder(heights(points))
    found = {method: fit_cylinder(heights(points), method) for method in EXTREME}
    for method, here in found.items():
        there = fit_cylinder(moved, method)
        assert goal_of(there) == pytest.approx(goal_of(here), abs=2e-8)
        assert here.inner_mm - 1e-9 <= here.radius_mm <= here.outer_mm + 1e-9
    zone = found[Method.MINIMUM_ZONE]
    around, within = found[Method.MINIMUM_CIRCUMSCRIBED], found[Method.MAXIMUM_INSCRIBED]
    assert all(zone.cylindricity_mm <= one.cylindricity_mm + 1e-9 for one in (squares, *found.values()))
    assert around.radius_mm <= min(squares.outer_mm, zone.outer_mm) + 1e-9
    assert within.radius_mm >= max(squares.inner_mm, zone.inner_mm) - 1e-9
    assert within.radius_mm <= squares.radius_mm <= around.radius_mm


def test_a_known_zone_is_found_with_its_contacts() -> None:
    # Lobes that go up and down by turns around and along: no axis has less than their height.
    angle, depth = np.meshgrid(np.arange(12) * pi / 6, np.array([0.0, 50.0, 100.0]))
    radius = 40 + 0.01 * np.where((np.arange(12) + np.arange(3)[:, None]) % 2, 1, -1)
    points = np.column_stack(
        [(radius * np.cos(angle)).ravel(), (radius * np.sin(angle)).ravel(), depth.ravel()]
    )
    for method, size in zip(EXTREME, (40.0, 40.01, 39.99), strict=True):
        found = fit_cylinder(heights(points), method)
        assert found.radius_mm == pytest.approx(size, abs=1e-8)
        assert found.cylindricity_mm == pytest.approx(0.02, abs=1e-8)
        assert len(found.contacts) == (36 if method is Method.MINIMUM_ZONE else 18)
    assert fit_cylinder(heights(points)).contacts == ()


def test_a_bent_bore_is_narrower_by_zone_than_by_squares() -> None:
    # A bow of 0.05 mm in the middle: two ends against it make a zone of half of it around a straight axis.
    angle, depth = np.meshgrid(np.arange(16) * pi / 8, np.linspace(0, 100, 11))
    x = 40 * np.cos(angle) + 0.05 * np.sin(pi * depth / 100)
    points = np.column_stack([x.ravel(), (40 * np.sin(angle)).ravel(), depth.ravel()])
    assert fit_cylinder(heights(points), Method.MINIMUM_ZONE).cylindricity_mm == pytest.approx(0.05, abs=2e-4)
    assert fit_cylinder(heights(points)).cylindricity_mm > 0.05


@pytest.mark.parametrize("method", [Method.MINIMUM_ZONE, Method.MAXIMUM_INSCRIBED])
def test_half_a_bore_has_no_cylinder_within(method: Method) -> None:
    angle, depth = np.meshgrid(np.arange(8) * pi / 10, np.linspace(0, 100, 4))
    points = np.column_stack([(40 * np.cos(angle)).ravel(), (40 * np.sin(angle)).ravel(), depth.ravel()])
    noisy = points + np.random.default_rng(2).normal(0, 0.003, points.shape)
    with pytest.raises(InvalidInput, match="go all around"):
        fit_cylinder(heights(noisy), method)
    assert fit_cylinder(heights(noisy)).radius_mm == pytest.approx(40, abs=0.1)
