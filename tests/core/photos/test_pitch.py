"""The pitch of a thread by its stripes, on drawn rods and on a rendered photo, of which all is known."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.camera import rotation_of
from runningfit.core.photos.decoding import Photo, decode
from runningfit.core.photos.finding import find_markers, sightings
from runningfit.core.photos.mats import read_mat
from runningfit.core.photos.pitch import PitchRead, PitchUnread, read_pitch
from runningfit.core.photos.pitch_likelihood import PitchGrid, PitchLikelihood, PitchPeak
from runningfit.core.photos.pose import Pose, camera_of, fit_pose
from runningfit.core.photos.straightening import Shank, lifted_mm, lying_shank
from simulators.threaded_rods import Rod, RodPhoto, photograph

pytestmark = pytest.mark.slow

DATA = Path(__file__).resolve().parents[2] / "data" / "photos"


def pose_of(photo: RodPhoto) -> Pose:
    """The camera of a drawn photo as a pose that is known without doubt."""
    turn = cv2.Rodrigues(photo.rotation)[0].ravel()
    depth, focal = photo.shift[2], photo.rod.focal_px
    seen = focal * photo.shift[:2] / depth
    values = np.array(
        [math.log(focal), *photo.middle_px, *photo.rod.bend, *turn, *seen, math.log(depth / focal), 0.0]
    )
    camera = camera_of(values)
    assert np.allclose(rotation_of(camera.turn), photo.rotation, atol=1e-9)
    return Pose(camera, values, np.zeros((12, 12)), 0.0, np.zeros((4, 2)), 0.0, 0.03, 1.0)


def shank_of(rod: Rod, *, aside_mm: float = 0.0, major_mm: float | None = None) -> Shank:
    """The axis of a drawn rod, or one beside it."""
    (x1, y1), (x2, y2) = rod.start, rod.end
    return Shank(
        (x1, y1 + aside_mm, rod.heights[0]), (x2, y2 - aside_mm, rod.heights[1]), major_mm or rod.major
    )


def read(rod: Rod, *, aside_mm: float = 0.0, major_mm: float | None = None) -> PitchRead | PitchUnread:
    photo = photograph(rod)
    return read_pitch(photo.pixels, pose_of(photo), shank_of(rod, aside_mm=aside_mm, major_mm=major_mm))


def told(answer: PitchRead | PitchUnread) -> PitchRead:
    assert isinstance(answer, PitchRead), answer
    return answer


@pytest.mark.parametrize("pitch_mm", [0.9, 1.0, 1.25, 1.5, 2.0, 2.54])
def test_a_pitch_is_read_within_its_uncertainty(pitch_mm: float) -> None:
    answer = told(read(Rod(threads=((0.0, 60.0, pitch_mm),))))
    assert answer.pitch.value_mm == pytest.approx(pitch_mm, rel=0.005)
    assert abs(answer.pitch.value_mm - pitch_mm) < 2.6 * answer.pitch.u_mm
    assert answer.pitch.u_mm < 0.01 * pitch_mm
    assert answer.probability > 0.9


@pytest.mark.parametrize("overtone", [0.3, 0.5, 0.6, 0.7])
def test_stripes_that_come_twice_in_a_pitch_do_not_halve_it(overtone: float) -> None:
    answer = told(read(Rod(threads=((0.0, 60.0, 2.0),), overtone=overtone)))
    assert answer.pitch.value_mm == pytest.approx(2.0, rel=0.01)


def test_half_the_pitch_is_read_where_it_is_the_pitch() -> None:
    answer = told(read(Rod(threads=((0.0, 60.0, 1.0),))))
    assert answer.pitch.value_mm == pytest.approx(1.0, rel=0.01)
    doubled = [peak.weight for peak in answer.likelihood.peaks if 1.9 < peak.pitch_mm < 2.1]
    assert sum(doubled) < 0.05


def test_an_axis_that_is_a_little_off_does_not_change_the_pitch() -> None:
    rod = Rod(threads=((0.0, 60.0, 1.5),))
    answer = told(read(rod, aside_mm=0.6, major_mm=9.6))
    assert answer.pitch.value_mm == pytest.approx(1.5, rel=0.006)


def test_a_rod_that_tilts_is_measured_along_its_axis_seen_from_either_end() -> None:
    for stand in ((40.0, 95.0, -300.0), (160.0, 95.0, -300.0)):
        rod = Rod(end=(110.0, 101.0), heights=(8.5, 5.0), stand=stand)
        photo = photograph(rod)
        answer = told(read_pitch(photo.pixels, pose_of(photo), shank_of(rod)))
        assert answer.pitch.value_mm == pytest.approx(1.5, rel=0.006)
        level = told(read_pitch(photo.pixels, pose_of(photo), shank_of(rod.but(heights=(6.7, 6.7)))))
        assert abs(level.pitch.value_mm / 1.5 - 1) > 0.012


def test_an_unsure_tilt_makes_the_pitch_less_sure_only_where_it_is_seen_aslant() -> None:
    known = shank_of(Rod())
    vague = Shank(known.start_mm, known.end_mm, known.major_mm, u_rise_mm=1.0)
    wider = []
    for stand in ((100.0, 97.5, -350.0), (-60.0, 37.5, -350.0)):
        photo = photograph(Rod(stand=stand))
        u = [told(read_pitch(photo.pixels, pose_of(photo), one)).pitch.u_mm for one in (known, vague)]
        wider.append(u[1] / u[0])
    assert wider[0] < 1.3
    assert wider[1] > 2.0


def test_the_print_scale_and_the_camera_stand_in_the_uncertainty() -> None:
    photo = photograph(Rod())
    pose, shank = pose_of(photo), shank_of(Rod())
    sharp = told(read_pitch(photo.pixels, pose, shank, u_print_scale=0.0))
    vague = told(read_pitch(photo.pixels, pose, shank, u_print_scale=0.02))
    assert vague.pitch.u_mm == pytest.approx(math.hypot(sharp.pitch.u_mm, 0.02 * 1.5), rel=0.01)
    covariance = np.zeros((12, 12))
    covariance[10, 10] = 0.01**2
    far = Pose(pose.camera, pose.values, covariance, 0.0, pose.residuals_px, 0.0, 0.03, 1.0)
    unsure = told(read_pitch(photo.pixels, far, shank, u_print_scale=0.0))
    assert unsure.pitch.u_mm == pytest.approx(math.hypot(sharp.pitch.u_mm, 0.01 * 1.5), rel=0.1)


def test_the_threaded_part_is_found() -> None:
    answer = told(read(Rod(threads=((18.0, 60.0, 1.5),))))
    assert len(answer.threaded) == 1
    assert answer.threaded[0].from_mm == pytest.approx(18.0, abs=2.0)
    assert answer.threaded[0].to_mm == pytest.approx(42.7, abs=2.0)
    assert answer.turns == pytest.approx(24.7 / 1.5, abs=2.5)


def test_both_ends_of_a_stud_are_found() -> None:
    answer = told(read(Rod(threads=((0.0, 14.0, 1.5), (28.0, 60.0, 1.5)))))
    first, last = answer.threaded
    assert first.to_mm == pytest.approx(14.0, abs=2.0)
    assert last.from_mm == pytest.approx(28.0, abs=2.0)
    assert answer.pitch.value_mm == pytest.approx(1.5, rel=0.006)


def test_a_stud_with_a_coarse_and_a_fine_end_has_two_pitches() -> None:
    answer = told(read(Rod(threads=((0.0, 16.0, 1.5), (24.0, 60.0, 1.15)))))
    assert answer.pitch.value_mm == pytest.approx(1.15, rel=0.01)
    assert answer.threaded[0].from_mm == pytest.approx(24.0, abs=2.0)
    assert answer.other_end is not None
    assert answer.other_end.pitch.value_mm == pytest.approx(1.5, rel=0.01)
    assert answer.other_end.threaded[0].to_mm == pytest.approx(16.0, abs=2.0)
    coarse, fine = answer.other_end.likelihood.density([1.5, 1.15])
    assert coarse > 100 * fine


def test_a_stud_with_the_same_pitch_at_both_ends_has_one() -> None:
    assert told(read(Rod(threads=((0.0, 16.0, 1.5), (24.0, 60.0, 1.5))))).other_end is None


@pytest.mark.parametrize("metal", [(60.0, 60.0, 60.0), (230.0, 220.0, 160.0)])
def test_a_plain_rod_has_no_pitch(metal: tuple[float, float, float]) -> None:
    answer = read(Rod(threads=(), metal=metal, grain=8.0))
    assert isinstance(answer, PitchUnread)
    assert answer.reason.startswith("No even stripes can be seen along 43 mm")
    assert "pitch gauge" in answer.remedy
    assert answer.likelihood.rest > 0.5


def test_bare_mat_has_no_pitch() -> None:
    photo = photograph(Rod())
    beside = Shank((80.0, 60.0, 5.0), (120.0, 70.0, 5.0), 10.0)
    assert isinstance(read_pitch(photo.pixels, pose_of(photo), beside), PitchUnread)


def test_too_few_pixels_to_a_pitch_are_said() -> None:
    rod = Rod(threads=((0.0, 60.0, 0.5),), major=3.0, heights=(1.5, 1.5), focal_px=1700.0)
    answer = read(rod)
    assert isinstance(answer, PitchUnread)
    assert "5.5 are needed" in answer.reason
    assert answer.remedy == "Photograph it from nearer, or try a pitch gauge."


def test_a_shank_outside_the_picture_is_said() -> None:
    photo = photograph(Rod())
    outside = Shank((80.0, 90.0, 5.0), (320.0, 105.0, 5.0), 10.0)
    answer = read_pitch(photo.pixels, pose_of(photo), outside)
    assert isinstance(answer, PitchUnread)
    assert "outside the picture" in answer.reason


def test_how_often_the_pitch_lies_in_its_interval() -> None:
    """Over rods of many sizes and lights; at 95 %, fewer than 51 of 60 come once in a thousand runs."""
    draw = np.random.default_rng(4)
    inside = right = count = 0
    for seed in range(60):
        major = float(draw.choice([5.0, 6.0, 8.0, 10.0, 12.0]))
        pitch = major * float(draw.uniform(0.12, 0.18))
        angle, length = draw.uniform(0, 2 * np.pi), draw.uniform(12.0, 40.0)
        half = length / 2 * np.array([np.cos(angle), np.sin(angle)])
        rod = Rod(
            start=tuple(np.array([100.0, 97.0]) - half),
            end=tuple(np.array([100.0, 97.0]) + half),
            heights=(major / 2, major / 2),
            major=major,
            threads=((0.0, 60.0, pitch),),
            overtone=float(draw.uniform(0, 0.4)),
            shine=float(draw.uniform(0, 1)),
            stand=(float(draw.uniform(0, 200)), float(draw.uniform(0, 200)), -330.0),
            grain=float(draw.uniform(2, 8)),
            seed=seed,
        )
        answer = read(rod, aside_mm=float(draw.normal(0, 0.3)), major_mm=major + float(draw.normal(0, 0.15)))
        if isinstance(answer, PitchRead):
            count += 1
            right += abs(answer.pitch.value_mm / pitch - 1) < 0.02
            low, high = answer.pitch.interval_95_mm
            inside += low <= pitch <= high
    assert count >= 57
    assert right >= count - 2
    assert inside >= 0.85 * count


@cache
def photo_of_hardware() -> tuple[Photo, Pose]:
    told_of = json.loads((DATA / "s2.json").read_text())
    mat = read_mat((DATA / told_of["mat"]).read_text())
    photo = decode((DATA / "s2.jpg").read_bytes())
    assert isinstance(photo, Photo)
    return photo, fit_pose(photo, mat, find_markers(photo, mat, sightings(photo, mat.dictionary)))


# Of the truth of the rendered photo: both ends of the axis with their heights, y down, diameter, pitch [mm].
HARDWARE = [
    ((190.8, 146.7, 7.9), (183.1, 116.0, 5.4), 11.1125, 1.27),
    ((99.0, 79.4, 7.1), (120.5, 44.2, 4.6), 9.525, 1.5875),
    ((187.9, 75.6, 3.2), (179.7, 103.0, 3.2), 6.35, 1.27),
    ((37.4, 81.1, 5.5), (37.3, 119.1, 3.1), 6.35, 1.27),
    ((49.0, 125.3, 6.3), (61.8, 134.4, 3.7), 7.9375, 25.4 / 18),
    ((215.6, 85.9, 6.4), (224.0, 126.3, 6.4), 12.7, 25.4 / 13),
]


@pytest.mark.parametrize(("start", "end", "major_mm", "pitch_mm"), HARDWARE)
def test_pitches_of_a_rendered_photo(
    start: tuple[float, float, float], end: tuple[float, float, float], major_mm: float, pitch_mm: float
) -> None:
    photo, pose = photo_of_hardware()
    answer = told(read_pitch(photo.pixels, pose, Shank(start, end, major_mm, u_rise_mm=0.2)))
    assert answer.pitch.value_mm == pytest.approx(pitch_mm, rel=0.02)
    assert abs(answer.pitch.value_mm - pitch_mm) < 3 * answer.pitch.u_mm


def test_a_point_is_lifted_along_the_ray_that_sees_it() -> None:
    camera = pose_of(photograph(Rod())).camera
    lifted = lifted_mm(camera, (95.0, 120.0), 7.5)
    there = camera.to_px(np.array([[lifted[0], lifted[1], -lifted[2]], [95.0, 120.0, 0.0]]))
    assert there[0] == pytest.approx(there[1], abs=1e-6)
    assert lifted[2] == 7.5


def test_a_bolt_rests_on_its_head_and_its_thread() -> None:
    camera = pose_of(photograph(Rod())).camera
    bolt = lying_shank(camera, (80.0, 90.0), (130.0, 90.0), major_mm=10.0, head_across_flats_mm=16.0)
    tilt = math.asin((bolt.start_mm[2] - bolt.end_mm[2]) / bolt.length_mm)
    assert bolt.start_mm[2] == pytest.approx(8.0 * math.cos(tilt), abs=0.01)
    where_it_rests = bolt.start_mm[2] - (bolt.length_mm - 1.0) * math.sin(tilt)
    assert where_it_rests == pytest.approx(5.0 * math.cos(tilt), abs=0.02)
    longer = lying_shank(
        camera, (80.0, 90.0), (130.0, 90.0), major_mm=10.0, head_across_flats_mm=16.0, head_height_mm=6.0
    )
    assert longer.start_mm[2] > bolt.start_mm[2]
    stud = lying_shank(camera, (80.0, 90.0), (130.0, 90.0), major_mm=10.0)
    assert stud.start_mm[2] == stud.end_mm[2] == 5.0
    assert stud.u_rise_mm < bolt.u_rise_mm


@pytest.mark.parametrize(
    ("start", "end", "major_mm", "words"),
    [
        ((0.0, 0.0, math.nan), (40.0, 0.0, 5.0), 10.0, "axis needs numbers of mm"),
        ((0.0, 0.0, 5.0), (40.0, 0.0, 5.0), -1.0, "major diameter needs a number of mm above 0"),
        ((0.0, 0.0, 5.0), (1.0, 0.0, 5.0), 10.0, "axis needs a length of at least 3 mm"),
    ],
)
def test_what_is_no_shank_is_refused(
    start: tuple[float, float, float], end: tuple[float, float, float], major_mm: float, words: str
) -> None:
    with pytest.raises(InvalidInput, match=words):
        Shank(start, end, major_mm)


def test_a_print_scale_beyond_all_doubt_is_refused() -> None:
    photo = photograph(Rod())
    with pytest.raises(InvalidInput, match=r"uncertainty of the print scale needs a share from 0 to 0\.1"):
        read_pitch(photo.pixels, pose_of(photo), shank_of(Rod()), u_print_scale=2.0)


def test_a_likelihood_of_peaks_comes_to_one_over_all_pitches() -> None:
    likelihood = PitchLikelihood((PitchPeak(1.5, 0.004, 0.8), PitchPeak(0.75, 0.01, 0.1)))
    at = np.linspace(math.log(0.35), math.log(6.0), 200_001)
    whole = likelihood.density(np.exp(at)).mean() * (at[-1] - at[0])
    assert whole == pytest.approx(1.0, abs=1e-4)
    assert likelihood.rest == pytest.approx(0.1)


def test_a_grid_spreads_its_doubt_to_half_and_double() -> None:
    bins = tuple(float(one) for one in np.geomspace(0.35, 6.0, 144))
    chances = np.exp(-0.5 * (np.log(np.array(bins) / 1.5) / 0.03) ** 2)
    grid = PitchGrid(bins, tuple(float(one) for one in chances / chances.sum()))
    one, half, double, other = grid.density([1.5, 0.75, 3.0, 1.1])
    assert half == pytest.approx(double, rel=0.05)
    assert one > 30 * half > 30 * other > 0


@pytest.mark.parametrize(
    ("bins", "chances", "words"),
    [
        ((1.0,), (1.0,), "two bins or more"),
        ((1.0, 1.1), (0.5, 0.2), "a sum of 0.7"),
        ((1.0, 1.1), (1.5, -0.5), "probabilities from 0 on"),
        ((1.1, 1.0), (0.5, 0.5), "rising pitches"),
        ((1.0, 1.1, 2.0), (0.5, 0.5, 0.0), "rise by the same factor"),
    ],
)
def test_what_is_no_grid_is_refused(bins: tuple[float, ...], chances: tuple[float, ...], words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        PitchGrid(bins, chances)
