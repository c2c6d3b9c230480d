"""A sheet of readings gives the same figures as its rows one by one."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    AngleGauge,
    Country,
    ThreadPrior,
    ThreadReadings,
    identify,
    identify_many,
    wrong_units,
)
from runningfit.core.pieces.identification.identities import identities
from runningfit.core.pieces.identification.many import FurtherEvidence
from simulators.thread_trials import MIXES, cases
from simulators.threads import USUAL


@pytest.mark.parametrize("mix", MIXES)
def test_rows_are_named_as_one_by_one_in_their_order(mix: str) -> None:
    readings = [case.readings for case in cases(60, mix, USUAL, 9)]
    prior = ThreadPrior(country=Country.UNITED_KINGDOM, built_from=1935)
    sheet = identify_many(readings, prior)
    compared = 0
    for row, one in enumerate(readings):
        try:
            alone = identify(one, prior)
        except InvalidInput:
            assert wrong_units(readings, sheet, prior)[row].is_asked
            continue
        together = sheet.candidates(row)
        assert float(sheet.none_of_these[row]) == pytest.approx(alone.none_of_these, rel=1e-6, abs=1e-9)
        assert [name for name, _ in together] == [one.designation for one in alone.candidates[:12]]
        for (_, probability), candidate in zip(together, alone.candidates, strict=False):
            assert probability == pytest.approx(candidate.probability, rel=1e-6)
        compared += 1
    assert compared > 50


@settings(max_examples=12)
@given(seed=st.integers(0, 10**6))
def test_mixed_patterns_keep_their_rows(seed: int) -> None:
    chance = Random(seed)
    readings = [
        ThreadReadings(major_mm=7.87, leaf_tpi=24),
        ThreadReadings(major_mm=9.9, leaf_mm=1.25),
        ThreadReadings(major_mm=6.3, leaf_tpi=20, angle_gauges=(AngleGauge(55),)),
        ThreadReadings(internal=True, minor_mm=6.8, pitch_mm=1.25),
        ThreadReadings(major_mm=13.0, leaf_tpi=19, tapers=True),
    ]
    names = ["5/16-24 UNF", "M10x1.25", "1/4-20 BSW", "M8x1.25", "R1/4"]
    order = [chance.randrange(len(readings)) for _ in range(12)]
    sheet = identify_many([readings[at] for at in order])
    assert [sheet.candidates(row)[0][0] for row in range(12)] == [names[at] for at in order]
    assert sheet.places.shape == sheet.probabilities.shape == (12, 12)


def test_no_rows_give_no_rows() -> None:
    sheet = identify_many([])
    assert sheet.probabilities.shape == (0, 12)
    assert wrong_units([], sheet) == {}


def test_inches_typed_as_mm_are_found_in_a_sheet() -> None:
    readings = [ThreadReadings(major_mm=7.87, leaf_tpi=24), ThreadReadings(major_mm=0.3125, u_major_mm=0.001)]
    units = wrong_units(readings, identify_many(readings))
    assert list(units) == [1]
    assert units[1].is_asked
    assert units[1].question.startswith("Did you mean inches? Then it may be 5/16-")


def test_further_evidence_is_weighed_with_the_readings() -> None:
    readings = [ThreadReadings(major_mm=9.9, pitch_mm=1.5), ThreadReadings(major_mm=9.9, pitch_mm=1.5)]
    names = [one.thread.designation for one in identities()]
    on_each = np.ones((2, len(names)))
    on_each[1, names.index("M10x1.5")] = 0.0
    found = identify_many(readings, further=FurtherEvidence(on_each, np.array([1.0, 0.5])))
    plain = identify_many(readings)
    assert found.candidates(0) == plain.candidates(0)
    assert plain.candidates(0)[0][0] == "M10x1.5"
    assert "M10x1.5" not in [name for name, _ in found.candidates(1)]
    lost = plain.candidates(1)[0][1]
    odds = plain.none_of_these[1] / (1 - lost - plain.none_of_these[1])
    assert found.none_of_these[1] == pytest.approx(0.5 * odds / (0.5 * odds + 1), rel=1e-6)
