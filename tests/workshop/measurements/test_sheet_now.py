"""A sheet is read once for each state of the database, and never shown as it was before a change."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.measurements.judging import Answer, judged_of_job
from runningfit.workshop.measurements.models import Feature, FeatureLimit
from runningfit.workshop.measurements.sheet_now import sheet_of
from runningfit.workshop.records.models import Job
from workshop.measurements.sets_to_judge import SIX, a_set, gauge, limit, sizes, take

pytestmark = pytest.mark.django_db(transaction=True)


def test_it_is_kept_until_something_is_written_here_or_by_others(job: Job) -> None:
    one = a_set(job, FeatureKind.BORE, SIX, by=gauge("fine", "bore_gauge", "mm", 0.001, 0.001, 0.002))
    limit(one, "wear", 79.30, 79.50)
    take(one, sizes(79.40))
    first = sheet_of(job)
    assert [each.answer for each in judged_of_job(job)] == [Answer.SOUND]
    assert sheet_of(job) is first
    take(one, sizes(79.70))
    assert sheet_of(job) is not first
    assert [each.answer for each in judged_of_job(job)] == [Answer.NOT_SOUND]

    def elsewhere() -> None:
        FeatureLimit.objects.update(upper=79.90)
        connection.close()

    other = threading.Thread(target=elsewhere)
    other.start()
    other.join()
    assert [each.answer for each in judged_of_job(job)] == [Answer.SOUND]


def test_each_round_is_read_once_and_only_of_the_sets_that_have_it(job: Job) -> None:
    fine = gauge("fine", "bore_gauge", "mm", 0.001, 0.001, 0.002)
    bores, other = (a_set(job, FeatureKind.BORE, SIX, by=fine) for _ in range(2))
    for one in (bores, other):
        take(one, sizes(79.40))
    take(bores, sizes(79.90), round=1)
    sheet = sheet_of(job)
    assert sheet.rounds == {bores.pk: [0, 1], other.pk: [0]}
    assert sheet.states(1).keys() == sheet.corrected(1).keys() == {bores.pk}
    assert sheet.states() is sheet.states(0)
    assert sheet.states().keys() == {bores.pk, other.pk}
    assert sheet.once(lambda of: Feature.objects.filter(feature_set__in=of.sets).count()) == 2
