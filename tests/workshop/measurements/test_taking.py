"""Readings being taken: each once, asked about where odd, superseded, averaged or struck, never lost."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.doubtful import doubtful_of
from runningfit.workshop.measurements.queries import Standing, last_round, set_state
from runningfit.workshop.measurements.taking import MOST_READINGS_AT_ONCE, Answered, Taken, take_readings
from runningfit.workshop.models import Feature, FeatureSet, Job, Reading
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN, BEN = Hand(who="Ann"), Hand(who="Ben")


def first(bores: FeatureSet) -> Feature:
    return bores.features.order_by("position")[0]


def take(
    bores: FeatureSet, *typed: str, point: str = "10@0", token: str = "t", **more: object
) -> list[Answered]:
    readings = [
        Taken(f"{token}{number}", first(bores).pk, point, text, **more)  # type: ignore[arg-type]
        for number, text in enumerate(typed)
    ]
    return take_readings(feature_set=bores, readings=readings, hand=ANN, unit="mm")


def at(bores: FeatureSet, point: str = "10@0", round: int = 0) -> Standing:
    return set_state(bores, round).features[0].points[point]


def test_a_reading_sent_twice_is_taken_once(bores: FeatureSet) -> None:
    for _sending in range(2):
        assert [(one.kept, one.value) for one in take(bores, "79.41")] == [(True, 79.41)]
    row = Reading.objects.get()
    assert (row.typed, row.unit, row.step, row.who, row.round) == ("79.41", "mm", 0.01, "Ann", 0)


def test_a_later_reading_takes_the_place_a_repeat_joins_and_a_strike_leaves_nothing(
    bores: FeatureSet,
) -> None:
    take(bores, "79.41", "79.43")
    assert (at(bores).values, at(bores).superseded) == ([79.43], 1)
    take(bores, "79.45", token="r", kind="repeat")
    assert at(bores).mean == pytest.approx(79.44)
    take(bores, "", token="s", kind="struck")
    assert (at(bores).mean, at(bores).superseded) == (None, 3)
    take(bores, "79.42", token="n")
    assert at(bores).values == [79.42]
    assert Reading.objects.count() == 5


@pytest.mark.parametrize(
    ("typed", "asks", "instead"),
    [("3.1265", "inches", 79.4131), ("7.94", "slipped", 79.4), ("794", "slipped", 79.4), ("90", "far", None)],
)
def test_a_doubtful_reading_is_asked_about_and_kept_with_a_reason(
    bores: FeatureSet, typed: str, asks: str, instead: float | None
) -> None:
    for point in ("10@0", "10@90", "60@90"):
        take(bores, "79.41", point=point, token=point)
    answer = take(bores, typed, point="60@0")[0]
    assert (answer.kept, asks in answer.why) == (False, True)
    assert answer.instead == (pytest.approx(instead, abs=1e-3) if instead else None)
    assert at(bores, "60@0").mean is None
    assert take(bores, typed, point="60@0", surely="read twice")[0].kept
    assert at(bores, "60@0").rows[0].why == "read twice"
    doubts = [one.why for one in doubtful_of(set_state(bores), unit="mm") if one.point == "60@0"]
    assert len(doubts) == 1
    assert doubts[0].endswith("Kept: read twice.")


def test_the_very_first_reading_in_the_wrong_unit_is_asked_about(bores: FeatureSet) -> None:
    answer = take(bores, "3.126")[0]
    assert not answer.kept
    assert answer.instead == pytest.approx(79.4004)


@pytest.mark.parametrize(
    ("reading", "match"),
    [
        (Taken("t", 0, "10@0", "79.4"), "one of this sheet"),
        (Taken("t", -1, "11@0", "79.4"), "one of this sheet"),
        (Taken("", -1, "10@0", "79.4"), "token needs"),
        (Taken("t" * 65, -1, "10@0", "79.4"), "token needs"),
        (Taken("t", -1, "10@0", "79.4", kind="guess"), "kind needs"),
        (Taken("t", -1, "10@0", "about so"), "came"),
        (Taken("t", -1, "10@0", "7" * 41), "at most 40 letters"),
        (Taken("t", -1, "10@0", ""), "needs a number"),
    ],
)
def test_a_reading_that_cannot_be_taken_says_why_and_the_next_is_taken(
    bores: FeatureSet, reading: Taken, match: str
) -> None:
    one = first(bores).pk
    bad = Taken(reading.token, one if reading.feature < 0 else 0, reading.point, reading.typed, reading.kind)
    answers = take_readings(
        feature_set=bores, readings=[bad, Taken("good", one, "60@0", "79.4")], hand=ANN, unit="mm"
    )
    assert match in answers[0].why
    assert [one.kept for one in answers] == [False, True]


def test_a_comparing_gauge_is_read_with_the_setting_it_had(bores: FeatureSet) -> None:
    FeatureSet.objects.filter(pk=bores.pk).update(set_at_mm=79.4)
    take(bores, "+0.013")
    assert at(bores).values == [pytest.approx(79.413)]
    readings = [Taken("late", first(bores).pk, "10@0", "0.02")]
    take_readings(feature_set=bores, readings=readings, hand=ANN, unit="mm", set_at_mm=79.5)
    assert at(bores).values == [pytest.approx(79.52)]
    assert Reading.objects.get(token="late").set_at_mm == 79.5


def test_readings_after_machining_are_another_round(bores: FeatureSet) -> None:
    take(bores, "79.41")
    after = [Taken("after", first(bores).pk, "10@0", "79.885")]
    take_readings(feature_set=bores, readings=after, hand=ANN, unit="mm", round=1)
    assert (at(bores).values, at(bores, round=1).values, last_round(bores)) == ([79.41], [79.885], 1)
    with pytest.raises(InvalidInput, match="round needs 0 to 2"):
        take_readings(feature_set=bores, readings=after, hand=ANN, unit="mm", round=3)


def test_more_than_a_sheet_sends_or_a_strange_warmth_is_refused_whole(bores: FeatureSet) -> None:
    many = [Taken(f"{n}", first(bores).pk, "10@0", "79.4") for n in range(MOST_READINGS_AT_ONCE + 1)]
    with pytest.raises(InvalidInput, match="at most 300 at once"):
        take_readings(feature_set=bores, readings=many, hand=ANN)
    with pytest.raises(InvalidInput, match="temperature needs"):
        take_readings(feature_set=bores, readings=many[:1], hand=ANN, temperature_c=200.0)
    assert not Reading.objects.exists()


def test_nothing_is_taken_for_a_closed_job_or_a_set_that_is_off_the_sheet(bores: FeatureSet) -> None:
    sets.withdraw_set(feature_set=bores, hand=ANN)
    with pytest.raises(Conflict, match="taken off the sheet meanwhile"):
        take(bores, "79.41")
    FeatureSet.objects.update(withdrawn=False)
    close_job(job=bores.job, hand=ANN)
    with pytest.raises(Conflict, match="was closed on"):
        take(bores, "79.41")
    assert not Reading.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_people_at_one_sheet_lose_nothing_and_double_nothing(bores: FeatureSet) -> None:
    one = first(bores).pk

    def read(hand: Hand) -> list[bool]:
        try:
            mine = [Taken(f"{hand.who}{n}", one, "10@0", f"79.4{n}") for n in range(5)]
            shared = [Taken("shared", one, "60@0", "79.40")]
            return [
                answer.kept
                for answer in take_readings(feature_set=bores, readings=mine + shared, hand=hand, unit="mm")
            ]
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        went = list(pool.map(read, (ANN, BEN)))
    assert went == [[True] * 6, [True] * 6]
    assert Reading.objects.count() == 11
    assert (len(at(bores).rows), at(bores).superseded) == (1, 9)


def test_the_load_of_a_spring_is_compared_at_its_own_height_alone(job: Job) -> None:
    springs = sets.add_set(
        job=job,
        engine=None,
        said=sets.SaidOfSet(
            "valve springs", FeatureKind.LOAD, ("1", "2", "3", "4"), Pattern(depths_mm=(38.0, 30.0))
        ),
        hand=ANN,
    )

    def press(height: str, spring: Feature, typed: str) -> Answered:
        reading = Taken(f"{spring.pk}-{height}-{typed}", spring.pk, height, typed)
        return take_readings(feature_set=springs, readings=[reading], hand=ANN, unit="N")[0]

    for spring in springs.features.order_by("position"):
        assert press("38", spring, "200").kept
        assert press("30", spring, "420").kept
    assert not doubtful_of(set_state(springs), unit="mm")
    asked = press("30", spring, "42")
    assert not asked.kept
    assert asked.instead == pytest.approx(420)
