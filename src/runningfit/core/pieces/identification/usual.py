"""How usual each standard thread is, before anything is known of the maker: common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from runningfit.core.standards import Thread, ThreadSeries, all_threads

# Each usual size of these series counts as much as any other; the rest by how often it turns up in an engine.
SERIES_WEIGHTS: Mapping[ThreadSeries, float] = {
    ThreadSeries.UNC: 1.0,
    ThreadSeries.UNF: 1.0,
    ThreadSeries.BSW: 1.0,
    ThreadSeries.BSF: 1.0,
    ThreadSeries.BA: 1.0,
    ThreadSeries.CEI: 1.0,
    ThreadSeries.METRIC_COARSE: 1.0,
    ThreadSeries.METRIC_FINE: 1.0,
    ThreadSeries.UNEF: 0.75,
    ThreadSeries.G: 0.75,
    ThreadSeries.R: 0.75,
    ThreadSeries.NPT: 0.75,
}
# Series that are rare unless somebody names them: constant-pitch UN and special UNS. They have so many sizes
# that together they come to one thread in seventy.
_RARE_SERIES = 0.02
# First, second and third choice of the standards; a fine metric pitch not in ISO 262 counts as third.
_SECOND, _THIRD, _HARDLY_EVER = 0.75, 0.5, 0.01
# ASME B1.1, from memory: the secondary numbered sizes.
_SECONDARY_NUMBERS = frozenset({"No. 1", "No. 3", "No. 12"})
# ISO 261 and ISO 262, from memory.
_SECOND_CHOICE_MM = frozenset(
    {1.4, 1.8, 2.2, 3.5, 4.5, 7.0, 14.0, 18.0, 22.0, 27.0, 33.0, 39.0, 45.0, 52.0, 60.0}
)
_THIRD_CHOICE_MM = frozenset({1.1, 9.0, 11.0, 15.0, 17.0, 25.0, 26.0, 28.0, 32.0, 35.0, 38.0, 40.0, 50.0})
_USUAL_FINE = frozenset(
    {
        "M8x1", "M10x1.25", "M10x1", "M12x1.25", "M12x1.5", "M14x1.5", "M16x1.5", "M18x1.5", "M20x1.5",
        "M20x2", "M22x1.5", "M24x2", "M27x2", "M30x2", "M33x2", "M36x3", "M39x3",
    }
)  # fmt: skip
# Even numbers to 10 were the ones to choose (common practice, no source); 17 and above are for instruments.
_LARGEST_OFTEN_USED_BA = 10
_LARGEST_IN_ENGINES_BA = 16


def _size_weight(thread: Thread) -> float:
    if thread.series in (ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE):
        size = float(thread.size[1:])
        choice = _SECOND if size in _SECOND_CHOICE_MM else _THIRD if size in _THIRD_CHOICE_MM else 1.0
        unusual_pitch = thread.series is ThreadSeries.METRIC_FINE and thread.designation not in _USUAL_FINE
        return min(choice, _THIRD) if unusual_pitch else choice
    if thread.series is ThreadSeries.BA:
        number = int(thread.size)
        if number > _LARGEST_IN_ENGINES_BA:
            return _HARDLY_EVER
        return _SECOND if number % 2 or number > _LARGEST_OFTEN_USED_BA else 1.0
    return _SECOND if thread.size in _SECONDARY_NUMBERS else 1.0


@cache
def usual_weights() -> Mapping[str, float]:
    """Give the weight of each standard thread where nothing is known of the maker.

    Returns
    -------
    Mapping of str to float
        Designation to weight; they come to 1.
    """
    weights = {
        thread.designation: SERIES_WEIGHTS.get(thread.series, _RARE_SERIES) * _size_weight(thread)
        for thread in all_threads()
    }
    whole = sum(weights.values())
    return {name: weight / whole for name, weight in weights.items()}
