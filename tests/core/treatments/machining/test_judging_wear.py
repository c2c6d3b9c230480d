"""Bores against wear limits: probabilities that hold on worn bores, and verdicts that say what to do."""

from __future__ import annotations

from dataclasses import replace
from math import erf, sqrt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.treatments.machining.bores import NOMINAL_MM, any_bore, bore, journal
from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.judging import USUAL_JOURNAL_LIMITS, WearLimits, judge_wear
from runningfit.core.treatments.machining.readings import BoreReadings
from runningfit.core.treatments.machining.surfaces import Straying, draw_surfaces
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.verdicts import Outcome
from simulators.worn_bores import read, wear

LIMITS = WearLimits(Bounds(79.362, 79.388), source="shop manual, page 31")


def within(readings: BoreReadings, limits: WearLimits = LIMITS, straying: Straying | None = None) -> float:
    return judge_wear([readings], limits, straying=straying).each[0].probability_within


def test_far_within_is_sound_and_far_without_is_not() -> None:
    good = judge_wear([bore(top_mm=0.002, bottom_mm=0.0, oval_mm=0.001)], LIMITS).each[0]
    assert good.verdict.outcome is Outcome.SOUND
    bad = judge_wear([bore()], LIMITS).each[0]
    assert bad.verdict.outcome is Outcome.NOT_SOUND
    assert bad.verdict.probability == pytest.approx(1.0, abs=0.001)
    assert dict(bad.broken_with)["too large"] > 0.999
    assert "shop manual, page 31" in [one.source for one in bad.verdict.reasons]


def test_near_a_limit_is_not_proven_and_says_what_would_prove_it() -> None:
    near = judge_wear([bore(top_mm=0.011, bottom_mm=0.009, oval_mm=0.002)], LIMITS).each[0]
    assert near.verdict.outcome is Outcome.NOT_PROVEN
    assert near.to_prove is not None
    assert near.to_prove.readings is not None
    assert near.to_prove.readings > 1
    assert any("Not proven is not a pass" in one.text for one in near.verdict.cautions)


def test_a_ring_error_alone_gives_the_probability_of_one_normal_value() -> None:
    # Read so often that only the setting ring is left open: then all is one normal value (JCGM 106, 7.3).
    points = tuple(
        Diameter(depth, angle, 79.385) for depth in (10.0, 50.0, 90.0) for angle in (0.0, 60.0, 120.0)
    )
    sure = BoreReadings("1", points, 0.00005, 0.003)
    expected = 0.5 * (1 + erf((79.388 - 79.385) / 0.003 / sqrt(2)))
    found = within(sure, WearLimits(Bounds(None, 79.388)), Straying(usual_mm=1e-5))
    assert found == pytest.approx(expected, abs=0.02)


def test_what_the_ring_errs_by_is_shared_by_all_bores() -> None:
    near = [
        bore(str(number), top_mm=0.009, bottom_mm=0.009, oval_mm=0.0, u_mm=0.0003, shared_mm=0.004)
        for number in range(6)
    ]
    found = judge_wear(near, LIMITS)
    alone = found.each[0].probability_within
    assert 0.6 < alone < 0.95
    assert found.probability_within > alone**2


def test_wear_makes_no_bore_too_small() -> None:
    # Read 1.5 µm under the least: by the gauge mostly too small; a worn bore was hardly made so, one just
    # cut may be.
    worn = WearLimits(Bounds(79.3765, 79.45))
    just_cut = replace(worn, made_beyond=0.5)
    read_small = bore(top_mm=0.0, bottom_mm=0.0, oval_mm=0.0, u_mm=0.001, shared_mm=0.004)
    small, cut_small = (
        dict(judge_wear([read_small], limits).each[0].broken_with)["too small"] for limits in (worn, just_cut)
    )
    assert cut_small > 0.6
    odds = small / (1 - small), cut_small / (1 - cut_small)
    assert odds[0] == pytest.approx(odds[1] / 3, rel=0.01)
    said = judge_wear([read_small], worn).each[0].verdict.reasons[1].text
    assert "Wear makes nothing too small: that it was made so is taken to be one case of 4" in said
    far_off = bore(top_mm=-0.1, bottom_mm=-0.1, oval_mm=0.0)
    assert judge_wear([far_off], worn).each[0].verdict.outcome is Outcome.NOT_SOUND


def test_a_bore_of_another_size_says_nothing_of_those_beside_it() -> None:
    limits = WearLimits(Bounds(79.3765, 79.45))
    near = bore("2", top_mm=0.0, bottom_mm=0.0, oval_mm=0.0, u_mm=0.001)
    other = bore("1", top_mm=-0.3, bottom_mm=-0.3, oval_mm=0.0, u_mm=0.001)
    assert judge_wear([near, other], limits).each[0].probability_within == pytest.approx(
        judge_wear([near], limits).each[0].probability_within, abs=0.05
    )


def test_bores_of_one_engine_tell_of_each_other() -> None:
    # Beside bores that are out of shape, the same readings leave more room for what was not read.
    def unread(lobe_mm: float) -> float:
        random, beside = Random(3), []
        for number in range(5):
            shaped = bore(str(number), u_mm=0.001)
            moved = tuple(
                replace(one, diameter_mm=one.diameter_mm + random.gauss(0, lobe_mm)) for one in shaped.points
            )
            beside.append(replace(shaped, points=moved))
        return draw_surfaces([*beside, bore("9", u_mm=0.001)])[-1].straying_mm

    alone = draw_surfaces([bore("9", u_mm=0.001)])[0].straying_mm
    assert unread(0.015) > 1.2 * max(alone, unread(0.0005))


def test_a_bore_that_seems_a_little_worse_than_the_others_counts_as_less_so() -> None:
    same = [bore(str(number), u_mm=0.005) for number in range(1, 5)]
    worse = replace(
        bore("5", u_mm=0.005),
        points=tuple(replace(one, diameter_mm=one.diameter_mm + 0.004) for one in bore().points),
    )
    limit = max(one.diameter_mm for one in worse.points)
    limits = WearLimits(Bounds(79.3, limit + 0.002))
    beside = judge_wear([*same, worse], limits).each[-1].probability_within
    other = [replace(one, points=tuple(replace(at, diameter_mm=at.diameter_mm + number / 10)
             for at in one.points)) for number, one in enumerate(same)]  # fmt: skip
    assert beside > judge_wear([*other, worse], limits).each[-1].probability_within + 0.02


def test_a_guide_is_judged_by_how_guides_wear() -> None:
    # Worn most at both mouths, least in the middle, where rings would have worn it most at the top.
    points = tuple(
        Diameter(depth, angle, 8.0 + wear)
        for depth, wear in ((5.0, 0.02), (25.0, 0.005), (45.0, 0.02))
        for angle in (0.0, 90.0)
    )
    limits = WearLimits(Bounds(7.98, 8.03))
    guide = BoreReadings("1", points, 0.002, wearing=Wearing.GUIDE)
    assert judge_wear([guide], limits).each[0].verdict.outcome is Outcome.SOUND
    assert within(guide, limits) > within(replace(guide, wearing=Wearing.RINGS), limits)


def test_a_housing_can_close_in() -> None:
    points = tuple(Diameter(10.0, angle, 54.0) for angle in (0.0, 60.0, 120.0))
    limits = WearLimits(Bounds(54.002, 54.02))
    held = BoreReadings("1", points, 0.002, wearing=Wearing.HELD)
    assert within(held, limits) < within(replace(held, wearing=Wearing.GUIDE), limits)


def test_it_says_where_within_is_meant() -> None:
    said = " ".join(one.text for one in judge_wear([bore()], LIMITS).each[0].verdict.reasons)
    assert "Within means from 10 to 90 mm down" in said
    assert "just below the ridge" in said
    of_journal = " ".join(
        one.text for one in judge_wear([journal()], USUAL_JOURNAL_LIMITS).each[0].verdict.reasons
    )
    assert "Within means from 5 to 25 mm down: what lies beyond is not judged." in of_journal


@pytest.mark.slow
def test_probabilities_hold_on_worn_bores() -> None:
    random = Random(11)
    brier, said, kept = 0.0, 0.0, 0
    for _ in range(240):
        true, ring = wear(random), random.gauss(0, 0.002)
        points = read(true, random, 0.003, ring, (10, 50, 90), (0, 45, 90, 135))
        limit = NOMINAL_MM + random.uniform(0.02, 0.14)
        chance = within(
            BoreReadings("1", tuple(Diameter(*one) for one in points), 0.003, 0.002),
            WearLimits(Bounds(None, limit)),
        )
        keeps = true.largest() <= limit
        brier, said, kept = brier + (chance - keeps) ** 2, said + chance, kept + keeps
    assert brier / 240 < 0.03
    assert said / 240 == pytest.approx(kept / 240, abs=0.03)


def test_out_of_round_and_taper_have_limits_of_their_own() -> None:
    oval = bore(top_mm=0.02, bottom_mm=0.02, oval_mm=0.08)
    assert within(oval, WearLimits(out_of_round_mm=0.05)) < 0.01
    assert within(oval, WearLimits(taper_mm=0.05)) > 0.99
    assert within(bore(top_mm=0.15), WearLimits(taper_mm=0.05)) < 0.01


def test_limits_of_other_makers_are_marked() -> None:
    found = judge_wear([journal()], USUAL_JOURNAL_LIMITS).each[0]
    assert "not this engine's" in found.verdict.cautions[0].text


@settings(max_examples=25, deadline=None)
@given(any_bore, st.randoms(use_true_random=False))
def test_order_and_turning_by_half_a_turn_do_not_matter(found: BoreReadings, random: Random) -> None:
    points = list(found.points)
    random.shuffle(points)
    turned = tuple(
        replace(one, angle_deg=one.angle_deg + (180.0 if number % 2 else 0.0))
        for number, one in enumerate(points)
    )
    limits = WearLimits(Bounds(79.3, 79.45))
    assert within(replace(found, points=turned), limits) == within(found, limits)


@settings(max_examples=25, deadline=None)
@given(any_bore, st.floats(0.0, 0.1), st.floats(0.0, 0.1))
def test_wider_limits_never_lower_the_probability(found: BoreReadings, one: float, more: float) -> None:
    low, high = 79.37, NOMINAL_MM + 0.02 + one
    assert within(found, WearLimits(Bounds(low, high))) <= within(found, WearLimits(Bounds(low, high + more)))


@pytest.mark.parametrize(
    ("readings", "text"),
    [
        ([], "readings needs at least one bore or journal; 'none' came"),
        ([bore("1"), bore("1")], "readings needs a name of its own for each; '1 twice' came"),
        ([bore("1"), bore("2", shared_mm=0.002)], "shared uncertainty needs to be the same for all"),
        ([BoreReadings("1", (), 0.003)], "1 needs readings; 'none' came"),
    ],
)
def test_what_cannot_be_judged_is_refused(readings: list[BoreReadings], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        judge_wear(readings, LIMITS)


def test_limits_of_nothing_are_refused() -> None:
    with pytest.raises(InvalidInput, match="limits needs a diameter, an out-of-round or a taper"):
        WearLimits()
    with pytest.raises(InvalidInput, match="limits needs out-of-round and taper of more than nothing"):
        WearLimits(taper_mm=0.0)
    with pytest.raises(InvalidInput, match=r"made beyond needs more than 0, and at most 0\.5; '0' came"):
        WearLimits(taper_mm=0.05, made_beyond=0.0)
    with pytest.raises(InvalidInput, match="upside down"):
        WearLimits(Bounds(79.388, 79.362))
