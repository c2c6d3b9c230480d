"""Errors that several values share: where two values have one in common, it cancels in their difference."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True, slots=True)
class SharedPart:
    """What one error, shared by several values, adds to one of them.

    Parameters
    ----------
    key : str
        Which error it is, such as that of one calibration or of one ring.
    u : float
        By how much the value moves with one standard deviation of that error, with its sign; in the unit of
        the value.
    """

    key: str
    u: float


def u_of_sum(terms: Iterable[tuple[float, Iterable[SharedPart]]]) -> float:
    """Give the standard uncertainty that shared errors bring into a sum of values.

    Parameters
    ----------
    terms : iterable of (float, iterable of SharedPart)
        How often each value counts, -1 where it is taken off, and the shared errors in it.

    Returns
    -------
    float
        The standard uncertainty, in the unit of the values, without what is each value's own.

    Notes
    -----
    u² = Σk (Σi ci uik)²: errors of one key are fully correlated, those of different keys are independent
    (JCGM 100:2008, 5.2.2 with F.1.2.3, from memory).
    """
    moved: dict[str, float] = {}
    for factor, parts in terms:
        for part in parts:
            moved[part.key] = moved.get(part.key, 0.0) + factor * part.u
    return sqrt(sum(one * one for one in moved.values()))


def u_in_common(first: Iterable[SharedPart], second: Iterable[SharedPart]) -> float:
    """Give the standard uncertainty that two values have in common, so that it cancels in their difference.

    Parameters
    ----------
    first, second : iterable of SharedPart
        The shared errors of each.

    Returns
    -------
    float
        The root of their covariance, in the unit of the values; nothing where they err against each other.

    Notes
    -----
    cov = Σk u1k u2k over the keys that both have (JCGM 100:2008, F.1.2.3, from memory).
    """
    of_first: dict[str, float] = {}
    for part in first:
        of_first[part.key] = of_first.get(part.key, 0.0) + part.u
    return sqrt(max(0.0, sum(of_first.get(part.key, 0.0) * part.u for part in second)))
