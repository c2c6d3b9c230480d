"""The rate of a coil spring from loads at lengths, its load at a height, and the rate that its wire makes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.slips import odd_one
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Caution

# A spring is never pressed to less than this share of the other lengths, nor let out by as much.
_MOST_APART = 0.8


@dataclass(frozen=True, slots=True)
class SpringReading:
    """The load of a spring at one length.

    Parameters
    ----------
    length_mm : float
        The length under load [mm].
    load_n : float
        The load [N].
    """

    length_mm: float
    load_n: float


@dataclass(frozen=True, slots=True)
class Spring:
    """What the readings of a spring tell.

    Parameters
    ----------
    rate_n_per_mm : Measured
        The rate [N/mm].
    free_length_mm : float
        Where the line through the readings reaches no load [mm]; the measured free length may differ.
    load_n : Measured
        The load at the height asked about [N].
    cautions : tuple of Caution
        What to mind.
    """

    rate_n_per_mm: Measured
    free_length_mm: float
    load_n: Measured
    cautions: tuple[Caution, ...]


def spring_of(readings: Sequence[SpringReading], height_mm: float, u_load_n: float) -> Spring:
    """Give the rate of a spring and its load at a height.

    Parameters
    ----------
    readings : sequence of SpringReading
        At two lengths at least.
    height_mm : float
        The height that is asked about, such as the installed one [mm].
    u_load_n : float
        The standard uncertainty of one load [N], from the tester; the readings' own scatter counts where it
        is larger.

    Returns
    -------
    Spring
        Rate and load with their uncertainties.

    Raises
    ------
    InvalidInput
        Fewer than two lengths, an uncertainty of nothing, or a load that grows with the length.

    Notes
    -----
    A straight line by least squares: u(k) = s/√Sxx, u(F)² = s² (1/n + (h - mean)²/Sxx).
    """
    lengths = [one.length_mm for one in readings]
    loads = [one.load_n for one in readings]
    if not all(map(isfinite, (*lengths, *loads, height_mm))) or len(set(lengths)) < 2:
        raise InvalidInput(
            "spring readings", needs="loads at two lengths at least, all finite", came=f"{len(set(lengths))}",
            remedy="Load it at the closed and at the open height.",
        )  # fmt: skip
    if not (isfinite(u_load_n) and u_load_n > 0):
        raise InvalidInput(
            "uncertainty", needs="more than nothing", came=f"{u_load_n:g}",
            remedy="No tester is exact: it is at least 0.29 of its smallest step.",
        )  # fmt: skip
    if not all(one > 0 for one in (*lengths, *loads, height_mm)):
        raise InvalidInput(
            "spring readings", needs="lengths and loads of more than nothing", came="one that is not",
            remedy="Leave the free length out; it is where the line through the loads ends.",
        )  # fmt: skip
    odd = odd_one(lengths, _MOST_APART)
    if odd is not None and odd[2] is not None:
        raise InvalidInput(
            "length", needs=f"to be of the size of the others, {odd[1]:.4g} mm",
            came=f"{lengths[odd[0]]:.4g} mm",
            remedy=f"Was it {odd[2]}? Read it again.",
        )  # fmt: skip
    count = len(readings)
    mean_x, mean_y = sum(lengths) / count, sum(loads) / count
    square = sum((x - mean_x) ** 2 for x in lengths)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in zip(lengths, loads, strict=True)) / square
    if slope >= 0:
        raise InvalidInput(
            "spring readings", needs="less load at a greater length", came="more, or the same",
            remedy="A length is that of the spring, not how far it was pressed; look for swapped columns.",
        )  # fmt: skip
    left = [y - mean_y - slope * (x - mean_x) for x, y in zip(lengths, loads, strict=True)]
    scatter = sqrt(sum(one * one for one in left) / (count - 2)) if count > 2 else 0.0
    s = max(scatter, u_load_n)
    at = mean_y + slope * (height_mm - mean_x)
    cautions = []
    if count == 2:
        cautions.append(Caution("Two loads always lie on a line: a third one shows whether coils touch."))
    if not min(lengths) <= height_mm <= max(lengths):
        cautions.append(Caution("The height lies beyond the lengths that were read: read it there."))
    if scatter > 2 * u_load_n:
        cautions.append(
            Caution(
                "The loads lie off a straight line: coils touch, the wire is progressive, or one is misread."
            )
        )
    dof = count - 2 if scatter > u_load_n else float("inf")
    return Spring(
        Measured(-slope, s / sqrt(square), dof),
        mean_x - mean_y / slope,
        Measured(at, s * sqrt(1 / count + (height_mm - mean_x) ** 2 / square), dof),
        tuple(cautions),
    )


def wire_rate_n_per_mm(shear_mpa: float, wire_mm: float, coil_mm: float, coils: float) -> float:
    """Give the rate that a coil spring has by its wire.

    Parameters
    ----------
    shear_mpa : float
        The shear modulus of the wire [MPa].
    wire_mm : float
        The diameter of the wire [mm].
    coil_mm : float
        The mean diameter of the coils [mm].
    coils : float
        How many coils are active [-].

    Returns
    -------
    float
        The rate [N/mm].

    Raises
    ------
    InvalidInput
        A figure that is not more than nothing, or coils no wider than their wire.

    Notes
    -----
    k = G d⁴ / (8 D³ N), round wire (common handbook formula, from memory).
    """
    figures = (shear_mpa, wire_mm, coil_mm, coils)
    if not all(isfinite(one) and one > 0 for one in figures) or coil_mm <= wire_mm:
        raise InvalidInput(
            "spring", needs="figures of more than nothing, and coils wider than their wire",
            came=f"{shear_mpa:g}, {wire_mm:g}, {coil_mm:g}, {coils:g}",
        )  # fmt: skip
    return shear_mpa * wire_mm**4 / (8 * coil_mm**3 * coils)
