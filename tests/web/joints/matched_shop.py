"""A job whose sets are on the sheet and read, for the tests of the matching pages."""

from __future__ import annotations

from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import points_of_set
from runningfit.workshop.measurements.sets import SaidOfSet, add_set
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

ANN = Hand(who="Ann")
# Of limits 0.04 to 0.06 mm the middle is 0.05: bore 1 with piston 2, 2 with 1 and 3 with 3 meet it.
BORES = ("80.050", "80.058", "80.070")
PISTONS = ("80.008", "80.000", "80.020")


def a_read_set(
    job: Job, name: str, kind: FeatureKind, typed: tuple[str, ...], purpose: str = "", unit: str = "mm"
) -> FeatureSet:
    """Put a set on the sheet and read each of it once; an empty text is left unread."""
    pattern = Pattern((10.0,), (0.0,)) if kind.is_round else Pattern()
    names = tuple(str(at + 1) for at in range(len(typed)))
    said = SaidOfSet(name, kind, names, pattern, purpose=purpose)
    made = add_set(job=job, engine=None, said=said, hand=ANN)
    (point,) = points_of_set(made)
    features = made.features.order_by("position")
    readings = [
        Taken(f"reading of {feature.pk}", feature.pk, point.key, text, surely="read twice")
        for feature, text in zip(features, typed, strict=True)
        if text
    ]
    answers = take_readings(feature_set=made, readings=readings, hand=ANN, unit=unit)
    assert all(one.kept for one in answers), answers
    return made


def bores_and_pistons(job: Job) -> tuple[FeatureSet, FeatureSet]:
    """Three bores and three pistons, read."""
    return (
        a_read_set(job, "cylinder bores", FeatureKind.BORE, BORES, "bores"),
        a_read_set(job, "pistons", FeatureKind.SHAFT, PISTONS, "pistons"),
    )
