"""The surface between the readings: what it can look like, given what was read and how surfaces wear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.places import Layout, laid_out
from runningfit.core.treatments.machining.readings import Readings
from runningfit.core.treatments.machining.streams import DRAWS, Purpose, even_shares, streams_of
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.treatments.machining.weighing import Fit, drawn_together, weighed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = NDArray[np.intp]

# Rings wore a bore on above the first reading, for so much of the length read (a sixteenth to a fifth of an
# inch of three): a gauge's feet keep off the ridge (common practice, no source).
_ABOVE_LEAST, _ABOVE_MOST = 0.02, 0.06
# How many sizes of form are weighed, and to how many factors from the usual one.
_SIZES, _WIDEST = 9, 2.5
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

    usual_mm: float = 0.004
    factor: float = 2.0
    wear_mm: float = 0.1

    def __post_init__(self) -> None:
        if not (isfinite(self.usual_mm) and self.usual_mm > 0 and isfinite(self.factor) and self.factor > 1):
            raise InvalidInput(
                "straying", needs="a size of more than nothing and a factor of more than one",
                came=f"{self.usual_mm:g} mm and {self.factor:g}",
            )  # fmt: skip
        if not (isfinite(self.wear_mm) and self.wear_mm > 0):
            raise InvalidInput("usual wear", needs="more than nothing", came=f"{self.wear_mm:g} mm")


# By what wears it: what is ground is truer than what is bored, small bores and stems are scrapped before they
# are worn much, and a housing is not worn, but stretched.
USUAL_STRAYING = {
    Wearing.RINGS: Straying(),
    Wearing.JOURNAL: Straying(0.002, wear_mm=0.05),
    Wearing.GUIDE: Straying(0.003, wear_mm=0.05),
    Wearing.STEM: Straying(0.002, wear_mm=0.03),
    Wearing.HELD: Straying(0.004, wear_mm=0.02),
}


_ALIKE = (Wearing.RINGS, Wearing.JOURNAL)


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
        The diameter of each direction where it is worn most, be it beyond what was read, up to the ridge of a
        bore or the fillets of a journal [mm].
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


def draw_surfaces(readings: Sequence[Readings], straying: Straying | None = None) -> tuple[DrawnSurface, ...]:
    """Draw surfaces that agree with the readings.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those of one engine, each with a name of its own.
    straying : Straying or None
        How surfaces stray, before they are read; none for what is usual of such surfaces.

    Returns
    -------
    tuple of DrawnSurface
        One for each, in the order given; the same for the same readings, in whatever order they come.

    Raises
    ------
    InvalidInput
        No readings, or two of one name.

    Notes
    -----
    Diameter = size + amount of wear times one of `wear_forms` + normal field, whose covariance is s² times
    0.3 k + (0.6 cos 2Δθ + 0.1 cos 4Δθ)(0.7 + 0.3 k) with k = exp(-(Δz/l)²/2) and l 0.6 of the length read;
    of journals and stems 0.2 k + (0.7 cos 2Δθ + 0.1 cos 4Δθ)(0.95 + 0.05 k).
    Forms and s are weighed by how probable they make the readings of all bores that wear alike, whatever size
    and amount are (Bayes' rule, see `weighed`); before that s is lognormal and one for all, every form
    as likely as any other, the size free, and the amount half-normal: wear takes away only. Only even lobes:
    a diameter has no others. This is all common practice, no source.
    """
    streams = streams_of(readings)
    found: dict[str, DrawnSurface] = {}
    for group in worn_alike(readings):
        names = [one.name for one in group]
        drawn = draw_alike(group, tuple(streams[name] for name in names), straying)
        found.update(zip(names, drawn, strict=True))
    return tuple(found[one.name] for one in readings)


def worn_alike(readings: Sequence[Readings]) -> list[tuple[Readings, ...]]:
    """Sort bores and journals into those that wear alike in one engine, and those that wear each for itself.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those of one engine.

    Returns
    -------
    list of tuple
        The cylinder bores, the journals, and each of the others, by name (common practice, no source: what
        one valve does to its guide tells little of the next).
    """
    ordered = sorted(readings, key=lambda one: one.name)
    groups = [tuple(one for one in ordered if one.wearing is wearing) for wearing in _ALIKE]
    return [group for group in groups if group] + [(one,) for one in ordered if one.wearing not in _ALIKE]


def draw_alike(
    readings: tuple[Readings, ...], streams: tuple[int, ...], straying: Straying | None = None
) -> tuple[DrawnSurface, ...]:
    """Draw surfaces of what wears alike in one engine.

    Parameters
    ----------
    readings : tuple of BoreReadings or of JournalReadings
        One group of `worn_alike`.
    streams : tuple of int
        The stream of random numbers of each.
    straying : Straying or None
        How surfaces stray, before they are read; none for what is usual of such surfaces.

    Returns
    -------
    tuple of DrawnSurface
        One for each.
    """
    bores = tuple(_Bore.of(one, stream) for one, stream in zip(readings, streams, strict=True))
    return _drawn(bores, straying or USUAL_STRAYING[readings[0].wearing])


@dataclass(frozen=True, slots=True)
class _Bore:
    """What of the readings decides what a surface can look like, in one order."""

    means: tuple[Diameter, ...]
    repeats: tuple[int, ...]
    pits: tuple[tuple[float, float], ...]
    u_mm: float
    outward: int
    wearing: Wearing
    stream: int

    @classmethod
    def of(cls, readings: Readings, stream: int) -> _Bore:
        if not readings.points:
            raise InvalidInput(readings.name, needs="readings", came="none", remedy="Read it first.")
        places: dict[tuple[float, float], list[float]] = {}
        for one in sorted(readings.points, key=lambda one: one.diameter_mm):
            places.setdefault((one.depth_mm, one.angle_deg % 180.0), []).append(one.diameter_mm)
        return cls(
            tuple(Diameter(*place, sum(read) / len(read)) for place, read in sorted(places.items())),
            tuple(len(read) for _, read in sorted(places.items())),
            tuple(
                (pit.at_depth_mm, pit.at_angle_deg % 180.0)
                for pit in readings.pits
                if pit.at_depth_mm is not None and pit.at_angle_deg is not None
            ),
            readings.u_reading_mm, readings.outward, readings.wearing, stream,
        )  # fmt: skip


@lru_cache(maxsize=8)
def _drawn(bores: tuple[_Bore, ...], straying: Straying) -> tuple[DrawnSurface, ...]:
    import numpy as np

    steps = np.linspace(-_WIDEST, _WIDEST, _SIZES)
    sizes = _sizes_mm(straying)
    read = [_read(bore, straying) for bore in bores]
    levels = [np.array([fit.level for fit in one.fits]) for one in read]
    chosen = weighed(levels, -0.5 * steps**2, [bore.stream for bore in bores])
    whence = [one.level for one in read]
    alike = zip(
        *(drawn_together(of_size, whence) for of_size in zip(*(one.fits for one in read), strict=True)),
        strict=True,
    )
    return tuple(
        _surface(replace(one, fits=fits), sizes, chosen.sizes, forms, straying)
        for one, fits, forms in zip(read, alike, chosen.forms, strict=True)
    )


def _sizes_mm(straying: Straying) -> Floats:
    """Deviations of the form besides wear, from the usual one down and up."""
    import numpy as np

    return np.asarray(straying.usual_mm * straying.factor ** np.linspace(-_WIDEST, _WIDEST, _SIZES))


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """A bore with how its readings go with each size of the form besides wear."""

    bore: _Bore
    layout: Layout
    level: float
    value: Floats
    noise: Floats
    fits: tuple[Fit, ...]


@lru_cache(maxsize=64)
def _read(bore: _Bore, straying: Straying) -> _Read:
    """One change of an engine's readings must not weigh those of all its other bores anew."""
    import numpy as np

    places = tuple((one.depth_mm, one.angle_deg) for one in bore.means)
    layout = laid_out(places, bore.pits, bore.outward, bore.wearing)
    level = sum(one.diameter_mm for one in bore.means) / len(bore.means)
    value = np.array([one.diameter_mm - level for one in bore.means])
    noise = bore.u_mm / np.sqrt(np.array(bore.repeats, dtype=float))
    fits = tuple(Fit.of(layout, value, noise, float(size), straying.wear_mm) for size in _sizes_mm(straying))
    return _Read(bore, layout, level, value, noise, fits)


def _surface(
    read: _Read, sizes_mm: Floats, sorts: Numbers, forms: Numbers, straying: Straying
) -> DrawnSurface:
    """Draw surfaces of a bore, of these sizes and forms."""
    import numpy as np

    layout, value, noise = read.layout, read.value, read.noise
    random = np.random.default_rng([23, read.bore.stream])
    share, at_random = random.random(DRAWS), random.integers(0, layout.clear, DRAWS)
    count, places = len(value), len(layout.grid)
    normal = _normals(places + count + 1, read.bore.stream)
    # Those of the pits stand last, so that a pit more leaves all other draws as they are.
    known = layout.before_pits
    rest = known + count + 1
    of_grid = [*range(known), *range(rest, rest + places - known)]
    at_forms = np.ascontiguousarray(layout.forms.at_mm.T)
    drawn = np.empty((places, DRAWS))
    around = len(layout.angles_rad)
    above = np.empty((around, DRAWS))
    ridge = _ABOVE_LEAST + (_ABOVE_MOST - _ABOVE_LEAST) * even_shares(Purpose.ABOVE)
    ridge = ridge * layout.forms.steep[forms]
    for number, (fit, size) in enumerate(zip(read.fits, sizes_mm, strict=True)):
        # Draws stand in the order of their sizes.
        part = slice(*np.searchsorted(sorts, [number, number + 1]).tolist())
        if part.start == part.stop:
            continue
        here = normal[:, part]
        amount, base = fit.amounts(forms[part], share[part], here[known])
        field = size * _times(layout.root, here[of_grid])
        worn = amount * at_forms.take(forms[part], axis=1)
        # A field drawn before any reading is moved to what was read (Matheron's rule).
        short = value[:, None] - base - worn[layout.read] - field[layout.read]
        short -= noise[:, None] * here[known + 1 : rest]
        drawn[:, part] = base + worn + field + _times(fit.gain, short)
        above[:, part] = worn[:around] * ridge[part]
    drawn += read.level
    surface = drawn[: layout.clear].reshape(len(layout.depths), around, DRAWS)
    highest = _crests(surface, layout.angles_rad)
    lowest = -_crests(-surface, layout.angles_rad)
    at_pits = drawn[known:]
    largest = np.maximum.reduce([*highest, *at_pits])
    smallest = np.minimum.reduce([*lowest, *at_pits])
    besides = sizes_mm[sorts]
    # Beyond the ends a surface need not keep its limits, but the tool must clean it up.
    whole = drawn[:known].reshape(-1, around, DRAWS)
    worst = whole.max(axis=0) if read.bore.outward > 0 else whole.min(axis=0)
    if layout.forms.steep.any():
        worst = np.maximum(worst, surface[0] + above)
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
        worst,
        layout.forms.turn_rad[forms],
        np.minimum(besides, straying.usual_mm),
    )


def _crests(surface: Floats, angles_rad: Floats) -> Floats:
    """The largest diameter at each depth, also between the directions looked at: a parabola through three."""
    import numpy as np

    count = len(angles_rad)
    top, highest = np.zeros(surface[:, 0].shape, dtype=np.intp), surface[:, 0].copy()
    for number in range(1, count):
        top[surface[:, number] > highest] = number
        np.maximum(highest, surface[:, number], out=highest)
    if count < 3:
        return highest
    step = np.diff(angles_rad, append=angles_rad[0] + np.pi)
    ahead, behind = step[top], step[top - 1]

    def at(angle: Numbers) -> Floats:
        return np.asarray(np.take_along_axis(surface, angle[:, None, :], axis=1)[:, 0, :])

    peak = at(top)
    up, down = (peak - at((top - 1) % count)) / behind, (at((top + 1) % count) - peak) / ahead
    slope, bend = (up * ahead + down * behind) / (ahead + behind), 2 * (up - down) / (ahead + behind)
    return np.asarray(peak + slope**2 / np.maximum(2 * bend, 1e-12))


@lru_cache(maxsize=2)
def _block(rows: int) -> Floats:
    import numpy as np

    return np.random.default_rng(20).standard_normal((rows, DRAWS))


def _normals(rows: int, stream: int) -> Floats:
    """Normal numbers, the same block for all surfaces, but moved on so that no draw shares any."""
    import numpy as np

    moved: Floats = np.roll(_block(64 * (1 + rows // 64)), 389 * stream, axis=1)[:rows]
    return moved


def _times(matrix: Floats, columns: Floats) -> Floats:
    """A product in pieces too small to be dealt out to threads, which wait longer than they work."""
    import numpy as np

    found = np.empty((len(matrix), columns.shape[1]))
    step = max(16, _SMALL_PRODUCT // matrix.size)
    for first in range(0, columns.shape[1], step):
        piece = slice(first, first + step)
        found[:, piece] = matrix @ columns[:, piece]
    return found
