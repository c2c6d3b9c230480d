"""Four worn bores as they are read, what can be done to them, and how they come back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.gauges import SaidOfGauge, add_instrument
from runningfit.workshop.measurements.models import Instrument
from runningfit.workshop.measurements.sets import SaidOfSet, add_set
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Feature, FeatureSet, Job, MachiningDecision, MachiningPlan
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import decide_step, say_machining
from runningfit.workshop.treatments.machining_choice import machining_choice
from runningfit.workshop.treatments.machining_said import SaidOfMachining

ANN = Hand(who="Ann")
NOMINAL_MM = 79.375
# By depth along and across the crank, less the nominal [mm]: worn at the top, more across it.
WEAR_MM = (
    (0.060, 0.110, 0.040, 0.070, 0.020, 0.030),
    (0.070, 0.130, 0.040, 0.080, 0.020, 0.030),
    (0.080, 0.150, 0.050, 0.090, 0.020, 0.040),
    (0.060, 0.120, 0.040, 0.070, 0.020, 0.030),
)
SAID = SaidOfMachining(
    unit="mm",
    steps="0.25, 0.50, 0.75, 1.00 mm",
    parts="180, 180, 195, 195",
    hone="0.05",
    axis="worn",
    most_step="1.00",
    price_each=Decimal(45),
    price_visit=Decimal(30),
    price_last_resort=Decimal(260),
    last_resort="a liner",
    tolerance="0.010",
    surface="60° cross-hatch, Ra 0.4 to 0.8 µm",
    keep="the stamped numbers",
    measure_after="each bore at three depths in two directions",
    source="shop manual p. 31",
)


def number(value: float, unit: str = "mm") -> TypedNumber:
    return TypedNumber(value, f"{value:g} {unit}")


def bore_gauge() -> Instrument:
    said = SaidOfGauge(
        "bore gauge", "bore_gauge", "mm", number(0.001),
        repeat_u=number(0.0015), repeat_dof=9.0, ring_size=number(79.4), ring_u=number(0.0008),
    )  # fmt: skip
    return add_instrument(said=said, hand=ANN)


def bores_of(job: Job, *, gauge: Instrument | None = None, nominal: float | None = NOMINAL_MM) -> FeatureSet:
    said = SaidOfSet(
        "cylinder bores", FeatureKind.BORE, ("1", "2", "3", "4"), Pattern((10.0, 60.0, 110.0), (0.0, 90.0)),
        purpose="bores", nominal=number(nominal) if nominal else None, instrument=gauge,
        material="cast iron",
    )  # fmt: skip
    return add_set(job=job, engine=None, said=said, hand=ANN)


def features(one: FeatureSet) -> list[Feature]:
    return list(one.features.filter(withdrawn=False).order_by("position"))


def read(
    one: FeatureSet,
    sizes: Sequence[Sequence[float]],
    *,
    round: int = 0,
    token: str = "found",
    only: Sequence[int] = (),
) -> None:
    """Take the readings of each feature, depth by depth, along and across [mm]."""
    keys = [f"{depth:g}@{angle:g}" for depth in one.first_numbers for angle in one.second_numbers]
    taken = [
        Taken(f"{token}-{round}-{feature.pk}-{key}", feature.pk, key, f"{size:.3f}", surely="as read")
        for place, (feature, row) in enumerate(zip(features(one), sizes, strict=True))
        if not only or place in only
        for key, size in zip(keys, row, strict=True)
    ]
    answered = take_readings(
        feature_set=one, readings=taken, hand=ANN, unit="mm", round=round, temperature_c=20.0
    )
    assert all(answer.kept for answer in answered)


def worn(job: Job, more_mm: float = 0.0) -> FeatureSet:
    """Bores that were read as found."""
    one = bores_of(job, gauge=bore_gauge())
    read(one, [[NOMINAL_MM + wear + more_mm for wear in row] for row in WEAR_MM])
    return one


def journals_of(job: Job) -> FeatureSet:
    """Three main journals, read: worn by a few hundredths."""
    said = SaidOfSet(
        "main journals", FeatureKind.SHAFT, ("1", "2", "3"), Pattern((5.0, 20.0), (0.0, 90.0)),
        purpose="mains", nominal=number(50.0), instrument=bore_gauge(), material="steel",
    )  # fmt: skip
    one = add_set(job=job, engine=None, said=said, hand=ANN)
    read(one, [[49.96, 49.93, 49.97, 49.95], [49.97, 49.95, 49.97, 49.96], [49.96, 49.94, 49.96, 49.95]])
    return one


JOURNALS_SAID = replace(SAID, parts="40", most_step="", steps="0.25, 0.50 mm", axis="unknown",
                        last_resort="another crankshaft")  # fmt: skip


def plan(bores: FeatureSet, **other: object) -> MachiningPlan:
    return say_machining(feature_set=bores, said=replace(SAID, **other), hand=ANN)  # type: ignore[arg-type]


def decided(bores: FeatureSet, step: float | None = None, hand: Hand = ANN) -> MachiningDecision:
    recommended = machining_choice(bores).recommended
    steps = {one.pk: recommended[str(one.pk)] if step is None else step for one in features(bores)}
    return decide_step(feature_set=bores, steps=steps, hand=hand)
