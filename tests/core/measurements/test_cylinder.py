"""The least-squares cylinder: a known one is found however it lies, and what tells none is refused."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.cylinder import fit_cylinder
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
