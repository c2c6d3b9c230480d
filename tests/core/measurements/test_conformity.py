"""Conformity: probabilities against scipy and draws, decisions, shared errors, what would prove it."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds, GammaPrior, NormalPrior
from runningfit.core.measurements.conformity.chances import chances, guard_band
from runningfit.core.measurements.conformity.decision import Decision, decide, percent
from runningfit.core.measurements.conformity.integral import integral
from runningfit.core.measurements.conformity.next_readings import to_prove
from runningfit.core.measurements.conformity.risks import guard_for_risk, risks
from runningfit.core.measurements.conformity.together import OneOfMany, all_conform
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Outcome

BORE = Bounds(79.362, 79.388)


def test_an_integral_over_pieces_is_exact_for_polynomials() -> None:
    assert integral(lambda x: 5 * x**4 - x, [2.0, -1.0, 0.5]) == pytest.approx(33 - 1.5, rel=1e-14)


@pytest.mark.parametrize("dof", [1, 4, 30, inf])
@pytest.mark.parametrize("value", [79.3, 79.362, 79.375, 79.386, 79.5])
def test_chances_are_the_areas_of_students_distribution(value: float, dof: float) -> None:
    u = 0.003
    theirs = stats.norm(value, u) if dof == inf else stats.t(dof, value, u)
    found = chances(Measured(value, u, dof), BORE)
    assert found.below == pytest.approx(float(theirs.cdf(79.362)), rel=1e-7, abs=1e-300)
    assert found.above == pytest.approx(float(theirs.sf(79.388)), rel=1e-7, abs=1e-300)
    assert found.below + found.inside + found.above == pytest.approx(1.0, abs=1e-15)


@pytest.mark.parametrize("bounds", [BORE, Bounds(79.38, None), Bounds(None, 79.38)])
@pytest.mark.parametrize("dof", [3, inf])
@pytest.mark.parametrize("prior", [NormalPrior(79.37, 0.006), GammaPrior(500.0, 0.1588)])
def test_chances_with_a_prior_are_those_of_bayes_rule(bounds: Bounds, dof: float, prior: NormalPrior) -> None:
    measured = Measured(79.384, 0.004, dof)
    likely = stats.norm if dof == inf else stats.t(dof)

    def weight(x: float) -> float:
        return prior.density(x) * float(likely.pdf((x - measured.value) / measured.u))

    low, high = bounds.ends
    ends = (79.2, 79.6)
    middle = integrate.quad(
        weight, max(low, ends[0]), min(high, ends[1]), epsabs=0, limit=200, points=[79.384]
    )[0]
    whole = integrate.quad(weight, *ends, epsabs=0, limit=200, points=[79.37, 79.384])[0]
    assert chances(measured, bounds, prior).inside == pytest.approx(middle / whole, rel=1e-4)


def test_a_prior_pulls_towards_what_is_usual() -> None:
    worn = Measured(79.389, 0.004)
    assert chances(worn, BORE, NormalPrior(79.375, 0.003)).inside > 0.9 > 0.6 > chances(worn, BORE).inside


def test_chances_are_calibrated_over_what_a_process_makes() -> None:
    generator = np.random.default_rng(11)
    true = generator.normal(79.38, 0.008, 20_000)
    read = true + generator.normal(0, 0.004, 20_000)
    prior = NormalPrior(79.38, 0.008)
    told = np.array([chances(Measured(float(one), 0.004), BORE, prior).inside for one in read])
    inside = (true >= 79.362) & (true <= 79.388)
    for low in np.arange(0, 1, 0.1):
        group = (told >= low) & (told <= low + 0.1)
        assert group.sum() > 100
        spread = 4 * sqrt(0.25 / group.sum())
        assert inside[group].mean() == pytest.approx(told[group].mean(), abs=max(0.02, spread))


@pytest.mark.parametrize(
    ("value", "decision", "outcome"),
    [
        (79.375, Decision.INSIDE, Outcome.SOUND),
        (79.386, Decision.NOT_PROVEN, Outcome.NOT_PROVEN),
        (79.391, Decision.NOT_PROVEN, Outcome.NOT_PROVEN),
        (79.396, Decision.OUTSIDE, Outcome.NOT_SOUND),
        (79.354, Decision.OUTSIDE, Outcome.NOT_SOUND),
    ],
)
def test_a_value_is_inside_outside_or_not_proven(value: float, decision: Decision, outcome: Outcome) -> None:
    found = decide(Measured(value, 0.003), BORE, unit="mm")
    assert (found.decision, found.verdict.outcome) == (decision, outcome)
    assert found.verdict.reasons[0].source.startswith("JCGM 106")
    assert ("Not proven is not a pass" in " ".join(one.text for one in found.verdict.cautions)) == (
        outcome is Outcome.NOT_PROVEN
    )


def test_the_guard_band_is_where_the_decision_turns() -> None:
    measured = Measured(0.0, 0.003, 12)
    band = guard_band(measured, 0.95)
    assert band == pytest.approx(float(stats.t(12).ppf(0.95)) * 0.003)
    upper = Bounds(None, 1.0)
    assert decide(Measured(1.0 - band - 1e-9, 0.003, 12), upper).decision is Decision.INSIDE
    assert decide(Measured(1.0 - band + 1e-9, 0.003, 12), upper).decision is Decision.NOT_PROVEN


def test_simple_acceptance_has_no_guard_band_and_no_third_answer() -> None:
    assert guard_band(Measured(0, 1), 0.5) == 0
    assert decide(Measured(0.999, 0.3), Bounds(None, 1.0), wanted=0.5).decision is Decision.INSIDE
    assert decide(Measured(1.001, 0.3), Bounds(None, 1.0), wanted=0.5).decision is Decision.OUTSIDE


def test_a_gauge_that_is_merely_too_coarse_shows_nothing() -> None:
    # Read in the middle of its limits with forty times their width of doubt: below and above are as probable.
    found = decide(Measured(79.375, 0.5), BORE)
    assert found.decision is Decision.NOT_PROVEN
    assert to_prove(79.375, 0.5, 0.5, BORE).readings is None


def test_a_prior_against_the_reading_makes_no_pass() -> None:
    # Bayes' rule alone gives 99.9 % inside, of a reading four uncertainties outside.
    usual = NormalPrior(79.375, 0.002)
    found = decide(Measured(79.400, 0.003), BORE, prior=usual)
    assert found.chances.inside > 0.99
    assert found.decision is Decision.NOT_PROVEN
    assert "disagrees with what was believed" in found.verdict.cautions[0].text
    # However many degrees of freedom, what the prior rules out altogether is refused.
    for dof in (5, inf):
        with pytest.raises(InvalidInput, match="prior needs to leave room for what was measured"):
            chances(Measured(90.0, 0.003, dof), BORE, GammaPrior(1e8, 79.375e-8) if dof == 5 else usual)


def test_a_gauge_too_coarse_for_the_limits_is_noticed() -> None:
    found = decide(Measured(79.375, 0.007), BORE)
    assert "can hardly show it" in found.verdict.cautions[0].text


@pytest.mark.parametrize(
    ("share", "said"), [(0.0, "less than 0.1 %"), (0.97312, "97.3 %"), (1.0, "more than 99.9 %")]
)
def test_a_probability_is_never_said_as_certain(share: float, said: str) -> None:
    assert percent(share) == said


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (lambda: Bounds(None, None), "limits needs a lower limit, an upper limit or both; 'none' came"),
        (
            lambda: Bounds(2.0, 1.0),
            "limits needs a lower limit below .*; '2 and 1' came. They are upside down",
        ),
        (lambda: Bounds(1.0, inf), "limits needs finite numbers"),
        (lambda: NormalPrior(1.0, 0.0), "prior needs a finite mean"),
        (lambda: GammaPrior(0.5, 1.0), "prior needs a shape of 1 or more"),
        (
            lambda: decide(Measured(1, 0), BORE),
            "uncertainty needs more than nothing; '0' came. No gauge is exact",
        ),
        (lambda: decide(Measured(1, 1), BORE, wanted=0.3), "probability wanted needs 0.5 to less than 1"),
        (lambda: decide(Measured(1, 1), BORE, wanted=95), "probability wanted .*Write 0.95 for 95 %"),
        (
            lambda: chances(Measured(90, 0.1, 5), BORE, GammaPrior(9, 0.001)),
            "prior needs to leave room for what was measured; '90 against",
        ),
        (lambda: all_conform([], 0.1), "values needs at least one"),
        (
            lambda: to_prove(1, 0, 0, BORE),
            "uncertainty needs finite, not negative, and more than nothing in all",
        ),
        (lambda: guard_for_risk(NormalPrior(0, 1), 1, Bounds(-1, 1), 0.7), "risk needs more than 0 and less"),
        (lambda: guard_for_risk(NormalPrior(0, 9), 9, Bounds(-1, 1), 1e-9), "risk needs to be reachable"),
    ],
)
def test_what_cannot_be_judged_is_refused(asked: object, text: str) -> None:
    assert callable(asked)
    with pytest.raises(InvalidInput, match=text):
        asked()


def test_what_a_gauge_errs_by_it_errs_by_in_all_it_measured() -> None:
    four = [OneOfMany(Measured(value, 0.001), BORE) for value in (79.385, 79.384, 79.386, 79.383)]
    found = all_conform(four, 0.003)
    generator = np.random.default_rng(4)
    shared = generator.normal(0, 0.003, (400_000, 1))
    own = generator.normal(0, 0.001, (400_000, 4))
    true = np.array([one.own.value for one in four]) - shared - own
    drawn = ((true >= 79.362) & (true <= 79.388)).all(axis=1).mean()
    assert found.together == pytest.approx(float(drawn), abs=0.003)
    assert found.as_if_apart < found.together - 0.1


def test_without_a_shared_error_the_chances_multiply() -> None:
    two = [OneOfMany(Measured(79.386, 0.002), BORE), OneOfMany(Measured(79.364, 0.002), BORE)]
    found = all_conform(two, 0.0)
    apart = chances(two[0].own, BORE).inside * chances(two[1].own, BORE).inside
    assert found.together == found.as_if_apart == pytest.approx(apart)
    # So little is shared that nothing changes, although the integral is over a very narrow peak.
    assert all_conform(two, 1e-7).together == pytest.approx(apart, rel=1e-5)


@given(st.floats(0.0002, 0.01), st.floats(0.0002, 0.01))
def test_one_value_has_the_same_chance_however_its_error_is_split(own: float, shared: float) -> None:
    found = all_conform([OneOfMany(Measured(79.3855, own), BORE)], shared)
    assert found.together == pytest.approx(found.as_if_apart, abs=1e-7)


def test_the_number_of_readings_that_prove_it_is_the_first_that_does() -> None:
    found = to_prove(79.386, 0.003, 0.0005, BORE)
    assert found.readings is not None
    enough = sqrt(0.003**2 / found.readings + 0.0005**2)
    too_few = sqrt(0.003**2 / (found.readings - 1) + 0.0005**2)
    assert (
        chances(Measured(79.386, enough), BORE).inside
        >= 0.95
        > chances(Measured(79.386, too_few), BORE).inside
    )
    assert f"{found.readings} readings in all" in found.advice


def test_where_no_readings_prove_it_the_gauge_that_does_is_named() -> None:
    found = to_prove(79.386, 0.003, 0.002, BORE, unit="mm")
    assert found.readings is None
    assert found.gauge_u == pytest.approx(0.002 / 1.6448536, rel=1e-4)
    assert "at most 0.0012 mm" in found.advice
    assert to_prove(79.375, 0.003, 0.002, BORE).readings == 1


@pytest.mark.parametrize("shared_u", [0.0119, 0.5])
def test_the_gauge_that_proves_a_small_value_is_the_coarsest_that_does(shared_u: float) -> None:
    """A clearance of 0.060 mm within 0.0413 to 0.0667 mm: by scipy, at which both tails leave 95 %."""
    bounds = Bounds(0.0413, 0.0667)

    def lacking(u: float) -> float:
        return float(stats.norm(0.060, u).cdf(0.0667) - stats.norm(0.060, u).cdf(0.0413)) - 0.95

    found = to_prove(0.060, 0.0, shared_u, bounds, unit="mm")
    assert found.readings is None
    assert found.gauge_u == pytest.approx(float(optimize.brentq(lacking, 1e-4, 0.02)), rel=1e-6)
    assert "at most 0.0041 mm" in found.advice


def test_on_the_limit_no_gauge_proves_it() -> None:
    found = to_prove(79.388, 0.003, 0.002, BORE)
    assert (found.readings, found.gauge_u) == (None, None)
    assert "no gauge shows it" in found.advice


def test_risks_are_those_of_drawn_pieces() -> None:
    process, accepted = NormalPrior(79.38, 0.008), Bounds(79.365, 79.385)
    found = risks(process, 0.003, BORE, accepted)
    generator = np.random.default_rng(5)
    true = generator.normal(79.38, 0.008, 1_000_000)
    read = true + generator.normal(0, 0.003, 1_000_000)
    good, let = (true >= 79.362) & (true <= 79.388), (read >= 79.365) & (read <= 79.385)
    assert found.consumer == pytest.approx(float((~good & let).mean()), abs=5e-4)
    assert found.producer == pytest.approx(float((good & ~let).mean()), abs=1.5e-3)


def test_a_zone_holds_its_limits() -> None:
    assert BORE.holds(79.362)
    assert BORE.holds(79.388)
    assert not BORE.holds(79.3881)
