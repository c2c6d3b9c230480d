"""Light and the view from above: a simulated print under a slanting light is given back as designed."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.light import reflectance
from runningfit.core.photos.mats import Box, linear_of, mat_text
from runningfit.core.photos.own_mats import GROUND_SRGB, Paper, own_mat
from runningfit.core.photos.rectifying import rectify
from simulators.mat_photos import Scene, jpeg_of, mat_record

# A square of a known colour at a known place.
SQUARE, COLOUR = Box(120.0, 80.0, 140.0, 95.0), (200, 160, 60)
LAMP = (0.35, -0.2)


@cache
def plane() -> Plane:
    paint = ((SQUARE.left_mm, SQUARE.top_mm, SQUARE.right_mm, SQUARE.bottom_mm, COLOUR),)
    scene = Scene(mat_record(mat_text(own_mat(Paper.A4))), lamp=LAMP, exposure=0.55, paint=paint)
    found = check_photo(jpeg_of(scene, quality=95))
    assert isinstance(found, Plane)
    return found


def test_the_slant_of_the_light_is_found() -> None:
    assert plane().light.fall[:2] == pytest.approx(LAMP, abs=0.02)
    assert plane().light.gains == pytest.approx(0.55, rel=0.03)
    assert plane().light.tone == pytest.approx(1, abs=0.02)


def test_colours_come_back_as_designed_all_over_the_mat() -> None:
    one = plane()
    seen = reflectance(rectify(one.photo, one.pose, one.mat.work_area, mm_per_px=0.5), one.light, one.mat)
    for corner in (seen[:60, :60], seen[:60, -60:], seen[-60:, :60], seen[-60:, -60:]):
        ground = np.median(corner.reshape(-1, 3), axis=0)
        assert ground == pytest.approx([linear_of(level) for level in GROUND_SRGB], rel=0.06)
    inner = rectify(one.photo, one.pose, Box(122, 82, 138, 93), mm_per_px=0.25)
    colour = np.median(reflectance(inner, one.light, one.mat).reshape(-1, 3), axis=0)
    assert colour == pytest.approx([linear_of(level) for level in COLOUR], rel=0.06)


def test_a_square_lies_from_above_where_it_was_painted() -> None:
    one = plane()
    view = rectify(one.photo, one.pose, Box(110, 70, 150, 105), mm_per_px=0.1)
    assert view.pixels.shape == (350, 400, 3)
    yellow = view.pixels[..., 0].astype(float) - view.pixels[..., 2]
    rows, columns = np.nonzero(yellow > 0)
    edges = [columns.min(), columns.max() + 1, rows.min(), rows.max() + 1]
    # Box and square are 10 mm apart on all sides.
    assert edges == pytest.approx([100, 300, 100, 250], abs=2)


def test_a_plane_above_the_mat_is_seen_larger_below_the_camera() -> None:
    one = plane()
    at_mat, above = (
        rectify(one.photo, one.pose, Box(110, 70, 150, 105), mm_per_px=0.2, height_mm=height)
        for height in (0.0, 20.0)
    )
    sizes = [(view.pixels[..., 0] > view.pixels[..., 2]).sum() for view in (at_mat, above)]
    # What lies on the mat covers less of a plane that is nearer: by the square of the distances.
    distance = -one.pose.camera.stand_mm()[2]
    assert sizes[1] / sizes[0] == pytest.approx(((distance - 20) / distance) ** 2, rel=0.03)


def test_too_fine_a_view_is_refused() -> None:
    one = plane()
    with pytest.raises(
        InvalidInput, match=r"mm_per_px needs a picture of at most 60 megapixels; 0\.001 came"
    ):
        rectify(one.photo, one.pose, one.mat.work_area, mm_per_px=0.001)
