"""What is held likely before anything is measured, and that it is said."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    Country,
    TappedMaterial,
    ThreadPrior,
    ThreadReadings,
    identify,
)
from runningfit.core.standards import ThreadSeries

QUARTER_TWENTY = ThreadReadings(major_mm=6.3, leaf_tpi=20)


def share(prior: ThreadPrior, designation: str, readings: ThreadReadings = QUARTER_TWENTY) -> float:
    found = identify(readings, prior)
    return sum(one.probability for one in found.candidates if one.designation == designation)


@given(
    country=st.none() | st.sampled_from(Country),
    years=st.none() | st.tuples(st.integers(1880, 1990), st.integers(0, 20)),
    material=st.none() | st.sampled_from(TappedMaterial),
    neighbours=st.lists(
        st.tuples(st.sampled_from(("5/16-24 UNF", "2BA", "M8x1.25", "5/16-22 BSF")), st.integers(1, 30)),
        max_size=3,
    ),
)
def test_the_weights_come_to_one(
    country: Country | None,
    years: tuple[int, int] | None,
    material: TappedMaterial | None,
    neighbours: list[tuple[str, int]],
) -> None:
    prior = ThreadPrior(
        country=country,
        built_from=years[0] if years else None,
        built_to=years[0] + years[1] if years else None,
        tapped_material=material,
        neighbours=tuple((name, float(count)) for name, count in neighbours),
    )
    weights = prior.weights()
    assert sum(weights.values()) + prior.none_of_these == pytest.approx(1)
    assert min(weights.values()) > 0
    assert "practice" in prior.said()


def test_the_country_and_years_tell_unc_from_whitworth() -> None:
    american = ThreadPrior(country=Country.UNITED_STATES, built_from=1940)
    british = ThreadPrior(country=Country.UNITED_KINGDOM, built_from=1930, built_to=1938)
    assert share(american, "1/4-20 UNC") > 0.8
    assert share(british, "1/4-20 BSW") > 0.8
    assert "the United Kingdom from 1930 to 1938: BSW, BSF, BA, CEI, G, R are usual" in british.said()
    later = ThreadPrior(country=Country.UNITED_KINGDOM, built_from=1975)
    metric = ThreadReadings(major_mm=5.95, pitch_mm=1.0)
    assert share(later, "M6x1", metric) > share(british, "M6x1", metric)


def test_neighbours_speak_for_their_own_thread_and_their_series() -> None:
    alone = share(ThreadPrior(), "1/4-20 BSW")
    same = share(ThreadPrior(neighbours=(("1/4-20 BSW", 12),)), "1/4-20 BSW")
    series = share(ThreadPrior(neighbours=(("3/8-16 BSW", 12),)), "1/4-20 BSW")
    other = share(ThreadPrior(neighbours=(("3/8-16 UNC", 12),)), "1/4-20 BSW")
    assert same > series > alone > other
    assert "Nearby: 12 of 3/8-16 UNC." in ThreadPrior(neighbours=(("3/8-16 UNC", 12),)).said()


def test_coarse_threads_are_likelier_in_aluminium() -> None:
    only_size = ThreadReadings(major_mm=7.85)
    in_aluminium = ThreadPrior(tapped_material=TappedMaterial.ALUMINIUM)
    in_steel = ThreadPrior(tapped_material=TappedMaterial.STEEL)
    assert share(in_aluminium, "5/16-18 UNC", only_size) > 1.5 * share(in_steel, "5/16-18 UNC", only_size)
    assert "coarse threads count 4 times" in in_aluminium.said()
    assert "count alike" in in_steel.said()


def test_a_series_can_be_ruled_out_by_hand() -> None:
    prior = ThreadPrior(series_weights=((ThreadSeries.BSW, 0.0),))
    assert share(prior, "1/4-20 BSW") == 0
    assert "BSW counts 0 times, as you set it." in prior.said()


def test_the_default_is_stated() -> None:
    said = ThreadPrior().said()
    assert said.startswith(
        "Nothing is known of the maker: the usual sizes of UNC, UNF, BSW, BSF, BA, CEI and"
    )
    assert "0.02 is kept for a thread of no standard here" in said
    assert "The years alone say nothing" in ThreadPrior(built_from=1950).said()


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"built_from": 1950, "built_to": 1940}, "years of building needs"),
        ({"built_from": 50}, "years of building needs"),
        ({"neighbours": (("5/16 XYZ", 1.0),)}, "a designation of the tables"),
        ({"neighbours": (("2BA", -1.0),)}, "number of 2BA nearby needs a number from 0"),
        ({"series_weights": ((ThreadSeries.BSF, float("nan")),)}, "weight of BSF needs a number from 0"),
        ({"none_of_these": 0.0}, "probability of none of these needs more than 0"),
        ({"none_of_these": 1.0}, "probability of none of these needs more than 0"),
    ],
)
def test_what_cannot_be_meant_is_refused(values: dict[str, Any], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        ThreadPrior(**values)


def test_a_prior_that_leaves_no_series_is_refused() -> None:
    nothing = ThreadPrior(series_weights=tuple((series, 0.0) for series in ThreadSeries))
    with pytest.raises(InvalidInput, match="one series that is possible"):
        nothing.weights()
