"""The standard length that a measured length means."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.units.lengths import MM_PER_INCH, LengthUnit, inch_fraction


@dataclass(frozen=True, slots=True)
class NominalLength:
    """A standard length, and how far a measured one is from it.

    Parameters
    ----------
    mm : float
        The standard length [mm].
    said : str
        As the trade writes it: `1 3/8 in`, `35 mm`.
    typed_mm : float
        The measured length [mm].
    deviation_mm : float
        Measured less standard [mm].
    """

    mm: float
    said: str
    typed_mm: float
    deviation_mm: float


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The standard lengths on either side of a measured one; the same one twice when it is exactly on it."""

    below: NominalLength | None
    above: NominalLength | None


@dataclass(frozen=True, slots=True)
class _Step:
    mm: float
    said: str
    minus_mm: float
    plus_mm: float


# Upper end of a range of lengths [1/64 in], step [1/64 in], and how far a piece may be short of it [in].
# ASME B18.2.1, length tolerance of hex cap screws of 1/4 to 3/8 in, from memory; nothing over is allowed
# there. Steps as bolts are stocked: common practice, no source.
_INCH_RANGES = (
    (32, 4, 0.03),
    (64, 8, 0.03),
    (160, 8, 0.04),
    (256, 8, 0.06),
    (384, 16, 0.10),
    (1280, 32, 0.18),
)
_INCH_SHORTEST = 8
# How far over is still the same length: burrs, plating, a bolt cut in the shop (common practice, no source).
_INCH_OVER = 1 / 32
_INCH_OVER_SHORT = 1 / 64

# ISO 888 nominal lengths, the bracketed ones included; from memory.
_METRIC_LENGTHS = (
    2, 2.5, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80,
    85, 90, 95, 100, 105, 110, 115, 120, 125, 130, 140, 150, 160, 170, 180, 190, 200, 220, 240, 260, 280, 300,
    320, 340, 360, 380, 400, 420, 440, 460, 480, 500,
)  # fmt: skip
# ISO 4759-1 product grade A, js15: half of IT15 of ISO 286-1, by the upper end of the range [mm]; from
# memory.
_HALF_IT15 = (
    (3, 0.20), (6, 0.24), (10, 0.29), (18, 0.35), (30, 0.42), (50, 0.50), (80, 0.60), (120, 0.70),
    (180, 0.80), (250, 0.925), (315, 1.05), (400, 1.15), (500, 1.25),
)  # fmt: skip


@cache
def _steps(series: LengthUnit) -> tuple[_Step, ...]:
    """Lay out the standard lengths of a series with the band of each."""
    if series is LengthUnit.MM:
        return tuple(
            _Step(float(mm), f"{mm:g} mm", half, half)
            for mm in _METRIC_LENGTHS
            for half in [next(half for end, half in _HALF_IT15 if mm <= end)]
        )
    steps: list[_Step] = []
    reached = _INCH_SHORTEST - _INCH_RANGES[0][1]
    for end, step, short in _INCH_RANGES:
        over = _INCH_OVER_SHORT if step < 8 else _INCH_OVER
        lengths = range(reached + step, end + 1, step)
        steps.extend(
            _Step(at * MM_PER_INCH / 64, f"{inch_fraction(at)} in", short * MM_PER_INCH, over * MM_PER_INCH)
            for at in lengths
        )
        reached = end
    return tuple(steps)


def _nominal(step: _Step, mm: float) -> NominalLength:
    return NominalLength(step.mm, step.said, mm, mm - step.mm)


def _checked(mm: float) -> None:
    if not isfinite(mm) or mm <= 0:
        raise InvalidInput(
            "length", needs="a length of more than nothing [mm]", came=mm, remedy="Measure it again."
        )


def nominal_length(mm: float, *, series: LengthUnit) -> NominalLength | None:
    """Find the standard length that a measured length means.

    Parameters
    ----------
    mm : float
        Measured length [mm].
    series : LengthUnit
        Inch or metric lengths: those of the piece's thread.

    Returns
    -------
    NominalLength or None
        The standard length whose band the measured one lies in; none when it lies between two, or outside
        the series (1/8 to 20 in, 2 to 500 mm).

    Raises
    ------
    InvalidInput
        The length is not a number above nought.

    Notes
    -----
    Inch: sixteenths to 1/2 in, eighths to 4 in, quarters to 6 in, then halves (as stocked: common practice,
    no source). A piece may be short by the tolerance of ASME B18.2.1 for the small sizes (0.03 to 0.18 in,
    from memory), the narrowest, so that a doubtful piece is asked about; and over by 1/32 in (1/64 in up to
    1/2 in), which the standard does not allow but burrs, plating and the hacksaw do. The bands never meet.
    Metric: ISO 888 lengths within js15, the length tolerance of product grade A (ISO 4759-1); from memory.
    """
    _checked(mm)
    slack = 1e-9
    for step in _steps(series):
        if step.mm - step.minus_mm - slack <= mm <= step.mm + step.plus_mm + slack:
            return _nominal(step, mm)
    return None


def neighbours(mm: float, series: LengthUnit) -> Neighbours:
    """Find the two standard lengths that a measured length lies between.

    Parameters
    ----------
    mm : float
        Measured length [mm].
    series : LengthUnit
        Inch or metric lengths.

    Returns
    -------
    Neighbours
        The one below (or on it) and the one above (or on it); none past an end of the series.

    Raises
    ------
    InvalidInput
        The length is not a number above nought.
    """
    _checked(mm)
    steps = _steps(series)
    at = bisect_left(steps, mm - 1e-9, key=lambda step: step.mm)
    above = _nominal(steps[at], mm) if at < len(steps) else None
    if above is not None and abs(above.deviation_mm) <= 1e-9:
        return Neighbours(above, above)
    return Neighbours(_nominal(steps[at - 1], mm) if at else None, above)
