"""Which pieces of one photo may be the very ones in each of many other photos, weighed all at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from runningfit.core.photos.comparing.likeness import (
    GROSS,
    KIND_DOUBT,
    KINDS_IN_USE,
    LENGTH,
    MAJOR,
    PITCH,
    THREAD_DOUBT,
    THREADS_IN_USE,
    UNSEEN,
    LogSizes,
    kinds_of,
    length_steps,
    most_of_sizes,
    size_ratio,
)
from runningfit.core.photos.items import PhotoItem

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from runningfit.core.photos.comparing.likeness import Grid

# A bound is reckoned in another order than what it bounds.
_ROUNDING = 1e-6
_FOR_THREADS = [MAJOR, PITCH]


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """The measured pieces of one photo as columns, to be weighed against those of others.

    Parameters
    ----------
    sizes : LogSizes
        Their sizes, a row each.
    most : ndarray
        What each size brings at most.
    bound : tuple of ndarray
        Of each piece, so that the product of the first of one photo with the second of another is what the
        sizes of a pair bring at most.
    kinds, threads : Told
        The kinds and the threads that each may have.
    threaded, has_length : ndarray
        Whether the photo shows a thread of it, and a length.
    """

    sizes: LogSizes
    most: Grid
    bound: tuple[Grid, Grid]
    kinds: Told
    threads: Told
    threaded: NDArray[np.bool_]
    has_length: NDArray[np.bool_]

    @classmethod
    def of(cls, items: Sequence[PhotoItem]) -> Pieces:
        """Return those of a photo.

        Parameters
        ----------
        items : sequence of PhotoItem
            All of them measured.
        """
        sizes = LogSizes.of(items)
        most = most_of_sizes(sizes)
        threads = [{one.designation: one.probability for one in item.threads} for item in items]
        threaded = np.array([bool(one) for one in threads], dtype=bool)
        return cls(
            sizes,
            most,
            _bound(most, threaded),
            Told.of([kinds_of(item) for item in items]),
            Told.of(threads),
            threaded,
            np.array([item.sizes.length is not None for item in items], dtype=bool),
        )

    def __len__(self) -> int:
        """Return how many they are."""
        return len(self.threaded)


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """What share of 1 each name has of each piece, rows by pieces and columns by names; and all of them."""

    names: tuple[str, ...]
    shares: Grid
    whole: Grid

    @classmethod
    def of(cls, told: Sequence[Mapping[str, float]]) -> Told:
        """Return the shares of pieces, none of which is of more than 1."""
        names = tuple(sorted({name for one in told for name in one}))
        shares = np.array([[one.get(name, 0.0) for name in names] for one in told])
        shares = shares.reshape(len(told), len(names))
        shares /= np.maximum(shares.sum(axis=1, keepdims=True), 1.0)
        return cls(names, shares, shares.sum(axis=1))

    def under(self, names: Mapping[str, int]) -> Grid:
        """Return the shares that these names have, each in the column that it says."""
        shares = np.zeros((len(self.shares), len(names)))
        for column, name in enumerate(self.names):
            if name in names:
                shares[:, names[name]] = self.shares[:, column]
        return shares


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Pairs of pieces that may be one piece, the likeliest first.

    Parameters
    ----------
    here, there : ndarray
        The places of the pieces in each photo, from 0.
    """

    here: NDArray[np.intp]
    there: NDArray[np.intp]


def alike(here: Pieces, photos: Sequence[Pieces], least: Sequence[float]) -> list[Pairs]:
    """Return the pairs of pieces that are likely enough one piece, of a photo and each of others.

    Parameters
    ----------
    here : Pieces
        Those of the one photo.
    photos : sequence of Pieces
        Those of the others.
    least : sequence of float
        For each of these, the least logarithm of the likelihood ratio of one piece against any two, as by
        `likeness`.

    Returns
    -------
    list of Pairs
        For each of the other photos.

    Notes
    -----
    Kinds and threads are weighed for all pairs; then size by size, only where those that are left could still
    lift a pair as high as is asked.
    """
    if not photos:
        return []
    counts = [len(one) for one in photos]
    ends = np.cumsum(counts)
    first = [_may_be(here, one, enough) for one, enough in zip(photos, least, strict=True)]
    at, to, beside = (
        np.concatenate(one)
        for one in (
            [one.here for one, _ in first],
            [one.there + end - count for (one, _), end, count in zip(first, ends, counts, strict=True)],
            [beside for _, beside in first],
        )
    )
    at, to = _likely(here, _Pool.of(photos), at, to, beside, np.repeat(least, counts))
    of = np.searchsorted(ends, to, side="right")
    found = [np.flatnonzero(of == photo) for photo in range(len(photos))]
    return [
        Pairs(at[one], to[one] - end + count) for one, end, count in zip(found, ends, counts, strict=True)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Pool:
    """The pieces of all other photos, in one row."""

    sizes: LogSizes
    most: Grid
    bound: Grid
    threaded: NDArray[np.bool_]

    @classmethod
    def of(cls, photos: Sequence[Pieces]) -> _Pool:
        log, u = (np.concatenate([getattr(one.sizes, name) for one in photos]) for name in ("log", "u"))
        return cls(
            LogSizes(log, u),
            np.concatenate([one.most for one in photos]),
            np.concatenate([one.bound[1] for one in photos]),
            np.concatenate([one.threaded for one in photos]),
        )


def _bound(most: Grid, threaded: NDArray[np.bool_]) -> tuple[Grid, Grid]:
    """A size counts where both pieces have it; where both have threads, these stand for some of the sizes."""
    there = (most > 0).astype(float)
    most_beside, there_beside = (one[:, _FOR_THREADS] * threaded[:, None] for one in (most, there))
    first = np.hstack((most, there, -most_beside, -there_beside))
    return first, np.hstack((there, most, there_beside, most_beside))


def _may_be(here: Pieces, there: Pieces, least: float) -> tuple[Pairs, Grid]:
    """Pairs that kinds and threads leave, with the logarithm of what these say of each."""
    ours, length = here.threaded[:, None], here.has_length[:, None]
    threads = _shares(here.threads, there.threads, THREADS_IN_USE, THREAD_DOUBT)
    beside = np.where(ours & there.threaded, threads, np.where(ours ^ there.threaded, UNSEEN, 1.0))
    beside *= _shares(here.kinds, there.kinds, KINDS_IN_USE, KIND_DOUBT)
    beside *= np.where(length ^ there.has_length, UNSEEN, 1.0)
    beside = np.log(beside)
    at, to = np.nonzero(beside + here.bound[0] @ there.bound[1].T >= least - _ROUNDING)
    return Pairs(at, to), beside[at, to]


def _likely(
    here: Pieces, pool: _Pool, at: NDArray[np.intp], to: NDArray[np.intp], same: Grid, least: Grid
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Places, here and in the pool, of the pairs that come to the least asked, the likeliest first."""
    most = (here.bound[0][at] * pool.bound[to]).sum(axis=1)
    for size in range(here.most.shape[1]):
        both = (here.most[at, size] > 0) & (pool.most[to, size] > 0)
        if size in _FOR_THREADS:
            both &= ~(here.threaded[at] & pool.threaded[to])
        weighed = np.flatnonzero(both)
        ours, theirs = at[weighed], to[weighed]
        first, second = here.sizes[ours], pool.sizes[theirs]
        ratio = size_ratio(size, first, second)
        if size == LENGTH:
            ratio += GROSS * length_steps(first, second)
        same[weighed] += np.log(ratio)
        most[weighed] -= here.most[ours, size] + pool.most[theirs, size]
        left = np.flatnonzero(same + most >= least[to] - _ROUNDING)
        at, to, same, most = at[left], to[left], same[left], most[left]
    enough = np.flatnonzero(same >= least[to])
    enough = enough[np.argsort(-same[enough], kind="stable")]
    return at[enough], to[enough]


def _shares(here: Told, there: Told, of: int, doubt: float) -> Grid:
    """The sum, over all names, of both shares over the name's own, for each pair.

    Of as many names as there are, those that nobody gave share what is left of a piece evenly, and each keeps
    its part of the doubt; the sum then comes to this.
    """
    names = {name: column for column, name in enumerate(here.names)}
    count = max(of, len({*here.names, *there.names}))
    both = here.shares @ there.under(names).T
    whole = here.whole[:, None] * there.whole
    ratios: Grid = 1 + (1 - doubt) ** 2 * (count * both - whole)
    return ratios
