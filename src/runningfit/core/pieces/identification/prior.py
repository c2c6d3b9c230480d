"""What is held likely before anything is measured: country and years, neighbours, the tapped metal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification.usual import usual_weights
from runningfit.core.standards import Thread, ThreadSeries, all_threads, thread

_S = ThreadSeries


class Country(StrEnum):
    """Where the maker of the engine worked, as far as threads go."""

    UNITED_KINGDOM = "United Kingdom"
    UNITED_STATES = "United States"
    EUROPE = "continental Europe"
    JAPAN = "Japan"


class TappedMaterial(StrEnum):
    """What the thread is tapped into, or what the stud stands in."""

    STEEL = "steel"
    CAST_IRON = "cast iron"
    ALUMINIUM = "aluminium"
    MAGNESIUM = "magnesium"
    BRONZE = "bronze"


# Common practice, no source, for all of these; the years are those of the standards, from memory: BA 1884,
# CEI 1902, BSF 1908, SAE fine 1911, Unified 1948, metric in British industry from 1965, in American from
# 1975.
_PRACTICE: Mapping[Country, tuple[tuple[int, Mapping[ThreadSeries, float]], ...]] = {
    Country.UNITED_KINGDOM: (
        (1908, {_S.BSW: 1.0, _S.BA: 0.6, _S.CEI: 0.3, _S.BSF: 0.1, _S.G: 1.0, _S.R: 1.0}),
        (1949, {_S.BSW: 1.0, _S.BSF: 1.0, _S.BA: 1.0, _S.CEI: 0.7, _S.G: 1.0, _S.R: 1.0}),
        (
            1968,
            {
                _S.UNF: 1.0, _S.UNC: 0.7, _S.BSF: 0.8, _S.BSW: 0.6, _S.BA: 0.8, _S.CEI: 0.4, _S.G: 1.0,
                _S.R: 1.0, _S.METRIC_COARSE: 0.1,
            },
        ),
        (
            9999,
            {
                _S.METRIC_COARSE: 1.0, _S.METRIC_FINE: 0.5, _S.UNF: 0.5, _S.UNC: 0.4, _S.BA: 0.3,
                _S.BSW: 0.15, _S.BSF: 0.15, _S.CEI: 0.1, _S.G: 1.0, _S.R: 1.0,
            },
        ),
    ),
    Country.UNITED_STATES: (
        (1975, {_S.UNC: 1.0, _S.UNF: 0.8, _S.UNEF: 0.3, _S.NPT: 1.0}),
        (
            9999,
            {
                _S.UNC: 1.0, _S.UNF: 0.8, _S.UNEF: 0.3, _S.NPT: 1.0, _S.METRIC_COARSE: 0.6,
                _S.METRIC_FINE: 0.3,
            },
        ),
    ),
    Country.EUROPE: (
        (1930, {_S.METRIC_COARSE: 1.0, _S.METRIC_FINE: 0.6, _S.BSW: 0.6, _S.G: 1.0, _S.R: 1.0}),
        (9999, {_S.METRIC_COARSE: 1.0, _S.METRIC_FINE: 0.8, _S.G: 1.0, _S.R: 1.0}),
    ),
    Country.JAPAN: (
        (1949, {_S.METRIC_COARSE: 1.0, _S.METRIC_FINE: 0.6, _S.BSW: 0.4, _S.G: 1.0, _S.R: 1.0}),
        (9999, {_S.METRIC_COARSE: 1.0, _S.METRIC_FINE: 0.8, _S.G: 1.0, _S.R: 1.0}),
    ),
}  # fmt: skip
_FIRST_YEAR, _LAST_YEAR = 1850, 2100
# Common practice, no source: so much of an engine's hardware was replaced by whatever fitted.
_WHATEVER_FITTED = 0.15
# A neighbour counts half for its own thread and half for its series; what is held beforehand weighs as four.
_NEIGHBOUR_OWN_SHARE = 0.5
_HELD_BEFORE_PIECES = 4.0
# Common practice, secondary source: coarse pitches in metals of low strength, where fine threads strip.
_SOFT = frozenset(
    {TappedMaterial.CAST_IRON, TappedMaterial.ALUMINIUM, TappedMaterial.MAGNESIUM, TappedMaterial.BRONZE}
)
_COARSE = frozenset({_S.UNC, _S.BSW, _S.METRIC_COARSE})
_COARSE_IN_SOFT = 4.0
NONE_BEFORE = 0.02
_USUAL_FROM = 0.5
_IN: Mapping[Country, str] = {
    Country.UNITED_KINGDOM: "the United Kingdom",
    Country.UNITED_STATES: "the United States",
    Country.EUROPE: "continental Europe",
    Country.JAPAN: "Japan",
}


@dataclass(frozen=True, slots=True)
class ThreadPrior:
    """What is known of an engine before one of its threads is measured; nothing has to be.

    Parameters
    ----------
    country : Country or None
        Where its maker worked.
    built_from, built_to : int or None
        First and last year in which it may have been built; one alone stands for both.
    neighbours : tuple of (str, float)
        Designations of threads near it, and the number of pieces of each.
    tapped_material : TappedMaterial or None
        What the thread is tapped into.
    series_weights : tuple of (ThreadSeries, float)
        Factors by which a person makes series more or less likely; 0 rules one out.
    none_of_these : float
        Probability that the thread is in no standard here, above 0 and below 1.

    Raises
    ------
    InvalidInput
        Years in the wrong order or far off, a neighbour that is no thread, a weight below 0, or a probability
        outside 0 to 1.
    """

    country: Country | None = None
    built_from: int | None = None
    built_to: int | None = None
    neighbours: tuple[tuple[str, float], ...] = ()
    tapped_material: TappedMaterial | None = None
    series_weights: tuple[tuple[ThreadSeries, float], ...] = ()
    none_of_these: float = NONE_BEFORE

    def __post_init__(self) -> None:
        """Refuse what cannot be meant."""
        years = [year for year in (self.built_from, self.built_to) if year is not None]
        if years != sorted(years) or any(not _FIRST_YEAR <= year <= _LAST_YEAR for year in years):
            raise InvalidInput(
                "years of building",
                needs=f"a first and a last year from {_FIRST_YEAR} to {_LAST_YEAR}, in order",
                came=" to ".join(map(str, years)),
                remedy="Give the first year and the last year.",
            )
        for name, count in self.neighbours:
            thread(name)
            _refuse_weight(f"number of {name} nearby", count)
        for series, weight in self.series_weights:
            _refuse_weight(f"weight of {series}", weight)
        if not 0 < self.none_of_these < 1:
            raise InvalidInput(
                "probability of none of these",
                needs="more than 0 and less than 1",
                came=self.none_of_these,
                remedy="0.02 is the default.",
            )

    def weights(self) -> Mapping[str, float]:
        """Give the probability of each standard thread before anything is measured.

        Returns
        -------
        Mapping of str to float
            Designation to probability; with `none_of_these` they come to 1.
        """
        held = {
            one.designation: usual_weights()[one.designation] * self._factor(one) for one in all_threads()
        }
        whole = sum(held.values())
        if not whole:
            raise InvalidInput(
                "weights of the series",
                needs="one series that is possible",
                came="all 0",
                remedy="Leave one above 0.",
            )
        scale = (1 - self.none_of_these) / whole
        held = {name: weight * scale for name, weight in held.items()}
        return self._with_neighbours(held) if self.neighbours else held

    def said(self) -> str:
        """Say in words what was held likely.

        Returns
        -------
        str
            A few sentences.
        """
        return " ".join(self._sentences())

    def _factor(self, one: Thread) -> float:
        factor = 1.0
        if self.country is not None:
            factor = _WHATEVER_FITTED + (1 - _WHATEVER_FITTED) * self._practised(one.series)
        if self.tapped_material in _SOFT and one.series in _COARSE:
            factor *= _COARSE_IN_SOFT
        for series, weight in self.series_weights:
            if series is one.series:
                factor *= weight
        return factor

    def _years(self) -> tuple[int, int] | None:
        first = self.built_from if self.built_from is not None else self.built_to
        last = self.built_to if self.built_to is not None else self.built_from
        return None if first is None or last is None else (first, last)

    def _practised(self, series: ThreadSeries) -> float:
        """Average the practice of the country over the years of building, or over all its periods."""
        if self.country is None:
            return 1.0
        periods = _PRACTICE[self.country]
        years = self._years()
        if years is None:
            return sum(weights.get(series, 0.0) for _, weights in periods) / len(periods)
        span = range(years[0], years[1] + 1)
        found = (next(weights for last, weights in periods if year < last) for year in span)
        return sum(weights.get(series, 0.0) for weights in found) / len(span)

    def _with_neighbours(self, held: Mapping[str, float]) -> dict[str, float]:
        """Let each neighbour speak for its own thread and for its series."""
        by_series: dict[ThreadSeries, float] = {}
        own: dict[str, float] = {}
        for name, count in self.neighbours:
            near = thread(name).series
            by_series[near] = by_series.get(near, 0.0) + (1 - _NEIGHBOUR_OWN_SHARE) * count
            own[name] = own.get(name, 0.0) + _NEIGHBOUR_OWN_SHARE * count
        series_held: dict[ThreadSeries, float] = {}
        for one in all_threads():
            series_held[one.series] = series_held.get(one.series, 0.0) + held[one.designation]
        counted = sum(count for _, count in self.neighbours)
        known = 1 - self.none_of_these
        mixed = {}
        for one in all_threads():
            name, weight = one.designation, held[one.designation]
            in_series = weight / series_held[one.series] if series_held[one.series] else 0.0
            nearby = own.get(name, 0.0) + by_series.get(one.series, 0.0) * in_series
            mixed[name] = (_HELD_BEFORE_PIECES * weight + known * nearby) / (_HELD_BEFORE_PIECES + counted)
        return mixed

    def _sentences(self) -> Iterator[str]:
        years = self._years()
        if self.country is not None:
            usual = [str(series) for series in ThreadSeries if self._practised(series) >= _USUAL_FROM]
            yield f"Built in {_IN[self.country]}{_when(years)}: {', '.join(usual)} are usual there."
            yield f"{_WHATEVER_FITTED:.0%} of the hardware is whatever fitted later."
        else:
            yield (
                "Nothing is known of the maker: the usual sizes of UNC, UNF, BSW, BSF, BA, CEI and metric "
                "threads count alike; UNEF, pipe threads and second choices three quarters, rarer ones less."
            )
            if years is not None:
                yield "The years alone say nothing without the country."
        if self.neighbours:
            near = ", ".join(f"{count:g} of {name}" for name, count in self.neighbours)
            yield f"Nearby: {near}."
        if self.tapped_material is not None:
            soft = self.tapped_material in _SOFT
            yield f"Tapped in {self.tapped_material}: " + (
                f"coarse threads count {_COARSE_IN_SOFT:g} times." if soft else "coarse and fine count alike."
            )
        for series, weight in self.series_weights:
            yield f"{series} counts {weight:g} times, as you set it."
        yield f"{self.none_of_these:.2g} is kept for a thread of no standard here."
        yield "Common practice, no source."


def _when(years: tuple[int, int] | None) -> str:
    if years is None:
        return ""
    return f" in {years[0]}" if years[0] == years[1] else f" from {years[0]} to {years[1]}"


def _refuse_weight(name: str, weight: float) -> None:
    if not (math.isfinite(weight) and weight >= 0):
        raise InvalidInput(name, needs="a number from 0 on", came=weight, remedy="Type 0 or more.")
