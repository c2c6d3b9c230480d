"""The rate of a spring against its maker's figure, and where such a figure is refused."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.judging import Answer
from runningfit.workshop.measurements.sets import SaidLimit, add_limit
from runningfit.workshop.measurements.typed import TypedNumber, typed_rate
from runningfit.workshop.records.models import Job
from workshop.measurements.sets_to_judge import ANN, a_set, gauge, only, take

pytestmark = pytest.mark.django_db


def rate_limit(lower: str, upper: str, state: str = "wear") -> SaidLimit:
    return SaidLimit(
        "rate", state, typed_rate("lower", lower), typed_rate("upper", upper), "manual", "page 31"
    )


@pytest.mark.parametrize(
    ("lower", "upper", "answer"),
    [
        ("9.5 N/mm", "10.5 N/mm", Answer.SOUND),
        ("54 lb/in", "60 lb/in", Answer.SOUND),
        ("10.5 N/mm", "11 N/mm", Answer.NOT_SOUND),
        ("9.99 N/mm", "11 N/mm", Answer.NOT_PROVEN),
        ("", "10.5 N/mm", Answer.SOUND),
    ],
)
def test_a_rate_is_held_to_its_makers_figure(job: Job, lower: str, upper: str, answer: Answer) -> None:
    """Hooke: 120 N at 38 mm and 200 N at 30 mm are 10 N/mm, which is 57.1 lbf/in."""
    by = gauge("tester", "spring_tester", "N", 0.1, 0.2, 0.4)
    one = a_set(job, FeatureKind.LOAD, Pattern((38.0, 30.0)), by=by)
    take(one, {"38": 120.0, "30": 200.0})
    add_limit(feature_set=one, said=rate_limit(lower, upper), hand=ANN)
    found = only(one)
    assert found.answer is answer
    assert found.decided_by is not None
    verdict = found.decided_by.verdict
    assert verdict.unit == "N/mm"
    assert verdict.value == pytest.approx(10.0, abs=1e-3)
    # Two loads 4 mm to each side of their middle, and what the tester errs by in both, 0.2 N of 120 N.
    assert verdict.uncertainty == pytest.approx(hypot(0.2 / sqrt(32), 10 * 0.2 / 120), rel=0.02)
    assert "rate: 10" in verdict.reasons[0].text
    assert "page 31" in verdict.reasons[0].source
    if answer is Answer.NOT_PROVEN:
        assert found.decided_by.proof is not None
        assert found.decided_by.proof.advice == "Read the loads again, and at heights farther apart."


def test_one_load_shows_no_rate(job: Job) -> None:
    by = gauge("tester", "spring_tester", "N", 0.1, 0.2, 0.4)
    one = a_set(job, FeatureKind.LOAD, Pattern((38.0,)), by=by)
    take(one, {"38": 120.0})
    add_limit(feature_set=one, said=rate_limit("9 N/mm", "11 N/mm"), hand=ANN)
    assert only(one).answer is Answer.NOTHING_TO_COMPARE


def test_only_the_loads_of_a_spring_have_a_rate_and_at_no_height(job: Job) -> None:
    bores = a_set(job, FeatureKind.LENGTH, Pattern())
    with pytest.raises(InvalidInput, match="what needs the loads of a spring to have a rate"):
        add_limit(feature_set=bores, said=rate_limit("9 N/mm", "11 N/mm"), hand=ANN)
    springs = a_set(job, FeatureKind.LOAD, Pattern((38.0, 30.0)))
    at_height = SaidLimit(
        "rate", "wear", TypedNumber(9.0, "9 N/mm"), None, "manual", "page 31", TypedNumber(38.0, "38 mm")
    )
    with pytest.raises(InvalidInput, match="at needs no height"):
        add_limit(feature_set=springs, said=at_height, hand=ANN)
    with pytest.raises(InvalidInput, match="lower needs a number with its unit"):
        typed_rate("lower", "9.5")
