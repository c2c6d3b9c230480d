"""What lies on the mat and is no hardware, and what lies beside its coloured part, on drawn mats."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.large_things import large_things
from runningfit.core.photos.mats import mat_text
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.white_border import on_white_border
from simulators.mat_photos import Scene, jpeg_of, mat_record

pytestmark = pytest.mark.slow

# Violet, skin, black plastic and grey paper, as the shades that the networks take.
GROUND, SKIN, BLACK, PAPER = (0.42, 0.3, 0.75), (0.72, 0.55, 0.45), (0.15, 0.15, 0.16), (0.9, 0.9, 0.9)
Flat = NDArray[np.float32]
On = NDArray[np.bool_]


def mat() -> tuple[Flat, On]:
    """A bare mat of 200 x 150 mm, a quarter of a millimetre a pixel, on which the network sees nothing."""
    return np.tile(np.array(GROUND, np.float32), (600, 800, 1)), np.zeros((600, 800), bool)


@pytest.mark.parametrize("colour", [SKIN, BLACK, PAPER])
def test_what_is_larger_than_hardware_and_not_of_the_grounds_colour_is_found(
    colour: tuple[float, float, float],
) -> None:
    flat, on = mat()
    flat[100:300, 200:500] = colour
    on[100:140, 200:500] = True
    things = large_things(flat, on)
    assert things.count == 1
    assert things.labels[200, 300] == 1
    assert things.labels[400, 300] == 0
    assert things.share == pytest.approx(0.125, abs=0.005)


def test_a_finger_that_reaches_in_is_found_and_a_piece_of_its_size_is_not() -> None:
    flat, on = mat()
    flat[560:600, 100:180] = SKIN
    flat[300:340, 300:380] = SKIN
    on[300:340, 300:380] = True
    things = large_things(flat, on)
    assert (things.count, things.labels[580, 140], things.labels[320, 340]) == (1, 1, 0)


def test_a_shadow_is_nothing_and_hardware_in_a_row_is_left_to_be_told_apart() -> None:
    flat, on = mat()
    flat[50:350, 50:350] *= 0.6
    flat[400:430, 100:700] = PAPER
    on[400:430, 100:700] = True
    assert large_things(flat, on).count == 0


def plane(scene: Scene) -> Plane:
    found = check_photo(jpeg_of(scene), print_scale=1.0)
    assert isinstance(found, Plane)
    return found


@pytest.mark.parametrize("changed", [{}, {"exposure": 0.3}, {"lamp": (0.5, -0.4)}, {"tilt_deg": 30.0}])
def test_a_clean_border_is_clean_in_any_light(changed: dict[str, float]) -> None:
    scene = Scene(mat_record(mat_text(own_mat(Paper.A4)))).but(**changed)
    assert on_white_border(plane(scene)) == ()


def test_a_brass_nut_on_the_white_border_is_found() -> None:
    scene = Scene(mat_record(mat_text(own_mat(Paper.A4))))
    (spot,) = on_white_border(plane(scene.but(paint=((2.0, 95.0, 23.0, 108.0, (180, 140, 60)),))))
    assert spot.x_mm == pytest.approx(12, abs=4)
    assert spot.y_mm == pytest.approx(101, abs=4)
