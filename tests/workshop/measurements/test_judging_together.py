"""All of a set at once: what their gauge errs by is one error, and not one for each."""

from __future__ import annotations

from statistics import NormalDist

import pytest

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.judging import judged_set
from runningfit.workshop.records.models import Job
from workshop.measurements.sets_to_judge import SIX, a_set, gauge, limit, sizes, take

pytestmark = pytest.mark.django_db
FOUR = ("1", "2", "3", "4")


def test_all_of_a_set_are_as_sure_as_one_where_the_gauge_is_all_that_is_unsure(job: Job) -> None:
    """JCGM 100, F.1.2.3: a certificate of U 0.02 with k 2 moves all four at once by one error of u 0.01."""
    by = gauge("micrometer", "micrometer", "mm", 0.0001, 0.0001, 0.02)
    one = a_set(job, FeatureKind.LENGTH, Pattern(), features=FOUR, by=by)
    limit(one, "wear", 30.0, None)
    for name in FOUR:
        take(one, {"1": 30.01}, name=name)
    judged = judged_set(one)
    each = NormalDist().cdf(1.0)
    assert judged.features[0].decided_by is not None
    assert judged.features[0].decided_by.within == pytest.approx(each, abs=0.01)
    assert judged.together is not None
    assert judged.together.count == 4
    assert judged.together.within == pytest.approx(each, abs=0.02)


def test_what_each_errs_by_alone_multiplies(job: Job) -> None:
    by = gauge("micrometer", "micrometer", "mm", 0.0001, 0.01, 0.0001)
    one = a_set(job, FeatureKind.LENGTH, Pattern(), features=FOUR, by=by)
    limit(one, "wear", 30.0, None)
    for name in FOUR:
        take(one, {"1": 30.01}, name=name)
    judged = judged_set(one)
    assert judged.together is not None
    assert judged.together.within == pytest.approx(NormalDist().cdf(1.0) ** 4, abs=0.02)


def test_all_bores_together_are_less_sure_than_each(job: Job) -> None:
    by = gauge("fine", "bore_gauge", "mm", 0.001, 0.001, 0.004)
    one = a_set(job, FeatureKind.BORE, SIX, by=by, features=FOUR)
    limit(one, "wear", 79.38, 79.412)
    for name in FOUR:
        take(one, sizes(79.40), name=name)
    judged = judged_set(one)
    within = [each.decided_by.within for each in judged.features if each.decided_by]
    assert len(within) == 4
    assert judged.together is not None
    assert max(0.0, sum(within) - 3) - 0.02 <= judged.together.within <= min(within) + 0.02
    # The certificate is in all four, so they are surer together than four that have nothing to do with it.
    assert judged.together.within > within[0] * within[1] * within[2] * within[3] - 0.01


def test_nothing_is_said_of_all_where_one_is_missing_alone_or_held_to_borrowed_limits(job: Job) -> None:
    by = gauge("micrometer", "micrometer", "mm", 0.001, 0.001, 0.002)
    some = a_set(job, FeatureKind.LENGTH, Pattern(), features=("1", "2"), by=by)
    limit(some, "wear", 30.0, None)
    take(some, {"1": 30.01})
    assert judged_set(some).together is None
    alone = a_set(job, FeatureKind.LENGTH, Pattern(), by=by)
    limit(alone, "wear", 30.0, None)
    take(alone, {"1": 30.01})
    assert judged_set(alone).together is None
    borrowed = a_set(job, FeatureKind.LENGTH, Pattern(), features=("1", "2"), by=by)
    limit(borrowed, "wear", 30.0, None, basis="practice")
    take(borrowed, {"1": 30.01})
    take(borrowed, {"1": 30.01}, name="2")
    assert judged_set(borrowed).together is None
