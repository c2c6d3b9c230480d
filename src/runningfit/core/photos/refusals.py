"""What is said where a mat, or one thing on it, cannot be measured: what is wrong, where, and what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.large_things import MOST_LONG_MM, MOST_WIDE_MM
from runningfit.core.photos.networks import FLAT_MM
from runningfit.core.photos.parting import WHOLE, Meets

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.cutting import Frame
    from runningfit.core.photos.mats import Mat, Spot
    from runningfit.core.photos.seeking import Found

_MOST_PIECES = 250
# Hidden by more than this share, the mat is not worth measuring: pieces may lie beneath.
_MOST_HIDDEN = 0.2
_MEETS = {
    Meets.TOUCHES: "This piece touches another one, or they lie on each other.",
    Meets.LIES_ON: "This piece lies on another one, or beneath it.",
    Meets.UNCLEAR: "These seem to be two or more pieces that touch or lie on each other.",
}
_PART_THEM = "Lay them a finger's breadth apart and photograph them again."
_OR_ONE = " If it is one piece, measure it with a caliper."
# From the middle a third of the way out, a thing is said to lie on a side.
_ASIDE = 1 / 6
# What lies on the border within this of a thing that reaches in is the rest of it.
_SAME_THING_MM = 30.0


def refused_mat(found: tuple[Found, ...], mat: Mat, print_scale: float) -> CouldNotMeasure | None:
    """Say why nothing on a mat can be measured, or nothing where it can.

    Parameters
    ----------
    found : tuple of Found
        What lies on the mat.
    mat : Mat
        The mat.
    print_scale : float
        Millimetres of the print for each millimetre as designed.
    """
    import numpy

    if not found:
        return CouldNotMeasure(
            Fault.EMPTY_MAT,
            "No piece can be seen on the coloured part of the mat.",
            "Lay the pieces on the coloured part of the mat and photograph it again.",
        )
    area = mat.work_area
    whole_mm2 = (area.right_mm - area.left_mm) * (area.bottom_mm - area.top_mm) * print_scale**2
    hidden = [float(one.mask.sum()) * FLAT_MM**2 / whole_mm2 if one.large else 0.0 for one in found]
    if sum(hidden) > _MOST_HIDDEN:
        largest = found[int(numpy.argmax(hidden))].outline_mm.mean(axis=0) / print_scale
        return CouldNotMeasure(
            Fault.COVERED_MAT,
            f"Something large hides {100 * sum(hidden):.0f} % of the coloured part of the mat"
            f"{side_of(mat, largest)}: a hand, a sleeve, a tool?",
            "Take it off the mat and photograph the pieces again.",
        )
    if len(found) > _MOST_PIECES:
        return CouldNotMeasure(
            Fault.TOO_MANY,
            f"There are {len(found)} things on the mat; {_MOST_PIECES} are the most.",
            "Take half of them off, photograph the rest, and then the others by themselves.",
        )
    return None


def refused_piece(found: Found, frame: Frame | None) -> CouldNotMeasure | None:
    """Say why one thing on the mat cannot be measured, or nothing where it can.

    Parameters
    ----------
    found : Found
        The thing.
    frame : Frame or None
        Its cut-out; None where it is too large for one.
    """
    if found.large:
        return CouldNotMeasure(
            Fault.NOT_A_PIECE,
            "This seems to be no piece of hardware: a hand, a tool, a cable, or several pieces that touch.",
            "Take it off the mat, or lay the pieces a finger's breadth apart, and photograph them again.",
        )
    if frame is None:
        return CouldNotMeasure(
            Fault.NOT_A_PIECE,
            f"This is larger than hardware that can be measured, {MOST_LONG_MM:.0f} x {MOST_WIDE_MM:.0f} mm: "
            "a long bolt, a finger, a tool, a cable, or several pieces that touch.",
            "Lay pieces a finger's breadth apart, measure a long one by rule, take all else off the mat.",
        )
    if found.meets not in WHOLE:
        return CouldNotMeasure(
            Fault.PIECES_TOUCH,
            _MEETS[found.meets],
            _PART_THEM if found.meets is not Meets.UNCLEAR else _PART_THEM + _OR_ONE,
        )
    if found.over_edge:
        return CouldNotMeasure(
            Fault.OVER_THE_BORDER,
            "It reaches over the edge of the coloured part of the mat.",
            "Lay it wholly on the coloured part and photograph it again.",
        )
    return None


def beside_caution(places: tuple[Spot, ...], found: tuple[Found, ...], mat: Mat, print_scale: float) -> str:
    """Say that things lie on the white border and are not measured; nothing where none does.

    Parameters
    ----------
    places : tuple of Spot
        Where things lie on the white border.
    found : tuple of Found
        What lies on the mat; a thing that reaches in over the edge is told of by itself.
    mat : Mat
        The mat.
    print_scale : float
        Millimetres of the print for each millimetre as designed.
    """
    import numpy

    reaching = [one.outline_mm / print_scale for one in found if one.over_edge or one.large]
    alone = [
        numpy.array([spot.x_mm, spot.y_mm])
        for spot in places
        if all(numpy.hypot(*(one - (spot.x_mm, spot.y_mm)).T).min() > _SAME_THING_MM for one in reaching)
    ]
    if not alone:
        return ""
    sides = " and".join(dict.fromkeys(side_of(mat, one).removeprefix(",") for one in alone))
    return (
        f"Something lies on the white border of the mat,{sides}, and is not measured. "
        "Lay pieces wholly on the coloured part."
    )


def side_of(mat: Mat, place_mm: NDArray[np.float64]) -> str:
    """Say on which side of the mat a place lies, or nothing near its middle.

    Parameters
    ----------
    mat : Mat
        The mat.
    place_mm : array, 2
        The place, x right and y down [mm as designed].
    """
    across = float(place_mm[0]) / mat.width_mm - 0.5
    down = float(place_mm[1]) / mat.height_mm - 0.5
    rows = "top" if down < -_ASIDE else "bottom" if down > _ASIDE else ""
    columns = "left" if across < -_ASIDE else "right" if across > _ASIDE else ""
    if rows and columns:
        return f", at the {rows} {columns}"
    if rows:
        return f", at the {rows}"
    return f", on the {columns}" if columns else ""
