"""What diameters between two points tell of a bore or journal, and what they cannot see."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, isfinite, radians, sin

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.slips import odd_one
from runningfit.core.verdicts import Caution

# No bore and no journal is out of round, or tapers, by as much as this share of its diameter.
_MOST_APART = 0.1
# The mean range of n equal normal readings, in standard deviations: d2 of control charts (from memory; the
# tests integrate them).
_MEAN_RANGE = (0.0, 0.0, 1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078)


@dataclass(frozen=True, slots=True)
class Diameter:
    """One diameter of a bore or journal.

    Parameters
    ----------
    depth_mm : float
        How far along the axis [mm].
    angle_deg : float
        In which direction across it [°].
    diameter_mm : float
        What was read [mm].
    """

    depth_mm: float
    angle_deg: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Section:
    """The diameters at one depth.

    Parameters
    ----------
    depth_mm : float
        The depth [mm].
    mean_mm, max_mm, min_mm : float
        Their mean, the largest and the smallest [mm].
    longest_deg : float or None
        The direction of the oval's long axis [°], 0 to 180; none from fewer than three directions.
    """

    depth_mm: float
    mean_mm: float
    max_mm: float
    min_mm: float
    longest_deg: float | None

    @property
    def out_of_round_mm(self) -> float:
        """The largest diameter less the smallest [mm]."""
        return self.max_mm - self.min_mm


@dataclass(frozen=True, slots=True)
class TwoPoint:
    """The form of a bore or journal as two-point diameters show it.

    Parameters
    ----------
    sections : tuple of Section
        Each depth, from the least.
    max_mm, min_mm : float
        The largest and the smallest diameter of all [mm].
    out_of_round_mm : float
        The largest difference within one depth [mm].
    taper_mm : float
        The mean diameter at the least depth less that at the greatest [mm]; 0 from one depth.
    barrel_mm : float or None
        By how much the middle depths are wider than the line between both ends, at most [mm]; less than
        nothing where they are narrower, none from fewer than three depths.
    scatter_mm : float
        The out-of-round that a perfectly round piece would show on average, by the scatter of the gauge [mm].
    cautions : tuple of Caution
        What such readings cannot see, and what is missing.
    """

    sections: tuple[Section, ...]
    max_mm: float
    min_mm: float
    out_of_round_mm: float
    taper_mm: float
    barrel_mm: float | None
    scatter_mm: float
    cautions: tuple[Caution, ...]


BLIND = Caution(
    "Two-point diameters cannot see an odd number of lobes (three, five) nor wear to one side: the diameter "
    "stays while the surface moves. A V-block, a ring gauge or readings from the axis see them."
)


def two_point_form(diameters: Sequence[Diameter], u_mm: float) -> TwoPoint:
    """Give the form of a bore or journal from its two-point diameters.

    Parameters
    ----------
    diameters : sequence of Diameter
        At each depth at least two directions; the same direction may be read again.
    u_mm : float
        The standard deviation of one reading of the gauge [mm], without what all its readings share.

    Returns
    -------
    TwoPoint
        Taper, barrel and out-of-round, and what these readings cannot see.

    Raises
    ------
    InvalidInput
        No reading or one, one that is no number, an uncertainty of nothing, or a diameter that its size shows
        to be in another unit or to have a slipped decimal.

    Notes
    -----
    Taper and barrel are of the means of each depth. The long axis is that of the second harmonic, by least
    squares. The range of noise alone is d2 standard deviations.
    """
    _check(diameters, u_mm)
    by_depth: dict[float, dict[float, list[float]]] = {}
    for one in diameters:
        directions = by_depth.setdefault(one.depth_mm, {})
        directions.setdefault(one.angle_deg % 180.0, []).append(one.diameter_mm)
    sections = tuple(_section(depth, by_depth[depth]) for depth in sorted(by_depth))
    first, last = sections[0], sections[-1]
    lifts = [
        one.mean_mm
        - first.mean_mm
        - (last.mean_mm - first.mean_mm) * (one.depth_mm - first.depth_mm) / (last.depth_mm - first.depth_mm)
        for one in sections[1:-1]
    ]
    most = max(len(directions) for directions in by_depth.values())
    repeats = min(len(read) for directions in by_depth.values() for read in directions.values())
    return TwoPoint(
        sections,
        max(one.max_mm for one in sections),
        min(one.min_mm for one in sections),
        max(one.out_of_round_mm for one in sections),
        first.mean_mm - last.mean_mm,
        max(lifts, key=abs) if lifts else None,
        _MEAN_RANGE[min(most, len(_MEAN_RANGE) - 1)] * u_mm / repeats**0.5,
        (BLIND, *_missing(diameters, by_depth, sections)),
    )


def _check(diameters: Sequence[Diameter], u_mm: float) -> None:
    if not (isfinite(u_mm) and u_mm > 0):
        raise InvalidInput(
            "uncertainty", needs="more than nothing", came=f"{u_mm:g}",
            remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
        )  # fmt: skip
    if len(diameters) < 2:
        raise InvalidInput(
            "readings", needs="two directions at one depth at least", came="one" if diameters else "none",
            remedy="One diameter tells a size, not a form: read across it as well.",
        )  # fmt: skip
    if not all(isfinite(x) for one in diameters for x in (one.depth_mm, one.angle_deg, one.diameter_mm)):
        raise InvalidInput("readings", needs="finite numbers", came="one that is not")
    for one in diameters:
        if one.diameter_mm <= 0:
            raise InvalidInput(
                "diameter", needs="more than nothing",
                came=f"{one.diameter_mm:.5g} mm at {one.depth_mm:g} mm, {one.angle_deg:g}°",
                remedy="Was it a slip of the key? Read it again.",
            )  # fmt: skip
    odd = odd_one([one.diameter_mm for one in diameters], _MOST_APART)
    if odd is not None:
        index, usual, slip = odd
        one = diameters[index]
        raise InvalidInput(
            "diameter", needs=f"to be about as the others, {usual:.5g} mm",
            came=f"{one.diameter_mm:.5g} mm at {one.depth_mm:g} mm, {one.angle_deg:g}°",
            remedy=f"Was it {slip or 'a slip of the key'}? Read it again.",
        )  # fmt: skip


def _section(depth_mm: float, directions: dict[float, list[float]]) -> Section:
    means = {angle: sum(read) / len(read) for angle, read in directions.items()}
    mean = sum(means.values()) / len(means)
    return Section(depth_mm, mean, max(means.values()), min(means.values()), _longest(means))


def _longest(means: dict[float, float]) -> float | None:
    """The long axis of the oval D = m + a cos 2θ + b sin 2θ, by least squares."""
    if len(means) < 3:
        return None
    rows = [(1.0, cos(2 * radians(angle)), sin(2 * radians(angle))) for angle in means]
    middle = sum(means.values()) / len(means)
    values = [one - middle for one in means.values()]
    normal = [[sum(row[i] * row[j] for row in rows) for j in range(3)] for i in range(3)]
    right = [sum(row[i] * value for row, value in zip(rows, values, strict=True)) for i in range(3)]
    solved = _solved(normal, right)
    if solved is None or max(abs(solved[1]), abs(solved[2])) == 0:
        return None
    return (degrees(atan2(solved[2], solved[1])) / 2) % 180.0


def _solved(matrix: list[list[float]], right: list[float]) -> list[float] | None:
    """Three equations by Cramer's rule; none where the directions do not tell."""

    def determinant(m: list[list[float]]) -> float:
        return (
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        )

    whole = determinant(matrix)
    if abs(whole) < 1e-9:
        return None
    return [
        determinant([[right[i] if j == k else matrix[i][j] for j in range(3)] for i in range(3)]) / whole
        for k in range(3)
    ]


def _missing(
    diameters: Sequence[Diameter],
    by_depth: dict[float, dict[float, list[float]]],
    sections: Sequence[Section],
) -> list[Caution]:
    """What is missing, or too good."""
    found = []
    every = {angle for directions in by_depth.values() for angle in directions}
    for depth in sorted(by_depth):
        lacking = sorted(every - by_depth[depth].keys())
        if lacking:
            said = ", ".join(f"{angle:g}°" for angle in lacking)
            found.append(Caution(f"At {depth:g} mm no reading across {said}: read it there too."))
    if len(every) < 2:
        found.append(Caution("All readings lie in one direction: out-of-round is not seen at all."))
    if len(sections) < 2:
        found.append(Caution("Only one depth was read: taper is not seen at all."))
    if len(diameters) >= 3 and len({one.diameter_mm for one in diameters}) == 1:
        found.append(
            Caution("All readings are the very same: check that the gauge moves, and that each was read.")
        )
    return found
