"""The profile drawn of a thread has the heights, radii and diameters that its standard prints."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, degrees, hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadForm, all_threads, thread
from runningfit.core.standards.profiles import Profile, drift_mm, included_angle_deg, profile

# Depth of the external thread in pitches, as printed: ISO 68-1 (17/24 H), ASME B1.1 UNR (11/16 H), BS 84,
# BS 93, BS 811, ASME B1.20.1.
PRINTED_DEPTHS = {
    ThreadForm.METRIC60: "0.61343",
    ThreadForm.UNIFIED60: "0.59539",
    ThreadForm.WHITWORTH55: "0.640327",
    ThreadForm.BA47_5: "0.6",
    ThreadForm.CEI60: "0.5327",
    ThreadForm.NPT60: "0.8",
}
# Radius of root and crest in pitches, as printed: BS 84, BS 93, BS 811; ISO 68-1 has H/6 at the root.
PRINTED_RADII = {"1/4-20 BSW": 0.137329, "2BA": 0.18083, "1/4-26 CEI": 1 / 6}
ANY_THREAD = st.sampled_from(all_threads())


def diameters(drawn: Profile) -> tuple[float, float]:
    radii = [point.radius_mm for point in drawn.points]
    return 2 * max(radii), 2 * min(radii)


def three_point_radius(points: list[tuple[float, float]]) -> float:
    """The radius of the circle through three points."""
    (x1, y1), (x2, y2), (x3, y3) = points
    sides = hypot(x2 - x1, y2 - y1) * hypot(x3 - x2, y3 - y2) * hypot(x3 - x1, y3 - y1)
    return sides / (2 * abs((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)))


@pytest.mark.parametrize("form", list(ThreadForm))
def test_the_depth_is_the_printed_one(form: ThreadForm) -> None:
    one = next(one for one in all_threads() if one.form is form)
    printed = PRINTED_DEPTHS[form]
    half_digit = 0.5 * 10.0 ** -max(4, len(printed.partition(".")[2]))
    assert profile(one).depth_mm / one.pitch_mm == pytest.approx(float(printed), abs=half_digit)


@pytest.mark.parametrize(("designation", "in_pitches"), PRINTED_RADII.items())
def test_crest_and_root_have_the_printed_radius(designation: str, in_pitches: float) -> None:
    one = thread(designation)
    points = [(point.along_mm, point.radius_mm) for point in profile(one, pitches=1).points]
    crest = three_point_radius(points[:3])
    middle = min(range(len(points)), key=lambda index: points[index][1])
    root = three_point_radius([points[middle - 1], points[middle], points[middle + 1]])
    assert crest / one.pitch_mm == pytest.approx(in_pitches, rel=1e-3)
    assert root / one.pitch_mm == pytest.approx(in_pitches, rel=1e-3)


@pytest.mark.parametrize("designation", ["1/2-13 UNC", "M10x1.5"])
def test_a_crest_of_60_degrees_is_flat_over_an_eighth_of_the_pitch(designation: str) -> None:
    one = thread(designation)
    first, second, *_rest = profile(one).points
    assert first.radius_mm == pytest.approx(second.radius_mm)
    assert second.along_mm == pytest.approx(one.pitch_mm / 16)


@pytest.mark.parametrize(
    "one",
    [one for one in all_threads() if not one.taper and one.form is not ThreadForm.NPT60],
    ids=lambda one: one.designation,
)
def test_the_drawing_has_the_diameters_of_the_table(one: Thread) -> None:
    outside, inside = diameters(profile(one))
    # Tables round to 0.0001 in or 0.001 mm, and the smallest metric ones reckon from rounded diameters.
    assert outside == pytest.approx(one.major_mm, abs=0.006)
    assert one.minor_external_mm is not None
    # The reference minor diameters of 3/4-16 and 1-12 UNF are printed 0.0007 in beside their own formula.
    assert inside == pytest.approx(one.minor_external_mm, abs=0.02)
    assert diameters(profile(one, internal=True))[1] == pytest.approx(one.minor_internal_mm, abs=0.006)


@pytest.mark.parametrize("designation", ["1/4-20 BSW", "2BA", "1/4-26 CEI", "M8x1.25", "1/4-18 NPT"])
def test_the_flanks_stand_at_the_included_angle(designation: str) -> None:
    one = thread(designation)
    points = profile(one, pitches=1).points
    longest = max(
        pairwise(points),
        key=lambda pair: hypot(pair[1].along_mm - pair[0].along_mm, pair[1].radius_mm - pair[0].radius_mm),
    )
    along = longest[1].along_mm - longest[0].along_mm
    down = longest[0].radius_mm - longest[1].radius_mm + (1 / 32) * along * -one.taper
    assert 2 * degrees(atan2(along, abs(down))) == pytest.approx(included_angle_deg(one.form), abs=0.01)


def test_a_taper_loses_a_sixteenth_of_its_length_on_the_diameter() -> None:
    one = thread("1/2-14 NPT")
    drawn = profile(one, pitches=10)
    first, last = drawn.points[0], drawn.points[-1]
    assert 2 * (first.radius_mm - last.radius_mm) == pytest.approx(10 * one.pitch_mm / 16)


@given(ANY_THREAD, st.floats(0.05, 12), st.booleans())
def test_a_profile_goes_forward_and_ends_where_asked(one: Thread, pitches: float, internal: bool) -> None:
    drawn = profile(one, pitches=pitches, internal=internal)
    along = [point.along_mm for point in drawn.points]
    assert along == sorted(along)
    assert len(set(along)) == len(along)
    assert along[0] == 0
    assert along[-1] == pytest.approx(pitches * one.pitch_mm)


@pytest.mark.parametrize("pitches", [0, -1, 41, float("nan")])
def test_no_pitches_or_too_many_are_refused(pitches: float) -> None:
    with pytest.raises(InvalidInput, match="pitches needs more than 0 and at most 40"):
        profile(thread("2BA"), pitches=pitches)


def test_two_pitches_drift_apart_over_ten_turns() -> None:
    assert drift_mm(thread("1/4-20 UNC"), thread("1/4-20 BSW")) == 0
    assert drift_mm(thread("1/4-28 UNF"), thread("1/4-26 BSF")) == pytest.approx(10 * (25.4 / 26 - 25.4 / 28))
