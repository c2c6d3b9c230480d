"""Threads named from readings: published sizes, near twins, threads of no standard, units mixed up."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import AngleGauge, Identification, ThreadReadings, identify
from runningfit.core.pieces.identification.identities import identities, twin_groups
from runningfit.core.standards import thread


def named(found: Identification) -> dict[str, float]:
    return {one.designation: one.probability for one in found.candidates}


@pytest.mark.parametrize(
    ("readings", "designation", "at_least"),
    [
        # ASME B1.1: 5/16-24 UNF 2A has a major diameter of 0.3042 to 0.3114 in (7.73 to 7.91 mm).
        (ThreadReadings(major_mm=7.87, leaf_tpi=24, u_major_mm=0.02), "5/16-24 UNF", 0.97),
        (ThreadReadings(major_mm=7.87, pitch_mm=1.06), "5/16-24 UNF", 0.95),
        # Worn below its limits, as an old bolt is.
        (ThreadReadings(major_mm=7.68, leaf_tpi=24, u_major_mm=0.02), "5/16-24 UNF", 0.97),
        # BS 84: 5/16 BSF has 22 threads per inch, 1/2 BSW 12 and 1/2 UNC 13.
        (ThreadReadings(major_mm=7.88, leaf_tpi=22, u_major_mm=0.02), "5/16-22 BSF", 0.97),
        (ThreadReadings(major_mm=12.6, leaf_tpi=12, u_major_mm=0.03), "1/2-12 BSW", 0.9),
        (ThreadReadings(major_mm=12.6, leaf_tpi=13, u_major_mm=0.03), "1/2-13 UNC", 0.9),
        # BS 93: 2BA is 4.70 x 0.81, 4BA 3.60 x 0.66.
        (ThreadReadings(major_mm=4.6, pitch_mm=0.81, u_pitch_mm=0.005), "2BA", 0.9),
        (ThreadReadings(major_mm=3.52, pitch_mm=0.66, u_pitch_mm=0.005), "4BA", 0.9),
        # BS 811: 1/2 in of 26 threads per inch. ISO 724: M10x1.25. ISO 228-1: G1/4 has 13.157 mm and 19.
        (ThreadReadings(major_mm=12.6, leaf_tpi=26), "1/2-26 CEI", 0.95),
        (ThreadReadings(major_mm=9.9, leaf_mm=1.25), "M10x1.25", 0.95),
        (ThreadReadings(major_mm=13.05, leaf_tpi=19, tapers=False), "G1/4", 0.9),
        (ThreadReadings(major_mm=13.0, leaf_tpi=19, tapers=True), "R1/4", 0.9),
        # ASME B1.1: 5/16-24 UNF 2B has a minor diameter of 0.267 to 0.277 in; ISO 965-1: M8 6H 6.647 to
        # 6.912.
        (ThreadReadings(internal=True, minor_mm=6.9, leaf_tpi=24), "5/16-24 UNF", 0.97),
        (ThreadReadings(internal=True, minor_mm=6.8, pitch_mm=1.25), "M8x1.25", 0.97),
        # The pitch diameter tells what the major diameter does not.
        (ThreadReadings(pitch_diameter_mm=7.19, leaf_tpi=24, u_pitch_diameter_mm=0.01), "5/16-24 UNF", 0.9),
    ],
)
def test_a_published_size_is_named(readings: ThreadReadings, designation: str, at_least: float) -> None:
    found = identify(readings)
    assert found.candidates[0].designation == designation
    assert found.candidates[0].probability >= at_least


def test_the_probabilities_come_to_one_and_are_in_order() -> None:
    found = identify(ThreadReadings(major_mm=7.87, pitch_mm=1.06, u_pitch_mm=0.05))
    listed = [one.probability for one in found.candidates]
    assert listed == sorted(listed, reverse=True)
    assert sum(listed) + found.none_of_these == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize(
    ("readings", "twins"),
    [
        (ThreadReadings(major_mm=6.3, leaf_tpi=20), {"1/4-20 UNC", "1/4-20 BSW"}),
        (ThreadReadings(major_mm=5.94, leaf_mm=1.0), {"M6x1", "0BA"}),
        (ThreadReadings(major_mm=6.3, leaf_tpi=26), {"1/4-26 BSF", "1/4-26 CEI"}),
        (ThreadReadings(major_mm=3.15, leaf_tpi=40), {"5-40 UNC", "1/8-40 BSW", "1/8-40 CEI"}),
    ],
)
def test_geometric_twins_share_the_probability_and_are_said(
    readings: ThreadReadings, twins: set[str]
) -> None:
    found = identify(readings)
    assert set(found.twins[0]) == twins
    assert all(0.15 < named(found)[name] < 0.75 for name in twins)
    assert sum(named(found)[name] for name in twins) > 0.9


def test_an_angle_gauge_parts_twins_of_different_angles() -> None:
    found = identify(ThreadReadings(major_mm=6.3, leaf_tpi=20, angle_gauges=(AngleGauge(55),)))
    assert named(found)["1/4-20 BSW"] > 0.9
    assert found.twins == ()
    not_55 = identify(ThreadReadings(major_mm=6.3, leaf_tpi=20, angle_gauges=(AngleGauge(55, fits=False),)))
    assert named(not_55)["1/4-20 UNC"] > 0.9


@pytest.mark.parametrize(
    "readings",
    [
        ThreadReadings(major_mm=2.79, leaf_tpi=48, u_major_mm=0.02),
        ThreadReadings(major_mm=2.79, pitch_mm=0.53, u_major_mm=0.02, u_pitch_mm=0.01),
    ],
)
def test_6ba_and_4_48_unf_come_out_as_an_honest_spread(readings: ThreadReadings) -> None:
    """6BA is 2.80 x 0.53 mm (BS 93), 4-48 UNF 0.112 in and 48 threads per inch (ASME B1.1)."""
    found = named(identify(readings))
    assert 0.15 < found["6BA"] < 0.85
    assert 0.15 < found["4-48 UNF"] < 0.85
    assert found["6BA"] + found["4-48 UNF"] > 0.95


@pytest.mark.parametrize(
    "readings",
    [
        ThreadReadings(major_mm=7.9, leaf_tpi=23),
        ThreadReadings(major_mm=12.7, leaf_tpi=15),
        ThreadReadings(major_mm=8.5, leaf_mm=1.25),
        ThreadReadings(major_mm=8.5, pitch_mm=1.25, u_major_mm=0.02, u_pitch_mm=0.01),
        ThreadReadings(major_mm=15.0, leaf_mm=2.0),
        ThreadReadings(major_mm=10.3, leaf_tpi=16),
    ],
)
def test_a_pitch_no_standard_has_or_a_diameter_between_is_none_of_these(readings: ThreadReadings) -> None:
    found = identify(readings)
    assert found.none_of_these > 0.5
    assert "probably no standard thread" in found.tell_apart or not found.candidates


def test_a_huge_thread_of_a_fine_pitch_has_no_candidates() -> None:
    found = identify(ThreadReadings(major_mm=130.0, leaf_mm=2.0))
    assert found.candidates == ()
    assert found.none_of_these == 1
    assert found.tell_apart.startswith("No standard thread is near")
    assert found.reasons[0].text == "No standard thread comes near what was measured."


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        (ThreadReadings(major_mm=0.3125, u_major_mm=0.001), "Did you mean inches"),
        (ThreadReadings(major_mm=0.5), "Did you mean inches"),
        (ThreadReadings(major_mm=200.0, leaf_tpi=24), r"Did you mean mm\? Then it may be 5/16-24 UNF"),
    ],
)
def test_a_diameter_that_makes_sense_only_in_the_other_unit_is_asked_about(
    readings: ThreadReadings, said: str
) -> None:
    with pytest.raises(InvalidInput, match=said):
        identify(readings)


def test_a_small_thread_is_not_taken_for_inches() -> None:
    found = identify(ThreadReadings(major_mm=1.15, pitch_mm=0.25, u_pitch_mm=0.005))
    assert found.candidates[0].designation.startswith("M1.2x0.25")


def test_plating_and_wear_are_said() -> None:
    grown = identify(ThreadReadings(major_mm=7.94, leaf_tpi=24))
    assert "above, as plating or another class would leave it" in grown.reasons[0].text
    worn = identify(ThreadReadings(major_mm=7.66, leaf_tpi=24))
    assert "below, as wear would leave it" in worn.reasons[0].text
    assert worn.reasons[0].source


def test_across_flats_narrow_it_down() -> None:
    """BS 1083: 1/4 BSW has 0.445 in across flats; ASME B18.2.1: 1/4 UNC 7/16 in."""
    british = identify(
        ThreadReadings(major_mm=6.3, leaf_tpi=20, across_flats_mm=11.25, u_across_flats_mm=0.02)
    )
    american = identify(
        ThreadReadings(major_mm=6.3, leaf_tpi=20, across_flats_mm=11.0, u_across_flats_mm=0.02)
    )
    assert named(british)["1/4-20 BSW"] > 0.75
    assert named(american)["1/4-20 UNC"] > 0.8
    # A hexagon of before 1940 was that of the next larger size, 0.525 in.
    old = identify(ThreadReadings(major_mm=6.3, leaf_tpi=20, across_flats_mm=13.25, u_across_flats_mm=0.03))
    assert named(old)["1/4-20 BSW"] > 0.7


def test_one_identity_has_all_its_names() -> None:
    keys = {
        (one.thread.form, one.thread.taper, round(one.thread.major_mm, 4), round(one.thread.pitch_mm, 4))
        for one in identities()
    }
    assert len(keys) == len(identities())
    assert sorted(name for one in identities() for name in one.names).count("1/4-28 UNF") == 1


def test_threads_of_other_sizes_are_no_twins() -> None:
    threads = [thread(name) for name in ("1/4-20 UNC", "5/16-24 UNF", "1/4-20 BSW")]
    assert twin_groups(threads, angle_tried=False) == (("1/4-20 UNC", "1/4-20 BSW"),)
    assert twin_groups(threads, angle_tried=True) == ()


@given(
    major=st.floats(0.2, 120),
    pitch=st.none() | st.floats(0.05, 8),
    tpi=st.none() | st.integers(3, 90),
    u=st.floats(0.001, 0.15),
)
def test_whatever_is_measured_the_answer_is_a_distribution_or_a_clear_refusal(
    major: float, pitch: float | None, tpi: int | None, u: float
) -> None:
    found = None
    with suppress(InvalidInput):
        found = identify(ThreadReadings(major_mm=major, pitch_mm=pitch, leaf_tpi=tpi, u_major_mm=u))
    if found is None:
        with pytest.raises(InvalidInput, match=r"came\. .+"):
            identify(ThreadReadings(major_mm=major, pitch_mm=pitch, leaf_tpi=tpi, u_major_mm=u))
        return
    assert 0 <= found.none_of_these <= 1
    listed = sum(one.probability for one in found.candidates) + found.none_of_these
    assert listed == pytest.approx(1, abs=0.03)
    assert found.tell_apart.endswith(".")


@pytest.mark.parametrize("angle", [55.0, 60.0])
def test_a_cycle_thread_of_20_tpi_may_have_either_angle_and_says_so(angle: float) -> None:
    gauges = (AngleGauge(angle), AngleGauge(115.0 - angle, fits=False))
    found = identify(ThreadReadings(major_mm=14.2, leaf_tpi=20, angle_gauges=gauges))
    assert named(found)["9/16-20 CEI"] > 0.9
    assert any("given as 55" in reason.text for reason in found.reasons)
    other = identify(ThreadReadings(major_mm=14.2, leaf_tpi=26, angle_gauges=gauges))
    assert (named(other)["9/16-26 CEI"] > 0.9) is (angle == 60)
