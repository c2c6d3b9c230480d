"""The next measurement is computed: its bits, its words, and that it beats every fixed rule."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from functools import cache

import pytest

from runningfit.core.pieces.identification import AngleGauge, Means, ThreadPrior, ThreadReadings, identify
from runningfit.core.pieces.identification.information import Possible, bits_of_outcomes, bits_of_pitch
from runningfit.core.pieces.identification.next_measurement import (
    next_measurements,
    possibilities,
    uncertainty_bits,
)
from runningfit.core.pieces.identification.posterior import Posterior, posterior
from runningfit.core.standards import thread
from simulators.thread_trials import Case, cases, measure_also
from simulators.threads import USUAL

UNF, BSF = thread("5/16-24 UNF"), thread("5/16-22 BSF")
EVEN = (Possible(UNF, 0.5), Possible(BSF, 0.5))
FIXED = (
    Means.LEAF, Means.ANGLE_55, Means.ANGLE_60, Means.ANGLE_47_5, Means.TAPER, Means.TEN_TURNS, Means.MAJOR,
    Means.FLATS, Means.WIRES,
)  # fmt: skip


@cache
def weights() -> Mapping[str, float]:
    return ThreadPrior().weights()


def after(readings: ThreadReadings) -> Posterior:
    return posterior(readings, weights(), ThreadPrior().none_of_these)


def test_a_look_that_parts_two_even_threads_tells_one_bit() -> None:
    assert bits_of_outcomes(EVEN, [(1.0, 0.0), (0.0, 1.0)]) == pytest.approx(1)
    assert bits_of_outcomes(EVEN, [(0.7, 0.3), (0.7, 0.3)]) == pytest.approx(0)


def test_a_noisy_look_tells_what_a_noisy_channel_does() -> None:
    """A binary symmetric channel of error 0.1 carries 1 - h(0.1) bits (Shannon 1948)."""
    entropy = -(0.1 * math.log2(0.1) + 0.9 * math.log2(0.9))
    assert bits_of_outcomes(EVEN, [(0.9, 0.1), (0.1, 0.9)]) == pytest.approx(1 - entropy)


def test_the_bits_of_a_pitch_follow_its_uncertainty() -> None:
    """At u of a sixth of the difference two pitches are told apart, at many times it they are not."""
    apart = abs(UNF.pitch_mm - BSF.pitch_mm)
    sharp, middling, dull = (bits_of_pitch(EVEN, u, None) for u in (apart / 6, apart / 2, 10 * apart))
    assert sharp == pytest.approx(1, abs=0.03)
    # Two normal densities two u apart: 0.486 bit by numerical integration of the same definition in scipy.
    assert middling == pytest.approx(0.486, abs=0.02)
    assert dull < 0.01


@pytest.mark.parametrize(
    "readings",
    [
        ThreadReadings(major_mm=7.87),
        ThreadReadings(major_mm=6.3, leaf_tpi=20),
        ThreadReadings(pitch_mm=1.06),
        ThreadReadings(across_flats_mm=12.7),
        ThreadReadings(major_mm=2.79, pitch_mm=0.53, u_pitch_mm=0.03),
        ThreadReadings(internal=True, minor_mm=6.8),
    ],
)
def test_no_measurement_tells_more_than_is_unknown(readings: ThreadReadings) -> None:
    found = after(readings)
    unknown = uncertainty_bits(possibilities(found))
    made = next_measurements(readings, found)
    assert made
    assert all(0 <= one.bits <= unknown + 0.02 for one in made)
    assert made[0].bits >= max(one.bits for one in made) - 0.02


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        (ThreadReadings(major_mm=6.3, leaf_tpi=20), "A 55 degree gauge: fits 1/4-20 BSW, not 1/4-20 UNC."),
        (
            ThreadReadings(major_mm=7.87, pitch_mm=1.06, u_pitch_mm=0.05),
            "A pitch gauge: 24 tpi is 5/16-24 UNF, 1 mm M8x1.",
        ),
        (
            ThreadReadings(major_mm=13.0, leaf_tpi=19),
            "The diameter at both ends of the thread: R1/4 tapers by 1 in 16, G1/4 does not.",
        ),
    ],
)
def test_the_advice_says_what_to_look_for(readings: ThreadReadings, said: str) -> None:
    assert identify(readings).tell_apart == said


def test_where_one_is_sure_nothing_more_is_needed() -> None:
    assert identify(ThreadReadings(major_mm=7.87, leaf_tpi=24)).tell_apart.startswith(
        "Nothing more is needed."
    )


def test_what_was_done_is_not_advised_again() -> None:
    done = ThreadReadings(
        major_mm=7.87,
        leaf_tpi=24,
        pitch_mm=1.058,
        u_pitch_mm=0.004,
        u_major_mm=0.005,
        across_flats_mm=12.6,
        tapers=False,
        angle_gauges=(AngleGauge(60),),
    )
    advised = {one.means for one in identify(done).next_measurements}
    assert advised == {Means.ANGLE_55, Means.ANGLE_47_5, Means.RING, Means.WIRES}


def test_only_what_such_a_piece_has_is_advised() -> None:
    bolt = {one.means for one in identify(ThreadReadings(major_mm=7.87)).next_measurements}
    nut = {one.means for one in identify(ThreadReadings(internal=True, pitch_mm=1.06)).next_measurements}
    assert Means.WIRES in bolt
    assert Means.MINOR not in bolt
    assert Means.MINOR in nut
    assert not nut & {Means.WIRES, Means.MAJOR}


def _gained(case: Case, means: Means, before: float) -> float:
    """Bits that a measurement gave on what the piece truly is."""
    readings = measure_also(means, case)
    return 0.0 if readings is None else math.log2(_of_truth(case, after(readings)) / before)


def _of_truth(case: Case, found: Posterior) -> float:
    known = sum(one.probability for one in found.weighed if case.truth.name in one.identity.names)
    return max(known, 1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("mix", ["leaf", "pitch"])
def test_the_advised_measurement_beats_the_best_fixed_rule(mix: str) -> None:
    """Bits gained on simulated bolts: 0.29 to 0.24 of the best rule (leaf), 0.34 to 0.27 (pitch)."""
    fixed: Counter[Means] = Counter()
    advised = 0.0
    for case in cases(350, mix, USUAL, 31, evenly="families"):
        found = after(case.readings)
        made = [one.means for one in next_measurements(case.readings, found) if one.means in FIXED]
        before = _of_truth(case, found)
        gained = {means: _gained(case, means, before) for means in made}
        fixed.update(gained)
        advised += gained[made[0]]
    assert advised > 1.1 * max(fixed.values())
