"""The verdict on a tightened bolt, and what settling takes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.bolted import BoltedAnswer, BoltedJoint, judge_bolted
from runningfit.core.joints.conditions import read_condition
from runningfit.core.joints.embedment import (
    bolt_resilience_um_per_kn,
    clamped_resilience_um_per_kn,
    embedment_loss_n,
    settling_um,
    usual_loss_n,
)
from runningfit.core.joints.friction import friction_of, given_friction
from runningfit.core.joints.grades import read_grade, strength_of, unknown_strength
from runningfit.core.joints.preload import Prevailing, Tightening, preload_spread, tightening_of
from runningfit.core.joints.tightening import geometry_of
from runningfit.core.standards import thread
from runningfit.core.verdicts import Outcome

THREE_EIGHTHS = thread("3/8-16 UNC")
EXACT = given_friction((0.15, 0.15), (0.15, 0.15))


def tightening(condition: str | None = None, scatter: float | None = 0.1) -> Tightening:
    friction = (
        EXACT if condition is None else friction_of(read_condition(condition), geometry_of(THREE_EIGHTHS))
    )
    return tightening_of(THREE_EIGHTHS, friction, scatter=scatter)


def judged(
    torque_nm: float,
    grade: str | None = "SAE J429 5",
    *,
    condition: str | None = None,
    wanted_clamp_n: float | None = None,
    settling_loss_n: float | None = None,
    settling_from_memory: bool = False,
) -> BoltedAnswer:
    strength = unknown_strength() if grade is None else strength_of(read_grade(grade), THREE_EIGHTHS)
    return judge_bolted(
        BoltedJoint(
            tightening(condition),
            torque_nm,
            strength,
            grade_known=grade is not None,
            wanted_clamp_n=wanted_clamp_n,
            settling_loss_n=settling_loss_n,
            settling_from_memory=settling_from_memory,
        )
    )


def test_a_usual_torque_is_sound_and_a_great_one_is_not() -> None:
    assert judged(35).verdict.outcome is Outcome.SOUND
    great = judged(70)
    assert great.verdict.outcome is Outcome.NOT_SOUND
    assert great.probability_yield > 0.95
    assert any("may yield" in one.text for one in great.verdict.cautions)
    assert any("no longer follows the torque" in one.text for one in great.verdict.cautions)


def test_between_the_two_nothing_is_proven() -> None:
    between = judged(48)
    assert 0.05 < between.probability_yield < 0.5
    assert between.verdict.outcome is Outcome.NOT_PROVEN


def test_too_little_clamp_is_not_sound_and_settling_counts() -> None:
    assert judged(35, wanted_clamp_n=10_000).verdict.outcome is Outcome.SOUND
    little = judged(35, wanted_clamp_n=25_000)
    assert little.verdict.outcome is Outcome.NOT_SOUND
    assert little.probability_too_little_clamp == pytest.approx(1, abs=0.01)
    settled = judged(35, wanted_clamp_n=15_000, settling_loss_n=4_000)
    unsettled = judged(35, wanted_clamp_n=15_000, settling_loss_n=0.0)
    assert settled.probability_too_little_clamp is not None
    assert unsettled.probability_too_little_clamp is not None
    assert settled.probability_too_little_clamp > unsettled.probability_too_little_clamp + 0.2


def test_settling_that_is_not_known_takes_a_tenth_and_memory_never_takes_less() -> None:
    unknown = judged(35, wanted_clamp_n=15_500)
    told = judged(35, wanted_clamp_n=15_500, settling_loss_n=0.0)
    remembered = judged(35, wanted_clamp_n=15_500, settling_loss_n=0.0, settling_from_memory=True)
    much = judged(35, wanted_clamp_n=15_500, settling_loss_n=4_000, settling_from_memory=True)
    assert told.verdict.outcome is Outcome.SOUND
    assert unknown.verdict.outcome is Outcome.NOT_PROVEN
    assert unknown.probability_too_little_clamp == remembered.probability_too_little_clamp
    # As much as if the wanted clamp were a ninth more.
    ninth = judged(35, wanted_clamp_n=15_500 / 0.9, settling_loss_n=0.0)
    assert unknown.probability_too_little_clamp == ninth.probability_too_little_clamp
    assert much.probability_too_little_clamp == pytest.approx(0.9, abs=0.1)
    assert any("a tenth of the clamp was taken off" in one.text for one in unknown.verdict.cautions)
    assert any("figures from memory" in one.text for one in remembered.verdict.cautions)


@pytest.mark.parametrize("grade", ["SAE J429 8.2", "BS 1768 V"])
def test_a_strength_from_memory_is_a_caution_and_never_a_pass(grade: str) -> None:
    answer = judged(15, grade)
    assert answer.probability_yield < 0.001
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert any("rests on memory" in one.text for one in answer.verdict.cautions)


def test_a_friction_without_a_source_is_never_a_pass() -> None:
    assert judged(15, condition="nickel, dry").verdict.outcome is Outcome.NOT_PROVEN
    assert judged(15, condition="zinc, dry").verdict.outcome is Outcome.SOUND


@pytest.mark.parametrize("condition", ["unknown", "zinc", "dry", "grease"])
def test_an_unknown_finish_or_lubricant_is_never_a_pass(condition: str) -> None:
    answer = judged(10, condition=condition)
    assert answer.probability_yield < 0.05
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert any("say finish and lubricant" in one.text for one in answer.verdict.cautions)


def test_an_unknown_grade_is_never_a_pass() -> None:
    # A B.A. screw may be of brass: weaker than the weakest steel that is taken for it.
    answer = judged(5, None)
    assert answer.probability_yield < 0.05
    assert answer.verdict.outcome is Outcome.NOT_PROVEN


def test_an_unknown_grade_is_the_weakest_and_is_named_as_what_matters_most() -> None:
    answer = judged(35, None)
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    assert any("the grade of the bolt is not known" in one.text for one in answer.verdict.reasons)
    assert any("read the head" in one.text for one in answer.verdict.cautions)


def test_the_missing_fact_that_matters_most_is_named() -> None:
    said = [one.text for one in judged(20, condition="unknown").verdict.reasons]
    assert any("What would help most to know: the friction (finish not known" in text for text in said)


def test_the_tool_s_scatter_is_the_spread_of_exact_friction() -> None:
    answer = judge_bolted(
        BoltedJoint(
            tightening_of(THREE_EIGHTHS, EXACT, bearing_diameter_mm=14, scatter=0.25),
            40.0,
            strength_of(read_grade("SAE J429 5"), THREE_EIGHTHS),
        )
    )
    half = 1.645 * 0.25 / 1.96
    assert answer.preload_n.low / answer.preload_n.mean == pytest.approx(1 - half, abs=0.003)
    assert answer.preload_n.high / answer.preload_n.mean == pytest.approx(1 + half, abs=0.003)


@given(torque=st.floats(1, 200), scatter=st.floats(0, 0.5), friction=st.floats(0.05, 0.5))
def test_percentiles_are_in_order_and_proportional_to_the_torque(
    torque: float, scatter: float, friction: float
) -> None:
    one = tightening_of(
        THREE_EIGHTHS, given_friction((friction, friction + 0.1), (friction, friction)), scatter=scatter
    )
    spread, double = preload_spread(one, torque), preload_spread(one, 2 * torque)
    low, middle, high = (spread.percentile(share) for share in (0.05, 0.5, 0.95))
    assert 0 < low <= middle <= high
    assert double.percentile(0.5) == pytest.approx(2 * middle, rel=1e-9)
    assert spread.below(low) == pytest.approx(0.05, abs=1e-4)


def test_a_self_locking_nut_takes_its_torque_off() -> None:
    plain = preload_spread(tightening(), 40.0)
    locking = preload_spread(tightening(), 40.0, Prevailing(4.0, 6.0))
    assert locking.mean == pytest.approx(plain.mean * 35 / 40, rel=1e-3)


def test_a_torque_that_the_nut_may_eat_up_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"torque needs more than the prevailing torque of the nut"):
        preload_spread(tightening(), 6.0, Prevailing(4.0, 6.0))
    with pytest.raises(InvalidInput, match=r"prevailing torque needs a range from less to more"):
        preload_spread(tightening(), 40.0, Prevailing(6.0, 4.0))


@pytest.mark.parametrize("scatter", [-0.1, 0.6])
def test_a_scatter_that_cannot_be_is_refused(scatter: float) -> None:
    with pytest.raises(InvalidInput, match=r"scatter needs the tool's 95 % half-width, 0 to 0\.5"):
        tightening(scatter=scatter)


@pytest.mark.parametrize("bearing_mm", [5.0, 60.0])
def test_a_bearing_smaller_than_the_thread_is_refused(bearing_mm: float) -> None:
    with pytest.raises(InvalidInput, match=r"bearing diameter needs the mean diameter under the head, 9\.5"):
        tightening_of(THREE_EIGHTHS, EXACT, bearing_diameter_mm=bearing_mm)


def test_short_joints_lose_more_by_settling_than_long_ones() -> None:
    assert usual_loss_n(THREE_EIGHTHS, 10) > 2 * usual_loss_n(THREE_EIGHTHS, 60)
    bolt = bolt_resilience_um_per_kn(THREE_EIGHTHS, 50.0, 40.0)
    clamped = clamped_resilience_um_per_kn(THREE_EIGHTHS, 40.0, 205_000.0)
    # Hooke: 8 um over both resiliences.
    assert settling_um(parting_lines=1) == 8
    assert settling_um(parting_lines=1, is_rough=True) == 12
    assert embedment_loss_n(8, bolt, clamped) == pytest.approx(8 / (bolt + clamped) * 1000)
    assert bolt == pytest.approx((40 + 0.8 * 9.525) / (205_000 * 50) * 1e6)


def test_what_settling_takes_is_that_of_a_whole_shank_the_stiffer_end() -> None:
    shank = 3.14159265 / 4 * 9.525**2
    clamped = clamped_resilience_um_per_kn(THREE_EIGHTHS, 40.0, 205_000.0)
    whole = embedment_loss_n(8, bolt_resilience_um_per_kn(THREE_EIGHTHS, shank, 40.0), clamped)
    thinner = embedment_loss_n(8, bolt_resilience_um_per_kn(THREE_EIGHTHS, 50.0, 40.0), clamped)
    assert usual_loss_n(THREE_EIGHTHS, 40.0) == pytest.approx(whole)
    assert whole > 1.2 * thinner


def test_a_clamped_length_of_nothing_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"clamped length needs more than nothing"):
        usual_loss_n(THREE_EIGHTHS, 0.0)
    with pytest.raises(InvalidInput, match=r"faces needs no fewer than none inside"):
        settling_um(parting_lines=-1)
