"""What would make a value proven: how many readings more, or which better gauge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.chances import chances, check_wanted_share
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import LengthUnit, SaidLength, SentencePart, sentence

MOST_READINGS = 50
# No gauge is asked about that is coarser than this many times the one at hand.
_MOST_TIMES = 1e6
# How near it is found, as a share of it.
_SHARE = 1e-8


@dataclass(frozen=True, slots=True)
class ToProve:
    """What it takes to show a value inside or outside.

    Parameters
    ----------
    readings : int or None
        How many readings in all with the same gauge; none where no number of them shows it.
    gauge_u : float or None
        The largest standard uncertainty, all told, that would show it; none where the value lies on a limit.
    advice : str
        The same as a sentence.
    parts : tuple of str or SaidLength
        The same as words and lengths, so that it can be said in another unit; empty where it has no lengths.
    """

    readings: int | None
    gauge_u: float | None
    advice: str
    parts: tuple[SentencePart, ...] = ()


def to_prove(
    value: float, repeat_u: float, shared_u: float, bounds: Bounds, *, wanted: float = 0.95, unit: str = ""
) -> ToProve:
    """Say what would make a value proven, if its mean stays where it is.

    Parameters
    ----------
    value : float
        The estimate.
    repeat_u : float
        The standard deviation of single readings, which averaging brings down.
    shared_u : float
        The standard uncertainty that averaging does not touch: setting ring, certificate, temperature.
    bounds : Bounds
        The limits.
    wanted : float
        How probable inside, or outside, must be [-].
    unit : str
        The unit of the value, for the sentence.

    Returns
    -------
    ToProve
        The number of readings, or the gauge that it takes.

    Raises
    ------
    InvalidInput
        An uncertainty that is negative or altogether nothing, or a probability that cannot be asked for.

    Notes
    -----
    u(n)² = repeat²/n + shared² (JCGM 100:2008, 4.2.3 and 5.1.2, from memory). No more than 50 readings
    are advised (common practice, no source).
    """
    check_wanted_share(wanted)
    if not (min(repeat_u, shared_u) >= 0 and 0 < repeat_u + shared_u < inf):
        raise InvalidInput(
            "uncertainty",
            needs="finite, not negative, and more than nothing in all",
            came=f"{repeat_u:g} and {shared_u:g}",
        )

    def shown(u: float) -> bool:
        found = chances(Measured(value, u), bounds)
        return max(found.inside, found.below, found.above) >= wanted

    # Where nothing scatters, more readings tell no more than one.
    for count in range(1, MOST_READINGS + 1 if repeat_u else 2):
        now = sqrt(repeat_u**2 / count + shared_u**2)
        if shown(now):
            largest = _largest_u(shown, now, _MOST_TIMES * now)
            words = (
                "One reading shows it."
                if count == 1
                else f"{count} readings in all show it, if their mean stays."
            )
            return ToProve(count, largest, words)
    smallest = 1e-9 * max(abs(value), shared_u, repeat_u)
    if not shown(smallest):
        return ToProve(
            None, None, "It lies on the limit: no gauge shows it; decide which side it shall count to."
        )
    largest = _largest_u(shown, smallest, sqrt(repeat_u**2 / MOST_READINGS + shared_u**2))
    figure: SentencePart = f"{largest:.2g}" + (f" {unit}" if unit else "")
    if unit == LengthUnit.MM:
        figure = SaidLength(largest, 0, form=".2g")
    parts: tuple[SentencePart, ...] = (
        "No number of readings with this gauge shows it: measure with one whose standard uncertainty, "
        "setting and all, is at most ",
        figure,
        ".",
    )
    return ToProve(None, largest, sentence(parts, LengthUnit.MM), parts)


def _largest_u(shown: Callable[[float], bool], low: float, high: float) -> float:
    """The largest uncertainty with which it is still shown, by halving; it is shown at the low end."""
    if shown(high):
        return high
    while high - low > _SHARE * high:
        middle = 0.5 * (low + high)
        if shown(middle):
            low = middle
        else:
            high = middle
    return low
