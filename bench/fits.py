"""How long the fits of a job take to be judged again after one change: 500 pairs, read at seven points."""

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
    from runningfit.workshop.measurements.models import FeatureSet
    from runningfit.workshop.records.models import Job

FITS, PAIRS_EACH, TIMES = 10, 50, 9
AIM_MS = 500.0


def read_set(job: Job, name: str, kind: str, points: int, about_mm: float, chance: Random) -> FeatureSet:
    """Return a set of many features, each read at every point."""
    from django.utils import timezone

    from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
    from runningfit.workshop.measurements.models import Reading
    from runningfit.workshop.measurements.queries import points_of_set
    from runningfit.workshop.measurements.sets import SaidOfSet, add_set
    from runningfit.workshop.records.writing import Hand

    depths = tuple(10.0 * place for place in range(1, max(1, points // 2) + 1))
    pattern = Pattern(depths, (0.0, 90.0) if points > 1 else (0.0,))
    names = tuple(str(number) for number in range(1, PAIRS_EACH + 1))
    said = SaidOfSet(name, FeatureKind(kind), names, pattern, material="cast iron")
    made = add_set(job=job, engine=None, said=said, hand=Hand(who="Bench"))
    Reading.objects.bulk_create(
        [
            Reading(
                feature=feature, point=point.key, value=round(about_mm + chance.uniform(0, 0.02), 3),
                step=0.001, unit="mm", temperature_c=20.0, at=timezone.now(), who="Bench",
                token=f"{made.pk}-{feature.pk}-{point.key}",
            )
            for feature in made.features.order_by("position")
            for point in points_of_set(made)
        ]
    )  # fmt: skip
    return made


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        wake(Path(name))
        from django.db import connections

        from runningfit.workshop.joints.fit_judging import judged_fits
        from runningfit.workshop.joints.fit_typed import TypedSpan
        from runningfit.workshop.joints.fits import SaidOfFit, add_fit
        from runningfit.workshop.measurements.models import Reading
        from runningfit.workshop.measurements.typed import TypedNumber
        from runningfit.workshop.records.services import open_job
        from runningfit.workshop.records.writing import Hand

        chance, hand = Random(3), Hand(who="Bench")
        job = open_job(name="Bench", engine_name="an engine", hand=hand)
        least, most, worn = (TypedNumber(one, f"{one} mm") for one in (0.03, 0.07, 0.12))
        for number in range(FITS):
            bores = read_set(job, f"bores {number}", "bore", 6, 79.40, chance)
            pistons = read_set(job, f"pistons {number}", "shaft", 1, 79.34, chance)
            said = SaidOfFit(
                "piston", f"fit {number}", bores, pistons, new_lower=least, new_upper=most,
                wear_upper=worn, basis="manual", source="page 1",
                shaft_material="aluminium", hole_hot=TypedSpan(80, 90, "80 to 90 °C"),
                shaft_hot=TypedSpan(90, 110, "90 to 110 °C"),
            )  # fmt: skip
            add_fit(job=job, said=said, hand=hand)
        began = time.perf_counter()
        judged_fits(job)
        first_ms = 1000 * (time.perf_counter() - began)
        again = []
        for number in range(TIMES):
            last = Reading.objects.order_by("-pk")[number]
            last.pk, last.token = None, f"again {number}"
            last.save(force_insert=True)
            began = time.perf_counter()
            fits = judged_fits(job)
            again.append(1000 * (time.perf_counter() - began))
        pairs = sum(len(one.pairs) for one in fits)
        connections.close_all()
    again_ms = statistics.median(again)
    database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
    print("## Fits\n")
    print(
        f"{pairs} pairs of bores and pistons in {FITS} fits, {7 * pairs:,} readings, each judged where it is "
        f"closest and where it is widest, cold and hot, through the database ({database}): the first time "
        f"{first_ms:.0f} ms, again after one more reading {again_ms:.0f} ms"
        f"{' **over**' if again_ms > AIM_MS else ''}. Aim: {AIM_MS:.0f} ms.\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
