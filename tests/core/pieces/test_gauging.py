"""A measured bolt or hole is within its class, outside by so much, or not proven; gauges are facts."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging import (
    Measured,
    ThreadMeasurement,
    best_wire_mm,
    check_thread,
    grown_mm,
    growth_of_pitch_diameter,
    limits_after_plating,
    pitch_diameter_over_wires,
    room_for_plating_mm,
)
from runningfit.core.standards import Thread, ThreadForm, all_threads, thread
from runningfit.core.standards.limits import external_limits, internal_limits
from runningfit.core.verdicts import Outcome

FINE = thread("5/16-24 UNF")
# Class 2A: major 7.727 to 7.910 mm, pitch diameter 7.127 to 7.221 mm; class 2B: minor 6.782 to 7.036 mm.
GOOD_MAJOR, GOOD_FLANK = Measured(7.82, 0.01), Measured(7.17, 0.01)


def bolt(**measured: Measured | bool | None) -> ThreadMeasurement:
    return replace(ThreadMeasurement(internal=False), **measured)  # type: ignore[arg-type]


def hole(**measured: Measured | bool | None) -> ThreadMeasurement:
    return replace(ThreadMeasurement(internal=True), **measured)  # type: ignore[arg-type]


def said(one: Thread, measurement: ThreadMeasurement, thread_class: str | None = None) -> str:
    verdict = check_thread(one, measurement, thread_class).verdict
    return " ".join([*(reason.text for reason in verdict.reasons), *(one.text for one in verdict.cautions)])


def test_both_diameters_within_are_sound_with_go_and_no_go_implied() -> None:
    check = check_thread(FINE, bolt(major=GOOD_MAJOR, pitch_diameter=GOOD_FLANK))
    assert check.thread_class == "2A"
    assert check.verdict.outcome is Outcome.SOUND
    assert check.verdict.probability == pytest.approx(1, abs=0.001)
    assert check.verdict.value == 0
    told = said(FINE, bolt(major=GOOD_MAJOR, pitch_diameter=GOOD_FLANK))
    assert "GO and NO-GO are implied, not proven" in told
    assert "no word about cracks" in told


def test_a_good_major_says_nothing_of_the_flanks() -> None:
    check = check_thread(FINE, bolt(major=GOOD_MAJOR))
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    told = said(FINE, bolt(major=GOOD_MAJOR))
    assert "a good major diameter says nothing of it" in told
    assert "three wires or a NO-GO ring gauge" in told


def test_a_worn_bolt_is_told_by_how_much() -> None:
    worn = Measured(7.09, 0.01)
    check = check_thread(FINE, bolt(major=GOOD_MAJOR, pitch_diameter=worn))
    low = external_limits(FINE).pitch_diameter_min_mm
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.verdict.value == pytest.approx(7.09 - low)
    assert check.verdict.uncertainty == 0.01
    assert f"worn, or made so, by {low - 7.09:.3f} mm beyond the limit" in said(
        FINE, bolt(pitch_diameter=worn)
    )
    flank = next(one for one in check.diameters if one.name == "pitch diameter")
    assert flank.is_outside
    assert flank.p_below > 0.99


def test_a_worn_nut_is_larger_and_a_small_one_is_dirty_or_plated() -> None:
    high = internal_limits(FINE).minor_max_mm
    assert "worn, or made so, by 0.050 mm" in said(FINE, hole(minor=Measured(high + 0.05, 0.01)))
    told = said(FINE, hole(minor=Measured(6.70, 0.01)))
    assert "too small by" in told
    assert "a coat does that" in told


def test_too_large_an_uncertainty_proves_nothing() -> None:
    check = check_thread(FINE, bolt(major=GOOD_MAJOR, pitch_diameter=Measured(7.17, 0.1)))
    assert check.verdict.outcome is Outcome.NOT_PROVEN
    assert "it needs an uncertainty of 0.026 mm or less" in said(
        FINE, bolt(pitch_diameter=Measured(7.17, 0.1))
    )


def test_on_the_limit_only_a_gauge_can_tell() -> None:
    low = external_limits(FINE).pitch_diameter_min_mm
    assert "only a gauge can tell" in said(FINE, bolt(pitch_diameter=Measured(low, 0.005)))


def test_gauges_are_facts() -> None:
    check = check_thread(FINE, bolt(go=True, no_go=False))
    assert check.verdict.outcome is Outcome.SOUND
    assert check.verdict.value is None
    assert "Thread gauges do not check the major diameter" in said(FINE, bolt(go=True, no_go=False))
    assert check_thread(FINE, bolt(go=False)).verdict.outcome is Outcome.NOT_SOUND
    assert "too large, dirty, damaged or plated" in said(FINE, bolt(go=False))
    assert check_thread(FINE, hole(go=True, no_go=True)).verdict.outcome is Outcome.NOT_SOUND
    assert "NO-GO plug went in: the pitch diameter is too large" in said(FINE, hole(no_go=True))
    assert check_thread(FINE, hole(go=True)).verdict.outcome is Outcome.NOT_PROVEN


def test_gauges_cannot_make_up_for_a_worn_crest() -> None:
    worn = bolt(go=True, no_go=False, major=Measured(7.5, 0.01))
    assert check_thread(FINE, worn).verdict.outcome is Outcome.NOT_SOUND


def test_a_gauge_and_a_measurement_that_contradict_each_other_prove_nothing() -> None:
    worn = bolt(go=True, no_go=False, pitch_diameter=Measured(7.05, 0.005))
    assert check_thread(FINE, worn).verdict.outcome is Outcome.NOT_PROVEN
    assert "The NO-GO gauge and the measured pitch diameter contradict" in said(FINE, worn)
    tight = bolt(go=True, pitch_diameter=Measured(7.30, 0.005))
    assert "The GO gauge and the measured pitch diameter contradict" in said(FINE, tight)
    within = bolt(no_go=True, pitch_diameter=GOOD_FLANK)
    assert check_thread(FINE, within).verdict.outcome is Outcome.NOT_PROVEN


def test_a_plated_bolt_may_reach_the_basic_size() -> None:
    thick = bolt(major=Measured(7.925, 0.002), pitch_diameter=Measured(7.236, 0.002))
    assert check_thread(FINE, thick).verdict.outcome is Outcome.NOT_SOUND
    plated = check_thread(FINE, replace(thick, plated=True))
    assert plated.verdict.outcome is Outcome.SOUND
    assert "after plating" in plated.limits.source


def test_a_reading_far_off_may_be_another_thread() -> None:
    assert "may be another thread: name the thread first" in said(FINE, bolt(major=Measured(7.0, 0.02)))


@pytest.mark.parametrize(
    ("measurement", "told"),
    [
        (bolt(), "measurement needs a diameter or a gauge result; nothing came"),
        (
            bolt(major=Measured(0.3125, 0.001)),
            r"major diameter needs millimetres; 0.3125 came. That looks like in",
        ),
        (bolt(major=Measured(7.8, 0)), "uncertainty of the major diameter needs more than nothing"),
        (bolt(major=Measured(7.8, nan)), "uncertainty of the major diameter needs more than nothing"),
        (bolt(major=Measured(7.8, 8)), "uncertainty of the major diameter needs less than the diameter"),
        (bolt(pitch_diameter=Measured(inf, 0.01)), "pitch diameter needs more than nothing"),
        (bolt(minor=Measured(-1, 0.01)), "minor diameter needs more than nothing"),
    ],
)
def test_what_cannot_be_is_refused(measurement: ThreadMeasurement, told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        check_thread(FINE, measurement)


def test_a_taper_thread_and_an_unknown_class_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"taper thread has no limits of diameter"):
        check_thread(thread("R1/4"), bolt(major=Measured(13.1, 0.02)))
    with pytest.raises(InvalidInput, match=r"internal UNF thread has: 2B, 1B, 3B; '2A' came"):
        check_thread(FINE, hole(minor=Measured(6.9, 0.02)), "2A")


PARALLEL = [one for one in all_threads() if not one.taper and one.major_mm > 1]


@given(st.sampled_from(PARALLEL), st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.booleans())
def test_what_lies_well_within_is_sound_and_what_lies_far_outside_is_not(
    one: Thread, at: float, other: float, internal: bool
) -> None:
    limits = internal_limits(one) if internal else external_limits(one)
    low, high = limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm
    u = (high - low) * 0.02
    flank = Measured(low + at * (high - low), u)
    if internal:
        inner = internal_limits(one)
        spread = inner.minor_max_mm - inner.minor_min_mm
        crest = Measured(inner.minor_min_mm + other * spread, 0.02 * spread)
        measurement = hole(pitch_diameter=flank, minor=crest)
    else:
        outer = external_limits(one)
        spread = outer.major_max_mm - outer.major_min_mm
        crest = Measured(outer.major_min_mm + other * spread, 0.02 * spread)
        measurement = bolt(pitch_diameter=flank, major=crest)
    check = check_thread(one, measurement)
    assert check.verdict.outcome is Outcome.SOUND
    assert check.verdict.probability is not None
    assert check.verdict.probability > 0.9
    for probability in check.diameters:
        assert probability.p_below + probability.p_within + probability.p_above == pytest.approx(1)
    far = Measured(low - 3 * u, u) if not internal else Measured(high + 3 * u, u)
    assert check_thread(one, replace(measurement, pitch_diameter=far)).verdict.outcome is Outcome.NOT_SOUND


def test_growth_under_plating() -> None:
    """Factors as gauge makers publish them, citing ASME B1.1: 4 at 60°; the others by the same rule."""
    assert growth_of_pitch_diameter(ThreadForm.UNIFIED60) == pytest.approx(4.000, abs=0.0005)
    assert growth_of_pitch_diameter(ThreadForm.WHITWORTH55) == pytest.approx(4.331, abs=0.0005)
    assert growth_of_pitch_diameter(ThreadForm.BA47_5) == pytest.approx(4.966, abs=0.0005)
    assert grown_mm(FINE, 0.008) == pytest.approx(0.032)
    with pytest.raises(InvalidInput, match=r"thickness needs nothing or more"):
        grown_mm(FINE, -0.001)


@pytest.mark.parametrize(
    ("designation", "thickest_in"),
    [("1/4-20 UNC", 0.000275), ("1/2-13 UNC", 0.000375), ("1-8 UNC", 0.0005)],
)
def test_the_allowance_of_2a_has_room_for_plating(designation: str, thickest_in: float) -> None:
    one = thread(designation)
    assert room_for_plating_mm(one, external_limits(one)) == pytest.approx(thickest_in * 25.4, abs=1e-6)
    assert room_for_plating_mm(one, external_limits(one, "3A")) == 0


def test_the_allowance_of_association_bolts_has_room_for_five_micrometres() -> None:
    one = thread("2BA")
    assert room_for_plating_mm(one, external_limits(one)) == pytest.approx(0.00503, abs=0.00001)


def test_after_plating_the_smallest_sizes_stay() -> None:
    before = external_limits(FINE)
    after = limits_after_plating(FINE, before)
    assert after.pitch_diameter_max_mm == pytest.approx(FINE.pitch_diameter_mm)
    assert after.major_max_mm == pytest.approx(FINE.major_mm)
    assert after.pitch_diameter_min_mm == before.pitch_diameter_min_mm
    assert after.major_min_mm == before.major_min_mm


def test_over_wires() -> None:
    """The usual short forms: 60° M - 3 w + 0.866025 P; 55° M - 3.1657 w + 0.9605 P."""
    one = thread("1/2-13 UNC")
    assert best_wire_mm(one) == pytest.approx(0.57735 * one.pitch_mm, rel=1e-5)
    wire = best_wire_mm(one)
    assert pitch_diameter_over_wires(one, 12.9, wire) == pytest.approx(
        12.9 - 3 * wire + 0.866025 * one.pitch_mm, abs=1e-5
    )
    whitworth = thread("1/2-12 BSW")
    wire = best_wire_mm(whitworth)
    assert wire == pytest.approx(0.5637 * whitworth.pitch_mm, rel=1e-4)
    assert pitch_diameter_over_wires(whitworth, 12.9, wire) == pytest.approx(
        12.9 - 3.1657 * wire + 0.9605 * whitworth.pitch_mm, abs=2e-4
    )


@given(st.sampled_from(PARALLEL), st.floats(0.96, 1.5))
def test_any_wire_gives_back_the_pitch_diameter(one: Thread, part: float) -> None:
    """Geometry from the flanks: a ball of radius r touches them where the reading over it must be this."""
    from math import radians, sin, tan

    half = {ThreadForm.WHITWORTH55: 27.5, ThreadForm.BA47_5: 23.75}.get(one.form, 30.0)
    wire = part * best_wire_mm(one)
    # The centre lies r / sin(half) above the sharp root, which lies P / (4 tan(half)) below the pitch line.
    centre = wire / 2 / sin(radians(half)) - one.pitch_mm / 4 / tan(radians(half))
    over = one.pitch_diameter_mm + 2 * centre + wire
    assert pitch_diameter_over_wires(one, over, wire) == pytest.approx(one.pitch_diameter_mm, abs=1e-9)


def test_wires_that_do_not_lie_on_the_flanks_are_refused() -> None:
    with pytest.raises(
        InvalidInput, match=r"wire needs wires of .* mm on 5/16-24 UNF; 2 came. The best wire has 0.611"
    ):
        pitch_diameter_over_wires(FINE, 8.2, 2)
    with pytest.raises(InvalidInput, match=r"over wires needs a length more than nothing"):
        pitch_diameter_over_wires(FINE, -8.2, 0.61)
    with pytest.raises(InvalidInput, match=r"thread needs a parallel one for wires; 'R1/4' came"):
        pitch_diameter_over_wires(thread("R1/4"), 13, 0.7)
