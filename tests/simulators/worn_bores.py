"""Worn bores as surfaces of radii, read by a two-point gauge; nothing here comes from the code under test.

Wear runs out down the bore from the top of the ring's travel, is larger across than along, and lies more on
one side than on the other; the metal itself has waves. A gauge reads sums of two opposite radii, with an
error of its own in each reading and one that its setting ring gives to all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

# Where the true surface is looked at: every so many degrees, and so many depths.
_STEPS, _DEPTHS = 24, 33


@dataclass(frozen=True)
class Worn:
    """A bore that has run: how it wore, as radii from the axis on which it was made [mm]."""

    original_mm: float
    top_mm: float
    run_out_mm: float
    even_mm: float
    oval: float
    askew: float
    sided: float
    waves: tuple[tuple[float, float, int, float], ...]

    def diameter(self, depth_mm: float, angle: float) -> float:
        """The distance of two opposite points."""
        wear = self.even_mm + self.top_mm * math.exp(-(depth_mm - 10.0) / self.run_out_mm)
        shape = 1.0 + self.oval * (math.cos(2 * (angle - self.askew)) - 1.0) / 2
        wave = sum(
            size * math.sin(depth_mm / length + phase) * math.cos(lobes * angle)
            for size, length, lobes, phase in self.waves
        )
        return self.original_mm + max(0.0, wear * shape + wave)

    def largest(self) -> float:
        """The largest diameter between 10 and 90 mm down."""
        return max(self._all())

    def smallest(self) -> float:
        """The smallest one there."""
        return min(self._all())

    def needs_on_original(self) -> float:
        """Twice the largest radius from the axis on which it was made."""
        return max(one + self.sided * (one - self.original_mm) for one in self._all())

    def needs_on_worn(self, found_at_mm: float) -> float:
        """Twice the largest radius from the middle of the bore at a depth."""
        middle = self.sided * (self._widest(found_at_mm) - self.original_mm)
        depths = [10.0 + 80.0 * down / (_DEPTHS - 1) for down in range(_DEPTHS)]
        return max(
            across + abs(self.sided * (across - self.original_mm) - middle)
            for across in map(self._widest, depths)
        )

    def _widest(self, depth_mm: float) -> float:
        return max(self.diameter(depth_mm, math.pi * turn / _STEPS) for turn in range(_STEPS))

    def _all(self) -> list[float]:
        return [
            self.diameter(10.0 + 80.0 * down / (_DEPTHS - 1), math.pi * turn / _STEPS)
            for down in range(_DEPTHS)
            for turn in range(_STEPS)
        ]


def wear(random: Random, nominal_mm: float = 79.375, heavy: float = 1.0) -> Worn:
    """A bore worn by chance."""
    top = heavy * random.lognormvariate(math.log(0.05), 0.7)
    return Worn(
        nominal_mm, top, random.uniform(15.0, 60.0), heavy * random.uniform(0.0, 0.03),
        random.uniform(0.1, 0.6), random.gauss(0.0, math.radians(12.0)), random.triangular(0.0, 1.0, 0.0),
        tuple(
            (
                random.gauss(0.0, 0.03 * top + 0.0005), random.uniform(8.0, 30.0), 2 * random.randrange(3),
                random.uniform(0, 6),
            )
            for _ in range(3)
        ),
    )  # fmt: skip


def read(
    bore: Worn,
    random: Random,
    u_mm: float,
    shared_mm: float,
    depths: Sequence[float],
    angles: Sequence[float],
) -> list[tuple[float, float, float]]:
    """Depth, angle [degrees] and diameter of each reading, all of them off by what the ring is off."""
    return [
        (depth, angle, bore.diameter(depth, math.radians(angle)) + random.gauss(0.0, u_mm) + shared_mm)
        for depth in depths
        for angle in angles
    ]
