"""The project's mats, and mat files: what is written is read back, and what cannot be is named."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.mats import Box, Mat, linear_of, mat_text, read_mat
from runningfit.core.photos.own_mats import Paper, own_mat

DATA = Path(__file__).resolve().parents[2] / "data" / "photos"


def squares(mat: Mat) -> list[Box]:
    """Everything that is printed in areas: ground, markers, patches."""
    markers = [
        Box(one.corners[0].x_mm, one.corners[0].y_mm, one.corners[2].x_mm, one.corners[2].y_mm)
        for one in mat.markers
    ]
    return [mat.work_area, *markers, *(one.box for one in mat.patches)]


def apart_mm(one: Box, other: Box) -> float:
    """The gap between two boxes, negative where they overlap."""
    across = max(one.left_mm - other.right_mm, other.left_mm - one.right_mm)
    down = max(one.top_mm - other.bottom_mm, other.top_mm - one.bottom_mm)
    return max(across, down)


@pytest.mark.parametrize("paper", list(Paper))
def test_a_mat_is_read_back_as_it_was_written(paper: Paper) -> None:
    assert read_mat(mat_text(own_mat(paper))) == own_mat(paper)


# ISO 216 for A4 and A3, ANSI Y14.1 for Letter (from memory): the long side across.
@pytest.mark.parametrize(
    ("paper", "size"),
    [(Paper.A4, (297, 210)), (Paper.A3, (420, 297)), (Paper.LETTER, (279.4, 215.9))],
)
def test_a_mat_has_the_size_of_its_paper(paper: Paper, size: tuple[float, float]) -> None:
    assert (own_mat(paper).width_mm, own_mat(paper).height_mm) == size


@pytest.mark.parametrize("paper", list(Paper))
def test_nothing_on_a_mat_touches_anything_else_or_the_border_that_printers_leave(paper: Paper) -> None:
    mat = own_mat(paper)
    parts = squares(mat)
    assert min(apart_mm(one, other) for one, other in combinations(parts, 2)) >= 1.5
    for part in parts:
        assert part.left_mm >= 6
        assert part.top_mm >= 6
        assert part.right_mm <= mat.width_mm - 6
        assert part.bottom_mm <= mat.height_mm - 6


def test_a_marker_tells_which_mat_it_belongs_to() -> None:
    numbers = [one.number for paper in Paper for one in own_mat(paper).markers]
    assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("paper", list(Paper))
def test_every_side_has_markers_and_the_greys_stand_on_all_sides(paper: Paper) -> None:
    mat = own_mat(paper)
    for spots in ([one.corners[0] for one in mat.markers], [one.box.middle for one in mat.patches]):
        assert min(one.x_mm for one in spots) < mat.work_area.left_mm
        assert max(one.x_mm for one in spots) > mat.work_area.right_mm
        assert min(one.y_mm for one in spots) < mat.work_area.top_mm
        assert max(one.y_mm for one in spots) > mat.work_area.bottom_mm
    assert len({one.linear for one in mat.patches}) == 5


def test_a_mat_of_another_writer_is_read() -> None:
    mat = read_mat((DATA / "mat_A4_violet.json").read_text())
    assert (mat.width_mm, mat.height_mm, mat.dictionary, mat.modules) == (297, 210, "DICT_4X4_100", 6)
    assert len(mat.markers) == 22
    assert len(mat.patches) == 14
    assert mat.rulers == ()
    # Its writer gives the share of light beside the sRGB value.
    assert [linear_of(one.srgb) for one in mat.patches] == pytest.approx([one.linear for one in mat.patches])


def changed(**given: Any) -> str:
    return json.dumps(json.loads(mat_text(own_mat(Paper.A4))) | given)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "mat needs JSON"),
        ("[]", "mat needs an object with markers and patches"),
        (changed(size_mm=[297]), "size_mm of the mat needs 2 numbers"),
        (changed(size_mm=[297, -1]), "size_mm of the mat needs millimetres, at most 2000"),
        (changed(size_mm=[297, float("nan")]), "size_mm of the mat needs 2 numbers"),
        (changed(dictionary="DICT_9X9_9"), "dictionary of the mat needs one of DICT_4X4_50"),
        (changed(work_area_mm=[20, 20, 10, 100]), "work_area_mm of the mat needs left, top, right, bottom"),
        (changed(markers=[]), "markers of the mat needs a list"),
        (changed(markers=[{"id": 1}]), "markers of the mat needs an id and four corners each"),
        (
            changed(markers=[{"id": 1, "corners_mm": [[0, 0], [900, 0], [900, 9], [0, 9]]}]),
            "markers of the mat needs corners on the paper",
        ),
        (
            changed(markers=[{"id": 1, "corners_mm": [[5, 5], [9, 5], [9, 9], [5, 9]]}] * 2),
            "markers of the mat needs each id once",
        ),
        (
            changed(markers=[{"id": 1, "corners_mm": [[5, 5], [9, 5], [9, 9], [5, 9]]}]),
            "markers of the mat needs at least four; '1' came",
        ),
        (changed(patches=[{"rect_mm": [1, 1, 2, 2], "srgb": 300, "linear": 0.5}]), "needs srgb 0 to 255"),
        (changed(patches=[{"rect_mm": [1, 1, 2, 2], "srgb": 30, "linear": 0}]), "needs linear above 0"),
        (changed(background_srgb=[1, 2]), "background_srgb of the mat needs 3 numbers"),
        (changed(paper_srgb=[1, 2, 999]), "paper_srgb of the mat needs three whole numbers 0 to 255"),
        (changed(rulers_mm=[[1, 2]]), "rulers_mm of the mat needs 2 numbers"),
        (changed(rulers_mm=["no"]), "rulers_mm of the mat needs pairs of points"),
    ],
)
def test_a_mat_file_that_cannot_be_is_refused_by_name(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        read_mat(text)
