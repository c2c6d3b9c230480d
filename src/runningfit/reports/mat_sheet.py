"""The mat as a PDF at true size: drawn in lines and areas, with two rulers to check the print by."""

from __future__ import annotations

from runningfit.core.photos.marker_patterns import white_modules
from runningfit.core.photos.mats import Box, Mat, Ruler
from runningfit.reports.papers import render

_STROKE_MM = 0.25
_TICK_MM, _LONG_TICK_MM, _END_MM = 1.2, 2.0, 3.4
_EVERY_MM = 10


def mat_sheet(mat: Mat) -> bytes:
    """Draw a mat as a PDF of one page that has the paper's size.

    Parameters
    ----------
    mat : Mat
        The mat; its markers stand straight.

    Returns
    -------
    bytes
        The PDF. The outer edges of a ruler's end strokes are as far apart as the ruler is long.
    """
    return render("mat_sheet.typ", _data(mat))


def _data(mat: Mat) -> dict[str, object]:
    markers = [
        {
            "black": _listed(
                Box(one.corners[0].x_mm, one.corners[0].y_mm, one.corners[2].x_mm, one.corners[2].y_mm)
            ),
            "white": [_listed(box) for box in white_modules(mat, one)],
        }
        for one in mat.markers
    ]
    return {
        "name": mat.name.replace("_", " "),
        "width_mm": mat.width_mm,
        "height_mm": mat.height_mm,
        "ground": _listed(mat.work_area),
        "ground_srgb": list(mat.ground_srgb),
        "markers": markers,
        "patches": [{"box": _listed(one.box), "grey": one.srgb} for one in mat.patches],
        "rulers": [
            {
                "strokes": [_listed(box) for box in _strokes(one)],
                "words": f"{one.length_mm:.0f} mm. Print at 100 %.",
                "end": [one.end.x_mm, one.end.y_mm],
                "upright": one.start.x_mm == one.end.x_mm,
            }
            for one in mat.rulers
        ],
    }


def _listed(box: Box) -> list[float]:
    return [box.left_mm, box.top_mm, box.right_mm - box.left_mm, box.bottom_mm - box.top_mm]


def _strokes(ruler: Ruler) -> list[Box]:
    """The line and its strokes; those at the ends lie within its length."""
    length = ruler.length_mm
    boxes = [_along(ruler, 0, length, -_STROKE_MM / 2, _STROKE_MM / 2)]
    for at in range(_EVERY_MM, round(length), _EVERY_MM):
        half = _LONG_TICK_MM / 2 if at % 50 == 0 else _TICK_MM / 2
        boxes.append(_along(ruler, at - _STROKE_MM / 2, at + _STROKE_MM / 2, -half, half))
    for first in (0.0, length - _STROKE_MM):
        boxes.append(_along(ruler, first, first + _STROKE_MM, -_END_MM / 2, _END_MM / 2))
    return boxes


def _along(ruler: Ruler, first: float, last: float, low: float, high: float) -> Box:
    x, y = ruler.start.x_mm, ruler.start.y_mm
    if ruler.start.x_mm == ruler.end.x_mm:
        return Box(x + low, y + first, x + high, y + last)
    return Box(x + first, y + low, x + last, y + high)
