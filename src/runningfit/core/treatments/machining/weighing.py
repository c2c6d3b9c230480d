"""How well each form of wear goes with the readings: of one bore, and of all bores of an engine together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from runningfit.core.treatments.machining.places import Layout
from runningfit.core.treatments.machining.streams import DRAWS
from runningfit.core.treatments.machining.wear_forms import FORMS, SHAPES, below, likeness, quantiles

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = NDArray[np.intp]

# So many bores of an engine tell how much they differ.
_ENOUGH = 4


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """How the readings of a bore go with each form of wear, for one size of the form besides.

    Parameters
    ----------
    level : array of float, one for each form
        The logarithm of how probable the readings are [-].
    middle, deviation : array of float, one for each form
        The amount of wear by the readings, and its standard deviation [mm].
    base, base_deviation : float
        The size before wear by the readings if there were no wear, and its standard deviation [mm].
    base_slope : array of float, one for each form
        How much less it is for each millimetre of wear [-].
    gain : array of float, places by readings
        By how much a place moves for each millimetre that a reading is off [-].
    """

    level: Floats
    middle: Floats
    deviation: Floats
    base: float
    base_slope: Floats
    base_deviation: float
    gain: Floats

    @classmethod
    def of(cls, layout: Layout, value: Floats, noise: Floats, size_mm: float, wear_mm: float) -> Fit:
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
            - np.log(np.diagonal(factor)).sum() - 0.5 * np.log(square) - 0.5 * np.log(precision)
            - 0.5 * (told @ told - precision * middle**2) + np.log(below(middle * np.sqrt(precision)) + 1e-12)
        )  # fmt: skip
        gain = np.asarray(np.linalg.solve(own, size_mm**2 * layout.covariance[at]).T, dtype=np.float64)
        return cls(level, middle, 1 / np.sqrt(precision), base, slope, 1 / float(np.sqrt(square)), gain)

    def amounts(self, forms: Numbers, share: Floats, normal: Floats) -> tuple[Floats, Floats]:
        """Amounts of wear of these forms, none below nothing, and the sizes before wear that go with them."""
        import numpy as np

        middle, deviation = self.middle[forms], self.deviation[forms]
        least = below(-middle / deviation)
        amount = np.maximum(middle + deviation * quantiles(least + (1 - least) * share), 0.0)
        return amount, self.base - amount * self.base_slope[forms] + self.base_deviation * normal


def drawn_together(fits: Sequence[Fit], levels_mm: Sequence[float]) -> tuple[Fit, ...]:
    """Let the sizes of bores that were made alike and wear alike tell of each other.

    Parameters
    ----------
    fits : sequence of Fit
        Those of the bores of an engine, for one size of the form besides wear.
    levels_mm : sequence of float
        From where each counts its size [mm].

    Returns
    -------
    tuple of Fit
        The same, each size drawn to the mean of all, the more the worse it is known and the less they differ.

    Notes
    -----
    The bore that reads worst of several is worst partly by what its readings err by. Each size is weighed
    with a normal distribution about the mean of all, as wide as they differ (empirical Bayes; Efron and
    Morris 1975, from memory). Fewer than four tell too little of how much they differ.
    """
    import numpy as np

    if len(fits) < _ENOUGH:
        return tuple(fits)
    sizes = np.array([fit.base + level for fit, level in zip(fits, levels_mm, strict=True)])
    middle, differ = float(sizes.mean()), float(sizes.var(ddof=1))
    found = []
    for fit, size in zip(fits, sizes, strict=True):
        share = fit.base_deviation**2 / (fit.base_deviation**2 + differ)
        found.append(
            replace(
                fit, base=fit.base + share * (middle - float(size)),
                base_deviation=fit.base_deviation * (1 - share) ** 0.5,
            )
        )  # fmt: skip
    return tuple(found)


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Which size of the form besides wear each draw has, and which form of wear each bore has in it.

    Parameters
    ----------
    sizes : array of int, one for each draw
        Which size, from the least to the largest; all bores of an engine have the same.
    forms : tuple of array of int, one for each draw
        Which form of wear, for each bore.
    """

    sizes: Numbers
    forms: tuple[Numbers, ...]


def weighed(levels: Sequence[Floats], weights: Floats, streams: Sequence[int]) -> Weighed:
    """Draw sizes and forms as probable as the readings of all bores make them.

    Parameters
    ----------
    levels : sequence of array of float, sizes by forms
        For each bore the logarithm of how probable its readings are [-].
    weights : array of float
        The logarithm of how probable each size is before any reading [-].
    streams : sequence of int
        The stream of random numbers of each bore.

    Returns
    -------
    Weighed
        Evenly dealt out draws.

    Notes
    -----
    An engine has one size and one shape of wear, both weighed by the readings of all its bores (Bayes' rule);
    given these, each bore has a form of its own, as near to the shape as `likeness` says.
    """
    import numpy as np

    near = likeness()
    tops = [level.max() for level in levels]
    shares = [np.exp(level - top) for level, top in zip(levels, tops, strict=True)]
    whole = np.repeat(weights[:, None], SHAPES, axis=1)
    for share in shares:
        # One size at a time: larger products are dealt out to threads, which wait longer than they work.
        whole += np.log(np.array([near @ of_size for of_size in share]) + 1e-300)
    engine = np.cumsum(np.exp(whole - whole.max()))
    chosen = np.searchsorted(engine, (np.arange(DRAWS) + 0.5) / DRAWS * engine[-1])
    kinds, which, counts = np.unique(chosen, return_inverse=True, return_counts=True)
    sizes, shapes = kinds // SHAPES, kinds % SHAPES
    within = np.arange(DRAWS) - np.repeat(np.cumsum(counts) - counts, counts)
    forms = []
    for share, stream in zip(shares, streams, strict=True):
        random = np.random.default_rng([21, stream])
        summed = np.cumsum(share[sizes] * near[shapes], axis=1)
        # One after another, the sums of all kinds are one rising line.
        line = (summed / summed[:, -1:] + np.arange(len(kinds))[:, None]).ravel()
        dealt = (within + random.random(len(kinds))[which]) / counts[which]
        found = np.minimum(np.searchsorted(line, which + dealt) - which * FORMS, FORMS - 1)
        # Which draw of a kind has which form must not be the same for all bores.
        mixed = np.lexsort((random.random(DRAWS), which))
        forms.append(found[mixed])
    return Weighed(sizes[which], tuple(forms))
