"""The printed mat: its page, its rulers to the hundredth of a millimetre, its markers as designed."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pypdfium2.raw
import pytest

from printed_papers import count_pages, pages_of, words_of
from runningfit.core.photos.decoding import Photo
from runningfit.core.photos.finding import find_markers, sightings
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.pose import corners_mm
from runningfit.reports.mat_sheet import mat_sheet

MM_PER_POINT = 25.4 / 72


def drawn_mm(paper: bytes) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of everything that is drawn, in millimetres from the upper left corner."""
    with pypdfium2.PdfDocument(paper) as pdf:
        (page,) = pdf
        height = page.get_height()
        bounds = [one.get_bounds() for one in page.get_objects([pypdfium2.raw.FPDF_PAGEOBJ_PATH])]
    return [
        (
            left * MM_PER_POINT, (height - top) * MM_PER_POINT,
            right * MM_PER_POINT, (height - bottom) * MM_PER_POINT,
        )
        for left, bottom, right, top in bounds
    ]  # fmt: skip


@pytest.mark.parametrize("paper", list(Paper))
def test_it_is_one_page_of_the_papers_size_without_pictures(paper: Paper) -> None:
    mat = own_mat(paper)
    sheet = mat_sheet(mat)
    assert count_pages(sheet) == 1
    with pypdfium2.PdfDocument(sheet) as pdf:
        size = [one * MM_PER_POINT for one in pdf[0].get_size()]
        assert not list(pdf[0].get_objects([pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]))
    assert size == pytest.approx([mat.width_mm, mat.height_mm], abs=0.001)


@pytest.mark.parametrize("paper", list(Paper))
def test_its_rulers_are_as_long_as_they_say(paper: Paper) -> None:
    mat = own_mat(paper)
    sheet = mat_sheet(mat)
    drawn = drawn_mm(sheet)
    for ruler in mat.rulers:
        start, end = ruler.start, ruler.end
        near = [
            box
            for box in drawn
            if (abs(box[1] - start.y_mm) < 2 and start.y_mm == end.y_mm and box[3] - box[1] < 4)
            or (abs(box[0] - start.x_mm) < 2 and start.x_mm == end.x_mm and box[2] - box[0] < 4)
        ]
        across, down = end.x_mm - start.x_mm, end.y_mm - start.y_mm
        first, last = (0, 2) if across else (1, 3)
        length = max(box[last] for box in near) - min(box[first] for box in near)
        assert length == pytest.approx(max(across, down), abs=0.005)
        assert f"{max(across, down):.0f} mm. Print at 100 %." in words_of(sheet)


@pytest.mark.parametrize("paper", list(Paper))
def test_a_print_of_it_has_every_marker_and_grey_where_the_design_has_it(paper: Paper) -> None:
    mat = own_mat(paper)
    (page,) = pages_of(mat_sheet(mat), dots_per_inch=254)
    # Ten pixels a millimetre; a page's pixel is the middle of its square.
    pixels = np.asarray(page.convert("RGB"))
    photo = Photo(pixels, None)
    found = find_markers(photo, mat, sightings(photo, mat.dictionary))
    assert found.numbers == tuple(sorted(one.number for one in mat.markers))
    there = (found.edges.corners_px + 0.5) / 10
    # This reader fills every pixel that an area touches, up to one and a half more than it covers.
    assert np.abs(there - corners_mm(mat, found.numbers, print_scale=1.0)[..., :2]).max() < 0.16
    drawn = np.array(drawn_mm(mat_sheet(mat)))
    for marker in mat.markers:
        upper_left, lower_right = marker.corners[0], marker.corners[2]
        square = [upper_left.x_mm, upper_left.y_mm, lower_right.x_mm, lower_right.y_mm]
        assert np.abs(drawn - square).max(axis=1).min() < 0.005
    for patch in mat.patches:
        x, y = round(patch.box.middle.x_mm * 10), round(patch.box.middle.y_mm * 10)
        assert abs(int(pixels[y, x, 0]) - patch.srgb) <= 2
