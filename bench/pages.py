"""The main pages of a job of 5,000 lots in a shop of 20 such jobs, at 1 and at 8 clients."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

from serving import Measured, measure, middle_and_slow, served, wake, work

AIM_MS = {1: 40, 8: 120}
BASELINE = "who (nearly empty: the baseline)"


def pages_of(job_id: int) -> dict[str, str]:
    """Return the paths of the pages that are measured."""
    from runningfit.workshop.joints.fit_models import RunningFit
    from runningfit.workshop.measurements.models import FeatureSet, Inspection, Instrument
    from runningfit.workshop.outside_work.models import Consignment
    from runningfit.workshop.pieces.models import Area, Place, TallySheet
    from runningfit.workshop.records.models import Engine, Job

    job = Job.objects.get(pk=job_id)
    area = Area.objects.filter(job=job).order_by("pk")[3]
    place = Place.objects.filter(area=area).order_by("pk")[0]
    consignment = Consignment.objects.filter(lines__lot__job=job).order_by("number")[0]
    sheet = TallySheet.objects.filter(job=job)[0]
    engine = Engine.objects.filter(job=job).order_by("pk")[0]
    bores = FeatureSet.objects.get(job=job, purpose="bores")
    crankpins = FeatureSet.objects.get(job=job, purpose="crankpins")
    fit = RunningFit.objects.filter(job=job).order_by("pk")[0]
    test = Inspection.objects.filter(job=job).order_by("pk")[0]
    gauge = Instrument.objects.order_by("pk")[0]
    at = f"/jobs/{job.pk}"
    return {
        BASELINE: "/who",
        "all jobs": "/",
        "strip": f"{at}/strip",
        "lot": f"{at}/lots/777",
        "areas": f"{at}/areas",
        "area": f"{at}/areas/{area.pk}",
        "place": f"{at}/places/{place.pk}",
        "findings": f"{at}/findings",
        "bags": f"{at}/bags",
        "bag": f"{at}/bags/T77",
        "inbox": f"{at}/inbox",
        "photos": f"{at}/photos",
        "hardware on the mat": f"{at}/hardware",
        "tally sheet": f"{at}/tally/{sheet.pk}",
        "find a thread": "/find?q=5/16-24+UNF",
        "find words": "/find?q=deep+pattern",
        "find a bag": "/find?q=T77",
        "measure": f"{at}/measure",
        "readings of a set": f"{at}/measure/sets/{bores.pk}",
        "result of a set": f"{at}/measure/sets/{bores.pk}/result",
        "limits of a set": f"{at}/measure/sets/{bores.pk}/limits",
        "machining of a set": f"{at}/measure/sets/{bores.pk}/machining",
        "machining not planned": f"{at}/measure/sets/{crankpins.pk}/machining",
        "fits": f"{at}/fits",
        "fit": f"{at}/fits/{fit.pk}",
        "matching": f"{at}/matching",
        "figures": f"{at}/engines/{engine.pk}/figures",
        "tests": f"{at}/inspections",
        "test": f"{at}/inspections/{test.pk}",
        "machining": f"{at}/machining",
        "gauges": "/gauges",
        "gauge": f"/gauges/{gauge.pk}",
        "drawer": "/drawer",
        "judge": f"{at}/judge",
        "joint": f"{at}/lots/777/joint",
        "known of a lot": f"{at}/lots/777/joint/known",
        "known of a place": f"{at}/places/{place.pk}/joint/known",
        "plan": f"{at}/plan",
        "allot": f"{at}/plan/places/{place.pk}",
        "foreign": f"{at}/plan/foreign",
        "to buy": f"{at}/plan/to-buy",
        "how much": f"{at}/how-much",
        "send": f"{at}/send",
        "to go outside": f"{at}/send?show=to_go",
        "treatments": f"{at}/lots/777/treatments",
        "outside": "/outside",
        "consignment": f"/outside/{consignment.number}",
        "discrepancies": f"{at}/discrepancies",
        "build": f"{at}/build",
        "kit": f"{at}/build/{area.pk}",
        "torque sheet": f"{at}/areas/{area.pk}/torques",
        "history": f"{at}/history",
    }


def section(
    size_said: str, database: str, costs: dict[str, float], measured: dict[int, list[Measured]]
) -> str:
    """Return what was measured as a section of the page."""
    heads = ["page", "kB", "server works"]
    for clients in measured:
        plural = "s" if clients > 1 else ""
        heads += [f"{clients} client{plural}: p50", "p95", "× baseline"]
    lines = [
        f"## Pages on {database}",
        "",
        size_said,
        "",
        f"| {' | '.join(heads)} |",
        "|" + "---|" * len(heads),
    ]
    base = {clients: rows[0].p50_ms for clients, rows in measured.items()}
    for index, first in enumerate(next(iter(measured.values()))):
        cells = [first.page, f"{first.kilobytes:.0f}", f"{costs[first.page]:.1f}"]
        for clients, rows in measured.items():
            row = rows[index]
            late = " **over**" if row.p95_ms > AIM_MS.get(clients, 1e9) else ""
            cells += [f"{row.p50_ms:.1f}", f"{row.p95_ms:.1f}{late}", f"{row.p50_ms / base[clients]:.1f}"]
        lines.append(f"| {' | '.join(cells)} |")
    average = sum(costs.values()) / len(costs)
    lines.append(f"\nFor a page the server works {average:.1f} ms on average.")
    for clients, rows in measured.items():
        pages = rows[1:]
        over = sum(1 for row in pages if row.p95_ms > AIM_MS.get(clients, 1e9))
        _, slow = middle_and_slow([row.p95_ms for row in pages])
        lines.append(
            f"\nAt {clients} client{'s' if clients > 1 else ''}: {len(pages) - over} of {len(pages)} pages "
            f"keep p95 under {AIM_MS.get(clients, 0)} ms; the slowest pages have {slow:.0f} ms."
        )
    return "\n".join(lines) + "\n"


def main() -> int:
    """Build the shop, or take one built before, and measure."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=20)
    options.add_argument("--lots", type=int, default=5000)
    options.add_argument(
        "--rounds", type=int, default=40, help="how often each page is fetched at one client"
    )
    options.add_argument("--clients", type=int, nargs="+", default=[1, 8])
    options.add_argument("--folder", type=Path, help="a data folder to build the shop in, or to use again")
    asked = options.parse_args()
    folder = asked.folder or Path(tempfile.mkdtemp(prefix="runningfit-bench-"))
    database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
    wake(folder)
    from big_shop import Size, build
    from django.db import connections

    from runningfit.workshop.records.models import Job

    size = Size(asked.jobs, asked.lots)
    if not Job.objects.exists():
        print(
            f"building a shop of {size.jobs} jobs with {size.lots} lots each …", file=sys.stderr, flush=True
        )
        build(size)
    job = Job.objects.filter(is_stock=False).order_by("pk")[size.jobs // 2]
    pages = pages_of(job.pk)
    connections.close_all()
    measured: dict[int, list[Measured]] = {}
    with served(folder) as server:
        measure(server.port, pages, clients=4, rounds=4)
        costs = work(server, pages, times=asked.rounds)
        for clients in asked.clients:
            print(f"{database}, {clients} clients …", file=sys.stderr, flush=True)
            rounds = max(3, asked.rounds // clients)
            measured[clients] = measure(server.port, pages, clients=clients, rounds=rounds)
    said = (
        f"{size.jobs} jobs with {size.lots:,} lots each; a real server with 2 workers of 4 threads, on the "
        "same machine as the clients; times in ms from sending the request to having the whole page, and "
        "beside the size how long the server keeps a core busy for it. "
        f"Aim: p95 under {AIM_MS[1]} ms at 1 client and {AIM_MS[8]} ms at 8 (on SQLite)."
    )
    print(section(said, database, costs, measured))
    return 0


if __name__ == "__main__":
    sys.exit(main())
