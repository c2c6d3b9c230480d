"""What is known of a pitch, in forms that can be multiplied: peaks of stripes, and a learned grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, log, pi, sqrt
from typing import TYPE_CHECKING, Protocol

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LEAST_MM, MOST_MM = 0.35, 6.0
_SPAN = log(MOST_MM / LEAST_MM)
_FULL_CIRCLE = 2 * pi


class PitchEvidence(Protocol):
    """Anything that says how probable it is that what was seen is a thread of a pitch."""

    def density(self, pitches_mm: Sequence[float] | Array) -> Array:
        """The density over the logarithm of the pitch, one for each pitch [mm]."""
        ...


@dataclass(frozen=True, slots=True)
class PitchPeak:
    """One pitch that the stripes may have.

    Parameters
    ----------
    pitch_mm : float
        The pitch [mm].
    u_share : float
        Its standard uncertainty as a share of it.
    weight : float
        Probability that it is this one, before it is known which threads there are.
    """

    pitch_mm: float
    u_share: float
    weight: float


@dataclass(frozen=True, slots=True)
class PitchLikelihood:
    """What a photo says of a pitch: some peaks, and the rest evenly over the logarithms of all pitches.

    Parameters
    ----------
    peaks : tuple of PitchPeak
        The likeliest first; their weights come to less than 1.
    """

    peaks: tuple[PitchPeak, ...] = ()

    @property
    def rest(self) -> float:
        """The probability that it is none of the peaks."""
        return 1.0 - sum(one.weight for one in self.peaks)

    def density(self, pitches_mm: Sequence[float] | Array) -> Array:
        """How probable it is that the photo shows what it does, for threads of given pitches.

        Parameters
        ----------
        pitches_mm : array, pitch
            Pitches [mm].

        Returns
        -------
        array, pitch
            Density over the logarithm of the pitch, which can be multiplied with other evidence.
        """
        import numpy

        at = numpy.log(numpy.asarray(pitches_mm, dtype=float))
        whole = numpy.full(at.shape, self.rest / _SPAN)
        for one in self.peaks:
            off = (at - log(one.pitch_mm)) / one.u_share
            whole += one.weight / (one.u_share * sqrt(_FULL_CIRCLE)) * numpy.exp(-0.5 * off**2)
        return whole


ANY_PITCH = PitchLikelihood()


@dataclass(frozen=True, slots=True)
class PitchGrid:
    """Probabilities of pitches on a grid that is even in their logarithms, as something learned gives them.

    Parameters
    ----------
    pitches_mm : tuple of float
        The middles of the bins, rising [mm].
    probabilities : tuple of float
        Of each bin; they come to 1.
    share_doubled : float
        How often it is a factor of two off, either way alike.
    share_wrong : float
        How often it says nothing of the pitch.

    Raises
    ------
    InvalidInput
        The bins do not rise evenly, or the probabilities are none.
    """

    pitches_mm: tuple[float, ...]
    probabilities: tuple[float, ...]
    share_doubled: float = 0.04
    share_wrong: float = 0.04

    def __post_init__(self) -> None:
        """Refuse what is no grid of probabilities."""
        bins, chances = self.pitches_mm, self.probabilities
        if len(bins) < 2 or len(bins) != len(chances):
            raise InvalidInput(
                "pitch grid",
                needs="two bins or more, with a probability for each",
                came=f"{len(bins)} bins, {len(chances)} probabilities",
            )
        if not all(isfinite(one) and one >= 0 for one in chances) or abs(sum(chances) - 1) > 1e-3:
            raise InvalidInput(
                "pitch grid",
                needs="probabilities from 0 on that come to 1",
                came=f"a sum of {sum(chances):g}",
            )
        if not (isfinite(bins[0]) and isfinite(bins[-1]) and 0 < bins[0] < bins[-1]):
            raise InvalidInput(
                "pitch grid", needs="rising pitches above 0 mm", came=f"{bins[0]:g} to {bins[-1]:g} mm"
            )
        even = log(bins[-1] / bins[0]) / (len(bins) - 1)
        if any(
            abs(log(after / before) - even) > 0.2 * even for before, after in pairwise(bins) if before > 0
        ):
            raise InvalidInput(
                "pitch grid", needs="pitches that rise by the same factor", came="pitches that do not"
            )

    def density(self, pitches_mm: Sequence[float] | Array) -> Array:
        """How probable it is that what was learned says what it does, for threads of given pitches.

        Parameters
        ----------
        pitches_mm : array, pitch
            Pitches [mm].

        Returns
        -------
        array, pitch
            Density over the logarithm of the pitch.
        """
        import numpy

        at = numpy.log(numpy.asarray(pitches_mm, dtype=float))
        bins = numpy.log(self.pitches_mm)
        even = float(bins[-1] - bins[0]) / (len(bins) - 1)
        heights = numpy.asarray(self.probabilities) / even

        def told(places: Array) -> Array:
            return numpy.interp(places, bins, heights, left=0.0, right=0.0)

        doubled = 0.5 * (told(at - log(2)) + told(at + log(2)))
        right = 1 - self.share_doubled - self.share_wrong
        return numpy.asarray(
            right * told(at) + self.share_doubled * doubled + self.share_wrong / _SPAN, dtype=float
        )
