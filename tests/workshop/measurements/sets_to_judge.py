"""Sets for the tests of judging: a gauge, a set, its limits and its readings, each in one line."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.gauges import SaidOfCalibration, SaidOfGauge, add_instrument, calibrate
from runningfit.workshop.measurements.judging import JudgedFeature, judged_set
from runningfit.workshop.measurements.models import FeatureSet, Instrument
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet, add_limit, add_set
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

ANN = Hand(who="Ann")
SIX = Pattern((10.0, 60.0, 110.0), (0.0, 90.0))


def number(value: float, unit: str = "mm") -> TypedNumber:
    return TypedNumber(value, f"{value:g} {unit}")


def gauge(name: str, kind: str, unit: str, step: float, scatter: float, certificate: float) -> Instrument:
    """A gauge checked today that errs by nothing, whose certificate gives ``certificate`` with k of 2."""
    said = SaidOfGauge(
        name, kind, unit, number(step, unit), repeat_u=number(scatter, unit), repeat_dof=1000.0
    )
    made = add_instrument(said=said, hand=ANN)
    checked = SaidOfCalibration(
        timezone.localdate(), "certificate", number(0.0, unit), number(certificate, unit)
    )
    calibrate(instrument=made, said=checked, hand=ANN)
    return made


def a_set(
    job: Job,
    kind: FeatureKind,
    pattern: Pattern,
    *,
    features: tuple[str, ...] = ("1",),
    by: Instrument | None = None,
    purpose: str = "",
    nominal: float | None = None,
) -> FeatureSet:
    said = SaidOfSet(
        f"a set of {kind}", kind, features, pattern, purpose=purpose, instrument=by,
        nominal=number(nominal) if nominal else None, material="steel",
    )  # fmt: skip
    return add_set(job=job, engine=None, said=said, hand=ANN)


def limit(
    one: FeatureSet,
    state: str,
    lower: float | None,
    upper: float | None,
    *,
    what: str = "size",
    basis: str = "manual",
    at: float | None = None,
) -> None:
    said = SaidLimit(
        what,
        state,
        number(lower) if lower is not None else None,
        number(upper) if upper is not None else None,
        basis,
        "page 31",
        number(at) if at else None,
    )
    add_limit(feature_set=one, said=said, hand=ANN)


def take(one: FeatureSet, readings: Mapping[str, float], *, name: str = "1", round: int = 0) -> None:
    feature = one.features.get(name=name)
    taken = [
        Taken(f"{feature.pk} {point} {value} {round}", feature.pk, point, f"{value:.5f}", surely="read twice")
        for point, value in readings.items()
    ]
    unit = FeatureKind(one.kind).quantity.unit
    answers = take_readings(
        feature_set=one, readings=taken, hand=ANN, unit=unit, round=round, temperature_c=20.0
    )
    assert all(answer.kept for answer in answers), answers


def only(one: FeatureSet, round: int | None = None) -> JudgedFeature:
    return judged_set(one, round).features[0]


def sizes(value: float, worn: float = 0.0) -> dict[str, float]:
    return {
        f"{depth:g}@{angle:g}": value + (worn if (depth, angle) == (10.0, 90.0) else 0.0)
        for depth in SIX.depths_mm
        for angle in SIX.angles_deg
    }
