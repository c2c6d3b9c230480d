"""How much likelier two measured pieces are as one piece, or as two of one make, than as any two."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from runningfit.core.photos.items import Look, PhotoItem
from runningfit.core.pieces.kinds import Kind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Grid = NDArray[np.float64]

_SIZES = (
    "length", "major", "pitch", "head_across_flats", "outside", "inside", "thickness", "width",
)  # fmt: skip
LENGTH, MAJOR, PITCH, _FLATS, _OUTSIDE, _INSIDE, _THICKNESS, _WIDTH = range(len(_SIZES))
# Sizes of any loose piece: middle [mm] and spread of its logarithm; common practice, no source.
_MIDDLES_MM = np.array([28.0, 8.0, 1.2, 13.0, 16.0, 8.0, 3.0, 10.0])
_SPREADS = np.array([0.65, 0.35, 0.35, 0.35, 0.4, 0.4, 0.7, 0.6])
# Where another size of the piece is known, this one follows it within a narrower spread: (of, share, spread).
_FOLLOWS = {
    PITCH: (MAJOR, 0.13, 0.28),
    _FLATS: (MAJOR, 1.6, 0.12),
    _INSIDE: (_OUTSIDE, 0.55, 0.2),
}
# A size may be read worse than its uncertainty says: how often, and by how much; or be of something else.
_POOR, _POOR_TIMES, GROSS = 0.01, 4.0, 0.003
# Pieces of one make differ by this [share of the size, and mm].
_MAKE_SHARE, _MAKE_MM = 0.003, 0.1
THREADS_IN_USE = 60
THREAD_DOUBT, KIND_DOUBT, _LOOK_DOUBT = 0.003, 0.001, 0.15
# How seldom one photo shows a thread, or a length, of a piece of which the other shows none.
UNSEEN = 0.1
# Kinds that photos hardly tell apart, and that take each other's place.
_FAMILIES = {Kind.SETSCREW: Kind.HEX_BOLT, Kind.FIBRE_WASHER: Kind.PLAIN_WASHER}
KINDS_IN_USE = 10
# A swapped piece differs in length by about twice this [mm], seldom by next to nothing.
_LENGTH_STEP_MM = 5.0
_LENGTH_SHARE, _THREAD_SHARE = 0.4, 0.5
# Of another thread, it is of about this other diameter [logarithm], by major diameter or by the flats.
_DIAMETER_STEP = 0.15
# A bolt of another thread has the same hexagon as often as not, such as UNF for UNC.
_SAME_HEAD = 0.5


@dataclass(frozen=True, slots=True)
class Likeness:
    """Likelihood ratios of pairs of pieces, rows by columns.

    Parameters
    ----------
    same : ndarray
        Of one and the same piece against any two.
    swapped : ndarray
        Of a piece that came in place of the other against any two: of its kind, another thread or length.
    """

    same: Grid
    swapped: Grid


def family(kind: Kind) -> Kind:
    """The kind that stands for those that a photo hardly tells apart.

    Parameters
    ----------
    kind : Kind
        The kind of a piece.

    Returns
    -------
    Kind
        A setscrew is a hex bolt here, a fibre washer a plain one.
    """
    return _FAMILIES.get(kind, kind)


def likeness(
    before: Sequence[PhotoItem],
    after: Sequence[PhotoItem],
    *,
    scale_ratio: float = 1.0,
    look_may_change: bool = True,
    one_make: bool = False,
) -> Likeness:
    """Weigh each pair of pieces: one piece, one that came in its place, or any two.

    Parameters
    ----------
    before, after : sequence of PhotoItem
        The pieces, of which those that could not be measured may be any piece.
    scale_ratio : float
        Sizes of the second photo over those of the first.
    look_may_change : bool
        True leaves looks out.
    one_make : bool
        True asks for pieces of one make rather than for one piece, which allows them to differ a little.

    Returns
    -------
    Likeness
        Ratios above 0, rows as before, columns as after.

    Notes
    -----
    Sizes are normal about their truth and their truths log-normal; thread probabilities are taken as those
    under even odds of the threads in use, so that the ratio is the sum of their products over the share of
    each thread. Where both pieces have thread probabilities these stand for diameter and pitch, from which
    they were made.
    """
    first, second = LogSizes.of(before)[:, None], LogSizes.of(after)[None, :]
    first, second = first.scaled(np.log(scale_ratio) / 2), second.scaled(-np.log(scale_ratio) / 2)
    sizes = _size_ratios(first, second, one_make=one_make)
    kinds = _share_ratios(
        [kinds_of(one) for one in before], [kinds_of(one) for one in after], KINDS_IN_USE, KIND_DOUBT
    )
    threads, threaded = _thread_ratios(before, after)
    sizes[:, :, MAJOR][threaded] = 1.0
    sizes[:, :, PITCH][threaded] = 1.0
    steps = length_steps(first, second)
    # A length that is read off something else is as likely near the true one as anywhere.
    sizes[:, :, LENGTH] += GROSS * np.where(np.isfinite(steps), steps, 0.0)
    looks = np.ones_like(kinds)
    if not look_may_change:
        looks = _share_ratios(
            [_looks(one) for one in before], [_looks(one) for one in after], len(Look), _LOOK_DOUBT
        )
    same = kinds * looks * threads * sizes.prod(axis=2) * _length_seen(before, after)
    unmeasured = _unmeasured(before)[:, None] | _unmeasured(after)[None, :]
    same[unmeasured] = 1.0
    swapped = _swapped(kinds, threads, sizes, threaded, steps, _near_in_diameter(before, after))
    swapped[unmeasured] = 0.0
    return Likeness(np.maximum(same, 1e-300), swapped)


@dataclass(frozen=True, slots=True)
class LogSizes:
    """Logarithms of the sizes of pieces and their uncertainties, sizes last; not a number where none is."""

    log: Grid
    u: Grid

    def __getitem__(self, at: Any) -> LogSizes:
        """Return some of them, or all with another shape."""
        return LogSizes(self.log[at], self.u[at])

    def scaled(self, by: float) -> LogSizes:
        """Return them with this added to each logarithm."""
        return LogSizes(self.log + by, self.u)

    @classmethod
    def of(cls, items: Sequence[PhotoItem]) -> LogSizes:
        """Return those of pieces, a row each."""
        log = np.full((len(items), len(_SIZES)), np.nan)
        u = np.full_like(log, np.nan)
        for row, item in enumerate(items):
            for column, name in enumerate(_SIZES):
                found = getattr(item.sizes, name)
                if found is not None and found.value_mm > 0:
                    log[row, column] = np.log(found.value_mm)
                    u[row, column] = max(found.u_mm, 1e-4) / found.value_mm
        return cls(log, u)


def _size_ratios(before: LogSizes, after: LogSizes, *, one_make: bool) -> Grid:
    return np.stack(
        [size_ratio(size, before, after, one_make=one_make) for size in range(len(_SIZES))], axis=-1
    )


def size_ratio(size: int, before: LogSizes, after: LogSizes, *, one_make: bool = False) -> Grid:
    """Weigh one size of pairs by itself: of one piece against any two; 1 where either has none."""
    first, second = before.log[..., size], after.log[..., size]
    u_first, u_second = before.u[..., size] ** 2, after.u[..., size] ** 2
    if one_make:
        middle_mm = np.exp((first + second) / 2)
        make = (_MAKE_SHARE**2 + (_MAKE_MM / middle_mm) ** 2) / 2
        u_first, u_second = u_first + make, u_second + make
    middle, spread = np.log(_MIDDLES_MM[size]), _SPREADS[size]
    if size in _FOLLOWS:
        of, share, narrow = _FOLLOWS[size]
        led = (before.log[..., of] + after.log[..., of]) / 2 + np.log(share)
        known = np.isfinite(led)
        middle, spread = np.where(known, led, middle), np.where(known, narrow, spread)
    well, poor = (
        _ratio(first - middle, second - middle, u_first * times, u_second * times, spread)
        for times in (1.0, _POOR_TIMES**2)
    )
    ratios = (1 - _POOR - GROSS) * well + _POOR * poor + GROSS
    return np.where(np.isfinite(ratios), ratios, 1.0)


def most_of_sizes(pieces: LogSizes) -> Grid:
    """Return what each size of a piece brings at most to the logarithm of a ratio; 0 where there is none.

    Parameters
    ----------
    pieces : LogSizes
        A row each.

    Returns
    -------
    ndarray
        Rows as the pieces: `size_ratio` of a pair, with what its step in length adds, is at most the
        exponential of the sum of its two.

    Notes
    -----
    Of two readings, normal about nothing with the spread s of their truth and variances v and w, the ratio is
    at most as large as where they differ in the way that suits it best while their mean m stays: the square
    root of (s² + v) (s² + w) / (s² v + s² w + v w), which is below that of (s² + v) / v and of (s² + w) / w,
    times exp(m² / 2 s²). Half of the logarithm of each, and m² as at most the mean of both squares, leave a
    term of each piece.
    """
    most = _most(pieces.log - np.log(_MIDDLES_MM), pieces.u**2, _SPREADS)
    for size, (of, share, spread) in _FOLLOWS.items():
        apart = pieces.log[:, size] - pieces.log[:, of] - np.log(share)
        most[:, size] = np.fmax(most[:, size], _most(apart, pieces.u[:, size] ** 2, spread))
    # The density of a step is largest at one mean step; the mean of two lengths is above their geometric one.
    step = GROSS / (2 * np.e * _LENGTH_STEP_MM) * _SPREADS[LENGTH] * np.sqrt(2 * np.pi)
    most[:, LENGTH] += step * np.exp(pieces.log[:, LENGTH]) / 2
    return np.where(np.isfinite(most), most, 0.0)


def _most(readings: Grid, variances: Grid, spread: Grid | float) -> Grid:
    most: Grid = np.log1p(spread**2 / variances) / 4 + (readings / spread) ** 2 / 4
    return most


def _ratio(first: Grid, second: Grid, var_first: Grid, var_second: Grid, spread: Grid | float) -> Grid:
    """Density of two readings of one size over that of readings of two sizes, all normal about nothing."""
    prior = spread**2
    a, b = prior + var_first, prior + var_second
    determinant = a * b - prior**2
    together = (b * first**2 - 2 * prior * first * second + a * second**2) / determinant
    apart = first**2 / a + second**2 / b
    ratio: Grid = np.sqrt(a * b / determinant) * np.exp((apart - together) / 2)
    return ratio


def _share_ratios(
    before: Sequence[Mapping[str, float]], after: Sequence[Mapping[str, float]], of: int, doubt: float
) -> Grid:
    """The sum, over all names, of both shares over the name's own, for each pair."""
    names = sorted({name for one in (*before, *after) for name in one})
    count = max(of, len(names))
    first, second = (_shares(side, names, count, doubt) for side in (before, after))
    times = np.array([*([1.0] * len(names)), float(count - len(names))])
    ratio: Grid = (first * times) @ second.T * count
    return ratio


def _shares(side: Sequence[Mapping[str, float]], names: Sequence[str], count: int, doubt: float) -> Grid:
    """What each name has of 1, and in the last column what each name that nobody gave has."""
    told = np.array([[one.get(name, 0.0) for name in names] for one in side]).reshape(len(side), len(names))
    told /= np.maximum(told.sum(axis=1, keepdims=True), 1.0)
    rest = (1 - told.sum(axis=1, keepdims=True)) / count
    return np.hstack(((1 - doubt) * (told + rest) + doubt / count, (1 - doubt) * rest + doubt / count))


def kinds_of(item: PhotoItem) -> dict[str, float]:
    """Return the probability of each kind that a photo tells apart."""
    shares: dict[str, float] = {}
    for kind, share in (item.kinds or {item.kind: 1.0}).items():
        shares[family(kind)] = shares.get(family(kind), 0.0) + share
    return _whole(shares)


def _looks(item: PhotoItem) -> dict[str, float]:
    return _whole({str(look): share for look, share in item.looks.items()})


def _whole(shares: dict[str, float]) -> dict[str, float]:
    total = sum(shares.values())
    return {name: share / total for name, share in shares.items()} if total > 0 else {}


def _thread_ratios(before: Sequence[PhotoItem], after: Sequence[PhotoItem]) -> tuple[Grid, NDArray[np.bool_]]:
    first, second = (
        [{one.designation: one.probability for one in item.threads} for item in side]
        for side in (before, after)
    )
    ours, theirs = (np.array([bool(one) for one in side], dtype=bool) for side in (first, second))
    known = ours[:, None] & theirs[None, :]
    unlike = ours[:, None] ^ theirs[None, :]
    ratios = _share_ratios(first, second, THREADS_IN_USE, THREAD_DOUBT)
    return np.where(known, ratios, np.where(unlike, UNSEEN, 1.0)), known


def _length_seen(before: Sequence[PhotoItem], after: Sequence[PhotoItem]) -> Grid:
    first, second = (
        np.array([one.sizes.length is not None for one in side], dtype=bool) for side in (before, after)
    )
    return np.where(first[:, None] ^ second[None, :], UNSEEN, 1.0)


def _unmeasured(items: Sequence[PhotoItem]) -> NDArray[np.bool_]:
    return np.array([item.could_not is not None for item in items], dtype=bool)


def length_steps(before: LogSizes, after: LogSizes) -> Grid:
    """Density of the step from one length to the other in a swap, over that between any two pieces."""
    first, second = before.log[..., LENGTH], after.log[..., LENGTH]
    variances = (before.u[..., LENGTH] * np.exp(first)) ** 2 + (after.u[..., LENGTH] * np.exp(second)) ** 2
    # Read through the uncertainty of both, a step is at least about this.
    step_mm = np.sqrt((np.exp(second) - np.exp(first)) ** 2 + 2 / np.pi * variances)
    stepped = step_mm / (2 * _LENGTH_STEP_MM**2) * np.exp(-step_mm / _LENGTH_STEP_MM)
    middle, spread = (first + second) / 2 - np.log(_MIDDLES_MM[LENGTH]), _SPREADS[LENGTH]
    any_length = np.exp(-((middle / spread) ** 2) / 2 - (first + second) / 2) / (spread * np.sqrt(2 * np.pi))
    ratio: Grid = stepped / any_length
    return ratio


def _swapped(
    kinds: Grid, threads: Grid, sizes: Grid, threaded: NDArray[np.bool_], steps: Grid, near: Grid
) -> Grid:
    """Of one kind, and of another length, of another thread, or of any other sizes."""
    others = np.delete(sizes, LENGTH, axis=2).prod(axis=2)
    by_length = np.where(np.isfinite(steps), threads * others * steps, 1.0)
    share = 1 / THREADS_IN_USE
    another = (1 - np.minimum(threads * share, 1.0)) / (1 - share) * near
    head = _SAME_HEAD * sizes[:, :, _FLATS] + 1 - _SAME_HEAD
    by_thread = np.where(threaded, sizes[:, :, LENGTH] * head * another, 1.0)
    by_any = 1 - _LENGTH_SHARE - _THREAD_SHARE
    swapped: Grid = kinds * (_LENGTH_SHARE * by_length + _THREAD_SHARE * by_thread + by_any)
    return swapped


def _near_in_diameter(before: Sequence[PhotoItem], after: Sequence[PhotoItem]) -> Grid:
    """Density of the step from one diameter to the other in a swap, over that between any two pieces."""
    first, second = LogSizes.of(before).log, LogSizes.of(after).log
    ratio = np.ones((len(before), len(after)))
    for size in (_FLATS, MAJOR):
        step = second[None, :, size] - first[:, None, size]
        spread = _SPREADS[size] * np.sqrt(2)
        near = spread / _DIAMETER_STEP * np.exp(-(step**2) / 2 * (1 / _DIAMETER_STEP**2 - 1 / spread**2))
        ratio = np.where(np.isfinite(step), near, ratio)
    return ratio
