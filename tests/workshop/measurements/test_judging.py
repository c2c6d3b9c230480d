"""What readings come to: every kind against each state of limits, what cannot be told, what proves it."""

from __future__ import annotations

import datetime as dt
from math import sqrt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.verdicts import Outcome
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.judging import Answer, gauges_good_enough, judged_of_job, judged_set
from runningfit.workshop.measurements.models import Instrument
from runningfit.workshop.records.models import Job
from workshop.measurements.sets_to_judge import SIX, a_set, gauge, limit, only, sizes, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def fine() -> Instrument:
    return gauge("fine", "bore_gauge", "mm", 0.001, 0.001, 0.002)


@pytest.mark.parametrize(
    ("state", "round", "size", "answer"),
    [
        ("wear", 0, 79.40, Answer.SOUND),
        ("wear", 0, 79.70, Answer.NOT_SOUND),
        ("new", 0, 79.40, Answer.SOUND),
        # Beyond the limits for new parts is no wear: JCGM 106 has one answer for each pair of limits.
        ("new", 0, 79.70, Answer.NOT_PROVEN),
        ("new", 1, 79.70, Answer.NOT_SOUND),
        ("new", 1, 79.40, Answer.SOUND),
        # A machined bore must keep the limits for new ones.
        ("wear", 1, 79.40, Answer.NOT_PROVEN),
        ("wear", 1, 79.70, Answer.NOT_SOUND),
    ],
)
def test_a_bore_is_held_to_the_limits_of_its_state(
    job: Job, fine: Instrument, state: str, round: int, size: float, answer: Answer
) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=fine)
    limit(one, state, 79.30, 79.50)
    take(one, sizes(79.40))
    if round:
        take(one, sizes(size), round=round)
    else:
        take(one, sizes(size))
    found = only(one)
    assert found.answer is answer
    held = found.decided_by
    assert held is not None
    assert held.group.state == state
    assert (found.why != "") == (_OF[answer] is not held.verdict.outcome)


_OF = {
    Answer.SOUND: Outcome.SOUND,
    Answer.NOT_SOUND: Outcome.NOT_SOUND,
    Answer.NOT_PROVEN: Outcome.NOT_PROVEN,
}


def test_both_limits_are_shown_and_those_that_count_come_first(job: Job, fine: Instrument) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=fine)
    limit(one, "new", 79.37, 79.39)
    limit(one, "wear", 79.30, 79.50)
    limit(one, "wear", None, 0.08, what="out_of_round")
    limit(one, "wear", None, 0.09, what="taper", basis="practice")
    take(one, sizes(79.44))
    found = only(one)
    assert found.answer is Answer.SOUND
    assert [(held.group.state, held.group.borrowed) for held in found.found.held] == [
        ("wear", False), ("new", False), ("wear", True),
    ]  # fmt: skip
    assert [held.verdict.outcome for held in found.found.held] == [
        Outcome.SOUND, Outcome.NOT_SOUND, Outcome.NOT_PROVEN,
    ]  # fmt: skip


def test_the_form_of_a_bore_and_its_worst_place_are_found(job: Job, fine: Instrument) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=fine)
    take(one, sizes(79.40, worn=0.10))
    found = only(one)
    assert found.answer is Answer.NOTHING_TO_COMPARE
    figures = {figure.name: figure for figure in found.found.figures}
    # By hand: means 79.45, 79.40, 79.40; the middle lies 0.025 below the line between both ends.
    assert figures["out_of_round"].value == pytest.approx(0.10, abs=1e-9)
    assert figures["taper"].value == pytest.approx(0.05, abs=1e-9)
    assert figures["barrel"].value == pytest.approx(-0.025, abs=1e-9)
    # One reading: a scatter of 0.001 that holds the step; the certificate drops out of a difference.
    assert figures["out_of_round"].u == pytest.approx(0.001 * sqrt(2), rel=0.01)
    assert figures["taper"].u == pytest.approx(0.001, rel=0.01)
    assert found.found.worst == ("10@90",)


def test_bores_without_limits_are_shown_against_other_makers_but_never_judged(
    job: Job, fine: Instrument
) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=fine, purpose="bores", features=("1", "2"))
    take(one, sizes(79.40))
    take(one, sizes(79.40, worn=0.5), name="2")
    judged = judged_set(one)
    assert [feature.answer for feature in judged.features] == [Answer.NOT_PROVEN, Answer.NOT_PROVEN]
    good, bad = (feature.decided_by for feature in judged.features)
    assert good is not None
    assert bad is not None
    assert good.within > 0.95
    assert bad.within < 0.05
    assert all("another maker's" in held.verdict.cautions[0].text for held in (good, bad))


@pytest.mark.parametrize(
    ("kind", "purpose", "pattern", "readings", "what"),
    [
        (FeatureKind.GAP, "end_float", Pattern(), {"1": 0.2}, "size"),
        (FeatureKind.FACE, "deck", Pattern((0.0, 80.0), (0.0, 100.0, 200.0)),
         {"A1": 0.0, "A2": 0.01, "A3": 0.0, "B1": 0.0, "B2": 0.0, "B3": 0.0}, "flatness"),
    ],
)  # fmt: skip
def test_what_other_makers_allow_stands_beside_gaps_and_faces(
    job: Job, kind: FeatureKind, purpose: str, pattern: Pattern, readings: dict[str, float], what: str
) -> None:
    one = a_set(job, kind, pattern, purpose=purpose)
    take(one, readings)
    held = only(one).decided_by
    assert held is not None
    assert held.group.borrowed
    assert held.group.allowed[0].what == what
    limit(one, "wear", None, 0.5, what=what)
    found = only(one)
    assert found.answer is Answer.SOUND
    assert [each.group.borrowed for each in found.found.held] == [False]


def test_a_ring_gap_is_held_against_its_bore(job: Job) -> None:
    """A ring maker's sheet: at least 0.004 for each unit of bore, so 0.32 mm for 80 mm."""
    a_set(job, FeatureKind.BORE, SIX, purpose="bores", nominal=80.0)
    one = a_set(job, FeatureKind.GAP, Pattern(), purpose="ring_gaps")
    take(one, {"1": 0.6})
    for judged in (judged_set(one), judged_of_job(job)[1]):
        held = judged.features[0].decided_by
        assert held is not None
        assert held.group.allowed[0].bounds.lower == pytest.approx(0.32)


def test_a_difference_among_them_loses_what_their_gauge_shares(job: Job) -> None:
    """JCGM 100, F.1.2.3: a certificate of 4 g would hide 3 g; of a difference it is no part."""
    by = gauge("balance", "balance", "g", 0.1, 0.1, 8.0)
    one = a_set(job, FeatureKind.WEIGHT, Pattern(), features=("1", "2", "3"), by=by)
    limit(one, "wear", None, 4.0, what="spread")
    take(one, {"1": 380.0})
    take(one, {"1": 383.0}, name="2")
    judged = judged_set(one)
    assert judged.spread == ()
    assert "2 of 3 read" in judged.spread_why
    assert judged.answer is Answer.CANNOT_TELL
    take(one, {"1": 381.0}, name="3")
    judged = judged_set(one)
    assert judged.answer is Answer.SOUND
    assert judged.spread[0].verdict.value == pytest.approx(3.0)
    assert judged.spread[0].verdict.uncertainty == pytest.approx(sqrt(2) * 0.1, rel=0.01)
    take(one, {"1": 385.0}, name="3")
    assert judged_set(one).answer is Answer.NOT_SOUND


def test_what_is_not_read_or_only_in_part_cannot_be_told(job: Job, fine: Instrument) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=fine, features=("1", "2"))
    limit(one, "wear", 79.30, 79.50)
    assert judged_set(one).answer is Answer.NOT_READ
    take(one, {"10@0": 79.40, "10@90": 79.41, "60@0": 79.40})
    judged = judged_set(one)
    assert judged.answer is Answer.CANNOT_TELL
    assert judged.features[0].why == "Cannot tell yet: 3 of 6 points read."
    assert judged.features[1].answer is Answer.NOT_READ
    # One reading alone can show what no other takes back.
    take(one, {"60@90": 79.70})
    judged = judged_set(one)
    assert judged.features[0].answer is Answer.NOT_SOUND
    assert "4 of 6" in judged.features[0].why


def test_readings_that_cannot_be_what_they_are_said_to_be_are_told_and_the_rest_is_judged(job: Job) -> None:
    one = a_set(job, FeatureKind.LOAD, Pattern((38.0, 30.0)), features=("1", "2"))
    limit(one, "wear", 100.0, 300.0)
    take(one, {"38": 200.0, "30": 120.0})
    take(one, {"38": 120.0, "30": 200.0}, name="2")
    first, second = judged_set(one).features
    assert first.answer is Answer.CANNOT_TELL
    assert "swapped columns" in first.why
    assert second.answer is Answer.SOUND


def test_a_whole_job_is_judged_in_its_last_rounds_with_few_questions(job: Job, fine: Instrument) -> None:
    assert judged_of_job(job) == []
    for number in range(6):
        one = a_set(job, FeatureKind.BORE, SIX, by=fine, features=("1", "2", "3"))
        limit(one, "wear", 79.30, 79.50)
        take(one, sizes(79.40))
        if number == 5:
            take(one, sizes(79.45), round=1)
    with CaptureQueriesContext(connection) as asked:
        judged = judged_of_job(job)
    assert len(asked) <= 10
    assert [each.state.round for each in judged] == [0, 0, 0, 0, 0, 1]
    assert {each.answer for each in judged} == {Answer.CANNOT_TELL, Answer.NOT_PROVEN}
    assert [len(features) for features in judged[0].counted().values()] == [1, 2]
    assert {each.state.round for each in judged_of_job(job, round=0)} == {0}
    assert judged[5].needs_a_person


def test_the_day_of_a_gauge_counts(job: Job) -> None:
    by = gauge("micrometer", "micrometer", "mm", 0.001, 0.001, 0.002)
    cupboard = Cupboard.of_the_shop()
    before = timezone.localdate() - dt.timedelta(days=400)
    assert gauges_good_enough(FeatureKind.SHAFT, 0.01, cupboard, before, besides=None) == [by.name]
    assert gauges_good_enough(FeatureKind.SHAFT, 0.0005, cupboard, before, besides=None) == []
