"""The camera's arithmetic, held against OpenCV's own projection and turned back."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.photos.camera import Camera, rotation_of

TURNS = st.tuples(*[st.floats(-0.4, 0.4)] * 3)


def camera(turn: tuple[float, float, float], bend_2: float = 0.02, bend_4: float = -0.01) -> Camera:
    shift = np.array([-150.0, -100.0, 380.0])
    return Camera(3000.0, 1999.0, 1505.0, bend_2, bend_4, np.array(turn), shift)


@given(TURNS, st.floats(-0.05, 0.05), st.floats(-0.02, 0.02))
def test_points_are_seen_where_opencv_sees_them(
    turn: tuple[float, float, float], bend_2: float, bend_4: float
) -> None:
    one = camera(turn, bend_2, bend_4)
    points = np.array([[0.0, 0, 0], [297, 0, 0], [297, 210, -12], [60, 90, -5]])
    lens = np.array([[3000, 0, 1999], [0, 3000, 1505], [0, 0, 1.0]])
    seen, _ = cv2.projectPoints(points, one.turn, one.shift_mm, lens, np.array([bend_2, bend_4, 0, 0, 0]))
    assert one.to_px(points) == pytest.approx(seen.reshape(-1, 2), abs=1e-6)


@given(TURNS, st.floats(0, 20))
def test_what_is_seen_leads_back_to_where_it_lies(turn: tuple[float, float, float], height_mm: float) -> None:
    one = camera(turn)
    points = np.array([[10.0, 15, 0], [280, 20, 0], [150, 100, 0], [20, 190, 0]])
    seen = one.to_px(points - [0, 0, height_mm])
    assert one.to_mat_mm(seen, height_mm) == pytest.approx(points[:, :2], abs=1e-4)


@given(TURNS)
def test_a_rotation_is_opencvs(turn: tuple[float, float, float]) -> None:
    assert rotation_of(np.array(turn)) == pytest.approx(cv2.Rodrigues(np.array(turn))[0], abs=1e-9)


def test_straight_from_above_a_pixel_covers_distance_over_focal_length() -> None:
    one = camera((0.0, 0.0, 0.0), 0.0, 0.0)
    assert one.ground_sample_mm(np.array([[10.0, 20.0], [200.0, 100.0]])) == pytest.approx(380 / 3000)
    assert one.stand_mm() == pytest.approx([150, 100, -380])
