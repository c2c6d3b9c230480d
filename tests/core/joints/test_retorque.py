"""The torque after a change of finish: alike where nothing changed, none where none is safe."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import read_condition
from runningfit.core.joints.friction import friction_of, given_friction
from runningfit.core.joints.grades import read_grade, strength_of, unknown_strength
from runningfit.core.joints.preload import preload_spread, stress_spread, tightening_of
from runningfit.core.joints.retorque import FinishChange, TorqueAnswer, retorque, torque_for
from runningfit.core.joints.tightening import geometry_of
from runningfit.core.standards import thread
from runningfit.core.verdicts import Outcome

THREE_EIGHTHS = thread("3/8-16 UNC")
EXACT = given_friction((0.15, 0.15), (0.15, 0.15))


def changed(old: str, new: str, grade: str | None = None, torque_nm: float = 30.0) -> FinishChange:
    strength = None if grade is None else strength_of(read_grade(grade), THREE_EIGHTHS)
    return FinishChange(THREE_EIGHTHS, torque_nm, read_condition(old), read_condition(new), strength)


def torque_of(answer: TorqueAnswer) -> float:
    assert answer.torque_nm is not None
    return answer.torque_nm.mean


@pytest.mark.parametrize("condition", ["zinc, dry", "plain, oiled", "cadmium, dry", "anti-seize, zinc"])
@pytest.mark.parametrize("grade", [None, "SAE J429 8"])
def test_the_same_condition_keeps_the_same_torque(condition: str, grade: str | None) -> None:
    answer = retorque(changed(condition, condition, grade))
    assert torque_of(answer) == pytest.approx(30.0, rel=1e-6)
    assert answer.ratio_if_unchanged is not None
    assert answer.ratio_if_unchanged.mean == pytest.approx(1.0, rel=0.01)


def test_cadmium_in_place_of_black_oxide_takes_less_torque() -> None:
    answer = retorque(changed("black oxide, dry", "cadmium, dry", "SAE J429 5"))
    assert torque_of(answer) < 25
    assert answer.ratio_if_unchanged is not None
    assert answer.ratio_if_unchanged.low < answer.ratio_if_unchanged.mean < answer.ratio_if_unchanged.high
    assert answer.ratio_if_unchanged.mean > 1.2
    assert any("overstretched" in one.text for one in answer.verdict.reasons)
    assert any("finish that was received" in one.text for one in answer.verdict.cautions)


def test_dry_zinc_in_place_of_cadmium_takes_more_torque_and_the_old_one_clamps_too_little() -> None:
    answer = retorque(changed("cadmium, dry", "zinc, dry", "SAE J429 8"))
    assert torque_of(answer) > 35
    assert any("work loose" in one.text for one in answer.verdict.reasons)


def test_the_torque_given_holds_both_promises() -> None:
    change = changed("black oxide, dry", "cadmium, dry", "SAE J429 5")
    torque = torque_of(retorque(change))
    before, after = change.tightening(change.old), change.tightening(change.new)
    wanted = preload_spread(before, 30.0).percentile(0.05)
    assert preload_spread(after, torque).percentile(0.05) >= wanted * (1 - 1e-6)
    assert change.strength is not None
    assert stress_spread(after, torque).percentile(0.95) <= change.strength.yield_mpa


def test_no_torque_is_given_where_none_is_safe_and_it_says_why() -> None:
    answer = retorque(changed("cadmium, dry", "zinc, dry", "SAE J429 2", torque_nm=25.0))
    assert answer.torque_nm is None
    assert answer.verdict.outcome is Outcome.NOT_SOUND
    assert answer.verdict.reasons[0].text.startswith("No torque is given")
    assert answer.ratio_if_unchanged is not None


def test_an_unknown_old_condition_is_taken_at_both_careful_ends() -> None:
    known = retorque(changed("zinc, dry", "cadmium, dry", "SAE J429 8"))
    unknown = retorque(changed("unknown", "cadmium, dry", "SAE J429 8"))
    assert torque_of(unknown) > torque_of(known)
    assert retorque(changed("unknown", "zinc, dry")).torque_nm is None


@pytest.mark.parametrize(
    "new", ["unknown", "dry", "engine oil", "zinc flake", "nickel, oil", "phosphate, dry"]
)
def test_a_finish_not_confirmed_or_without_figures_gets_no_torque(new: str) -> None:
    # A tenth of what a grade 8 bolt takes: were the finish known, there would be a torque.
    answer = retorque(changed("zinc, dry", new, "SAE J429 8", torque_nm=10.0))
    assert answer.torque_nm is None
    assert answer.verdict.outcome is Outcome.NOT_PROVEN
    says = "is not confirmed" if new in {"unknown", "dry", "engine oil"} else "was found, and that of other"
    assert says in answer.verdict.reasons[0].text
    assert not any("now that takes" in one.text for one in answer.verdict.reasons)
    assert answer.ratio_if_unchanged is not None
    assert retorque(changed("zinc, dry", "zinc, oil", "SAE J429 8", torque_nm=10.0)).torque_nm is not None


def test_an_unknown_grade_is_loaded_no_more_than_before() -> None:
    change = changed("black oxide, dry", "cadmium, dry")
    torque = torque_of(retorque(change))
    before, after = change.tightening(change.old), change.tightening(change.new)
    assert stress_spread(after, torque).percentile(0.95) <= stress_spread(before, 30.0).percentile(0.95)
    assert any("read the head" in one.text for one in retorque(change).verdict.cautions)


def test_a_grade_or_a_friction_without_a_source_is_never_sound() -> None:
    assert retorque(changed("zinc, dry", "zinc, dry", "SAE J429 8")).verdict.outcome is Outcome.SOUND
    assert retorque(changed("zinc, dry", "zinc, dry", "BS 1768 V")).verdict.outcome is Outcome.NOT_PROVEN
    assert retorque(changed("zinc, dry", "zinc, dry")).verdict.outcome is Outcome.NOT_PROVEN
    # The lubricant that goes in now must be known; the maker's may be open, and is taken at both ends.
    open_now = retorque(changed("zinc, oil", "cadmium", "SAE J429 8", torque_nm=10.0))
    assert open_now.verdict.outcome is Outcome.NOT_PROVEN
    assert any("dry and oil were counted" in one.text for one in open_now.verdict.cautions)
    nickel = retorque(changed("nickel, dry", "zinc, dry", "SAE J429 8"))
    assert nickel.verdict.outcome is not Outcome.SOUND


def test_what_a_self_locking_nut_takes_clamps_nothing_and_stays_part_of_the_figure() -> None:
    plain = changed("black oxide, dry", "cadmium, dry", "SAE J429 8", torque_nm=26.0)
    locking = replace(plain, torque_nm=30.0, prevailing_nm=4.0)
    answer = retorque(locking)
    assert torque_of(answer) == pytest.approx(torque_of(retorque(plain)) + 4.0)
    assert answer.torque_nm is not None
    assert answer.torque_nm.low < answer.torque_nm.mean < answer.torque_nm.high
    assert any("4.0 N m of every figure" in one.text for one in answer.verdict.reasons)
    with pytest.raises(InvalidInput, match=r"prevailing torque needs less than the torque of 30 N m"):
        retorque(replace(locking, prevailing_nm=30.0))


def test_a_torque_of_nothing_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"torque needs more than nothing; '0 N m' came"):
        retorque(changed("zinc, dry", "cadmium, dry", torque_nm=0.0))


def test_the_torque_for_a_preload_makes_it_on_average() -> None:
    strength = strength_of(read_grade("SAE J429 5"), THREE_EIGHTHS)
    tightening = tightening_of(THREE_EIGHTHS, EXACT, scatter=0.1)
    answer = torque_for(tightening, 20_000.0, strength)
    torque = torque_of(answer)
    assert preload_spread(tightening, torque).mean == pytest.approx(20_000, rel=1e-9)
    assert answer.torque_nm is not None
    assert answer.torque_nm.low < torque < answer.torque_nm.high
    assert answer.verdict.outcome is Outcome.SOUND
    assert answer.ratio_if_unchanged is None


def test_a_preload_past_yield_gets_no_torque() -> None:
    strength = strength_of(read_grade("SAE J429 5"), THREE_EIGHTHS)
    answer = torque_for(tightening_of(THREE_EIGHTHS, EXACT), 32_000.0, strength)
    assert answer.torque_nm is None
    assert "past its yield" in answer.verdict.reasons[0].text
    weakest = torque_for(tightening_of(THREE_EIGHTHS, EXACT), 20_000.0, unknown_strength(), grade_known=False)
    assert weakest.torque_nm is None


def test_a_wide_friction_narrows_what_is_allowed() -> None:
    strength = strength_of(read_grade("SAE J429 5"), THREE_EIGHTHS)
    wide = tightening_of(
        THREE_EIGHTHS, friction_of(read_condition("unknown"), geometry_of(THREE_EIGHTHS)), scatter=0.1
    )
    assert torque_for(wide, 20_000.0, strength).torque_nm is None
    assert torque_for(tightening_of(THREE_EIGHTHS, EXACT), 20_000.0, strength).torque_nm is not None


def test_a_torque_for_a_finish_nobody_knows_is_not_proven() -> None:
    strength = strength_of(read_grade("SAE J429 8"), THREE_EIGHTHS)

    def of(condition: str) -> TorqueAnswer:
        friction = friction_of(read_condition(condition), geometry_of(THREE_EIGHTHS))
        return torque_for(tightening_of(THREE_EIGHTHS, friction, scatter=0.04), 8_000.0, strength)

    assert of("zinc, dry").verdict.outcome is Outcome.SOUND
    assert of("unknown").verdict.outcome is Outcome.NOT_PROVEN
    assert any("the usual ones were counted" in one.text for one in of("unknown").verdict.cautions)
    assert not any("the usual ones were counted" in one.text for one in of("zinc, dry").verdict.cautions)


def test_a_preload_of_nothing_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"preload needs more than nothing"):
        torque_for(tightening_of(THREE_EIGHTHS, EXACT), 0.0, unknown_strength())
