"""What the outline of a piece says and what the network read, weighed together."""

from __future__ import annotations

from math import hypot, sqrt

from runningfit.core.photos.items import Estimate


def together(one: Estimate, other: Estimate) -> Estimate:
    """Two estimates as one, each by its weight; where they contradict each other, less sure for it.

    Parameters
    ----------
    one, other : Estimate
        Two that know nothing of each other.
    """
    weight, more = one.u_mm**-2, other.u_mm**-2
    value = (weight * one.value_mm + more * other.value_mm) / (weight + more)
    apart = abs(one.value_mm - other.value_mm) / hypot(one.u_mm, other.u_mm)
    return Estimate(value, max(1.0, apart / 2) / sqrt(weight + more))
