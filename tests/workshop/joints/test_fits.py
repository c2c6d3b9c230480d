"""Fits of a job: proposed, said, judged number by number from what their features measure now.

Expected clearances are differences of the sizes written down here, expansions by hand; Lamé's own figures are
checked against published cases in the core.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, pi, sqrt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fits_to_judge import (
    ANN,
    gauges,
    number,
    piston_fit,
    read_set,
    said_of,
    shells_fit,
    take,
)
from runningfit.core.joints.running_fits.fit_limits import LimitsFor, makers_limits
from runningfit.core.joints.running_fits.throughout import Throughout
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.units import LengthUnit
from runningfit.core.verdicts import Outcome, Verdict
from runningfit.workshop.joints.fit_answers import CannotTell, JudgedPair, PairAnswer, counted
from runningfit.workshop.joints.fit_judging import judged_fits
from runningfit.workshop.joints.fit_throughout import with_throughout
from runningfit.workshop.joints.fit_typed import TypedSpan, typed_grades
from runningfit.workshop.joints.fits import (
    SaidOfFit,
    add_fit,
    change_fit,
    fits_of_job,
)
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Job, RunningFit

pytestmark = pytest.mark.django_db


def answers(job: Job) -> dict[str, PairAnswer | CannotTell]:
    (judged,) = judged_fits(job)
    return {pair.name: pair.answer for pair in judged.pairs}


def answer(job: Job, name: str = "1") -> PairAnswer:
    found = answers(job)[name]
    assert isinstance(found, PairAnswer), found
    return found


def test_a_clearance_is_judged_where_it_is_closest_and_where_it_is_widest(job: Job) -> None:
    piston_fit(job)
    found = answer(job)
    assert found.cold.close.middle_mm == pytest.approx(79.400 - 79.350, abs=1e-9)
    assert found.cold.wide.middle_mm == pytest.approx(79.402 - 79.350, abs=1e-9)
    assert found.as_read_mm == pytest.approx((0.050, 0.052))
    assert found.verdict.outcome is Outcome.SOUND
    worn = answer(job, "2")
    assert worn.cold.wide.middle_mm == pytest.approx(79.520 - 79.345, abs=1e-9)
    assert worn.verdict.outcome is Outcome.NOT_SOUND
    assert worn.verdict.probability is not None
    assert worn.verdict.probability > 0.99


def test_what_both_gauges_share_cancels(job: Job) -> None:
    """The ring of the micrometer, 4 µm, is in both sizes; one setting and two readings stay."""
    piston_fit(job)
    u = answer(job).cold.close.u_mm
    step, scatter = 0.0005 / sqrt(3), 0.001
    assert u is not None
    assert u == pytest.approx(sqrt(3) * hypot(step, scatter), rel=0.05)
    assert u < 0.004
    said = [reason.text for reason in answer(job).verdict.reasons]
    assert "What the ring of micrometer errs by is in several sizes and cancels in the clearance." in said


def test_without_a_name_for_the_gauge_nothing_cancels_and_nothing_is_proven(job: Job) -> None:
    bores = read_set(job, FeatureKind.BORE, "bores", {"1": (79.400,)}, None)
    pistons = read_set(job, FeatureKind.SHAFT, "pistons", {"1": (79.350,)}, None)
    said = SaidOfFit(
        "piston", "pistons", bores, pistons, new_lower=number(0.03), new_upper=number(0.07),
        basis="manual", source="page 12",
    )  # fmt: skip
    add_fit(job=job, said=said, hand=ANN)
    found = answer(job)
    assert found.verdict.outcome is Outcome.NOT_PROVEN
    assert found.cold.close.u_mm == pytest.approx(sqrt(2) * 0.01, rel=0.05)


def test_wear_limits_hold_for_parts_as_found_and_new_ones_after_machining(job: Job) -> None:
    fit = piston_fit(job, new_upper=number(0.045))
    assert answer(job).verdict.outcome is Outcome.SOUND
    take(
        fit.hole_set,
        {"1": (79.400, 79.402)},
        fit.hole_set.features.get(name="1").readings.all()[0].instrument,
        round=1,
    )
    after = answer(job)
    assert after.verdict.outcome is Outcome.NOT_SOUND
    assert after.verdict.reasons[0].text == (
        "The part around is as it came back from machining, the part within as found: limits for new parts "
        "decide."
    )
    # The bores that were not machined stand as found.
    assert answer(job, "2").cold.wide.middle_mm == pytest.approx(0.175, abs=1e-9)


def test_worn_limits_are_no_leave_to_be_tighter_than_new(job: Job) -> None:
    piston_fit(job, new_lower=number(0.065), new_upper=number(0.080))
    assert answer(job).verdict.outcome is Outcome.NOT_SOUND


def test_hot_it_is_what_both_metals_leave(job: Job) -> None:
    """Cast iron 10 to 12e-6, aluminium 21 to 23.6e-6: by hand at 100 and 110 °C."""
    piston_fit(job, hole_hot=TypedSpan(100, 100, "100 °C"), shaft_hot=TypedSpan(110, 110, "110 °C"))
    found = answer(job)
    assert found.hot is not None
    low = 79.400 * (1 + 10e-6 * 80) - 79.350 * (1 + 23.6e-6 * 90)
    high = 79.402 * (1 + 12e-6 * 80) - 79.350 * (1 + 21e-6 * 90)
    assert found.hot.close.low_mm == pytest.approx(low, abs=2e-5)
    assert found.hot.wide.high_mm == pytest.approx(high, abs=2e-5)
    assert found.verdict.outcome is Outcome.NOT_SOUND


def test_a_metal_that_no_table_has_may_be_any(job: Job) -> None:
    piston_fit(
        job, shaft_material="unobtainium", hole_hot=TypedSpan(80, 80, "80"), shaft_hot=TypedSpan(80, 80, "80")
    )  # fmt: skip
    cautions = [one.text for one in answer(job).verdict.cautions]
    assert "Nobody said what metal piston is: the hot clearance is therefore wide." in cautions


def test_what_is_not_read_or_has_no_partner_is_named(job: Job) -> None:
    fit = piston_fit(job)
    fit.hole_set.features.filter(name="3").update(name="4")
    found = answers(job)
    assert list(found) == ["1", "2", "4", "3"]
    assert found["4"] == CannotTell(
        "There is no 4 among the pistons of the sheet.",
        "Read it, or put it on the sheet under the same number.",
    )
    assert found["3"] == replace(found["4"], why="There is no 3 among the cylinder bores of the sheet.")
    (judged,) = judged_fits(job)
    counts = counted([judged])
    assert (counts.needs_a_person, counts.sound, counts.cannot_tell, counts.total) == (1, 1, 2, 4)


def test_a_point_not_read_is_said(job: Job) -> None:
    piston_fit(job)
    found = answers(job)["3"]
    assert isinstance(found, CannotTell)
    assert found.why == "No. 3 of the pistons is not read yet."


def test_other_names_of_as_many_go_together_in_their_order(job: Job) -> None:
    fit = piston_fit(job)
    for one in fit.shaft_set.features.all():
        one.name = f"P{one.name}"
        one.save()
    assert list(answers(job)) == ["1 / P1", "2 / P2", "3 / P3"]


def test_sizes_that_cannot_go_together_are_no_verdict(job: Job) -> None:
    fit = piston_fit(job)
    take(fit.shaft_set, {"1": (7.935,)}, None)
    found = answers(job)["1"]
    assert isinstance(found, CannotTell)
    assert "needs sizes that run in each other" in found.why


def test_without_the_makers_limits_a_band_of_the_trade_makes_no_pass(job: Job) -> None:
    """TM 9-2320-289-34 and makers' service tables: 0.0001 to 0.0014 of the bore for pistons."""
    piston_fit(job, new_lower=None, new_upper=None, wear_upper=None, basis="", source="")
    (judged,) = judged_fits(job)
    assert [one.used_for for one in judged.limits] == [LimitsFor.NEW]
    assert judged.limits[0].bounds.upper == pytest.approx(0.0014 * 79.4)
    assert judged.pairs[0].outcome is Outcome.NOT_PROVEN
    assert judged.pairs[1].outcome is Outcome.NOT_PROVEN
    assert any(one.text.startswith("The limits are another maker's") for one in answer(job).verdict.cautions)


def test_figures_of_another_maker_make_no_pass(job: Job) -> None:
    piston_fit(job, basis="other_maker", source="a sister engine")
    assert answer(job).verdict.outcome is Outcome.NOT_PROVEN


def test_shells_count_twice_and_crush_widens(job: Job) -> None:
    shells_fit(
        job, shell=number(1.828), shell_spread=number(0.002),
        crush=TypedSpan(0.001, 0.003, "0.001 to 0.003 mm"),
    )  # fmt: skip
    found = answer(job)
    assert found.cold.close.low_mm == pytest.approx(63.690 - 2 * 1.828 - 59.990 + 0.001, abs=1e-9)
    assert found.cold.wide.high_mm == pytest.approx(63.691 - 2 * 1.828 - 59.989 + 0.003, abs=1e-9)
    alone = 2 * 0.002 / sqrt(3)
    assert found.cold.close.u_mm is not None
    assert found.cold.close.u_mm > alone


def test_shells_whose_thickness_nobody_told_tell_nothing(job: Job) -> None:
    shells_fit(job)
    found = answers(job)["1"]
    assert isinstance(found, CannotTell)
    assert found.why == "The thickness of the shells was not told."
    shelled = fits_of_job(job)[0]
    change_fit(fit=shelled, said=said_of(shelled, shell=number(1.828)), hand=ANN)
    # A thickness without its doubt proves nothing, and says so.
    unsure = answer(job)
    assert unsure.verdict.outcome is Outcome.NOT_PROVEN
    assert unsure.cold.close.u_mm is None


def test_the_grade_nearest_to_the_middle_of_the_limits_is_taken(job: Job) -> None:
    grades, typed = typed_grades("shell grades", "red; 1.826 mm; 1.829 mm\nblue 1.830 1.833\n", unit="mm")
    assert typed == "red; 1.826 mm; 1.829 mm\nblue; 1.830 mm; 1.833 mm"
    shells_fit(job, shell_grades=grades, shell_grades_typed=typed)
    first, second = answer(job), answer(job, "2")
    # 63.690 - 59.990 = 3.700: red leaves 0.045, blue 0.037; the middle of the limits is 0.045.
    assert [(one.upper, round(one.clearance_mm, 4)) for one in first.shells] == [
        ("red", 0.045),
        ("blue", 0.037),
    ]
    # 63.695 - 59.980 = 3.715: red leaves 0.060, blue 0.052.
    assert [one.upper for one in second.shells] == ["blue", "red"]
    assert first.shells[0].probability_within > 0.99
    assert first.cold.close.middle_mm == pytest.approx(0.045, abs=1e-9)
    assert "Shells of grade red, 1.8260 to 1.8290 mm" in first.verdict.reasons[0].text


def test_a_ring_gap_grows_with_its_bore_by_pi(job: Job) -> None:
    outside, inside = gauges()
    bores = read_set(job, FeatureKind.BORE, "bores", {"1": (80.000, 80.100)}, inside)
    gaps = read_set(job, FeatureKind.GAP, "ring gaps", {"1": (0.40,)}, outside)
    said = SaidOfFit(
        "top_ring", "top rings", bores, gaps, new_lower=number(0.30), new_upper=number(0.50),
        wear_upper=number(0.60), basis="manual", source="page 9",
    )  # fmt: skip
    fit = add_fit(job=job, said=said, hand=ANN)
    found = answer(job)
    assert found.cold.close.middle_mm == pytest.approx(0.40)
    assert found.cold.wide.middle_mm == pytest.approx(0.40 + pi * 0.1)
    assert found.verdict.outcome is Outcome.NOT_SOUND
    change_fit(fit=fit, said=replace(said, read_in=number(80.05)), hand=ANN)
    assert answer(job).cold.close.middle_mm == pytest.approx(0.40 - pi * 0.05)


def test_end_float_is_a_width_between_faces(job: Job) -> None:
    outside, _ = gauges()
    between = read_set(job, FeatureKind.LENGTH, "between cheeks", {"1": (40.20,)}, outside)
    width = read_set(job, FeatureKind.LENGTH, "rod width", {"1": (40.00,)}, outside)
    said = SaidOfFit(
        "end_float", "rod end float", between, width, new_lower=number(0.1), new_upper=number(0.3),
        basis="manual", source="page 3",
    )  # fmt: skip
    add_fit(job=job, said=said, hand=ANN)
    found = answer(job)
    assert found.cold.close.middle_mm == pytest.approx(0.20)
    assert found.verdict.outcome is Outcome.SOUND


def press_fit(job: Job, guide_mm: float, **said: object) -> RunningFit:
    outside, inside = gauges()
    holes = read_set(job, FeatureKind.BORE, "guide holes", {"1": (13.000, 13.001)}, inside)
    guides = read_set(job, FeatureKind.SHAFT, "guides outside", {"1": (guide_mm,)}, outside, material="steel")
    fit = SaidOfFit("press", "guides in the head", holes, guides, **said)  # type: ignore[arg-type]
    return add_fit(job=job, said=fit, hand=ANN)


def test_a_press_fit_is_judged_by_what_it_measures(job: Job) -> None:
    press_fit(
        job, 13.035, outer=number(30), inner_bore=number(8), length=number(40),
        friction=TypedSpan(0.1, 0.15, "0.10 to 0.15"),
    )  # fmt: skip
    found = answer(job)
    assert found.cold.close.middle_mm == pytest.approx(-0.035, abs=1e-9)
    assert found.press is not None
    assert found.press.figures.usual.interference_mm == pytest.approx(0.0345, abs=1e-4)
    assert found.press.figures.push_out_n is not None
    # Cast iron expands least by 9.9 or 10e-6: (0.035 + what the readings leave open) / (10e-6 · 13).
    assert found.press.figures.heat_outer_k > 0.035 / (12e-6 * 13)
    assert found.verdict.outcome is Outcome.NOT_PROVEN
    assert any("How rough the surfaces are was not told" in one.text for one in found.verdict.reasons)


def test_a_press_fit_without_interference_is_none(job: Job) -> None:
    press_fit(job, 12.960)
    found = answer(job)
    assert found.verdict.outcome is Outcome.NOT_SOUND
    assert "0.0410 mm of clearance and no interference" in found.verdict.reasons[0].text


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({}, "A press fit needs the outside diameter of the outer part and the length."),
        ({"outer": number(30)}, "A press fit needs the length."),
        ({"outer": number(30), "length": number(40), "shaft_material": "cheese"}, "shaft material needs"),
    ],
)  # fmt: skip
def test_a_press_fit_says_what_it_needs(job: Job, said: dict[str, object], why: str) -> None:
    press_fit(job, 13.035, **said)
    found = answers(job)["1"]
    assert isinstance(found, CannotTell)
    assert found.why.startswith(why)


def test_the_oil_film_is_a_check_and_no_pass(job: Job) -> None:
    known = {"shell": number(1.828), "shell_spread": number(0.002)}
    shells_fit(job, **known, load=TypedNumber(9000, "9 kN"))
    found = answer(job).film
    assert isinstance(found, CannotTell)
    assert "needs load, speed, viscosity and the width" in found.why
    fit = fits_of_job(job)[0]
    whole = said_of(
        fit, **known, load=TypedNumber(9000, "9 kN"), speed=TypedNumber(3000, "3000"),
        viscosity=TypedNumber(10, "10"), length=number(25),
    )  # fmt: skip
    change_fit(fit=fit, said=whole, hand=ANN)
    film = answer(job).film
    assert film is not None
    assert not isinstance(film, CannotTell)
    assert film.specific_load_mpa == pytest.approx(9000 / (25 * 59.99))
    assert film.verdict.outcome is not Outcome.SOUND


def test_a_job_full_of_fits_asks_as_little_as_one_with_one(job: Job) -> None:
    piston_fit(job)
    with CaptureQueriesContext(connection) as one:
        judged_fits(job)
    for _ in range(4):
        shells_fit(job, shell=number(1.828))
    with CaptureQueriesContext(connection) as many:
        found = judged_fits(job)
    assert len(many) == len(one) <= 8
    pairs: list[JudgedPair] = [pair for fit in found for pair in fit.pairs]
    assert len(pairs) == 11


def test_a_pair_is_as_probable_as_all_its_places_together(job: Job) -> None:
    """Close where the bore is narrowest, wide where it is widest: both must hold at once."""
    piston_fit(job, new_lower=number(0.047), new_upper=number(0.055), wear_upper=None)
    found = answer(job)
    assert found.kept is not None
    assert found.kept.below > 0.02
    assert found.kept.above > 0.02
    assert found.kept.inside == pytest.approx(1 - found.kept.below - found.kept.above, abs=0.01)
    assert found.verdict.probability == found.kept.inside < 0.95
    assert found.verdict.outcome is Outcome.NOT_PROVEN
    said = [one.text for one in found.verdict.reasons]
    assert any(
        one.startswith("Over all 3 places that were read it is within its limits with 9") for one in said
    )


def test_ends_that_are_sound_each_are_no_pass_where_both_at_once_are_not_shown() -> None:
    limits = makers_limits(0.03, 0.07, LimitsFor.NEW, "page 12")
    sound, kept = Verdict(Outcome.SOUND, 0.05, "mm", 0.001, 0.96), Throughout(0.94, 0.03, 0.03)
    found = with_throughout(sound, kept, 3, limits, shown_outside=False)
    assert (found.outcome, found.probability) == (Outcome.NOT_PROVEN, 0.94)
    assert found.cautions[0].text.startswith("Each end by itself is shown to be within its limits")
    surer = with_throughout(sound, Throughout(0.96, 0.02, 0.02), 3, limits, shown_outside=False)
    assert (surer.outcome, surer.probability, surer.cautions) == (Outcome.SOUND, 0.96, ())
    broken = replace(sound, outcome=Outcome.NOT_SOUND, probability=0.99)
    worn = Throughout(0.02, 0.0, 0.98)
    assert with_throughout(broken, worn, 3, limits, shown_outside=True).probability == pytest.approx(0.98)
    # What is not sound for having no clearance keeps the probability of that.
    assert with_throughout(broken, worn, 3, limits, shown_outside=False).probability == 0.99


def test_two_shells_of_a_grade_are_each_as_thick_as_they_came(job: Job) -> None:
    """Two even ranges of 3 µm add as squares; one thickness for both would count twice."""
    grades, typed = typed_grades("shell grades", "red; 1.826 mm; 1.829 mm\n", unit="mm")
    shells_fit(job, shell_grades=grades, shell_grades_typed=typed)
    u = answer(job).cold.close.u_mm
    assert u is not None
    step, scatter = 0.0005 / sqrt(3), sqrt(0.001**2 - 0.0005**2 / 3)
    gauges_u = sqrt(3) * hypot(step, scatter)
    assert u == pytest.approx(hypot(gauges_u, sqrt(2) * 0.0015 / sqrt(3)), rel=0.05)


def test_the_reasons_of_a_fit_are_said_in_inches_where_the_shop_thinks_in_them(job: Job) -> None:
    piston_fit(job, hole_hot=TypedSpan(80, 90, "80 to 90 °C"), shaft_hot=TypedSpan(90, 110, "90 to 110 °C"))
    verdict = answer(job).verdict
    shown = verdict.in_unit(LengthUnit.INCH)
    assert any(" mm" in one.text for one in verdict.reasons)
    texts = [one.text for one in shown.reasons] + [one.text for one in shown.cautions]
    assert not [one for one in texts if " mm" in one]
    assert any("clearance at 20 °C 0.00197 in" in one.text for one in shown.reasons)
