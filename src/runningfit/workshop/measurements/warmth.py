"""What a length read warm or cold is at 20 °C: one factor for a piece, and what is unsure of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

from runningfit.core.measurements.uncertainty.inputs import Shape, half_width_u
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C, Measured
from runningfit.core.measurements.uncertainty.shared import SharedPart
from runningfit.core.measurements.uncertainty.temperature import Thermal, length_at_20_c

# Common practice, no source: what a shop thermometer errs by, how far from 20 °C a bench is that nobody took
# the temperature of, and how far the expansion of a metal lies from its figure in a table; either way.
THERMOMETER_K = 1.0
BENCH_K = 5.0
EXPANSION_PER_K = 1e-6


@dataclass(frozen=True, slots=True)
class Metal:
    """How a piece or a gauge expands.

    Parameters
    ----------
    key : str
        By which it is known that two pieces are of one metal, and so expand wrongly together.
    low_per_k, high_per_k : float
        Both ends of its coefficient [1/K].
    known : bool
        Whether anybody said what metal it is.
    """

    key: str
    low_per_k: float
    high_per_k: float
    known: bool = True

    @property
    def measured(self) -> Measured:
        """The middle of its ends, which it lies anywhere between."""
        half = max((self.high_per_k - self.low_per_k) / 2, EXPANSION_PER_K)
        return Measured((self.low_per_k + self.high_per_k) / 2, half_width_u(half, Shape.RECTANGULAR))

    def farthest_from(self, per_k: float) -> float:
        """Return the end that differs most from another coefficient [1/K]."""
        return max((self.low_per_k, self.high_per_k), key=lambda end: abs(end - per_k))


@dataclass(frozen=True, slots=True)
class Warmth:
    """What a length as read is multiplied by, and what is unsure of that.

    Parameters
    ----------
    factor : float
        Length at 20 °C over length as read [-].
    parts : tuple of SharedPart
        What each error adds to a length of one; all lengths of the piece share them.
    """

    factor: float
    parts: tuple[SharedPart, ...]

    @property
    def u(self) -> float:
        """The standard uncertainty of the factor [-]."""
        return sqrt(sum(part.u**2 for part in self.parts))


@lru_cache(maxsize=512)
def warmth(
    piece: Metal,
    gauge: Metal,
    temperature_c: float | None,
    *,
    gauge_c: float | None = None,
    where: str = "",
) -> Warmth:
    """Return what brings a reading to 20 °C.

    Parameters
    ----------
    temperature_c, gauge_c : float or None
        Of the piece [°C], none where nobody took it; of the gauge where it is another one.
    where : str
        Names the bench that nobody took the temperature of.

    Notes
    -----
    Where the metal or the temperature is not known nothing is moved; how far it may lie is then counted, for
    the metal at the end that matters most.
    """
    gauge_per_k = gauge.measured
    if temperature_c is None:
        farthest = piece.measured.value if piece.known else piece.farthest_from(gauge_per_k.value)
        bench = half_width_u(BENCH_K, Shape.RECTANGULAR)
        return Warmth(1.0, (SharedPart(f"bench {where}", bench * (gauge_per_k.value - farthest)),))
    off = temperature_c - REFERENCE_TEMPERATURE_C
    if not piece.known:
        most = off * (gauge_per_k.value - piece.farthest_from(gauge_per_k.value))
        return Warmth(1.0, (SharedPart(f"metal {piece.key}", half_width_u(abs(most), Shape.RECTANGULAR)),))
    found = length_at_20_c(
        Measured(1.0, 0.0),
        Thermal(Measured(temperature_c, 0.0), piece.measured),
        Thermal(Measured(temperature_c if gauge_c is None else gauge_c, 0.0), gauge_per_k),
        thermometer_u_c=half_width_u(THERMOMETER_K, Shape.RECTANGULAR),
    )
    keys = {
        "thermometer": "thermometer",
        "part_expansion": f"metal {piece.key}",
        "gauge_expansion": f"metal {gauge.key}",
    }
    parts = tuple(
        SharedPart(keys[one.name], one.sensitivity * one.measured.u)
        for one in found.contributions
        if one.name in keys and one.measured.u
    )
    return Warmth(found.measured.value, parts)
