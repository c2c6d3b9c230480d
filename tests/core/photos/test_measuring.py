"""Photos with exact truth measured from end to end, as a regression: what holds today, with its tolerance.

Truth: `tests/data/photos/README.md`. The larger set with its tables runs in `bench/photos.py`.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.core.photos.mats import mat_text, read_mat
from runningfit.core.photos.measuring import measure_photo
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.scoring import score
from runningfit.core.photos.truths import Truth, read_truth
from simulators.mat_photos import Scene, jpeg_of, mat_record

pytestmark = pytest.mark.slow

HERE = Path(__file__).parents[2] / "data" / "photos"
# The first two are of two renderers that the networks never saw, the others of the one they were trained on.
PHOTOS = ("s2", "s6", "bag_before", "bag_after")


@cache
def measured(name: str) -> MeasuredPhoto:
    answer = measure_photo(plane(name))
    assert isinstance(answer, MeasuredPhoto)
    return answer


def plane(name: str) -> Plane:
    record = json.loads((HERE / f"{name}_pieces.json").read_text())
    mat = None if name.startswith("bag") else read_mat((HERE / str(record["mat"])).read_text())
    found = check_photo((HERE / f"{name}.jpg").read_bytes(), mat=mat, print_scale=1.0)
    assert isinstance(found, Plane)
    return found


def truth(name: str) -> Truth:
    return read_truth((HERE / f"{name}_pieces.json").read_text())


@pytest.mark.parametrize("name", [name for name in PHOTOS if name != "s6"])
def test_every_piece_is_found_once_and_nothing_else(name: str) -> None:
    counts = score([(measured(name), truth(name))]).photos[0]
    assert (counts.missed, counts.extra, counts.split, counts.merged) == ((), (), (), ())


def test_sizes_stay_within_what_they_are_today() -> None:
    pooled = score([(measured(name), truth(name)) for name in PHOTOS]).all
    assert pooled.kind.right >= 0.7 * pooled.kind.of
    assert pooled.length.median_mm is not None
    assert pooled.length.median_mm < 0.4
    assert pooled.head_across_flats.median_mm is not None
    assert pooled.head_across_flats.median_mm < 0.4
    assert pooled.major.median_mm is not None
    assert pooled.major.median_mm < 0.45
    assert pooled.look.right >= 0.7 * pooled.look.of
    assert pooled.pitch.right >= 0.75 * pooled.pitch.of


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    pooled = score([(measured(name), truth(name)) for name in PHOTOS]).all
    right = pooled.length_covered.right + pooled.diameter_covered.right
    assert right >= 0.88 * (pooled.length_covered.of + pooled.diameter_covered.of)


def test_the_steps_are_told_in_order_and_timed() -> None:
    told: list[tuple[str, float]] = []
    answer = measure_photo(plane("bag_after"), progress=lambda step, share: told.append((step, share)))
    assert isinstance(answer, MeasuredPhoto)
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert list(answer.steps_s) == [step for step, _ in told]


def test_an_empty_mat_is_said_to_be_empty() -> None:
    scene = Scene(mat_record(mat_text(own_mat(Paper.A4))))
    found = check_photo(jpeg_of(scene), print_scale=1.0)
    assert isinstance(found, Plane)
    answer = measure_photo(found)
    assert isinstance(answer, CouldNotMeasure)
    assert answer.fault is Fault.EMPTY_MAT
    assert "photograph it again" in answer.remedy
