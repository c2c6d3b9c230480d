"""Features of every kind, judged: each by what a textbook, a distribution or a hand reckons of it."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sqrt
from statistics import NormalDist

import pytest
from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.verdicts import Outcome
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.judging import Answer, gauges_good_enough, judged_set
from runningfit.workshop.records.models import Job
from workshop.measurements.sets_to_judge import a_set, gauge, limit, only, take

pytestmark = pytest.mark.django_db


def test_a_length_is_held_with_the_probability_of_the_normal_distribution(job: Job) -> None:
    """JCGM 106, 7.2: here by the distribution itself, own and shared doubts as the square root of squares."""
    by = gauge("micrometer", "micrometer", "mm", 0.001, 0.004, 0.009)
    one = a_set(job, FeatureKind.LENGTH, Pattern(), by=by)
    limit(one, "wear", 2.30, 2.40)
    take(one, {"1": 2.392})
    held = only(one).decided_by
    assert held is not None
    u = sqrt(0.004**2 + 0.001**2 / 12 + 0.0045**2)
    assert held.within == pytest.approx(NormalDist(2.392, u).cdf(2.40), abs=2e-3)
    assert held.verdict.outcome is Outcome.NOT_PROVEN
    assert held.proof is not None
    # u(n)² = 0.0040² / n + 0.0045²: 1.645 u must be at most 0.008, which n = 4.7 gives.
    assert held.proof.readings == 5


def test_a_value_that_averaging_cannot_prove_names_the_gauge_that_could(job: Job) -> None:
    coarse = gauge("caliper", "caliper", "mm", 0.02, 0.01, 0.04)
    micrometer = gauge("micrometer 50 to 75", "micrometer", "mm", 0.001, 0.001, 0.002)
    gauge("balance", "balance", "g", 0.1, 0.1, 0.1)
    one = a_set(job, FeatureKind.SHAFT, Pattern((40.0,), (90.0,)), by=coarse)
    limit(one, "wear", 60.00, 60.10)
    take(one, {"40@90": 60.012})
    found = only(one)
    assert found.answer is Answer.NOT_PROVEN
    assert found.decided_by is not None
    proof = found.decided_by.proof
    assert proof is not None
    assert proof.readings is None
    # The one-sided 95 % point of the normal distribution, 1.645: 0.012 away from the limit.
    assert proof.gauge_u == pytest.approx(0.012 / 1.645, rel=0.02)
    named = gauges_good_enough(
        FeatureKind.SHAFT,
        proof.gauge_u or 0.0,
        Cupboard.of_the_shop(),
        timezone.localdate(),
        besides=coarse.pk,
    )
    assert named == [micrometer.name]


def test_several_places_must_all_keep_their_limits(job: Job) -> None:
    by = gauge("micrometer", "micrometer", "mm", 0.001, 0.001, 0.0002)
    one = a_set(job, FeatureKind.LENGTH, Pattern(places=3), by=by)
    limit(one, "wear", 2.30, 2.40)
    take(one, {"1": 2.35, "2": 2.36, "3": 2.41})
    found = only(one)
    assert found.answer is Answer.NOT_SOUND
    assert found.found.worst == ("3",)


def test_a_run_out_is_the_range_and_its_bend_the_first_harmonic(job: Job) -> None:
    """A bow of 0.02 towards 60° gives 0.02 cos(θ - 60°): its first harmonic by hand."""
    by = gauge("indicator", "indicator", "mm", 0.001, 0.001, 0.002)
    turned = [0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0]
    one = a_set(job, FeatureKind.RUNOUT, Pattern((), tuple(turned)), by=by)
    limit(one, "wear", None, 0.03)
    shown = {f"@{angle:g}": 0.1 + 0.02 * cos(radians(angle - 60)) for angle in turned}
    take(one, shown)
    found = only(one)
    figures = {figure.name: figure.value for figure in found.found.figures}
    a = sum(value * cos(radians(angle)) for angle, value in zip(turned, shown.values(), strict=True)) / 4
    b = sum(value * cos(radians(angle - 90)) for angle, value in zip(turned, shown.values(), strict=True)) / 4
    assert figures["bend"] == pytest.approx(hypot(a, b), abs=1e-4)
    assert figures["bend_towards"] == pytest.approx(degrees(atan2(b, a)), abs=0.5)
    assert figures["run_out"] == pytest.approx(max(shown.values()) - min(shown.values()), abs=1e-4)
    assert found.answer is Answer.NOT_SOUND


def test_a_face_lies_between_the_planes_that_it_was_made_of(job: Job) -> None:
    """Heights on a tilted plane with 0.06 up and down at opposite corners lie in a zone made by hand."""
    by = gauge("indicator", "indicator", "mm", 0.001, 0.001, 0.002)
    one = a_set(job, FeatureKind.FACE, Pattern((0.0, 100.0, 200.0), (0.0, 100.0, 200.0)), by=by)
    limit(one, "wear", None, 0.05, what="flatness")
    plane = {
        f"{'ABC'[row]}{column + 1}": 0.02 * row + 0.01 * column for row in range(3) for column in range(3)
    }
    take(one, plane)
    assert only(one).answer is Answer.SOUND
    assert only(one).found.figures[0].value == pytest.approx(0.0, abs=1e-9)
    # The middle raised by 0.1: a plane through the eight others leaves all of it, half a turn none.
    take(one, {"B2": plane["B2"] + 0.1})
    found = only(one)
    assert found.found.figures[0].value == pytest.approx(0.1, abs=1e-6)
    assert found.found.figures[0].u == pytest.approx(sqrt(2) * 0.001, rel=0.01)
    assert found.answer is Answer.NOT_SOUND
    assert "B2" in found.found.worst


def test_a_spring_is_held_at_heights_read_and_between_them(job: Job) -> None:
    """Hooke: 10 N/mm from a free length of 50 mm gives 120, 160 and 200 N at 38, 34 and 30 mm."""
    by = gauge("tester", "spring_tester", "N", 0.1, 0.2, 0.4)
    one = a_set(job, FeatureKind.LOAD, Pattern((38.0, 30.0)), by=by)
    take(one, {"38": 120.0, "30": 200.0})
    figures = {figure.name: figure for figure in only(one).found.figures}
    assert figures["rate"].value == pytest.approx(10.0, abs=1e-3)
    # Two loads, own u of 0.2 and the step, 4 mm to each side of their middle; shared 0.2 N of 120 N.
    own = hypot(0.2, 0.1 / sqrt(12)) / sqrt(32)
    assert figures["rate"].u == pytest.approx(hypot(own, 10 * 0.2 / 120), rel=0.01)
    assert figures["free_length"].value == pytest.approx(50.0, abs=1e-3)
    limit(one, "wear", 115.0, 125.0, at=38.0)
    assert only(one).answer is Answer.SOUND
    limit(one, "wear", 150.0, 170.0, at=34.0)
    found = only(one)
    assert found.answer is Answer.SOUND
    assert found.decided_by is not None
    assert "on the line: 160" in found.decided_by.verdict.reasons[1].text
    limit(one, "wear", 210.0, 230.0, at=30.0)
    assert only(one).answer is Answer.NOT_SOUND


@pytest.mark.parametrize(
    ("kind", "value", "unit"), [(FeatureKind.VOLUME, 41.2, "ml"), (FeatureKind.WEIGHT, 612.0, "g")]
)
def test_volumes_and_weights_are_held_and_an_unnamed_gauge_is_sure_to_a_share(
    job: Job, kind: FeatureKind, value: float, unit: str
) -> None:
    one = a_set(job, kind, Pattern())
    limit(one, "wear", value * 0.95, value * 1.05)
    take(one, {"1": value})
    judged = judged_set(one)
    assert judged.answer is Answer.SOUND
    figure = judged.features[0].found.figures[0]
    assert figure.unit == unit
    assert figure.u == pytest.approx(0.01 * value, rel=0.01)
    assert any("1%" in caution.text for caution in judged.cautions)
