"""How long an engine of fifteen hundred readings takes to be judged, and again after one change."""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from serving import wake

if TYPE_CHECKING:
    from runningfit.workshop.measurements.models import Feature, FeatureSet
    from runningfit.workshop.records.models import Job

READINGS = 1_500
AIM_AGAIN_S = 0.3
TIMES = 15
# Of what is measured: the size, how far it may stray, and how far from it readings lie [mm].
SIZES_MM = {
    "bores": (79.375, 0.09, 0.02),
    "mains": (57.0, 0.05, 0.004),
    "crankpins": (50.0, 0.05, 0.004),
    "main_housings": (61.0, 0.02, 0.004),
    "big_ends": (54.0, 0.02, 0.004),
    "rods": (152.4, 0.1, 0.01),
    "pistons": (79.3, 0.08, 0.01),
    "guides": (7.95, 0.05, 0.01),
    "stems": (7.9, 0.05, 0.008),
}


def engine_of_readings() -> Job:
    """Keep a sixteen-cylinder engine with five valves each, every usual set on its sheet and read."""
    from runningfit.core.measurements.sheets.proposals import EngineLayout, usual_sets
    from runningfit.workshop.measurements.sets import SaidLimit, add_limit, begin_sheet
    from runningfit.workshop.measurements.typed import TypedNumber
    from runningfit.workshop.records.services import open_job
    from runningfit.workshop.records.writing import Hand

    hand, chance = Hand(who="Bench"), Random(5)
    job = open_job(name="Job", engine_name="an engine", hand=hand)
    layout = EngineLayout(cylinders=16, main_bearings=9, valves_each=5)
    keys = [one.key for one in usual_sets(layout)]
    for one in begin_sheet(job=job, engine=None, layout=layout, keys=keys, hand=hand):
        if one.purpose in SIZES_MM:
            size, most, _ = SIZES_MM[one.purpose]
            for state, far in (("wear", most), ("new", most / 4)):
                ends = [TypedNumber(size + sign * far, f"{size + sign * far:g} mm") for sign in (-1, 1)]
                said = SaidLimit("size", state, ends[0], ends[1], "manual", "page 31")
                add_limit(feature_set=one, said=said, hand=hand)
        read(one, list(one.features.order_by("position")), chance)
    return job


def read(one: FeatureSet, features: list[Feature], chance: Random) -> None:
    """Read every point of a set once."""
    from runningfit.core.measurements.sheets.features import FeatureKind
    from runningfit.workshop.measurements.queries import points_of_set
    from runningfit.workshop.measurements.taking import Taken, take_readings
    from runningfit.workshop.records.writing import Hand

    kind = FeatureKind(one.kind)
    for feature in features:
        taken = []
        for number, point in enumerate(points_of_set(one)):
            size, _, strays = SIZES_MM.get(one.purpose, (0.2, 0.0, 0.02))
            if kind is FeatureKind.LOAD:
                size, strays = 9000.0 / (point.depth_mm or 1.0), 2.0
            elif kind in (FeatureKind.VOLUME, FeatureKind.WEIGHT):
                size, strays = 400.0, 2.0
            value = size + chance.uniform(-strays, strays)
            taken.append(
                Taken(f"{feature.pk} {number}", feature.pk, point.key, f"{value:.3f}", surely="bench")
            )
        hand = Hand(who="Bench")
        answers = take_readings(feature_set=one, readings=taken, hand=hand, unit=kind.quantity.unit)
        if not all(answer.kept for answer in answers):
            raise RuntimeError(f"not every reading of {feature} was kept: {answers}")


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        wake(Path(name))
        from django.db import connections

        from runningfit.workshop.measurements.judging import Answer, judged_of_job
        from runningfit.workshop.measurements.models import Reading
        from runningfit.workshop.measurements.queries import sets_of_job
        from runningfit.workshop.measurements.taking import Taken, take_readings
        from runningfit.workshop.records.writing import Hand

        job = engine_of_readings()
        count = Reading.objects.count()
        if count < READINGS:
            raise RuntimeError(f"only {count} readings")

        def judged_s() -> float:
            began = time.perf_counter()
            sets = judged_of_job(job)
            if any(one.answer is Answer.NOT_READ for one in sets):
                raise RuntimeError("not every set was judged")
            return time.perf_counter() - began

        first_s, unchanged_s = judged_s(), judged_s()
        again = []
        for number in range(TIMES):
            one = next(one for one in sets_of_job(job) if one.purpose == ("bores", "guides")[number % 2])
            feature = one.features.order_by("position")[number]
            size = SIZES_MM[one.purpose][0]
            point = "10@0" if one.purpose == "bores" else "5@0"
            taken = Taken(f"again {number}", feature.pk, point, f"{size + 0.01:.3f}", surely="bench")
            take_readings(feature_set=one, readings=[taken], hand=Hand(who="Bench"), unit="mm")
            again.append(judged_s())
        connections.close_all()
    again_s = statistics.median(again)
    database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
    print("## Judging readings\n" if database == "SQLite" else "")
    over = " **over**" if again_s > AIM_AGAIN_S else ""
    print(
        f"An engine of sixteen cylinders, {count:,} readings through the database ({database}), every "
        f"feature against its wear limits and those for new parts: {first_s:.1f} s in a process that has "
        f"judged nothing yet, then {again_s:.3f} s after one change{over} "
        f"({unchanged_s:.3f} s with none). Aim: under {AIM_AGAIN_S:g} s after one change.\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
