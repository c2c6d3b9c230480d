"""The surface between the readings: what it can look like, given what was read and how surfaces wear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import isfinite, radians
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.readings import Readings
from runningfit.core.treatments.machining.wear_forms import FORMS, WearForms, below, quantiles, wear_forms

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# How many surfaces are drawn: a probability of a half is then known to 0.8 points.
DRAWS = 4096
# Shares of the form besides wear: rings of one size, the oval, four lobes; and how far along the axis it
# keeps its shape, as a share of the length read (common practice, no source).
_RINGS, _OVAL, _FOUR, _REACH = 0.3, 0.5, 0.2, 0.6
# Between measured directions the surface is looked at every so many degrees.
_STEP_DEG = 15.0
# How many sizes of form are weighed, and to how many factors from the usual one.
_SIZES, _WIDEST = 9, 2.5
_MOST_DEPTHS = 8
_SMALL_PRODUCT = 250_000


@dataclass(frozen=True, slots=True)
class Straying:
    """How far a surface strays from one size, before it is read (common practice, no source).

    Parameters
    ----------
    usual_mm, factor : float
        The standard deviation of its form besides wear, as made and as distorted since: the middle of what is
        usual [mm], and the factor up and down within which two of three lie [-]. The readings tell more.
    wear_mm : float
        What is usual of the wear on diameter where it is worst, as the deviation of a normal distribution of
        which only the half above nothing counts [mm].
    """

    usual_mm: float = 0.003
    factor: float = 2.0
    wear_mm: float = 0.2

    def __post_init__(self) -> None:
        if not (isfinite(self.usual_mm) and self.usual_mm > 0 and isfinite(self.factor) and self.factor > 1):
            raise InvalidInput(
                "straying", needs="a size of more than nothing and a factor of more than one",
                came=f"{self.usual_mm:g} mm and {self.factor:g}",
            )  # fmt: skip
        if not (isfinite(self.wear_mm) and self.wear_mm > 0):
            raise InvalidInput("usual wear", needs="more than nothing", came=f"{self.wear_mm:g} mm")


USUAL_STRAYING = Straying()


@dataclass(frozen=True, slots=True, eq=False)
class DrawnSurface:
    """Surfaces that agree with the readings, before what the gauge shares is taken off.

    Parameters
    ----------
    largest_mm, smallest_mm : array of float, one for each draw
        The largest and the smallest diameter of the whole surface [mm].
    out_of_round_mm, taper_mm : array of float
        The largest difference within one depth, and the mean diameter at the least depth less that at the
        greatest [mm].
    at_pits_mm : tuple of array of float
        The diameter where each pit lies whose place was told [mm], in the order told.
    anywhere_mm, anywhere_rad : array of float
        The diameter at a place drawn by chance [mm], and its direction [rad].
    straying_mm : float
        The standard deviation of the form besides wear that the readings speak for [mm].
    unread_mm : float
        By how much the largest place lies beyond the largest place read, on average [mm].
    angles_rad : array of float
        The directions looked at [rad].
    outermost_mm : array of float, directions by draws
        The diameter of each direction where it is worn most [mm].
    turn_rad : array of float
        The direction in which it is worn most [rad].
    odd_mm : array of float
        The standard deviation that odd lobes may have, which no diameter shows [mm].
    """

    largest_mm: Floats
    smallest_mm: Floats
    out_of_round_mm: Floats
    taper_mm: Floats
    at_pits_mm: tuple[Floats, ...]
    anywhere_mm: Floats
    anywhere_rad: Floats
    straying_mm: float
    unread_mm: float
    angles_rad: Floats
    outermost_mm: Floats
    turn_rad: Floats
    odd_mm: Floats


def draw_surfaces(readings: Readings, straying: Straying = USUAL_STRAYING, stream: int = 0) -> DrawnSurface:
    """Draw surfaces that agree with the readings.

    Parameters
    ----------
    readings : BoreReadings or JournalReadings
        What was read.
    straying : Straying
        How surfaces stray, before they are read.
    stream : int
        Which stream of random numbers; bores of one engine have each their own.

    Returns
    -------
    DrawnSurface
        The same for the same readings, in whatever order they come.

    Raises
    ------
    InvalidInput
        No readings.

    Notes
    -----
    Diameter = size + amount of wear times one of `wear_forms` + normal field, whose covariance is
    s² exp(-(Δz/l)²/2) times 0.3 + 0.5 cos 2Δθ + 0.2 cos 4Δθ with l 0.6 of the length read. Forms and s are
    weighed by how probable they make the readings, whatever size and amount are (Bayes' rule); before that s
    is lognormal, every form as likely as any other, the size free, and the amount half-normal: wear takes
    away only. Only even lobes: a diameter has no others. This is all common practice, no source.
    """
    if not readings.points:
        raise InvalidInput(readings.name, needs="readings", came="none", remedy="Read it first.")
    places: dict[tuple[float, float], list[float]] = {}
    for one in sorted(readings.points, key=lambda one: one.diameter_mm):
        places.setdefault((one.depth_mm, one.angle_deg % 180.0), []).append(one.diameter_mm)
    means = tuple(Diameter(*place, sum(read) / len(read)) for place, read in sorted(places.items()))
    repeats = tuple(len(read) for _, read in sorted(places.items()))
    placed = tuple(
        (pit.at_depth_mm, pit.at_angle_deg % 180.0)
        for pit in readings.pits
        if pit.at_depth_mm is not None and pit.at_angle_deg is not None
    )
    return _drawn(means, repeats, placed, readings.u_reading_mm, readings.outward, straying, stream)


@lru_cache(maxsize=128)
def _drawn(
    means: tuple[Diameter, ...],
    repeats: tuple[int, ...],
    pits: tuple[tuple[float, float], ...],
    u_mm: float,
    outward: int,
    straying: Straying,
    stream: int,
) -> DrawnSurface:
    """One change of an engine's readings must not draw all its other surfaces anew."""
    import numpy as np

    layout = _laid_out(tuple((one.depth_mm, one.angle_deg) for one in means), pits, outward)
    level = sum(one.diameter_mm for one in means) / len(means)
    value = np.array([one.diameter_mm - level for one in means])
    noise = u_mm / np.sqrt(np.array(repeats, dtype=float))
    sizes = _sizes(straying)
    fits = [_Fit.of(layout, value, noise, size, weight, straying.wear_mm) for size, weight in sizes]
    weights = np.concatenate([one.level for one in fits])
    weights = np.cumsum(np.exp(weights - weights.max()))
    chosen = np.searchsorted(weights, (np.arange(DRAWS) + 0.5) / DRAWS * weights[-1])
    # Which draw belongs to which form must not be the same for all bores.
    random = np.random.default_rng([21, stream])
    random.shuffle(chosen)
    forms, sorts = chosen % FORMS, chosen // FORMS
    share, at_random = random.random(DRAWS), random.integers(0, layout.clear, DRAWS)
    count, places = len(means), len(layout.grid)
    normal = _normals(places + count + 1, stream)
    # Those of the pits stand last, so that a pit more leaves all other draws as they are.
    rest = layout.clear + count + 1
    of_grid = [*range(layout.clear), *range(rest, rest + len(pits))]
    drawn = np.empty((places, DRAWS))
    for number, (fit, (size, _)) in enumerate(zip(fits, sizes, strict=True)):
        part = np.flatnonzero(sorts == number)
        if not len(part):
            continue
        here = normal[:, part]
        amount, base = fit.amounts(forms[part], share[part], here[layout.clear])
        field = size * _times(layout.root, here[of_grid])
        worn = amount * layout.forms.at_mm[forms[part]].T
        # A field drawn before any reading is moved to what was read (Matheron's rule).
        short = value[:, None] - base - worn[layout.read] - field[layout.read]
        short -= noise[:, None] * here[layout.clear + 1 : rest]
        drawn[:, part] = base + worn + field + _times(fit.gain, short)
    drawn += level
    surface = drawn[: layout.clear].reshape(len(layout.depths), len(layout.angles_rad), DRAWS)
    highest, lowest = surface.max(axis=1), surface.min(axis=1)
    at_pits = drawn[layout.clear :]
    largest = np.maximum.reduce([*highest, *at_pits])
    smallest = np.minimum.reduce([*lowest, *at_pits])
    besides = np.array([size for size, _ in sizes])[sorts]
    return DrawnSurface(
        largest,
        smallest,
        (highest - lowest).max(axis=0),
        surface[0].mean(axis=0) - surface[-1].mean(axis=0),
        tuple(at_pits),
        drawn[at_random, np.arange(DRAWS)],
        layout.grid[at_random, 1],
        float(besides.mean()),
        float((largest - drawn[layout.read].max(axis=0)).mean()),
        layout.angles_rad,
        surface.max(axis=0) if outward > 0 else surface.min(axis=0),
        layout.forms.turn_rad[forms],
        np.minimum(besides, straying.usual_mm),
    )


@lru_cache(maxsize=2)
def _block(rows: int) -> Floats:
    import numpy as np

    return np.random.default_rng(20).standard_normal((rows, DRAWS))


def _normals(rows: int, stream: int) -> Floats:
    """Normal numbers, the same block for all surfaces, but moved on so that no draw shares any."""
    import numpy as np

    moved: Floats = np.roll(_block(64 * (1 + rows // 64)), 389 * stream, axis=1)[:rows]
    return moved


def _sizes(straying: Straying) -> list[tuple[float, float]]:
    """Deviations of the form, from the usual one down and up, each with the logarithm of its weight."""
    steps = [_WIDEST * (2 * index / (_SIZES - 1) - 1) for index in range(_SIZES)]
    return [(straying.usual_mm * straying.factor**step, -0.5 * step * step) for step in steps]


@dataclass(frozen=True, slots=True, eq=False)
class _Layout:
    """What depends only on where was read: the places looked at, those of pits last, and what they may do."""

    depths: list[float]
    angles_rad: Floats
    grid: Floats
    clear: int
    read: NDArray[np.intp]
    forms: WearForms
    covariance: Floats
    root: Floats


@lru_cache(maxsize=16)
def _laid_out(
    places: tuple[tuple[float, float], ...], pits: tuple[tuple[float, float], ...], outward: int
) -> _Layout:
    import numpy as np

    depths, angles, grid = _grid(places, pits)
    order = {place: at for at, place in enumerate((depth, angle) for depth in depths for angle in angles)}
    far = (grid[:, None, 0] - grid[None, :, 0]) / (_REACH * ((depths[-1] - depths[0]) or 1.0))
    around = 2 * (grid[:, None, 1] - grid[None, :, 1])
    lobes = _RINGS + _OVAL * np.cos(around) + _FOUR * np.cos(2 * around)
    covariance = np.exp(-0.5 * far**2) * lobes
    return _Layout(
        depths,
        np.radians(np.array(angles)),
        grid,
        len(order),
        np.array([order[place] for place in places]),
        wear_forms(grid, tuple(sorted({angle for _, angle in places})), outward),
        covariance,
        np.asarray(np.linalg.cholesky(covariance + 1e-7 * np.eye(len(grid))), dtype=np.float64),
    )


def _grid(
    places: Sequence[tuple[float, float]], pits: Sequence[tuple[float, float]]
) -> tuple[list[float], list[float], Floats]:
    """Where the surface is looked at: depths, directions, and all places with those of pits behind."""
    import numpy as np

    depths = sorted({depth for depth, _ in places})
    angles = {angle for _, angle in places}
    if len(depths) <= _MOST_DEPTHS:
        depths = sorted({*depths, *((low + high) / 2 for low, high in pairwise(depths))})
    if len(angles) * _STEP_DEG < 180.0:
        angles |= {index * _STEP_DEG for index in range(round(180.0 / _STEP_DEG))}
    ordered = sorted(angles)
    found = [(depth, radians(angle)) for depth in depths for angle in ordered]
    found += [(min(max(depth, depths[0]), depths[-1]), radians(angle)) for depth, angle in pits]
    return depths, ordered, np.array(found)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """How the readings go with each form of wear, for one size of the form besides."""

    level: Floats
    middle: Floats
    deviation: Floats
    base: float
    base_slope: Floats
    base_deviation: float
    gain: Floats

    @classmethod
    def of(
        cls, layout: _Layout, value: Floats, noise: Floats, size_mm: float, weight: float, wear_mm: float
    ) -> _Fit:
        """Size and amount of wear by least squares, and how probable the readings are whatever both are."""
        import numpy as np

        at, count = layout.read, len(value)
        own = size_mm**2 * layout.covariance[np.ix_(at, at)] + np.diag(noise**2)
        factor = np.linalg.cholesky(own)
        white = np.linalg.solve(factor, np.column_stack([np.ones(count), value, layout.forms.at_mm[:, at].T]))
        one, told, forms = white[:, 0], white[:, 1], white[:, 2:]
        square = float(one @ one)
        base, slope = float(one @ told) / square, (one @ forms) / square
        told, forms = told - one * base, forms - np.outer(one, slope)
        precision = (forms**2).sum(axis=0) + 1 / wear_mm**2
        middle = (told @ forms) / precision
        level = (
            weight - np.log(np.diagonal(factor)).sum() - 0.5 * np.log(square) - 0.5 * np.log(precision)
            - 0.5 * (told @ told - precision * middle**2) + np.log(below(middle * np.sqrt(precision)) + 1e-12)
        )  # fmt: skip
        gain = np.asarray(np.linalg.solve(own, size_mm**2 * layout.covariance[at]).T, dtype=np.float64)
        return cls(level, middle, 1 / np.sqrt(precision), base, slope, 1 / float(np.sqrt(square)), gain)

    def amounts(self, forms: NDArray[np.intp], share: Floats, normal: Floats) -> tuple[Floats, Floats]:
        """Amounts of wear of these forms, none below nothing, and the sizes before wear that go with them."""
        import numpy as np

        middle, deviation = self.middle[forms], self.deviation[forms]
        least = below(-middle / deviation)
        amount = np.maximum(middle + deviation * quantiles(least + (1 - least) * share), 0.0)
        return amount, self.base - amount * self.base_slope[forms] + self.base_deviation * normal


def _times(matrix: Floats, columns: Floats) -> Floats:
    """A product in pieces too small to be dealt out to threads, which wait longer than they work."""
    import numpy as np

    found = np.empty((len(matrix), columns.shape[1]))
    step = max(16, _SMALL_PRODUCT // matrix.size)
    for first in range(0, columns.shape[1], step):
        piece = slice(first, first + step)
        found[:, piece] = matrix @ columns[:, piece]
    return found
