"""A value with its standard uncertainty and degrees of freedom, and what repeats make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, inf, isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.student import check_dof, student_quantile

REFERENCE_TEMPERATURE_C = 20.0  # ISO 1:2016, clause 4


@dataclass(frozen=True, slots=True)
class Measured:
    """A value as far as it is known.

    Parameters
    ----------
    value : float
        The best estimate, in the unit of what was measured.
    u : float
        Its standard uncertainty, in the same unit.
    dof : float
        The degrees of freedom of that uncertainty [-]; infinite where it is taken as exact.
    """

    value: float
    u: float
    dof: float = inf

    def __post_init__(self) -> None:
        if not isfinite(self.value):
            raise InvalidInput("value", needs="a finite number", came=f"{self.value:g}")
        if not (isfinite(self.u) and self.u >= 0):
            raise InvalidInput("uncertainty", needs="a finite number, not negative", came=f"{self.u:g}")
        check_dof(self.dof)


def coverage_factor(coverage: float, dof: float) -> float:
    """Give the factor that turns a standard uncertainty into an expanded one.

    Parameters
    ----------
    coverage : float
        The probability that the interval shall hold the value [-].
    dof : float
        Degrees of freedom [-]; cut down to a whole number.

    Returns
    -------
    float
        Student's t for both tails.

    Raises
    ------
    InvalidInput
        A coverage that is not between 0 and 1, or fewer than one degree of freedom.

    Notes
    -----
    JCGM 100:2008, G.3.2 and the note to G.4.1 (clause numbers from memory): effective degrees of
    freedom are truncated to the next lower whole number, which widens the interval a little.
    """
    if not 0 < coverage < 1:
        raise InvalidInput(
            "coverage", needs="more than 0 and less than 1, such as 0.95", came=f"{coverage:g}",
            remedy="Write 0.95 for 95 %.",
        )  # fmt: skip
    check_dof(dof)
    # What is whole but for the last bits of a float must not lose a degree of freedom.
    whole = floor(dof * (1 + 1e-12)) if isfinite(dof) else inf
    return student_quantile(0.5 * (1 + coverage), whole)


def mean_of_readings(readings: Sequence[float]) -> Measured:
    """Evaluate repeated readings of one thing: type A.

    Parameters
    ----------
    readings : sequence of float
        At least two, in the unit of what was measured.

    Returns
    -------
    Measured
        The mean, its standard uncertainty, and n - 1 degrees of freedom.

    Raises
    ------
    InvalidInput
        Fewer than two readings.

    Notes
    -----
    u = s / √n (JCGM 100:2008, 4.2.3, from memory).
    """
    count = len(readings)
    if count < 2:
        raise InvalidInput(
            "readings",
            needs="at least two of the same thing",
            came="one reading" if count else "none",
            remedy="Read it again, or give the uncertainty of the gauge for a single reading.",
        )
    mean = sum(readings) / count
    squares = sum((one - mean) ** 2 for one in readings)
    return Measured(mean, sqrt(squares / (count - 1) / count), count - 1)


def correlation_of_readings(first: Sequence[float], second: Sequence[float]) -> float:
    """Give the correlation of two means whose readings were taken together, pair by pair.

    Parameters
    ----------
    first : sequence of float
        The readings of the one.
    second : sequence of float
        The readings of the other, in the same order.

    Returns
    -------
    float
        The correlation coefficient [-], -1 to 1.

    Raises
    ------
    InvalidInput
        Unequal numbers of readings, fewer than two, or readings that are all equal.

    Notes
    -----
    JCGM 100:2008, 5.2.3, equation (17), numbers from memory.
    """
    if len(first) != len(second) or len(first) < 2:
        raise InvalidInput(
            "readings taken together",
            needs="as many of the one as of the other, two at least",
            came=f"{len(first)} and {len(second)}",
        )
    mean_1, mean_2 = sum(first) / len(first), sum(second) / len(second)
    from_1, from_2 = [one - mean_1 for one in first], [one - mean_2 for one in second]
    squares = sum(one * one for one in from_1) * sum(one * one for one in from_2)
    if squares == 0:
        raise InvalidInput(
            "readings taken together",
            needs="readings that differ",
            came="readings that are all equal",
            remedy="Leave their correlation out: the gauge shows no scatter to correlate.",
        )
    return sum(one * two for one, two in zip(from_1, from_2, strict=True)) / sqrt(squares)
