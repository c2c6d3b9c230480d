"""Measured points of a section or a face, once they can be what they are said to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, isfinite, radians, sin

from runningfit.core.errors import InvalidInput

MOST_POINTS = 3000


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a section.

    Parameters
    ----------
    x_mm, y_mm : float
        Where it lies [mm].
    """

    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Height:
    """A point of a face.

    Parameters
    ----------
    x_mm, y_mm : float
        Where it lies in the face [mm].
    z_mm : float
        How high it lies [mm].
    """

    x_mm: float
    y_mm: float
    z_mm: float


def polar_point(radius_mm: float, angle_deg: float) -> Point:
    """Give a point that was measured as a radius at an angle.

    Parameters
    ----------
    radius_mm : float
        From the axis of the table or spindle [mm].
    angle_deg : float
        Around it [°].

    Returns
    -------
    Point
        The same in a plane.
    """
    angle = radians(angle_deg)
    return Point(radius_mm * cos(angle), radius_mm * sin(angle))


def check_points(points: Sequence[Point], fewest: int = 3) -> tuple[Point, ...]:
    """Refuse points that are no section.

    Parameters
    ----------
    points : sequence of Point
        The points.
    fewest : int
        How many it takes.

    Returns
    -------
    tuple of Point
        Each place once.

    Raises
    ------
    InvalidInput
        Too few or too many, one that is no number, or all of them on one line.
    """
    if not all(isfinite(one.x_mm) and isfinite(one.y_mm) for one in points):
        raise InvalidInput("points", needs="finite numbers", came="one that is not")
    distinct = tuple(dict.fromkeys(points))
    if not fewest <= len(distinct) <= MOST_POINTS:
        raise InvalidInput(
            "points", needs=f"{fewest} to {MOST_POINTS} different ones", came=f"{len(distinct)}",
            remedy="Measure more places." if len(distinct) < fewest else "Leave out every other one.",
        )  # fmt: skip
    first = distinct[0]
    far = max(distinct, key=lambda one: (one.x_mm - first.x_mm) ** 2 + (one.y_mm - first.y_mm) ** 2)
    along_x, along_y = far.x_mm - first.x_mm, far.y_mm - first.y_mm
    square = along_x**2 + along_y**2
    across = max(
        abs(along_x * (one.y_mm - first.y_mm) - along_y * (one.x_mm - first.x_mm)) for one in distinct
    )
    if across <= 1e-9 * square:
        raise InvalidInput(
            "points", needs="to go around something", came="points that all lie on one line",
            remedy="Check that x and y are in their own columns.",
        )  # fmt: skip
    return distinct


def check_heights(heights: Sequence[Height]) -> None:
    """Refuse heights that are no face.

    Parameters
    ----------
    heights : sequence of Height
        The points.

    Raises
    ------
    InvalidInput
        Fewer than four places, one that is no number, all on one line, or steeper than a face can lie.
    """
    if not all(isfinite(value) for one in heights for value in (one.x_mm, one.y_mm, one.z_mm)):
        raise InvalidInput("heights", needs="finite numbers", came="one that is not")
    places = check_points([Point(one.x_mm, one.y_mm) for one in heights], fewest=4)
    span = max(max(one.x_mm for one in places) - min(one.x_mm for one in places),
               max(one.y_mm for one in places) - min(one.y_mm for one in places))  # fmt: skip
    rise = max(one.z_mm for one in heights) - min(one.z_mm for one in heights)
    if rise > 0.5 * span:
        raise InvalidInput(
            "heights",
            needs="a face that lies about level",
            came=f"{rise:g} mm up and down over {span:g} mm",
            remedy="Check the columns and the unit of the heights.",
        )
