"""Running clearances agree with draws of readings and metals, and their verdicts take the careful end."""

from __future__ import annotations

from dataclasses import replace

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.press_fits.materials import known_elastic_materials
from runningfit.core.joints.running_fits import pairs
from runningfit.core.joints.running_fits.clearance import Member, Reading, RunningFit, clearances
from runningfit.core.joints.running_fits.expansion import known_expansions, read_expansion
from runningfit.core.joints.running_fits.fit_limits import (
    FitLimits,
    FitRole,
    LimitsFor,
    makers_limits,
    sanity_band,
)
from runningfit.core.joints.running_fits.judging import judge_running_fit
from runningfit.core.joints.running_fits.oil_film import FilmCase, oil_film
from runningfit.core.joints.running_fits.ring_gap import (
    RingGap,
    gap_in_bore,
    gap_when_hot,
    judge_ring_gap,
)
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.shared import SharedPart
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Outcome

IRON, STEEL, ALUMINIUM = (read_expansion(name) for name in ("grey cast iron", "steel", "aluminium"))
BORE = Member("bore", Reading(79.413, 0.003), IRON)
PISTON = Member("piston", Reading(79.340, 0.002), ALUMINIUM)
FIT = pairs.piston_in_bore(BORE, PISTON)
NEW = makers_limits(0.05, 0.10, LimitsFor.NEW, "manual, p. 12")
WEAR = makers_limits(None, 0.15, LimitsFor.WEAR, "manual, p. 13")
FILM = FilmCase(54, 25, 0.04, 0.07, 6000, 3000, 12)


def heated(fit: RunningFit, *temperatures: tuple[float, float]) -> RunningFit:
    members = tuple(
        (factor, replace(one, hot_low_c=low, hot_high_c=high))
        for (factor, one), (low, high) in zip(fit.members, temperatures, strict=True)
    )
    return replace(fit, members=members)


def moved(fit: RunningFit, by_mm: float) -> RunningFit:
    (factor, hole), *others = fit.members
    larger = replace(hole, reading=replace(hole.reading, mm=hole.reading.mm + by_mm))
    return replace(fit, members=((factor, larger), *others))


def test_what_one_gauge_errs_by_cancels_between_bore_and_piston() -> None:
    gauge = (SharedPart("micrometer", 0.008),)
    both = pairs.piston_in_bore(
        replace(BORE, reading=replace(BORE.reading, shared=gauge)),
        replace(PISTON, reading=replace(PISTON.reading, shared=gauge)),
    )
    apart = pairs.piston_in_bore(
        replace(BORE, reading=replace(BORE.reading, shared=gauge)),
        replace(PISTON, reading=replace(PISTON.reading, shared=(SharedPart("other", 0.008),))),
    )
    assert both.measured is not None
    assert apart.measured is not None
    assert both.measured.u == pytest.approx(numpy.hypot(0.003, 0.002))
    assert apart.measured.u == pytest.approx(numpy.sqrt(0.003**2 + 0.002**2 + 2 * 0.008**2))
    assert "cancels" in judge_running_fit(both, [NEW]).verdict.reasons[1].text


@pytest.mark.parametrize("housing_gauge", ["micrometer", "ring"])
def test_shells_and_journal_of_one_micrometer_agree_with_draws(housing_gauge: str) -> None:
    draws = numpy.random.default_rng(5)
    errors = {name: draws.normal(0, 0.004, 200_000) for name in ("micrometer", "ring")}
    scatter = [draws.normal(0, 0.002, 200_000) for _ in range(3)]
    read = (60.013 - 2 * 2.97 - 54.013) + (
        (errors[housing_gauge] + scatter[0])
        - 2 * (errors["micrometer"] + scatter[1])
        - (errors["micrometer"] + scatter[2])
    )
    shared = {name: (SharedPart(name, 0.004),) for name in errors}
    fit = pairs.journal_in_shells(
        Member("housing", Reading(60.013, 0.002, shared=shared[housing_gauge]), STEEL),
        Member("shell", Reading(2.97, 0.002, shared=shared["micrometer"]), STEEL),
        Member("journal", Reading(54.013, 0.002, shared=shared["micrometer"]), STEEL),
    )
    assert fit.measured is not None
    assert fit.measured.value == pytest.approx(read.mean(), abs=1e-4)
    assert fit.measured.u == pytest.approx(read.std(), rel=0.01)


@given(st.floats(-0.06, 0.12), st.floats(0.001, 0.01), st.floats(0.001, 0.01))
def test_the_probability_is_the_share_of_true_clearances_within(offset: float, u1: float, u2: float) -> None:
    fit = pairs.shaft_in_hole(
        Member("hole", Reading(50.05 + offset, u1), STEEL), Member("shaft", Reading(50.0, u2), STEEL)
    )
    held = judge_running_fit(fit, [NEW]).held[0]
    draws = numpy.random.default_rng(8)
    true = 0.05 + offset - draws.normal(0, u1, 40_000) + draws.normal(0, u2, 40_000)
    assert held.inside == pytest.approx(((true >= 0.05) & (true <= 0.10)).mean(), abs=0.012)


@given(st.floats(60, 120), st.floats(60, 160), st.floats(-0.02, 0.02))
def test_the_hot_clearance_holds_every_draw_of_metals_and_touches_both_ends(
    hole_c: float, shaft_c: float, offset: float
) -> None:
    fit = heated(moved(FIT, offset), (hole_c, hole_c + 10), (shaft_c, shaft_c + 15))
    hot = clearances(fit).hot
    assert hot is not None
    draws = numpy.random.default_rng(3)
    count = 4_000
    bore = (79.413 + offset) * (
        1 + draws.uniform(10e-6, 12e-6, count) * draws.uniform(hole_c - 20, hole_c - 10, count)
    )
    piston = 79.340 * (
        1 + draws.uniform(21e-6, 23.6e-6, count) * draws.uniform(shaft_c - 20, shaft_c - 5, count)
    )
    assert (bore - piston).min() >= hot.low_mm
    assert (bore - piston).max() <= hot.high_mm
    reach = hot.high_mm - hot.low_mm
    assert (bore - piston).max() - (bore - piston).min() > 0.7 * reach


def test_one_metal_at_one_temperature_keeps_its_clearance_but_for_the_growth_of_the_gap() -> None:
    metal = read_expansion("alpha=12e-6")
    fit = heated(
        pairs.shaft_in_hole(replace(BORE, expansion=metal), replace(PISTON, expansion=metal)),
        (90, 90),
        (90, 90),
    )
    hot = clearances(fit).hot
    assert hot is not None
    assert hot.middle_mm == pytest.approx(0.073 * (1 + 12e-6 * 70))


def test_parts_read_warm_are_brought_to_20_degrees_against_a_steel_gauge() -> None:
    warm = replace(FIT, members=tuple((f, replace(one, measured_c=30.0)) for f, one in FIT.members))
    found = clearances(warm)
    assert found.as_measured.middle_mm == pytest.approx(0.073)
    # At 30 °C the piston is larger against its steel gauge, by about 79 mm times 11e-6 times 10 K.
    exact = [
        79.413 * (1 + 11.5e-6 * 10) / (1 + iron * 10) - 79.340 * (1 + 11.5e-6 * 10) / (1 + alloy * 10)
        for iron in (10e-6, 12e-6)
        for alloy in (21e-6, 23.6e-6)
    ]
    assert (found.at_20_c.low_mm, found.at_20_c.high_mm) == pytest.approx((min(exact), max(exact)))
    assert found.at_20_c.low_mm > 0.08


def test_an_unknown_metal_is_taken_at_the_careful_end_of_each_question() -> None:
    known = clearances(heated(FIT, (90, 90), (120, 120))).hot
    unknown = replace(PISTON, expansion=read_expansion(None))
    open_end = clearances(heated(pairs.piston_in_bore(BORE, unknown), (90, 90), (120, 120))).hot
    assert known is not None
    assert open_end is not None
    assert open_end.low_mm <= known.low_mm
    assert open_end.high_mm > known.high_mm + 0.05
    answer = judge_running_fit(heated(pairs.piston_in_bore(BORE, unknown), (90, 90), (120, 120)), [NEW])
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert any("Nobody said what metal piston is" in one.text for one in answer.verdict.cautions)


def test_a_fit_within_the_makers_limits_is_sound_and_beyond_them_is_not() -> None:
    sound = judge_running_fit(FIT, [NEW]).verdict
    assert sound.outcome is Outcome.SOUND
    assert sound.probability is not None
    assert sound.probability > 0.99
    assert any(reason.source == "manual, p. 12" for reason in sound.reasons)
    for by_mm in (-0.05, 0.06):
        verdict = judge_running_fit(moved(FIT, by_mm), [NEW]).verdict
        assert verdict.outcome is Outcome.NOT_SOUND
        assert verdict.probability is not None
        assert verdict.probability > 0.99


def test_on_the_limit_it_says_what_would_prove_it() -> None:
    verdict = judge_running_fit(moved(FIT, 0.025), [NEW]).verdict
    assert verdict.outcome is Outcome.NOT_PROVEN
    # 2 µm within the limit: 95 % take 2 / 1.645 = 1.2 µm.
    assert any("1.2 µm would show it" in one.text for one in verdict.cautions)


def test_limits_for_new_parts_and_of_wear_are_different_limits() -> None:
    worn = moved(FIT, 0.05)
    assert judge_running_fit(worn, [NEW, WEAR]).verdict.outcome is Outcome.NOT_SOUND
    kept = judge_running_fit(worn, [NEW, WEAR], renewed=False)
    assert kept.verdict.outcome is Outcome.SOUND
    assert [one.limits.used_for for one in kept.held] == [LimitsFor.WEAR, LimitsFor.NEW]
    assert judge_running_fit(worn, [WEAR]).verdict.outcome is Outcome.NOT_PROVEN
    assert judge_running_fit(worn, [NEW], renewed=False).verdict.outcome is Outcome.NOT_PROVEN
    assert judge_running_fit(moved(FIT, 0.1), [WEAR]).verdict.outcome is Outcome.NOT_SOUND


@given(st.sampled_from(FitRole), st.floats(6, 150), st.floats(0, 1), st.floats(1e-7, 0.02))
def test_a_sanity_band_is_never_a_pass(role: FitRole, nominal_mm: float, share: float, u_mm: float) -> None:
    band = sanity_band(role, nominal_mm)
    assert band is not None
    low, high = band.bounds.ends
    inside = low + share * (min(high, low + 0.5) - low)
    fit = pairs.shaft_in_hole(
        Member("hole", Reading(nominal_mm + inside, u_mm), STEEL),
        Member("shaft", Reading(nominal_mm, u_mm), STEEL),
    )
    verdict = judge_running_fit(fit, [band]).verdict
    assert verdict.outcome is not Outcome.SOUND
    assert any("no pass" in one.text for one in verdict.cautions)


def test_far_outside_a_sanity_band_is_not_sound() -> None:
    band = sanity_band(FitRole.PISTON, 79.4)
    assert band is not None
    verdict = judge_running_fit(moved(FIT, 0.2), [band]).verdict
    assert verdict.outcome is Outcome.NOT_SOUND


def test_what_seizes_hot_is_not_sound_though_its_limits_are_kept_cold() -> None:
    tight = judge_running_fit(heated(FIT, (90, 90), (160, 160)), [NEW])
    assert tight.held[0].inside is not None
    assert tight.held[0].inside > 0.99
    assert tight.verdict.outcome is Outcome.NOT_SOUND
    assert tight.free_when_hot is not None
    assert tight.free_when_hot < 0.01
    free = judge_running_fit(heated(FIT, (90, 90), (80, 80)), [NEW])
    assert free.verdict.outcome is Outcome.SOUND


def test_an_expansion_from_memory_never_makes_it_sound() -> None:
    piston = replace(PISTON, expansion=read_expansion("piston alloy"))
    fit = heated(pairs.piston_in_bore(BORE, piston), (90, 90), (80, 80))
    answer = judge_running_fit(fit, [NEW])
    assert answer.free_when_hot is not None
    assert answer.free_when_hot > 0.99
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert any("from memory" in one.text for one in answer.verdict.cautions)


def test_an_interference_cold_is_not_sound_unless_the_limits_have_one() -> None:
    tight = moved(FIT, -0.1)
    assert judge_running_fit(tight).verdict.outcome is Outcome.NOT_SOUND
    pressed = makers_limits(-0.04, -0.01, LimitsFor.NEW, "manual, p. 20")
    assert judge_running_fit(tight, [pressed]).verdict.outcome is Outcome.SOUND


def test_without_an_uncertainty_nothing_is_proven_but_all_is_shown() -> None:
    fit = pairs.piston_in_bore(replace(BORE, reading=Reading(79.413)), PISTON)
    answer = judge_running_fit(heated(fit, (90, 90), (100, 100)), [NEW])
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert answer.verdict.value == pytest.approx(0.073)
    assert answer.verdict.probability is answer.held[0].inside is answer.free_when_hot is None


def test_crush_widens_the_clearance_and_is_said_where_it_is_not_told() -> None:
    members = [Member(name, Reading(size, 0.001), STEEL) for name, size in
               (("housing", 60.013), ("shell", 2.97), ("journal", 54.013))]  # fmt: skip
    told = clearances(pairs.journal_in_shells(members[0], members[1], members[2], (0.002, 0.008))).at_20_c
    assert (told.low_mm, told.high_mm) == pytest.approx((0.062, 0.068))
    untold = pairs.journal_in_shells(members[0], members[1], members[2])
    assert any("crush" in one and "left out" in one for one in untold.assumptions)


def test_end_float_takes_the_washer_twice() -> None:
    members = [Member(name, Reading(size, 0.005), STEEL) for name, size in
               (("cheeks", 35.10), ("bearing", 30.34), ("washer", 2.31))]  # fmt: skip
    assert clearances(pairs.end_float(*members)).at_20_c.middle_mm == pytest.approx(0.14)


@pytest.mark.parametrize(
    ("build", "why"),
    [
        (lambda: pairs.piston_in_bore(BORE, replace(PISTON, reading=Reading(3.125))), "typed in inches"),
        (lambda: pairs.piston_in_bore(BORE, replace(PISTON, reading=Reading(7.934))), "slipped decimal"),
        (lambda: pairs.piston_in_bore(BORE, replace(PISTON, reading=Reading(70.0))), "run in each other"),
        (lambda: Reading(0.0), "more than nothing"),
        (lambda: Reading(10.0, -0.001), "not negative"),
        (lambda: replace(BORE, hot_low_c=90.0), "one of them"),
        (lambda: replace(BORE, hot_low_c=90.0, hot_high_c=80.0), "least before the largest"),
        (lambda: replace(BORE, measured_c=2000.0), "-60 to 900"),
        (lambda: replace(FIT, widened_mm=(0.01, 0.0)), "least before the largest"),
        (lambda: replace(FIT, members=()), "a size around"),
        (lambda: clearances(pairs.piston_in_bore(replace(BORE, hot_low_c=90.0, hot_high_c=90.0), PISTON)),
         "none for piston"),
        (lambda: judge_running_fit(pairs.piston_in_bore(replace(BORE, reading=Reading(79.4, 0.0)),
                                   replace(PISTON, reading=Reading(79.3, 0.0))), [NEW]), "smallest step"),
        (lambda: makers_limits(0.1, 0.05, LimitsFor.NEW), "upside down"),
        (lambda: sanity_band(FitRole.PIN, 0.0), "more than nothing"),
        (lambda: read_expansion("unobtainium"), "careful end"),
        (lambda: read_expansion("alpha=21"), "each kelvin"),
        (lambda: replace(FILM, load_n=0.0), "more than nothing"),
        (lambda: replace(FILM, clearance_low_mm=5.0), "decimal point"),
        (lambda: oil_film(replace(FILM, width_mm=80.0)), "times the diameter"),
        (lambda: RingGap(Measured(40.0, 0.1), 79.4, Measured(79.4, 0.01)), "tenth of the bore"),
        (lambda: RingGap(Measured(0.4, 0.1), 3.125, Measured(79.4, 0.01)), "near the one"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_what_to_do(build: object, why: str) -> None:
    assert callable(build)
    with pytest.raises(InvalidInput, match=why):
        build()


def test_each_metal_that_is_named_can_be_read_and_stands_in_one_table_only() -> None:
    for name in known_expansions():
        found = read_expansion(name)
        assert found.known
        assert 5e-6 < found.low_per_k <= found.high_per_k < 30e-6
        assert found.reasons[0].source
    elastic = {name.lower() for name in known_elastic_materials()}
    assert not elastic & {row["kind"].lower() for row in rows("expansions_collected_2026")}
    anything = read_expansion("unknown")
    named = [read_expansion(name) for name in known_expansions()]
    assert anything.low_per_k == min(one.low_per_k for one in named if one.trusted)
    assert anything.high_per_k == max(one.high_per_k for one in named if one.trusted)


@given(st.floats(1000, 20_000), st.floats(1.1, 3))
def test_more_load_or_less_speed_thins_the_film_and_it_is_never_a_pass(load_n: float, factor: float) -> None:
    case = replace(FILM, load_n=load_n)
    answer = oil_film(case)
    assert answer.verdict.outcome is not Outcome.SOUND
    heavier, slower = (
        oil_film(replace(case, load_n=load_n * factor)),
        oil_film(replace(case, speed_rpm=3000 / factor)),
    )
    for worse in (heavier, slower):
        if worse.at_low.least_film_um is not None and answer.at_low.least_film_um is not None:
            assert worse.at_low.least_film_um < answer.at_low.least_film_um
    assert heavier.at_low.sommerfeld == pytest.approx(slower.at_low.sommerfeld)
    assert answer.specific_load_mpa == pytest.approx(load_n / (54 * 25))


def test_a_film_thinner_than_any_that_runs_is_not_sound() -> None:
    crawling = oil_film(replace(FILM, clearance_high_mm=0.05, speed_rpm=1))
    assert crawling.at_high.least_film_um is None
    assert crawling.at_high.at_most_um == pytest.approx(25 * 0.03)
    assert crawling.verdict.outcome is Outcome.NOT_PROVEN
    tight = oil_film(replace(FILM, clearance_low_mm=0.02, clearance_high_mm=0.03, speed_rpm=1))
    assert tight.verdict.outcome is Outcome.NOT_SOUND
    assert "thinner than the 0.5 µm" in tight.verdict.reasons[-1].text
    light = oil_film(replace(FILM, load_n=10))
    assert light.at_low.at_most_um is light.verdict.value is None
    assert light.verdict.outcome is Outcome.NOT_PROVEN
    known = oil_film(FilmCase(20, 20, 0.02, 0.0201, 400, 15, 26))
    assert known.at_high.least_film_um == known.at_high.at_most_um
    assert known.verdict.outcome is Outcome.NOT_SOUND


def test_a_ring_gap_grows_by_pi_for_each_millimetre_of_bore() -> None:
    ring = RingGap(Measured(0.30, 0.01), 79.375, Measured(79.475, 0.004))
    gap = gap_in_bore(ring)
    assert gap.middle_mm == pytest.approx(0.30 + numpy.pi * 0.1)
    assert gap.u_mm == pytest.approx(numpy.hypot(0.01, numpy.pi * 0.004))
    hot = gap_when_hot(ring, IRON, IRON, 20, 20)
    assert hot.low_mm == pytest.approx(hot.high_mm) == pytest.approx(gap.middle_mm)


def test_a_ring_hotter_than_its_wall_closes_its_gap_until_it_butts() -> None:
    ring = RingGap(Measured(0.35, 0.01), 79.4, Measured(79.4, 0.004))
    iron = read_expansion("alpha=11e-6")
    hot = gap_when_hot(ring, iron, iron, 200, 120)
    # A ring of 249 mm, 80 K warmer than its wall: 0.22 mm less.
    assert hot.middle_mm == pytest.approx(0.35 - 249.4 * 11e-6 * 80, abs=0.001)
    limits = sanity_band(FitRole.TOP_RING, 79.4)
    assert limits is not None
    verdict = judge_ring_gap(ring, limits, hot=hot)
    assert verdict.outcome is Outcome.NOT_PROVEN
    own = FitLimits(limits.bounds, LimitsFor.NEW, "manual, p. 4")
    assert judge_ring_gap(ring, own, hot=hot).outcome is Outcome.SOUND
    butting = gap_when_hot(ring, iron, iron, 320, 120)
    assert judge_ring_gap(ring, own, hot=butting).outcome is Outcome.NOT_SOUND
    small = RingGap(Measured(0.2, 0.01), 79.4, Measured(79.4, 0.004))
    assert judge_ring_gap(small, own).outcome is Outcome.NOT_SOUND
