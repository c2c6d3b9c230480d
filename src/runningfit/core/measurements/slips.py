"""Values that are off by a unit or a decimal place: noticed by their size, asked about, never mended."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import log10
from statistics import median

_INCH = 25.4
# A reading of the right thing lies within this share of what is usual.
_NEAR = 0.1


class Slip(StrEnum):
    """What may have happened to a value, as a person would say it."""

    INCHES = "typed in inches where the others are millimetres"
    MILLIMETRES = "typed in millimetres where the others are inches"
    DECIMAL = "typed with a slipped decimal point"


def slip_of(value: float, usual: float) -> Slip | None:
    """Say by what slip a value may be so far from what is usual.

    Parameters
    ----------
    value : float
        The value.
    usual : float
        What the others are, or what the limits are about, in the same unit.

    Returns
    -------
    Slip or None
        The likeliest slip; none where the value is near, or far off without a pattern.

    Notes
    -----
    A ratio within 10 % of 25.4 or of a power of ten other than one (common practice, no source).
    """
    if value == 0 or usual == 0 or (value < 0) != (usual < 0):
        return None
    ratio = usual / value
    if abs(ratio / _INCH - 1) <= _NEAR:
        return Slip.INCHES
    if abs(ratio * _INCH - 1) <= _NEAR:
        return Slip.MILLIMETRES
    power = round(log10(ratio))
    return Slip.DECIMAL if power and abs(ratio / 10.0**power - 1) <= _NEAR else None


def odd_one(values: Sequence[float], most_apart: float) -> tuple[int, float, Slip | None] | None:
    """Find the value that does not belong to the others, which are all of one size.

    Parameters
    ----------
    values : sequence of float
        The values, in one unit.
    most_apart : float
        By what share a value may differ from the others [-].

    Returns
    -------
    tuple of int, float and Slip or None; or None
        Which value it is, what the others are about, and by what slip it may be so; none where all belong.

    Notes
    -----
    It is the value that agrees with the fewest others, the last of them where several do: of two that
    disagree nobody knows which is wrong. What is usual is the middle of the largest group that agrees.
    """
    groups = [
        [
            other
            for at, other in enumerate(values)
            if at != index and abs(other - value) <= most_apart * abs(value)
        ]
        for index, value in enumerate(values)
    ]
    if all(len(group) == len(values) - 1 for group in groups):
        return None
    odd = min(range(len(values)), key=lambda index: (len(groups[index]), -index))
    most = max((index for index in range(len(values)) if index != odd), key=lambda index: len(groups[index]))
    usual = median([values[most], *groups[most]])
    return odd, usual, slip_of(values[odd], usual)
