"""Whole fits as a shop meets them: parts with form, gauges that err, warm benches; nothing of the code under
test.

A shop has one micrometer, one bore gauge that is set in it or on a ring, and one thermometer. Each errs by an
amount that it keeps all day; each reading scatters and is read to a step. Parts and gauges are as warm as the
bench, the gauge a little warmer from the hand. What is told of a gauge is what a shop could know: its
certificate, its drift, and the scatter that ten readings of one place showed; or that nobody tried it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from random import Random
from statistics import stdev


class Population(Enum):
    """Where the fits of a shop come from."""

    WORN = "worn"
    OTHER_HANDS = "other hands"
    ANYTHING = "anything"
    ALL_COMERS = "all comers"
    BORDERLINE = "borderline"


# Of all that comes in: worn as it was made, bored or ground by others, and put together of other engines.
_SHARES = {Population.WORN: 0.5, Population.OTHER_HANDS: 0.3, Population.ANYTHING: 0.2}


@dataclass(frozen=True)
class Sort:
    """One sort of fit, as it is made and measured; lengths in mm.

    ``limits`` are of the clearance, of a press fit of the interference. ``form`` is how far a part is usually
    out of its mean size. ``inside_step`` and ``inside_scatter`` are those of the gauge that reads the hole.
    """

    name: str
    sizes: tuple[float, float]
    limits: tuple[float, float]
    hole_points: int
    shaft_points: int
    form: tuple[float, float]
    hole_metal: str
    shaft_metal: str
    inside_step: float = 0.001
    inside_scatter: float = 0.0015
    outside_step: float = 0.001
    shells: bool = False
    crush: tuple[float, float] | None = None
    press: bool = False

    @property
    def width(self) -> float:
        """From limit to limit."""
        return self.limits[1] - self.limits[0]


SORTS = (
    Sort("piston", (60.0, 100.0), (0.030, 0.070), 6, 2, (0.004, 0.002), "grey cast iron", "aluminium"),
    Sort(
        "bearing", (50.0, 70.0), (0.025, 0.060), 2, 4, (0.002, 0.003), "grey cast iron", "steel",
        shells=True, crush=(0.003, 0.009),
    ),
    Sort("bush", (20.0, 40.0), (0.020, 0.050), 2, 4, (0.003, 0.002), "bronze", "steel"),
    Sort(
        "guide", (6.0, 10.0), (0.030, 0.065), 2, 2, (0.004, 0.002), "bronze", "steel", 0.005, 0.003,
    ),
    Sort(
        "end_float", (25.0, 40.0), (0.10, 0.20), 1, 1, (0.0, 0.0), "steel", "steel", 0.01, 0.003,
        outside_step=0.01,
    ),
    Sort(
        "press", (25.0, 40.0), (0.020, 0.055), 2, 2, (0.002, 0.002), "aluminium", "steel", press=True,
    ),
)  # fmt: skip

# How the metals of old engines expand, piece by piece, for each kelvin.
_PER_K = {
    "grey cast iron": (10.2e-6, 11.4e-6),
    "steel": (11.0e-6, 12.4e-6),
    "aluminium": (20.5e-6, 23.5e-6),
    "bronze": (17.0e-6, 18.5e-6),
}


@dataclass(frozen=True)
class Told:
    """What a shop can say of a gauge; lengths in mm, ``repeat`` none where nobody tried how it scatters."""

    step: float
    certificate: float
    drift: float
    months: int
    ring_u: float
    repeat: float | None


@dataclass(frozen=True)
class Gauge:
    """A gauge as it truly is: what it reads too much, how it scatters and expands; and what is told of it."""

    error: float
    scatter: float
    per_k: float
    told: Told

    def read(self, random: Random, size_20: float, per_k: float, part_c: float, gauge_c: float) -> float:
        """What it shows of a size."""
        warm = size_20 * (1 + per_k * (part_c - 20.0)) / (1 + self.per_k * (gauge_c - 20.0))
        return stepped(warm + self.error + random.gauss(0.0, self.scatter), self.told.step)


@dataclass(frozen=True)
class Part:
    """A part at 20 °C: its size at each place where it is read."""

    sizes: tuple[float, ...]


@dataclass(frozen=True)
class Pair:
    """A hole and a shaft, as they are and as they were read, place by place and time by time."""

    hole: Part
    shaft: Part
    hole_read: tuple[tuple[float, ...], ...]
    shaft_read: tuple[tuple[float, ...], ...]
    least: float
    most: float


@dataclass(frozen=True)
class Fit:
    """A fit with its pairs, all read with the same gauges on the same bench.

    ``set_in_micrometer`` says how the bore gauge was set; ``thermometer_c`` what was written down.
    """

    sort: Sort
    nominal: float
    pairs: tuple[Pair, ...]
    inside: Gauge
    outside: Gauge
    set_in_micrometer: bool
    thermometer_c: float
    shell_read: float | None
    shell_u: float | None
    limits: tuple[float, float] = field(default=(0.0, 0.0))

    def keeps(self, pair: Pair) -> bool:
        """Whether a pair truly keeps the limits everywhere that it was read."""
        return self.limits[0] <= pair.least and pair.most <= self.limits[1]


def stepped(value: float, step: float) -> float:
    """What a scale of some step shows of a value."""
    return round(round(value / step) * step, 6)


def _gauge(
    random: Random, step: float, scatter: float, per_k: float, *, own_ring: bool, tried: bool
) -> Gauge:
    true_scatter = scatter * random.lognormvariate(0.0, 0.35)
    certificate = random.choice((0.001, 0.002, 0.003)) * max(1.0, step / 0.005)
    drift = random.choice((0.0, 0.001, 0.002))
    ring_u = random.choice((0.0005, 0.001, 0.002)) if own_ring else 0.0
    months = random.randrange(0, 12)
    error = random.gauss(0.0, certificate / 2) + random.uniform(-drift, drift) + random.gauss(0.0, ring_u)
    repeat = None
    if tried:
        place = random.uniform(0.0, step)
        repeat = stdev([stepped(place + random.gauss(0.0, true_scatter), step) for _ in range(10)])
    return Gauge(error, true_scatter, per_k, Told(step, certificate, drift, months, ring_u, repeat))


def _part(random: Random, middle: float, form: float, points: int) -> Part:
    """A part with taper, oval and waves: how much of each is the part's own."""
    if points == 1 or form == 0.0:
        return Part((middle,) * points)
    much = form * random.lognormvariate(0.0, 0.6)
    taper = random.gauss(0.0, 0.8) * much
    off = [
        taper * (2 * at / (points - 1) - 1) + random.gauss(0.0, 0.7) * much + (much if at % 2 else -much) / 2
        for at in range(points)
    ]
    return Part(tuple(middle + one for one in off))


def level(random: Random, sort: Sort, population: Population) -> float:
    """The mean clearance of a fit, of a press fit the interference."""
    low, high = sort.limits
    if population is Population.ALL_COMERS:
        population = random.choices(list(_SHARES), list(_SHARES.values()))[0]
    if population is Population.BORDERLINE:
        return random.choice((low, high)) + random.uniform(-0.4, 0.4) * sort.width
    if population is Population.ANYTHING:
        return random.uniform(low - 1.5 * sort.width, high + 1.5 * sort.width)
    if population is Population.OTHER_HANDS:
        return random.gauss((low + high) / 2, 0.9 * sort.width)
    made = random.gauss((low + high) / 2, 0.3 * sort.width)
    worn = random.expovariate(1 / (0.6 * sort.width)) if random.random() < 0.65 else 0.0
    return made - worn if sort.press else made + worn


def drawn(random: Random, sort: Sort, population: Population, *, pairs: int = 1, tried: bool = True) -> Fit:
    """A fit by chance, and its readings."""
    nominal = round(random.uniform(*sort.sizes), 1)
    per_k = {end: random.uniform(*_PER_K[metal]) for end, metal in
             (("hole", sort.hole_metal), ("shaft", sort.shaft_metal))}  # fmt: skip
    outside = _gauge(
        random, sort.outside_step, 0.001, random.uniform(10.9e-6, 12.1e-6), own_ring=True, tried=tried
    )
    set_in = random.random() < 0.6
    inside = _gauge(
        random, sort.inside_step, sort.inside_scatter,
        outside.per_k if set_in else random.uniform(11.4e-6, 11.6e-6), own_ring=not set_in, tried=tried,
    )  # fmt: skip
    if set_in:
        # What the micrometer errs by goes with it, and how far off its mark it stood when it was set.
        half = outside.told.step / 2
        setting = outside.error + random.gauss(0.0, outside.scatter) + random.uniform(-half, half)
        inside = Gauge(inside.error + setting, inside.scatter, inside.per_k, inside.told)
    bench_c = random.uniform(12.0, 28.0)
    hand_c = random.uniform(0.0, 0.6)
    thermometer_c = stepped(bench_c + random.uniform(-1.0, 1.0), 0.5)
    shell, shell_u, shell_read = 0.0, None, None
    if sort.shells:
        shell, shell_u = random.uniform(1.80, 2.10), random.choice((0.0005, 0.001, 0.0015))
        shell_read = shell + random.gauss(0.0, shell_u)
    crush = random.uniform(*sort.crush) if sort.crush else 0.0
    found = []
    for _ in range(pairs):
        aim = level(random, sort, population)
        gap = -aim if sort.press else aim
        hole = _part(random, nominal + random.uniform(0.0, 0.02), sort.form[0], sort.hole_points)
        middle = sum(hole.sizes) / len(hole.sizes) + crush - 2 * shell - gap
        shaft = _part(random, middle, sort.form[1], sort.shaft_points)
        times = 1 if tried else 3

        def shows(gauge: Gauge, part: Part, end: str, times: int = times) -> tuple[tuple[float, ...], ...]:
            return tuple(
                tuple(gauge.read(random, size, per_k[end], bench_c, bench_c + hand_c) for _ in range(times))
                for size in part.sizes
            )

        close = min(hole.sizes) - max(shaft.sizes) - 2 * shell + crush
        wide = max(hole.sizes) - min(shaft.sizes) - 2 * shell + crush
        least, most = (-wide, -close) if sort.press else (close, wide)
        found.append(
            Pair(hole, shaft, shows(inside, hole, "hole"), shows(outside, shaft, "shaft"), least, most)
        )
    return Fit(
        sort, nominal, tuple(found), inside, outside, set_in, thermometer_c, shell_read, shell_u, sort.limits
    )


def many(
    seed: int, count: int, population: Population, sorts: Sequence[Sort] = SORTS, *, pairs: int = 1
) -> list[Fit]:
    """Fits of all sorts in turn; of every fifth the scatter of the gauges was never tried, so all was read
    three times."""
    random = Random(seed)
    return [
        drawn(random, sorts[at % len(sorts)], population, pairs=pairs, tried=at // len(sorts) % 5 != 4)
        for at in range(count)
    ]
