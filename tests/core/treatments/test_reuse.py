"""Reuse: what is stretched, necked or rusted is not used again, and looks never pass what must not fail."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards import thread
from runningfit.core.treatments.reuse import (
    Locking,
    Neck,
    Role,
    Rust,
    Stretch,
    TenTurns,
    UsedFastener,
    judge_reuse,
)
from runningfit.core.verdicts import Outcome

CRITICAL = Role.SAFETY_CRITICAL
STRAIGHT = Stretch(Measured(70.005, 0.01), Measured(70.0, 0.01), most_mm=0.1)
EVEN = Neck(Measured(8.000, 0.002), Measured(8.000, 0.002))


def outcome(fastener: UsedFastener) -> Outcome:
    return judge_reuse(fastener).outcome


def test_looks_pass_an_ordinary_bolt_and_never_a_critical_one() -> None:
    assert outcome(UsedFastener(looks_sound=True)) is Outcome.SOUND
    critical = judge_reuse(UsedFastener(role=CRITICAL, looks_sound=True))
    assert critical.outcome is Outcome.NOT_PROVEN
    assert "Looks alone never pass it" in critical.reasons[0].text
    assert "a crack test" in critical.reasons[0].text


def test_a_critical_bolt_passes_when_all_of_it_is_proven() -> None:
    proven = UsedFastener(role=CRITICAL, looks_sound=True, crack_tested=True, stretch=STRAIGHT, neck=EVEN)
    assert outcome(proven) is Outcome.SOUND
    assert any("never judged by looks alone" in caution.text for caution in judge_reuse(proven).cautions)
    untested = UsedFastener(role=CRITICAL, looks_sound=True, stretch=STRAIGHT, neck=EVEN)
    assert outcome(untested) is Outcome.NOT_PROVEN


def test_nothing_known_is_not_proven() -> None:
    verdict = judge_reuse(UsedFastener())
    assert verdict.outcome is Outcome.NOT_PROVEN
    assert verdict.reasons[0].text == "Nobody looked at it and nothing was measured."


def test_a_torque_to_yield_bolt_needs_its_makers_limit() -> None:
    assert outcome(UsedFastener(torque_to_yield=True, looks_sound=True)) is Outcome.NOT_SOUND
    without_page = Stretch(Measured(70.005, 0.01), Measured(70.0, 0.01))
    assert outcome(UsedFastener(torque_to_yield=True, stretch=without_page)) is Outcome.NOT_SOUND
    assert outcome(UsedFastener(torque_to_yield=True, stretch=STRAIGHT)) is Outcome.SOUND
    worn = Stretch(Measured(70.3, 0.01), Measured(70.0, 0.01), most_mm=0.1)
    assert outcome(UsedFastener(torque_to_yield=True, stretch=worn)) is Outcome.NOT_SOUND


@pytest.mark.parametrize("locking", list(Locking))
def test_what_locks_is_used_once(locking: Locking) -> None:
    verdict = judge_reuse(UsedFastener(locking=locking, looks_sound=True))
    assert verdict.outcome is Outcome.NOT_SOUND
    assert "locks once: fit a new one" in verdict.reasons[0].text


@pytest.mark.parametrize(
    ("now", "expected"), [(70.02, Outcome.SOUND), (70.14, Outcome.NOT_PROVEN), (70.2, Outcome.NOT_SOUND)]
)
def test_stretch_is_held_against_a_lasting_0_2_percent(now: float, expected: Outcome) -> None:
    stretch = Stretch(Measured(now, 0.01), Measured(70.0, 0.01))
    assert outcome(UsedFastener(looks_sound=True, stretch=stretch)) is expected


def test_a_critical_bolt_that_surely_stretched_is_not_passed_by_a_limit_of_our_own() -> None:
    # 0.1 mm over 70 mm is within 0.2 % and ten times what the micrometer errs.
    stretched = Stretch(Measured(70.10, 0.01), Measured(70.0, 0.01))
    of_maker = Stretch(Measured(70.10, 0.01), Measured(70.0, 0.01), most_mm=0.15)
    proven = UsedFastener(role=CRITICAL, looks_sound=True, crack_tested=True, stretch=stretched, neck=EVEN)
    assert outcome(UsedFastener(looks_sound=True, stretch=stretched)) is Outcome.SOUND
    assert outcome(proven) is Outcome.NOT_PROVEN
    assert "It stretched for good by 0.100 mm" in judge_reuse(proven).reasons[0].text
    assert outcome(replace(proven, stretch=of_maker)) is Outcome.SOUND
    same = Stretch(Measured(70.005, 0.01), Measured(70.0, 0.01))
    assert outcome(replace(proven, stretch=same)) is Outcome.SOUND
    turns = TenTurns(thread("M8x1.25"), Measured(12.515, 0.002))
    assert outcome(replace(proven, stretch=same, ten_turns=turns)) is Outcome.NOT_PROVEN
    assert outcome(UsedFastener(looks_sound=True, ten_turns=turns)) is Outcome.SOUND


@pytest.mark.parametrize(
    ("thin", "expected"), [(7.998, Outcome.SOUND), (7.99, Outcome.NOT_PROVEN), (7.9, Outcome.NOT_SOUND)]
)
def test_a_neck_is_yield_at_one_place(thin: float, expected: Outcome) -> None:
    neck = Neck(Measured(thin, 0.002), Measured(8.0, 0.002))
    assert outcome(UsedFastener(looks_sound=True, neck=neck)) is expected


@pytest.mark.parametrize(
    ("over_ten", "expected"), [(12.5, Outcome.SOUND), (12.52, Outcome.NOT_PROVEN), (12.7, Outcome.NOT_SOUND)]
)
def test_a_stretched_thread_shows_over_ten_turns(over_ten: float, expected: Outcome) -> None:
    turns = TenTurns(thread("M8x1.25"), Measured(over_ten, 0.01))
    assert outcome(UsedFastener(looks_sound=True, ten_turns=turns)) is expected


@pytest.mark.parametrize(
    ("least", "role", "expected"),
    [
        (7.95, Role.ORDINARY, Outcome.SOUND),
        (7.7, Role.ORDINARY, Outcome.NOT_PROVEN),
        (7.4, Role.ORDINARY, Outcome.NOT_SOUND),
        (7.95, CRITICAL, Outcome.NOT_SOUND),
    ],
)
def test_rust_takes_section(least: float, role: Role, expected: Outcome) -> None:
    rust = Rust(Measured(least, 0.01), Measured(8.0, 0.01))
    assert outcome(UsedFastener(role=role, looks_sound=True, rust=rust)) is expected


def test_what_was_found_speaks_first() -> None:
    assert outcome(UsedFastener(looks_sound=False)) is Outcome.NOT_SOUND
    assert outcome(UsedFastener(looks_sound=True, crack_tested=False)) is Outcome.NOT_SOUND
    worn = Stretch(Measured(70.5, 0.01), Measured(70.0, 0.01))
    verdict = judge_reuse(UsedFastener(role=CRITICAL, stretch=worn, neck=EVEN))
    assert verdict.reasons[0].text.startswith("It is longer than new by 0.500 mm")
    assert any("engine's own manual governs" in caution.text for caution in verdict.cautions)


@given(one=st.floats(70, 71), other=st.floats(70, 71))
def test_more_stretch_is_never_better(one: float, other: float) -> None:
    order = (Outcome.SOUND, Outcome.NOT_PROVEN, Outcome.NOT_SOUND)
    less, more = (
        order.index(outcome(UsedFastener(stretch=Stretch(Measured(now, 0.01), Measured(70.0, 0.01)))))
        for now in sorted((one, other))
    )
    assert less <= more


def test_what_cannot_be_is_refused() -> None:
    turns = TenTurns(thread("M8x1.25"), Measured(13.75, 0.01))
    with pytest.raises(
        InvalidInput, match=r"length of ten pitches needs about 12.50 mm on M8x1.25.*eleventh"
    ):
        judge_reuse(UsedFastener(ten_turns=turns))
    with pytest.raises(InvalidInput, match=r"free length needs more than nothing"):
        judge_reuse(UsedFastener(stretch=Stretch(Measured(-70.0, 0.01), Measured(70.0, 0.01))))
    with pytest.raises(InvalidInput, match=r"uncertainty of new length needs more than nothing"):
        judge_reuse(UsedFastener(stretch=Stretch(Measured(70.0, 0.01), Measured(70.0, 0.0))))
    with pytest.raises(InvalidInput, match=r"the maker's limit needs nothing or more"):
        judge_reuse(UsedFastener(stretch=Stretch(Measured(70.0, 0.01), Measured(70.0, 0.01), -0.1)))
