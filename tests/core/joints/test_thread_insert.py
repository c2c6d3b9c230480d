"""A thread insert: wider outside, so that the same metal holds more; and no pass rests on it."""

from __future__ import annotations

from math import pi, tan

import pytest

from runningfit.core.joints.engagement import length_needed_mm, thread_areas, thread_pair
from runningfit.core.joints.grades import read_grade, strength_of
from runningfit.core.joints.real_engagement import (
    Fitted,
    RealEngagement,
    real_engagement,
    usual_thread_length_mm,
)
from runningfit.core.joints.stripping import EngagedThreads, judge_stripping
from runningfit.core.joints.tapped_materials import tapped_material
from runningfit.core.joints.thread_insert import insert_areas, insert_length_needed_mm, widened_by_mm
from runningfit.core.standards import thread
from runningfit.core.verdicts import Outcome

QUARTER = thread("1/4-20 UNC")
IN = 25.4


@pytest.mark.parametrize(
    ("designation", "over_pitch"),
    [
        ("1/4-20 UNC", 1.299038),
        ("M8x1.25", 1.299038),
        # 2 x 0.640327 P, the depth of the Whitworth form.
        ("1/4-20 BSW", 1.280654),
        ("2BA", 1.2),
    ],
)
def test_the_hole_for_an_insert_is_wider_by_twice_the_depth_of_the_thread(
    designation: str, over_pitch: float
) -> None:
    found = thread(designation)
    assert widened_by_mm(found) / found.pitch_mm == pytest.approx(over_pitch, abs=0.01)


def test_the_taps_for_a_quarter_inch_and_for_eight_millimetres_come_out() -> None:
    # From memory, tables of taps for wire inserts: 0.3150 in over the crests of 1/4-20, 9.624 mm of M8.
    assert (QUARTER.major_mm + widened_by_mm(QUARTER)) / IN == pytest.approx(0.3150, abs=5e-5)
    m8 = thread("M8x1.25")
    assert m8.major_mm + widened_by_mm(m8) == pytest.approx(9.624, abs=5e-4)


def test_the_metal_shears_on_the_outside_thread_of_the_insert() -> None:
    # FED-STD-H28/2B formula 2a by hand: least major and largest pitch diameter of 1/4-20 2A/2B, both wider.
    wider, pitch = 1.299038 / 20, 1 / 20
    major, pitch_diameter = 0.2408 + wider, 0.2224 + wider
    by_hand = pi / pitch * major * (pitch / 2 + tan(pi / 6) * (major - pitch_diameter)) * IN
    pair = thread_pair(QUARTER)
    assert insert_areas(pair).internal_mm2_per_mm == pytest.approx(by_hand, rel=1e-3)
    assert insert_areas(pair).internal_mm2_per_mm > 1.2 * thread_areas(pair).internal_mm2_per_mm
    assert insert_areas(pair).external_mm2_per_mm == thread_areas(pair).external_mm2_per_mm


def test_in_soft_metal_an_insert_needs_less_length_than_the_bare_hole() -> None:
    pair = thread_pair(QUARTER)
    bare = length_needed_mm(pair, 827.0, 130.0)
    assert insert_length_needed_mm(pair, 827.0, 130.0) == pytest.approx(
        bare * thread_areas(pair).internal_mm2_per_mm / insert_areas(pair).internal_mm2_per_mm
    )
    # In metal as strong as the bolt its own threads decide, with an insert or without.
    assert insert_length_needed_mm(pair, 827.0, 827.0) <= length_needed_mm(pair, 827.0, 827.0)


def joint(length_mm: float, *, in_insert: bool) -> EngagedThreads:
    return EngagedThreads(
        thread_pair(QUARTER),
        strength_of(read_grade("SAE J429 5"), QUARTER),
        tapped_material("LM25-TF"),
        RealEngagement(length_mm, 0.0),
        in_insert=in_insert,
    )


def test_no_pass_rests_on_an_insert_however_long_it_is() -> None:
    assert judge_stripping(joint(30.0, in_insert=False)).outcome is Outcome.SOUND
    held = judge_stripping(joint(30.0, in_insert=True))
    assert held.outcome is Outcome.NOT_PROVEN
    assert any("from memory" in reason.source for reason in held.reasons)
    short = judge_stripping(joint(5.0, in_insert=True))
    assert any("a longer insert and bolt" in one.text for one in short.cautions)


def test_a_plain_shank_that_meets_the_thread_is_not_sound() -> None:
    fitted = Fitted(40.0, 10.0, 25.0, washer_mm=1.5, chamfer_mm=1.0, thread_length_mm=20.0)
    held = real_engagement(QUARTER, fitted)
    # 20 mm of shank, 12.5 mm of room.
    assert held.shank_by_mm == pytest.approx(7.5)
    assert not held.clamps
    verdict = judge_stripping(
        EngagedThreads(
            thread_pair(QUARTER),
            strength_of(read_grade("SAE J429 5"), QUARTER),
            tapped_material("steel"),
            held,
        )
    )
    assert verdict.outcome is Outcome.NOT_SOUND
    assert any("plain shank meets the thread 7.5 mm" in one.text for one in verdict.cautions)
    threaded = real_engagement(QUARTER, Fitted(40.0, 10.0, 25.0, washer_mm=1.5, thread_length_mm=40.0))
    assert threaded.clamps


@pytest.mark.parametrize(
    ("designation", "length_mm", "thread_mm"),
    [
        # ISO 888 from memory: M8 has 22, 28 and 41 mm by the length of the bolt.
        ("M8x1.25", 60.0, 22.0),
        ("M8x1.25", 150.0, 28.0),
        ("M8x1.25", 220.0, 41.0),
        ("M8x1.25", 16.0, 16.0),
        # ASME B18.2.1 from memory: twice the diameter and a quarter of an inch, half an inch beyond 6 in.
        ("3/8-16 UNC", 3 * IN, 1.0 * IN),
        ("3/8-16 UNC", 6 * IN, 1.0 * IN),
        ("3/8-16 UNC", 7 * IN, 1.25 * IN),
    ],
)
def test_the_usual_thread_length(designation: str, length_mm: float, thread_mm: float) -> None:
    assert usual_thread_length_mm(thread(designation), length_mm) == pytest.approx(thread_mm)
