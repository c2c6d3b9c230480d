"""Readings made ready for judging: the gauge's error off, at 20 °C, own and shared doubts apart."""

from __future__ import annotations

import datetime as dt
from math import hypot, sqrt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.measurements.uncertainty.shared import u_of_sum
from runningfit.workshop.measurements.corrected import CorrectedPoint, cautions_of, corrected_of_job
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    add_instrument,
    calibrate,
)
from runningfit.workshop.measurements.models import Calibration, Instrument, Reading
from runningfit.workshop.measurements.sets import SaidOfSet, add_set
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def number(value: float) -> TypedNumber:
    return TypedNumber(value, f"{value:g} mm")


@pytest.fixture
def outside() -> Instrument:
    """A micrometer that reads 0.003 mm too much."""
    said = SaidOfGauge(
        "micrometer", "micrometer", "mm", number(0.001),
        repeat_u=number(0.0015), repeat_dof=9.0, ring_u=number(0.0008),
    )  # fmt: skip
    made = add_instrument(said=said, hand=ANN)
    checked = SaidOfCalibration(timezone.localdate(), "certificate", number(0.003), number(0.002))
    calibrate(instrument=made, said=checked, hand=ANN)
    return made


@pytest.fixture
def inside(outside: Instrument) -> Instrument:
    """A bore gauge that is set in the micrometer."""
    said = SaidOfGauge("bore gauge", "bore_gauge", "mm", number(0.001), repeat_u=number(0.002),
                       repeat_dof=9.0, set_with=outside)  # fmt: skip
    return add_instrument(said=said, hand=ANN)


def read(
    job: Job,
    kind: FeatureKind,
    gauge: Instrument | None,
    *values: float,
    material: str = "steel",
    at_c: float | None = 20.0,
    set_at: float | None = None,
    repeats: bool = False,
) -> None:
    name = f"{kind.value} of {material or 'what nobody said'}"
    pattern = Pattern((10.0,), (0.0,)) if kind.is_round else Pattern()
    names = ("1",) if repeats else tuple(f"{place}" for place in range(1, len(values) + 1))
    made = add_set(
        job=job, engine=None, said=SaidOfSet(name, kind, names, pattern, material=material), hand=ANN
    )
    features = list(made.features.order_by("position"))
    for place, value in enumerate(values):
        Reading.objects.create(
            feature=features[0 if repeats else place],
            point="10@0" if kind.is_round else "1",
            kind="repeat" if repeats and place else "reading",
            value=value,
            step=0.01,
            instrument=gauge,
            temperature_c=at_c,
            set_at_mm=set_at,
            token=f"{made.pk}-{place}",
            at=timezone.now(),
            who="Ann",
        )


def points(job: Job) -> list[list[CorrectedPoint]]:
    return [
        [point for feature in one.features for point in feature.points.values()]
        for one in corrected_of_job(job)
    ]


def test_what_the_gauge_reads_too_much_is_taken_off(job: Job, outside: Instrument) -> None:
    read(job, FeatureKind.SHAFT, outside, 79.303)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300)
    # The scatter is that of readings, so the step of the gauge is in it.
    assert point.own_u == pytest.approx(0.0015)
    assert point.even == pytest.approx(0.0005)
    # At 20 °C the thermometer and the metals add next to nothing: steel read with steel.
    assert point.shared_u == pytest.approx(hypot(0.001, 0.0008), rel=0.01)
    assert point.whole.u == pytest.approx(hypot(point.own_u, point.shared_u))


def test_a_clearance_is_surer_than_its_bore_and_its_piston(
    job: Job, outside: Instrument, inside: Instrument
) -> None:
    read(job, FeatureKind.BORE, inside, 79.403, material="cast iron", set_at=79.375)
    read(job, FeatureKind.SHAFT, outside, 79.303, material="cast iron")
    (bore,), (piston,) = points(job)
    assert bore.value - piston.value == pytest.approx(0.1)
    apart = hypot(bore.shared_u, piston.shared_u)
    together = u_of_sum([(1, bore.shared), (-1, piston.shared)])
    # What is left is one setting of the bore gauge, and what two castings may differ in.
    assert together == pytest.approx(hypot(0.0015, 0.0005 / sqrt(3)), rel=0.05)
    assert together < apart


def test_a_warm_piston_is_brought_to_20_degrees(job: Job, outside: Instrument) -> None:
    """Aluminium of 21 to 23.6e-6, a gauge of 11.5e-6: some 79.3 · 10e-6 · 10 K = 0.008 mm less."""
    read(job, FeatureKind.SHAFT, outside, 79.303, material="aluminium", at_c=30.0)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300 - 0.0085, abs=0.0015)
    ends = {part.key: abs(part.u) for part in point.shared}
    assert ends["thermometer"] == pytest.approx(79.3 * 10.7e-6 / sqrt(3), rel=0.15)


def test_an_alike_metal_as_warm_as_its_gauge_needs_no_correction(job: Job, outside: Instrument) -> None:
    read(job, FeatureKind.SHAFT, outside, 79.303, material="alpha=11.5e-6", at_c=35.0)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300, abs=1e-9)


def test_without_a_temperature_nothing_is_moved_and_the_doubt_is_counted(
    job: Job, outside: Instrument
) -> None:
    read(job, FeatureKind.SHAFT, outside, 79.303, material="aluminium", at_c=None)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300)
    assert point.shared_u > 0.002
    (one,) = corrected_of_job(job)
    assert [caution.text for caution in one.cautions] == [
        "shaft of aluminium: no temperature was taken at some readings. They stand as read, and the bench is "
        "taken to have been within 5 K of 20 °C (common practice, no source)."
    ]


@pytest.mark.parametrize(
    ("material", "said"),
    [("", "nobody said of what metal"), ("pot metal", "no table has the expansion of 'pot metal'")],
)
def test_a_metal_nobody_knows_moves_nothing_and_says_so(
    job: Job, outside: Instrument, material: str, said: str
) -> None:
    read(job, FeatureKind.SHAFT, outside, 79.303, material=material, at_c=30.0)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300)
    assert any(said in caution.text for caution in corrected_of_job(job)[0].cautions)
    assert point.shared_u > hypot(0.001, 0.0008)


def test_repeats_are_averaged_and_scatter_less(job: Job, outside: Instrument) -> None:
    read(job, FeatureKind.SHAFT, outside, 79.302, 79.304, 79.303, 79.303, repeats=True)
    ((point,),) = points(job)
    assert point.value == pytest.approx(79.300)
    assert point.count == 4
    step = 0.0005 / sqrt(3)
    assert point.own_u == pytest.approx(hypot(sqrt(0.0015**2 - step**2) / 2, step))


def test_a_gauge_nobody_tried_scatters_as_its_repeats_show(job: Job) -> None:
    """JCGM 100:2008, 4.2.3: s / √n of the readings themselves, with the step of 0.001 counted once."""
    gauge = add_instrument(said=SaidOfGauge("old one", "micrometer", "mm", number(0.001)), hand=ANN)
    read(job, FeatureKind.SHAFT, gauge, 79.300, 79.304, 79.302, repeats=True)
    ((point,),) = points(job)
    step = 0.0005 / sqrt(3)
    assert point.own_u == pytest.approx(hypot(sqrt((0.002**2 - step**2) / 3), step))
    assert 2 <= point.own_dof < 3


def test_repeats_at_all_points_show_together_how_a_gauge_scatters(job: Job) -> None:
    """Squares of 8, 2 and 2 µm² on 2, 1 and 1 degrees of freedom come to 12 µm² / 4."""
    gauge = add_instrument(said=SaidOfGauge("old one", "micrometer", "mm", number(0.001)), hand=ANN)
    read(job, FeatureKind.SHAFT, gauge, 79.300, 79.310, 79.290, 79.280)
    for first, more in (("1", (79.304, 79.302)), ("2", (79.312,)), ("3", (79.292,))):
        row = Reading.objects.get(feature__name=first, kind="reading")
        for place, value in enumerate(more):
            row.pk, row.kind, row.value, row.token = None, "repeat", value, f"again {first} {place}"
            row.save(force_insert=True)
    step = 0.0005 / sqrt(3)
    scatter = sqrt(0.003**2 / 3 - step**2)
    ((thrice, twice, _, once),) = points(job)
    assert thrice.own_u == pytest.approx(hypot(scatter / sqrt(3), step))
    assert twice.own_u == pytest.approx(hypot(scatter / sqrt(2), step))
    assert once.own_u == pytest.approx(hypot(scatter, step))
    assert once.own_dof == pytest.approx(4 * (once.own_u / scatter) ** 4)


def test_sets_read_with_gauges_that_nobody_named_share_nothing(job: Job) -> None:
    read(job, FeatureKind.BORE, None, 79.40)
    read(job, FeatureKind.SHAFT, None, 79.30)
    (bore,), (piston,) = points(job)
    assert u_of_sum([(1, bore.shared), (-1, piston.shared)]) == pytest.approx(
        hypot(bore.shared_u, piston.shared_u)
    )
    said = [caution.text for caution in cautions_of(corrected_of_job(job))]
    assert len([one for one in said if "Nobody said with which gauge" in one]) == 1


def test_what_hangs_on_the_gauge_is_said_once(job: Job, outside: Instrument) -> None:
    Calibration.objects.update(on=timezone.localdate() - dt.timedelta(days=800))
    read(job, FeatureKind.SHAFT, outside, 79.30, 79.31, 79.32)
    read(job, FeatureKind.BORE, outside, 79.40)
    (said,) = cautions_of(corrected_of_job(job))
    assert said.text.startswith("micrometer: the gauge was calibrated 26.3 months ago")


def test_a_weight_and_a_gap_know_no_warmth(job: Job) -> None:
    read(job, FeatureKind.WEIGHT, None, 412.0, at_c=30.0)
    read(job, FeatureKind.GAP, None, 0.3, at_c=30.0)
    (weight,), (gap,) = points(job)
    assert (weight.value, gap.value) == (412.0, 0.3)
    assert {part.key.partition(" of")[0] for part in (*weight.shared, *gap.shared)} == {"unknown gauge"}


def test_a_whole_job_is_six_questions(job: Job, outside: Instrument, inside: Instrument) -> None:
    for count in (3, 12):
        read(job, FeatureKind.SHAFT, outside, *[79.3] * count, material=f"alpha={count}e-6")
    with CaptureQueriesContext(connection) as asked:
        found = corrected_of_job(job)
    assert sum(len(one.features) for one in found) == 15
    assert len(asked) == 6
