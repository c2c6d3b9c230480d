"""Rendered photos of hardware laid out as it should not be: each thing is named, and nothing is invented.

The photos show the project's own A4 mat and were rendered by `training/photos/bad_photos.py`; hand, finger
and cable are rods with round ends. What lies where is in the file beside each photo.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.items import MeasuredPhoto, PhotoItem
from runningfit.core.photos.measuring import measure_photo
from runningfit.core.photos.scoring import score
from runningfit.core.photos.scoring.finding import found_pieces
from runningfit.core.photos.truths import read_truth
from runningfit.core.pieces.kinds import Kind

pytestmark = pytest.mark.slow

HERE = Path(__file__).parents[2] / "data" / "photos"


@cache
def answered(name: str) -> MeasuredPhoto | CouldNotMeasure:
    found = check_photo((HERE / f"{name}.jpg").read_bytes(), print_scale=1.0)
    assert isinstance(found, Plane)
    return measure_photo(found)


def measured(name: str) -> MeasuredPhoto:
    answer = answered(name)
    assert isinstance(answer, MeasuredPhoto)
    return answer


def near(name: str, x_mm: float, y_mm: float, within_mm: float = 12.0) -> list[PhotoItem]:
    """The things whose middle lies near a place of the mat."""
    return [
        one
        for one in measured(name).items
        if (one.mat_xy_mm[0] - x_mm) ** 2 + (one.mat_xy_mm[1] - y_mm) ** 2 < within_mm**2
    ]


def faults(items: list[PhotoItem]) -> list[Fault | None]:
    return [one.could_not.fault if one.could_not else None for one in items]


def test_two_bolts_a_nut_and_a_washer_and_two_washers_that_touch_are_never_measured_as_one() -> None:
    told = read_truth((HERE / "touching_pieces.json").read_text())
    counts = score([(measured("touching"), told)]).photos[0]
    assert (counts.missed, counts.extra, counts.split, counts.merged) == ((), (), (), ())
    for item in measured("touching").items:
        assert item.could_not is None or item.could_not.fault is Fault.PIECES_TOUCH
        if item.could_not:
            assert "touches another one" in item.could_not.reason
            assert "finger's breadth apart" in item.could_not.remedy
            assert item.sizes.length is None


@pytest.mark.parametrize(
    ("x_mm", "y_mm"), [(238, 80), (60, 115), (110, 118), (120, 168), (165, 165), (225, 160)]
)
def test_what_lies_apart_beside_them_is_measured(x_mm: float, y_mm: float) -> None:
    assert faults(near("touching", x_mm, y_mm)) == [None]


def test_a_bolt_across_a_bolt_and_a_washer_half_on_a_washer_are_refused() -> None:
    for x_mm, y_mm in ((70, 70), (143, 66)):
        found = near("on_each_other", x_mm, y_mm, 25.0)
        assert found
        assert set(faults(found)) == {Fault.PIECES_TOUCH}
    for x_mm, y_mm in ((130, 115), (60, 165), (120, 168), (165, 165)):
        assert faults(near("on_each_other", x_mm, y_mm)) == [None]


def test_a_bolt_over_the_edge_is_refused_and_a_nut_on_the_white_border_is_told_of() -> None:
    photo = measured("over_the_border")
    refused = [one for one in photo.items if one.could_not]
    assert faults(refused) == [Fault.OVER_THE_BORDER]
    assert refused[0].mat_xy_mm[0] < 50
    assert len(photo.items) == 4
    (said,) = [one for one in photo.cautions if "white border" in one]
    assert said == (
        "Something lies on the white border of the mat, on the right, and is not measured. "
        "Lay pieces wholly on the coloured part."
    )


def test_a_hand_on_the_mat_is_asked_to_be_taken_away() -> None:
    answer = answered("under_a_hand")
    assert isinstance(answer, CouldNotMeasure)
    assert answer.fault is Fault.COVERED_MAT
    assert "of the coloured part of the mat, on the right: a hand, a sleeve, a tool?" in answer.reason
    assert answer.remedy == "Take it off the mat and photograph the pieces again."


@pytest.mark.parametrize(("name", "at_mm"), [("beside_a_cable", (145, 130)), ("beside_a_finger", (205, 140))])
def test_a_cable_or_a_finger_is_one_thing_that_is_no_hardware(name: str, at_mm: tuple[float, float]) -> None:
    photo = measured(name)
    (thing,) = [one for one in photo.items if one.could_not and one.could_not.fault is Fault.NOT_A_PIECE]
    assert abs(thing.mat_xy_mm[0] - at_mm[0]) < 20
    assert abs(thing.mat_xy_mm[1] - at_mm[1]) < 20
    assert thing.could_not
    assert "a tool, a cable, or several pieces that touch" in thing.could_not.reason
    assert thing.kind is Kind.OTHER
    assert thing.threads == ()
    assert sum(one.could_not is None for one in photo.items) == 3


def test_150_washers_are_counted_one_by_one() -> None:
    photo = measured("washers_150")
    told = read_truth((HERE / "washers_150_pieces.json").read_text())
    counts = score([(photo, told)]).photos[0]
    assert (len(photo.items), counts.missed, counts.extra) == (150, (), ())
    assert sum(one.could_not is None for one in photo.items) >= 148
    assert any("read in haste, to count them. Photograph fewer" in one for one in photo.cautions)
    # Read from less, what is said of their sizes is so much less certain, and holds as often as it says.
    outside = [
        abs(item.sizes.outside.value_mm - piece.outside_mm) / item.sizes.outside.u_mm
        for piece, item in found_pieces(told.pieces, photo.items).pairs
        if item.sizes.outside and piece.outside_mm
    ]
    assert len(outside) >= 140
    assert sum(one < 1.96 for one in outside) >= 0.95 * len(outside)


def test_few_pieces_are_not_read_in_haste() -> None:
    assert not any("in haste" in one for one in measured("touching").cautions)
