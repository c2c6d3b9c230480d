"""The project's own mats for A4, A3 and Letter: violet ground, markers and greys around it, two rulers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from runningfit.core.photos.mats import Box, GreyPatch, Marker, Mat, Ruler, Spot, linear_of

# Of the grounds that were tried on rendered photos, a mid-dark violet set off every finish best.
GROUND_SRGB = (112, 72, 190)
PAPER_SRGB = (255, 255, 255)
# Of OpenCV's dictionaries the one whose markers differ most from each other, and from anything else.
DICTIONARY = "DICT_APRILTAG_36h11"
# sRGB greys: about 3, 9, 19, 36 and 59 per cent of the light.
_GREYS = (48, 85, 121, 162, 202)
# Printers leave a border free: 4.2 mm, and more at one end of the sheet (common practice, no source).
_EDGE_MM = 8.0
_APART_MM = 3.0
_RULER_STRIP_MM = 7.0
_PATCH_MM = 8.0


class Paper(StrEnum):
    """The papers that a mat is made for; each lies on its long side."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class _Plan:
    """One layout: the paper, its markers, the first number of them, and the lengths of the rulers."""

    width_mm: float
    height_mm: float
    marker_mm: float
    across: int
    down: int
    first_number: int
    rulers_mm: tuple[float, float]


# Each paper has numbers of its own, so that a photo tells by itself which mat it shows.
_PLANS = {
    Paper.A4: _Plan(297.0, 210.0, 14.0, 8, 5, 0, (200.0, 120.0)),
    Paper.A3: _Plan(420.0, 297.0, 16.0, 9, 6, 100, (300.0, 200.0)),
    Paper.LETTER: _Plan(279.4, 215.9, 14.0, 8, 5, 200, (200.0, 120.0)),
}


def own_mat(paper: Paper) -> Mat:
    """The project's mat for a paper.

    Parameters
    ----------
    paper : Paper
        A4, A3 or Letter, lying on its long side.
    """
    plan = _PLANS[paper]
    half = plan.marker_mm / 2
    first = _EDGE_MM + half
    columns = _spread(first, plan.width_mm - first, plan.across)
    rows = _spread(first, plan.height_mm - first, plan.down)
    top = [Spot(x, first) for x in columns]
    bottom = [Spot(x, plan.height_mm - first) for x in reversed(columns)]
    right = [Spot(plan.width_mm - first, y) for y in rows[1:-1]]
    left = [Spot(first, y) for y in reversed(rows[1:-1])]
    middles = [*top, *right, *bottom, *left]
    band = _EDGE_MM + plan.marker_mm + _APART_MM
    right_mm = round(plan.width_mm - band - _RULER_STRIP_MM, 3)
    bottom_mm = round(plan.height_mm - band - _RULER_STRIP_MM, 3)
    ground = Box(band, band, right_mm, bottom_mm)
    return Mat(
        f"{paper.value}_violet",
        plan.width_mm,
        plan.height_mm,
        ground,
        DICTIONARY,
        tuple(Marker(plan.first_number + at, _corners(middle, half)) for at, middle in enumerate(middles)),
        tuple(_patches(columns, rows, plan, first)),
        GROUND_SRGB,
        PAPER_SRGB,
        _rulers(ground, plan.rulers_mm),
    )


def paper_of(mat: Mat) -> Paper | None:
    """Which of the project's own mats this is, or None for one of another origin."""
    return next((paper for paper in Paper if own_mat(paper) == mat), None)


def _spread(first: float, last: float, count: int) -> list[float]:
    return [round(first + (last - first) * at / (count - 1), 3) for at in range(count)]


def _corners(middle: Spot, half: float) -> tuple[Spot, Spot, Spot, Spot]:
    left, right = round(middle.x_mm - half, 3), round(middle.x_mm + half, 3)
    top, bottom = round(middle.y_mm - half, 3), round(middle.y_mm + half, 3)
    return Spot(left, top), Spot(right, top), Spot(right, bottom), Spot(left, bottom)


def _patches(columns: list[float], rows: list[float], plan: _Plan, first: float) -> list[GreyPatch]:
    """Greys between the markers on all four sides, so that the light can be followed across the mat."""
    spots = [
        Spot((left + right) / 2, y)
        for y in (first, plan.height_mm - first)
        for left, right in pairwise(columns)
    ]
    spots += [
        Spot(x, (upper + lower) / 2)
        for x in (first, plan.width_mm - first)
        for upper, lower in pairwise(rows)
    ]
    half = _PATCH_MM / 2
    boxes = [
        Box(*(round(one, 3) for one in (at.x_mm - half, at.y_mm - half, at.x_mm + half, at.y_mm + half)))
        for at in spots
    ]
    greys = [_GREYS[at % len(_GREYS)] for at in range(len(boxes))]
    return [GreyPatch(box, grey, linear_of(grey)) for box, grey in zip(boxes, greys, strict=True)]


def _rulers(ground: Box, lengths_mm: tuple[float, float]) -> tuple[Ruler, Ruler]:
    """One along each side of the paper, in the white strip between the ground and the markers."""
    y = round(ground.bottom_mm + _RULER_STRIP_MM / 2, 3)
    x = round(ground.right_mm + _RULER_STRIP_MM / 2, 3)
    return (
        Ruler(Spot(ground.left_mm, y), Spot(ground.left_mm + lengths_mm[0], y)),
        Ruler(Spot(x, ground.top_mm), Spot(x, ground.top_mm + lengths_mm[1])),
    )
