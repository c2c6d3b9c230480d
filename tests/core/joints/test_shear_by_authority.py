"""Shear areas by each authority, and what is said where two authorities come to different outcomes."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import pytest

from runningfit.core.joints.engagement import iso_tr_16224_length_mm, thread_pair
from runningfit.core.joints.grade_names import read_grade
from runningfit.core.joints.grades import strength_of
from runningfit.core.joints.real_engagement import RealEngagement
from runningfit.core.joints.shear_by_authority import iso_tr_16224_stripping, shear_areas
from runningfit.core.joints.stripping import EngagedThreads, judge_stripping
from runningfit.core.joints.tapped_materials import tapped_material
from runningfit.core.standards import thread
from runningfit.core.verdicts import Outcome


def test_the_areas_stand_side_by_side_and_one_of_them_counts() -> None:
    """FED-STD-H28/2B, formulas 3 and 5: 3/4 π D2, 5/8 π d2; D2 of 3/8-16 is 0.3344 in (ASME B1.1)."""
    found = shear_areas(thread_pair(thread("3/8-16 UNC")))
    assert [one.counts for one in found] == [True] + [False] * (len(found) - 1)
    simple = next(one for one in found if "simplified" in one.authority)
    middle_mm = 0.3344 * 25.4
    assert simple.internal_mm2_per_mm == pytest.approx(0.75 * pi * middle_mm, rel=1e-3)
    assert simple.external_mm2_per_mm == pytest.approx(0.625 * pi * middle_mm, rel=1e-3)
    iso = [one for one in found if one.authority.startswith("ISO/TR 16224")]
    assert [one.at for one in iso] == ["least material", "nominal size"]
    assert all("metric" in one.note for one in iso)
    # At least material there is less of both threads than at their nominal sizes.
    for least, nominal in ((found[0], found[1]), (iso[0], iso[1])):
        assert least.internal_mm2_per_mm is not None
        assert nominal.internal_mm2_per_mm is not None
        assert least.internal_mm2_per_mm < nominal.internal_mm2_per_mm


def test_the_nut_area_of_iso_tr_16224_by_hand_for_m10() -> None:
    """ISO/TR 16224:2012, 4.2.3.1 with the basic sizes of M10: d 10, D2 9.026 (ISO 724)."""
    iso = shear_areas(thread_pair(thread("M10x1.5")))[-1]
    assert iso.internal_mm2_per_mm == pytest.approx(pi / 1.5 * 10 * (0.75 + 0.974 / sqrt(3)), rel=1e-3)
    assert iso.note == ""


def test_of_other_angles_only_what_geometry_carries_is_shown_and_it_says_so() -> None:
    found = shear_areas(thread_pair(thread("3/8-16 BSW")))
    assert len(found) == 2
    assert all("by geometry" in one.note for one in found)


def test_a_pair_between_nominal_and_least_needs_more_than_the_report_says_at_nominal() -> None:
    """The report's own length, by nominal sizes, as `iso_tr_16224_length_mm` has it: never shorter here."""
    pair = thread_pair(thread("M10x1.5"))
    found = iso_tr_16224_stripping(
        pair, bolt_tensile_mpa=800, bolt_tensile_most_mpa=800, tapped_tensile_mpa=600, flats_over_major=1.6
    )
    assert found is not None
    assert found.needed_mm > iso_tr_16224_length_mm(thread("M10x1.5"), 800, 600, 16.0)


@pytest.mark.parametrize(
    ("designation", "tapped", "flats"),
    [("3/8-16 UNC", 600, None), ("M10x1.5", 90, None), ("M10x1.5", 600, 1.2)],
)
def test_outside_the_report_nothing_is_said(designation: str, tapped: float, flats: float | None) -> None:
    pair = thread_pair(thread(designation))
    said = iso_tr_16224_stripping(
        pair,
        bolt_tensile_mpa=800,
        bolt_tensile_most_mpa=900,
        tapped_tensile_mpa=tapped,
        flats_over_major=flats,
    )
    assert said is None


def test_where_the_authorities_differ_it_is_a_reason_and_the_careful_one_instructs() -> None:
    """Half of the tensile strength against six tenths with factors: loads between them part the two."""
    pair, bolt = thread_pair(thread("M10x1.5")), strength_of(read_grade("8.8"), thread("M10x1.5"))
    steel = replace(tapped_material("steel"), tensile_low_mpa=600.0)
    engaged = RealEngagement(6.0, 0.0)
    plain = judge_stripping(EngagedThreads(pair, bolt, steel, engaged))
    assert not [one for one in plain.reasons if "authorities differ" in one.text]
    iso = iso_tr_16224_stripping(
        pair,
        bolt_tensile_mpa=bolt.tensile_mpa,
        bolt_tensile_most_mpa=bolt.tensile_most_mpa,
        tapped_tensile_mpa=steel.tensile_low_mpa,
        flats_over_major=1.5,
    )
    assert iso is not None
    # A preload that the one lets pass and the other does not: the nut widens, which only ISO/TR 16224 counts.
    preload_n = 1.02 * iso.load_n_per_mm * engaged.engaged_mm
    in_nut = EngagedThreads(pair, bolt, steel, engaged, preload_n, flats_over_major=1.5)
    verdict = judge_stripping(in_nut)
    (reason,) = [one for one in verdict.reasons if "authorities differ" in one.text]
    assert verdict.outcome is Outcome.NOT_SOUND
    assert "The careful one instructs: ISO/TR 16224:2012." in reason.text
    # And the other way: in a wall that does not widen the older standard asks for more.
    hole = EngagedThreads(pair, bolt, steel, engaged)
    wide = iso_tr_16224_stripping(
        pair,
        bolt_tensile_mpa=bolt.tensile_mpa,
        bolt_tensile_most_mpa=bolt.tensile_most_mpa,
        tapped_tensile_mpa=steel.tensile_low_mpa,
    )
    assert wide is not None
    between_n = 0.99 * wide.load_n_per_mm * engaged.engaged_mm
    strict = judge_stripping(EngagedThreads(pair, bolt, steel, hole.engagement, between_n))
    (reason,) = [one for one in strict.reasons if "authorities differ" in one.text]
    assert strict.outcome is Outcome.NOT_SOUND
    assert "The careful one instructs: FED-STD-H28/2B." in reason.text
