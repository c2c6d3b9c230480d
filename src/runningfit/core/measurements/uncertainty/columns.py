"""Draws of what makes values uncertain, in columns that are the same for every question."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, sqrt
from typing import TYPE_CHECKING

from runningfit.core.measurements.uncertainty.shared import SharedPart
from runningfit.core.measurements.uncertainty.student import check_dof

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Array = NDArray[numpy.float64]

DRAWS = 4096
_SEED = 106


@dataclass(frozen=True, slots=True)
class OwnError:
    """What a reading errs by alone.

    Parameters
    ----------
    u : float
        Its standard uncertainty, in the unit of the reading.
    dof : float
        The degrees of freedom of that [-].
    even : float
        Half of a range that it lies in evenly, such as half of a step of the gauge; ``u`` holds its share.
    """

    u: float
    dof: float
    even: float = 0.0


class Columns:
    """Columns of 4096 draws, taken one after the other; each column has one draw in each of 4096 equal parts.

    Notes
    -----
    JCGM 101:2008; stratified so that sums are right to a share of what plain draws leave. The seed is fixed,
    so that the same question always has the same answer.
    """

    def __init__(self) -> None:
        self._taken = 0
        self._shared: dict[str, Array] = {}

    def normal(self) -> Array:
        """Take a column of the standard normal distribution.

        Returns
        -------
        NDArray
            One value for each draw.
        """
        self._taken += 1
        return _column("normal", self._taken)

    def even(self) -> Array:
        """Take a column that lies evenly from -1 to 1.

        Returns
        -------
        NDArray
            One value for each draw.
        """
        self._taken += 1
        return _column("even", self._taken)

    def shuffled(self, in_order: Array) -> Array:
        """Put values that were worked out in order, one for each draw, in the order of a column.

        Parameters
        ----------
        in_order : NDArray
            One value for each draw.

        Returns
        -------
        NDArray
            The same values.
        """
        self._taken += 1
        return in_order[_order(self._taken)]

    def shared(self, parts: Iterable[SharedPart]) -> Array:
        """Draw what errors shared with others add up to; an error of one key is drawn once for all.

        Parameters
        ----------
        parts : iterable of SharedPart
            The errors.

        Returns
        -------
        NDArray
            One value for each draw.
        """
        import numpy

        moved = numpy.zeros(DRAWS)
        for part in parts:
            if part.key not in self._shared:
                self._shared[part.key] = self.normal()
            moved = moved + part.u * self._shared[part.key]
        return moved

    def own(self, errors: Sequence[OwnError]) -> list[Array]:
        """Draw what readings of one part err by, each alone.

        Readings of one gauge have its scatter from one trial: where that is off, it is off for all.

        Parameters
        ----------
        errors : sequence of OwnError
            One for each reading.

        Returns
        -------
        list of NDArray
            One value for each draw, reading by reading.
        """
        found: list[Array] = []
        scale_of: dict[tuple[float, float], Array] = {}
        for one in errors:
            scatter = sqrt(max(0.0, one.u**2 - one.even**2 / 3))
            off = scatter * self.normal()
            dof = one.dof * (scatter / one.u) ** 4 if one.u else one.dof
            if scatter and isfinite(dof):
                dof = max(1.0, float(f"{dof:.3g}"))
                key = (float(f"{scatter:.6g}"), dof)
                if key not in scale_of:
                    self._taken += 1
                    scale_of[key] = _scale(check_dof(dof), self._taken)
                off = off * scale_of[key]
            if one.even:
                off = off + one.even * self.even()
            found.append(off)
        return found


def evenly_from_0_to_1() -> Array:
    """Give the middles of 4096 equal parts, in order.

    Returns
    -------
    NDArray
        From nearly 0 to nearly 1.
    """
    return (_strata("even") + 1) / 2


@lru_cache(maxsize=1024)
def _column(kind: str, number: int) -> Array:
    return _strata(kind)[_order(number)]


@lru_cache(maxsize=1024)
def _order(number: int) -> NDArray[numpy.intp]:
    import numpy

    return numpy.random.default_rng((_SEED, number)).permutation(DRAWS)


@lru_cache(maxsize=2)
def _strata(kind: str) -> Array:
    from statistics import NormalDist

    import numpy

    shares = (numpy.arange(DRAWS) + 0.5) / DRAWS
    if kind == "even":
        return numpy.asarray(2 * shares - 1)
    return numpy.array([NormalDist().inv_cdf(float(one)) for one in shares])


@lru_cache(maxsize=256)
def _scale(dof: float, number: int) -> Array:
    import numpy

    random = numpy.random.default_rng((_SEED, number))
    return numpy.asarray(numpy.sqrt(dof / random.chisquare(dof, DRAWS)))
