"""A job with bores and pistons, housings and journals, read with gauges whose errors are known, for tests."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.joints.fits import SaidOfFit, add_fit
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    add_instrument,
    calibrate,
)
from runningfit.workshop.measurements.sets import SaidOfSet, add_set
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import FeatureSet, Instrument, Job, Reading, RunningFit
from runningfit.workshop.records.writing import Hand

ANN = Hand(who="Ann")


def number(value: float) -> TypedNumber:
    """Return a length as it would have been typed."""
    return TypedNumber(value, f"{value:g} mm")


def gauges() -> tuple[Instrument, Instrument]:
    """Make a micrometer of known doubt, and a bore gauge that is set in it."""
    outside = add_instrument(
        said=SaidOfGauge(
            "micrometer", "micrometer", "mm", number(0.001), repeat_u=number(0.001), repeat_dof=9.0,
            ring_u=number(0.004),
        ),
        hand=ANN,
    )  # fmt: skip
    calibrate(
        instrument=outside,
        said=SaidOfCalibration(timezone.localdate(), "certificate", number(0.0), number(0.002)),
        hand=ANN,
    )
    inside = add_instrument(
        said=SaidOfGauge(
            "bore gauge", "bore_gauge", "mm", number(0.001), repeat_u=number(0.001), repeat_dof=9.0,
            set_with=outside,
        ),
        hand=ANN,
    )  # fmt: skip
    return outside, inside


def read_set(
    job: Job,
    kind: FeatureKind,
    name: str,
    values: Mapping[str, tuple[float | None, ...]],
    gauge: Instrument | None,
    *,
    purpose: str = "",
    material: str = "cast iron",
    nominal: float | None = None,
    round: int = 0,
) -> FeatureSet:
    """Put a set on the sheet and read each feature at as many depths as it has values."""
    depths = max(len(one) for one in values.values())
    pattern = (
        Pattern(tuple(10.0 * place for place in range(1, depths + 1)), (0.0,)) if kind.is_round else Pattern()
    )
    said = SaidOfSet(
        name, kind, tuple(values), pattern, purpose=purpose, material=material,
        nominal=number(nominal) if nominal else None,
    )  # fmt: skip
    made = add_set(job=job, engine=None, said=said, hand=ANN)
    take(made, values, gauge, round=round)
    return made


def take(
    feature_set: FeatureSet,
    values: Mapping[str, tuple[float | None, ...]],
    gauge: Instrument | None,
    *,
    round: int = 0,
) -> None:
    """Read features of a set at their points in order; None is a point that is left out."""
    features = {one.name: one for one in feature_set.features.all()}
    for name, read in values.items():
        for place, value in enumerate(read, start=1):
            if value is None:
                continue
            Reading.objects.create(
                feature=features[name],
                point=f"{10 * place}@0" if FeatureKind(feature_set.kind).is_round else "1",
                value=value,
                step=0.001,
                instrument=gauge,
                temperature_c=20.0,
                round=round,
                token=f"{feature_set.pk}-{name}-{place}-{round}-{timezone.now().timestamp()}",
                at=timezone.now(),
                who="Ann",
            )


def pistons_in_bores(job: Job) -> tuple[FeatureSet, FeatureSet]:
    """Read three bores and three pistons: the first close, the second worn, the third piston not yet."""
    outside, inside = gauges()
    bores = read_set(
        job, FeatureKind.BORE, "cylinder bores",
        {"1": (79.400, 79.402), "2": (79.480, 79.520), "3": (79.401, 79.403)},
        inside, purpose="bores", nominal=79.4,
    )  # fmt: skip
    pistons = read_set(
        job, FeatureKind.SHAFT, "pistons", {"1": (79.350,), "2": (79.345,), "3": (None,)},
        outside, purpose="pistons", material="aluminium", nominal=79.35,
    )  # fmt: skip
    return bores, pistons


def main_bearings(job: Job) -> tuple[FeatureSet, FeatureSet]:
    """Read two main housings without shells and their journals."""
    outside, inside = gauges()
    housings = read_set(
        job, FeatureKind.BORE, "main bearing housings", {"1": (63.690, 63.691), "2": (63.695, 63.696)},
        inside, purpose="main_housings", nominal=63.69,
    )  # fmt: skip
    mains = read_set(
        job, FeatureKind.SHAFT, "main journals", {"1": (59.990, 59.989), "2": (59.980, 59.979)},
        outside, purpose="mains", material="steel", nominal=59.99,
    )  # fmt: skip
    return housings, mains


def piston_fit(job: Job, **said: object) -> RunningFit:
    """Make the fit of pistons in bores with the maker's limits."""
    bores, pistons = pistons_in_bores(job)
    known: dict[str, object] = {
        "kind": "piston", "name": "pistons in their bores", "hole_set": bores, "shaft_set": pistons,
        "new_lower": number(0.030), "new_upper": number(0.070), "wear_upper": number(0.120),
        "basis": "manual", "source": "page 12",
    }  # fmt: skip
    return add_fit(
        job=job,
        said=SaidOfFit(**{**known, **said}),  # type: ignore[arg-type]
        hand=ANN,
    )


def shells_fit(job: Job, **said: object) -> RunningFit:
    """Make the fit of main bearings with the maker's limits for new parts."""
    housings, mains = main_bearings(job)
    known: dict[str, object] = {
        "new_lower": number(0.030), "new_upper": number(0.060), "basis": "manual", "source": "page 40",
    }  # fmt: skip
    fit = SaidOfFit("bearing", "main bearings", housings, mains, **{**known, **said})  # type: ignore[arg-type]
    return add_fit(job=job, said=fit, hand=ANN)


def said_of(fit: RunningFit, **said: object) -> SaidOfFit:
    """Say of a fit nothing but its kind, name and sets, and what is given here."""
    return replace(SaidOfFit(fit.kind, fit.name, fit.hole_set, fit.shaft_set), **said)  # type: ignore[arg-type]
