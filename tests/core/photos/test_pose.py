"""The camera found by the mat, against cameras that are known: of rendered photos, and of simulated ones."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from runningfit.core.photos.decoding import Photo, decode
from runningfit.core.photos.finding import Found, find_markers, sightings
from runningfit.core.photos.marker_edges import Edges
from runningfit.core.photos.mats import Mat, mat_text, read_mat
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.pose import Pose, corners_mm, fit_pose
from simulators.mat_photos import Scene, mat_record

DATA = Path(__file__).resolve().parents[2] / "data" / "photos"
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Truth:
    """The camera that a photo was rendered with; its world has y up, the mat's has y down."""

    camera: dict[str, Any]
    height_mm: float

    def seen_px(self, points_mm: Array) -> Array:
        """Where points of the mat are seen."""
        world = points_mm * [1, -1, -1] + [0, self.height_mm, 0]
        inside = (world - self.camera["C_world"]) @ np.array(self.camera["R_world_to_cam"]).T
        flat = inside[:, :2] / inside[:, 2:]
        square = (flat**2).sum(axis=1, keepdims=True)
        bent = flat * (1 + self.camera["k1"] * square + self.camera["k2"] * square**2)
        return np.asarray(self.camera["f_px"] * bent + [self.camera["cx"], self.camera["cy"]])


def read(name: str) -> tuple[Photo, Mat, Truth]:
    told = json.loads((DATA / f"{name}.json").read_text())
    mat = read_mat((DATA / told["mat"]).read_text())
    photo = decode((DATA / f"{name}.jpg").read_bytes())
    assert isinstance(photo, Photo)
    return photo, mat, Truth(told["camera"], mat.height_mm)


def posed(photo: Photo, mat: Mat) -> tuple[Pose, Found]:
    found = find_markers(photo, mat, sightings(photo, mat.dictionary))
    return fit_pose(photo, mat, found), found


def grid(mat: Mat, height_mm: float = 0.0) -> Array:
    x, y = np.meshgrid(np.linspace(25, mat.width_mm - 25, 12), np.linspace(25, mat.height_mm - 25, 9))
    return np.stack([x.ravel(), y.ravel(), np.full(x.size, -height_mm)], axis=1)


@pytest.mark.parametrize("name", ["s2", "s6", "s7"])
def test_a_rendered_photo_is_measured_to_hundredths_of_a_millimetre(name: str) -> None:
    photo, mat, truth = read(name)
    pose, found = posed(photo, mat)
    assert len(found.numbers) == len(mat.markers)
    for height_mm, off_mm in ((0.0, 0.05), (10.0, 0.12)):
        points = grid(mat, height_mm)
        off = pose.camera.to_mat_mm(truth.seen_px(points), height_mm) - points[:, :2]
        assert np.abs(off).max() < off_mm
    assert pose.camera.focal_px == pytest.approx(truth.camera["f_px"], rel=0.03)
    assert pose.rms_px < 0.2


@pytest.mark.parametrize("name", ["s2", "s6", "s7"])
def test_the_corners_lie_within_a_tenth_of_a_pixel_of_where_the_renderer_had_them(name: str) -> None:
    photo, mat, truth = read(name)
    found = find_markers(photo, mat, sightings(photo, mat.dictionary))
    drawn = corners_mm(mat, found.numbers, print_scale=1.0).reshape(-1, 3)
    off = found.edges.corners_px.reshape(-1, 2) - truth.seen_px(drawn)
    # The renderer's own half-pixel conventions differ between the two programs; scatter is what counts here.
    assert np.std(off - off.mean(axis=0)) < 0.15
    assert np.abs(off.mean(axis=0)).max() < 0.15


def scattered(scene: Scene, mat: Mat, chance: np.random.Generator, u_px: float) -> tuple[Photo, Found]:
    """Corners as the simulated camera sees them, each off by chance; the pixels are not looked at."""
    numbers = tuple(one.number for one in mat.markers)
    points = corners_mm(mat, numbers, print_scale=1.0).reshape(-1, 3)
    seen = scene.seen_px(points) + u_px * chance.standard_normal((len(points), 2))
    photo = Photo(np.zeros((scene.height_px, scene.width_px, 3), np.uint8), None)
    return photo, Found(numbers, Edges(seen.reshape(-1, 4, 2), u_px, np.ones(len(numbers))), (), ())


SCENE = Scene(mat_record(mat_text(own_mat(Paper.A4))), 4000, 3000, 3100.0, tilt_deg=20)


def test_the_uncertainty_told_is_that_which_comes() -> None:
    mat, chance = own_mat(Paper.A4), np.random.default_rng(5)
    scores = []
    for _ in range(40):
        pose = fit_pose(*_as_arguments(*scattered(SCENE, mat, chance, 0.1), mat))
        off = np.array([np.log(pose.camera.focal_px / SCENE.focal_px), pose.inset_px])
        scores.append(off / np.sqrt(pose.covariance.diagonal()[[0, 11]]))
    spread = np.std(scores, axis=0)
    # With forty draws a standard deviation is known to 11 per cent.
    assert (spread > 0.6).all()
    assert (spread < 1.4).all()


def _as_arguments(photo: Photo, found: Found, mat: Mat) -> tuple[Photo, Mat, Found]:
    return photo, mat, found


def test_edges_that_are_drawn_into_the_black_are_fitted_as_one_number() -> None:
    mat = own_mat(Paper.A4)
    photo, found = scattered(SCENE, mat, np.random.default_rng(1), 0.02)
    quads = found.edges.corners_px
    inward = quads.mean(axis=1, keepdims=True) - quads
    inward /= np.linalg.norm(inward, axis=2, keepdims=True)
    drawn_in = replace(found, edges=replace(found.edges, corners_px=quads + 0.6 * inward))
    pose = fit_pose(photo, mat, drawn_in)
    assert pose.inset_px == pytest.approx(0.6, abs=0.02)
    assert pose.rms_px < 0.03


def test_a_few_wild_corners_do_not_move_the_camera() -> None:
    mat = own_mat(Paper.A4)
    photo, found = scattered(SCENE, mat, np.random.default_rng(2), 0.05)
    quads = found.edges.corners_px.copy()
    quads[3, 1] += 9.0
    quads[11, 2] -= 6.0
    pose = fit_pose(photo, mat, replace(found, edges=replace(found.edges, corners_px=quads)))
    points = grid(mat)
    off = pose.camera.to_mat_mm(SCENE.seen_px(points)) - points[:, :2]
    assert np.abs(off).max() < 0.05


def test_the_print_scale_is_taken_as_told() -> None:
    mat = own_mat(Paper.A4)
    photo, found = scattered(SCENE, mat, np.random.default_rng(3), 0.05)
    half = fit_pose(photo, mat, found, print_scale=0.97)
    whole = fit_pose(photo, mat, found)
    assert half.camera.focal_px == pytest.approx(whole.camera.focal_px, rel=1e-3)
    assert half.camera.stand_mm() == pytest.approx(0.97 * whole.camera.stand_mm(), rel=1e-3)


def test_a_focal_length_that_the_camera_tells_is_a_help_where_the_mat_gives_none() -> None:
    mat = own_mat(Paper.A4)
    above = SCENE.but(tilt_deg=0.0, bend_2=0.0, bend_4=0.0)
    photo, found = scattered(above, mat, np.random.default_rng(4), 0.1)
    told = fit_pose(replace(photo, focal_px=3130.0), mat, found)
    assert told.camera.focal_px == pytest.approx(3100, rel=0.06)
    assert told.covariance[0, 0] < fit_pose(photo, mat, found).covariance[0, 0]
