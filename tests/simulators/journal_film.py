"""The oil film of a bearing, by finite differences of Reynolds' equation; knows nothing of the core."""

from __future__ import annotations

import numpy


def sommerfeld_number(width_over_diameter: float, eccentricity: float) -> float:
    """Solve for the pressure of a film that carries no tension, and give (r/c)² μ N / P."""
    around, half_along = (360 if eccentricity > 0.85 else 180), 30
    angle = numpy.linspace(0, 2 * numpy.pi, around, endpoint=False)
    gap = 1 + eccentricity * numpy.cos(angle)
    step, along = angle[1], 1 / half_along
    east = ((gap + numpy.roll(gap, -1)) / 2) ** 3 / step**2
    west = ((gap + numpy.roll(gap, 1)) / 2) ** 3 / step**2
    side = gap**3 / width_over_diameter**2 / along**2
    middle = (east + west + 2 * side)[:, None]
    wedge = -eccentricity * numpy.sin(angle)
    colour = numpy.add.outer(numpy.arange(around), numpy.arange(half_along + 1)) % 2
    pressure = numpy.zeros((around, half_along + 1))
    for _ in range(5000):
        before = pressure.copy()
        for turn in (0, 1):
            sides = numpy.zeros_like(pressure)
            sides[:, 1:-1] = pressure[:, 2:] + pressure[:, :-2]
            sides[:, 0] = 2 * pressure[:, 1]
            solved = (
                east[:, None] * numpy.roll(pressure, -1, 0)
                + west[:, None] * numpy.roll(pressure, 1, 0)
                + side[:, None] * sides
                - wedge[:, None]
            ) / middle
            # Where the film would have to pull, it breaks and carries nothing.
            relaxed = numpy.maximum(0, pressure + 1.85 * (solved - pressure))
            relaxed[:, -1] = 0
            pressure = numpy.where(colour == turn, relaxed, pressure)
        if numpy.abs(pressure - before).max() < 1e-9 * pressure.max():
            break
    share = numpy.full(half_along + 1, along)
    share[[0, -1]] /= 2
    mean = pressure @ share
    along_line = float((mean * numpy.cos(angle)).sum() * step)
    across = float((mean * numpy.sin(angle)).sum() * step)
    return float(1 / (6 * numpy.pi * numpy.hypot(along_line, across)))
