"""Decimal rounding as the standards round: halves go up, in decimal, not as binary floats round."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import cache


@cache
def _unit(places: int) -> Decimal:
    return Decimal(1).scaleb(-places)


def half_up(value: float, places: int) -> float:
    """Round a number to decimal places, halves upwards.

    Parameters
    ----------
    value : float
        The number, reckoned in binary floats; noise below its twelfth decimal is taken off first.
    places : int
        How many decimal places.

    Returns
    -------
    float
        The number rounded.
    """
    return float(Decimal(f"{value:.12f}").quantize(_unit(places), ROUND_HALF_UP))
