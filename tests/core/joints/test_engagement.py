"""Threads in engagement: lengths needed, what really holds, and the verdict on stripping."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.engagement import (
    ThreadPair,
    iso_tr_16224_length_mm,
    length_needed_mm,
    stripping_load_n,
    thread_areas,
    thread_pair,
    worn_pair,
)
from runningfit.core.joints.grades import read_grade, strength_of
from runningfit.core.joints.real_engagement import Fitted, RealEngagement, full_thread_mm, real_engagement
from runningfit.core.joints.stripping import BRITTLE, EngagedThreads, judge_stripping
from runningfit.core.joints.tapped_materials import known_materials, tapped_material
from runningfit.core.joints.thread_shear import bolt_bending, nut_bending, nut_dilation
from runningfit.core.standards import all_threads, thread
from runningfit.core.verdicts import Outcome

QUARTER = thread("1/4-20 UNC")
PARALLEL = [one.designation for one in all_threads() if not one.pipe and not one.rare]


@pytest.mark.parametrize("designation", PARALLEL)
def test_every_parallel_thread_has_shear_areas_and_a_length(designation: str) -> None:
    pair = thread_pair(thread(designation))
    areas = thread_areas(pair)
    major = pair.thread.major_mm
    # Per mm engaged: less than a full cylinder's surface, more than a fifth of it.
    assert 0.2 * 3.1416 * major < areas.external_mm2_per_mm < areas.internal_mm2_per_mm < 3.1416 * major
    assert 0.4 * major < length_needed_mm(pair, 800.0, 800.0) < 1.6 * major


@given(
    bolt=st.floats(300, 1500),
    tapped=st.floats(80, 1500),
    more=st.floats(1.01, 2),
)
def test_a_stronger_bolt_or_a_weaker_hole_needs_no_less(bolt: float, tapped: float, more: float) -> None:
    pair = thread_pair(QUARTER)
    needed = length_needed_mm(pair, bolt, tapped)
    assert length_needed_mm(pair, bolt, tapped / more if tapped / more > 20 else tapped) >= needed - 1e-9
    assert length_needed_mm(pair, bolt * more, tapped) >= needed - 1e-9


def test_the_example_of_a_quarter_inch_bolt_in_aluminium() -> None:
    pair = thread_pair(QUARTER, "2A", "2B")
    assert length_needed_mm(pair, 827.0, 230.0) == pytest.approx(10.784, abs=0.005)


def test_a_worn_hole_needs_more() -> None:
    pair = thread_pair(QUARTER)
    worn = worn_pair(pair, hole_pitch_diameter_mm=5.80, hole_minor_mm=5.40)
    assert length_needed_mm(worn, 827.0, 230.0) > 1.1 * length_needed_mm(pair, 827.0, 230.0)
    assert thread_areas(worn).external_mm2_per_mm < thread_areas(pair).external_mm2_per_mm


def test_another_thread_s_diameter_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"pitch diameter of the hole needs about 5\.52 mm for 1/4-20 UNC"):
        worn_pair(thread_pair(QUARTER), hole_pitch_diameter_mm=9.0)


def test_crests_that_pass_each_other_are_refused() -> None:
    pair = worn_pair(thread_pair(QUARTER), hole_pitch_diameter_mm=7.6, bolt_major_mm=6.0)
    with pytest.raises(InvalidInput, match=r"thread needs threads that still touch each other"):
        thread_areas(pair)


def test_a_pipe_thread_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"thread needs one of a bolt, stud or screw; 'G1/4' came"):
        thread_pair(thread("G1/4"))


@pytest.mark.parametrize(("bolt", "tapped"), [(0.0, 230.0), (827.0, 0.23), (120_000.0, 230.0)])
def test_a_strength_in_the_wrong_unit_is_refused(bolt: float, tapped: float) -> None:
    with pytest.raises(
        InvalidInput,
        match=r"tensile needs a tensile strength from 20 to 3000 MPa.*Check "
        "the unit",
    ):
        length_needed_mm(thread_pair(QUARTER), bolt, tapped)


def test_the_factors_of_iso_tr_16224_refuse_what_lies_outside() -> None:
    with pytest.raises(InvalidInput, match=r"width across flats needs 1\.4 times the thread or more"):
        nut_dilation(13.0, 10.0)
    with pytest.raises(InvalidInput, match=r"strength ratio needs less than 2\.2 for ISO/TR 16224"):
        bolt_bending(2.5)
    with pytest.raises(InvalidInput, match=r"strength ratio needs more than 0\.4 for ISO/TR 16224"):
        nut_bending(0.3)
    with pytest.raises(InvalidInput, match=r"thread needs a metric one for ISO/TR 16224"):
        iso_tr_16224_length_mm(QUARTER, 800.0, 600.0, 11.1)


def test_washer_chamfer_depth_and_damage_take_engagement_away() -> None:
    whole = Fitted(bolt_length_mm=30, clamped_mm=15, thread_depth_mm=20, point_mm=0)
    assert real_engagement(QUARTER, whole) == RealEngagement(15, 0)
    less = Fitted(30, 15, 20, washer_mm=1.5, chamfer_mm=1, point_mm=1, damaged_turns=2)
    assert real_engagement(QUARTER, less).engaged_mm == pytest.approx(15 - 1.5 - 1 - 1 - 2 * 1.27)
    shallow = Fitted(30, 15, 10)
    assert real_engagement(QUARTER, shallow).engaged_mm == pytest.approx(10)
    usual_point = Fitted(30, 15, 20)
    assert real_engagement(QUARTER, usual_point).engaged_mm == pytest.approx(15 - 1.27)


def test_a_bolt_longer_than_its_blind_hole_bottoms() -> None:
    found = real_engagement(QUARTER, Fitted(30, 15, 12, is_blind=True))
    assert found.bottoms_by_mm == pytest.approx(3)
    assert real_engagement(QUARTER, Fitted(30, 15, 12)).bottoms_by_mm == 0


@pytest.mark.parametrize(("length", "chamfer", "turns"), [(1.0, 0.0, 0.0), (3.0, 3.0, 0.0), (5.0, 1.0, 4.0)])
def test_a_length_shorter_than_chamfer_or_damage_is_refused(
    length: float, chamfer: float, turns: float
) -> None:
    with pytest.raises(
        InvalidInput,
        match=r"length of engagement needs more than .*such a bolt holds "
        "nothing",
    ):
        full_thread_mm(QUARTER, length, chamfer, turns)


def test_a_negative_measure_is_refused() -> None:
    refused = r"chamfer or damaged turns needs numbers that are not negative; '0 mm and -2' came"
    with pytest.raises(InvalidInput, match=refused):
        full_thread_mm(QUARTER, 10.0, 0.0, -2.0)
    with pytest.raises(InvalidInput, match=r"length needs measures that are not negative; '-1' came"):
        real_engagement(QUARTER, Fitted(30, 15, 20, washer_mm=-1))


def test_materials_are_taken_at_their_weak_end_and_castings_keep_their_own_shear() -> None:
    family, alloy = tapped_material("aluminium"), tapped_material("LM25-TF")
    assert family.tensile_low_mpa == 130
    assert alloy.tensile_low_mpa == 230
    assert alloy.shear_low_mpa == 180
    # Castings shear at more than the half of their tensile strength that FED-STD-H28/2B takes.
    assert alloy.shear_low_mpa > 0.5 * alloy.tensile_low_mpa
    unknown = tapped_material("unknown")
    assert unknown.tensile_low_mpa == min(tapped_material(name).tensile_low_mpa for name in known_materials())


def test_an_unknown_material_is_refused_with_those_known() -> None:
    with pytest.raises(
        InvalidInput,
        match=r"tapped material needs one of aluminium casting, .*'cheese' "
        "came",
    ):
        tapped_material("cheese")


def engaged(
    grade: str,
    material: str,
    length_mm: float | None,
    *,
    pair: ThreadPair | None = None,
    preload_high_n: float | None = None,
    bottoms_by_mm: float = 0.0,
    mate_is_bad: bool = False,
) -> EngagedThreads:
    return EngagedThreads(
        pair or thread_pair(QUARTER),
        strength_of(read_grade(grade), QUARTER),
        tapped_material(material),
        None if length_mm is None else RealEngagement(length_mm, bottoms_by_mm),
        preload_high_n,
        mate_is_bad,
    )


def test_enough_engagement_is_sound_and_too_little_is_not_proven() -> None:
    assert judge_stripping(engaged("SAE J429 5", "LM25-TF", 30)).outcome is Outcome.SOUND
    short = judge_stripping(engaged("SAE J429 5", "LM25-TF", 8))
    assert short.outcome is Outcome.NOT_PROVEN
    assert any("strips before the bolt breaks" in one.text for one in short.cautions)


def test_iron_holds_by_the_shear_strength_of_its_weakest_grade_and_warns_that_it_is_brittle() -> None:
    verdict = judge_stripping(engaged("SAE J429 5", "cast iron", 30))
    assert verdict.value is not None
    # Philpot 2017, Table D.1b: 179 MPa in shear at 138 MPa in tension, so that half of 358 MPa counts.
    strongest = strength_of(read_grade("SAE J429 5"), QUARTER).tensile_most_mpa
    assert verdict.value == pytest.approx(length_needed_mm(thread_pair(QUARTER), strongest, 358.0))
    # Common practice, no source: one and a half diameters in iron.
    assert 1.2 < verdict.value / QUARTER.major_mm < 1.8
    assert BRITTLE in verdict.cautions


def test_the_strongest_bolt_of_its_grade_counts_in_the_weakest_metal_of_its_kind() -> None:
    named = judge_stripping(engaged("SAE J429 5", "LM25-TF", 30)).value
    family = judge_stripping(engaged("SAE J429 5", "aluminium", 30)).value
    exact = length_needed_mm(thread_pair(QUARTER), 827.4, 230.0)
    assert named is not None
    assert family is not None
    assert exact < named < family


def test_a_preload_that_strips_the_thread_is_not_sound() -> None:
    verdict = judge_stripping(engaged("SAE J429 8", "LM25-M", 5, preload_high_n=20_000))
    assert verdict.outcome is Outcome.NOT_SOUND
    assert any("may pull the thread" in one.text for one in verdict.cautions)


def test_a_preload_that_only_the_shear_strength_of_the_metal_holds_is_cautioned() -> None:
    # LM25-TF: 180 MPa in shear, where half of its tensile strength would be 115 MPa.
    areas = thread_areas(thread_pair(QUARTER))
    by_half, by_shear = (areas.internal_mm2_per_mm * 8 * mpa for mpa in (115, 180))
    held = judge_stripping(engaged("SAE J429 8", "LM25-TF", 8, preload_high_n=0.9 * by_half))
    doubted = judge_stripping(engaged("SAE J429 8", "LM25-TF", 8, preload_high_n=0.9 * by_shear))
    assert not any("FED-STD-H28/2B counts" in one.text for one in held.cautions)
    assert any("FED-STD-H28/2B counts" in one.text for one in doubted.cautions)
    assert any("its own shear strength of 180 MPa" in one.text for one in doubted.reasons)
    assert doubted.outcome is Outcome.NOT_PROVEN


def test_a_bolt_that_bottoms_is_not_sound() -> None:
    verdict = judge_stripping(engaged("SAE J429 5", "LM25-TF", 30, bottoms_by_mm=2))
    assert verdict.outcome is Outcome.NOT_SOUND
    assert any("bottom of its hole" in one.text for one in verdict.cautions)


def test_the_mate_of_a_bad_thread_is_not_proven_until_it_is_gauged() -> None:
    verdict = judge_stripping(engaged("SAE J429 5", "LM25-TF", 30, mate_is_bad=True))
    assert verdict.outcome is Outcome.NOT_PROVEN
    assert any("until it is gauged" in one.text for one in verdict.reasons)


def test_an_engagement_nobody_measured_is_not_proven() -> None:
    assert judge_stripping(engaged("SAE J429 5", "LM25-TF", None)).outcome is Outcome.NOT_PROVEN


def test_a_strength_from_memory_is_never_a_pass() -> None:
    assert judge_stripping(engaged("SAE J429 8.2", "LM25-TF", 60)).outcome is Outcome.NOT_PROVEN
    assert judge_stripping(engaged("BS 1768 S", "LM25-TF", 60)).outcome is Outcome.NOT_PROVEN


def test_the_weaker_thread_decides_the_stripping_load() -> None:
    areas = thread_areas(thread_pair(QUARTER))
    in_soft = stripping_load_n(areas, 10, 800.0, 200.0)
    assert in_soft == pytest.approx(areas.internal_mm2_per_mm * 10 * 100)
    assert stripping_load_n(areas, 10, 800.0, 200.0, 160.0) == pytest.approx(1.6 * in_soft)
    assert stripping_load_n(areas, 10, 400.0, 2000.0) == pytest.approx(areas.external_mm2_per_mm * 10 * 200)
