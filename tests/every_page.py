"""Every address of the project, and one thing of each sort in the demo to fill its parameters with."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from hardware_for_tests import TOUCHING, bolt, measure, measured, photo_of
from runningfit.core.measurements.engine_figures.timing import ValveEvent
from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.joints.drawer import SaidOfShim, put_in_drawer
from runningfit.workshop.joints.fits import add_proposed, proposed_fits
from runningfit.workshop.joints.matching import MatchRow, MatchShown, Pairing, keep_match
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    add_instrument,
    calibrate,
)
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.measurements.queries import sets_of_job
from runningfit.workshop.measurements.sets import begin_sheet
from runningfit.workshop.measurements.timing import SaidOfTiming, say_makers_figure, take_timing
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import (
    Area,
    Bag,
    BenchList,
    Calibration,
    ConsignmentLine,
    Discrepancy,
    DrawerShim,
    Engine,
    FeatureSet,
    Finding,
    Inspection,
    Job,
    Lot,
    OutsideShop,
    Photo,
    Place,
    Record,
    RunningFit,
    TallySheet,
    ToBuy,
)
from runningfit.workshop.photos.hardware import photograph
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.printed_mats import keep_mat
from runningfit.workshop.photos.running import compute
from runningfit.workshop.records.writing import Hand

PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")


def addresses() -> list[tuple[str, str]]:
    """Return each address of the project with its name."""

    def walk(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[tuple[str, str]]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns, before + str(pattern.pattern))
            else:
                yield f"/{before}{pattern.pattern}", pattern.name or ""

    return list(walk(get_resolver().url_patterns, ""))


@dataclass(frozen=True)
class Filled:
    """What stands for the parameters of an address: the numbers depend on what is numbered there."""

    values: dict[str, Any]
    numbers: dict[str, int]

    def address(self, pattern: str, **other: object) -> str:
        """Return an address with its parameters filled, some of them otherwise."""
        number = next((n for where, n in self.numbers.items() if pattern.startswith(where)), 1)
        values = {**self.values, "number": number, **other}
        return PARAMETER.sub(lambda found: str(values[found[1]]), pattern)


def from_the_demo(job: Job) -> Filled:
    """Return one thing of each sort in the demo job."""
    # Without an order PostgreSQL may give any row first, and the line must be one of this consignment.
    line = ConsignmentLine.objects.filter(withdrawn=False).order_by("pk")[0]
    bench_list = BenchList.objects.filter(job=job).order_by("-pk")[0]
    sets = FeatureSet.objects.filter(job=job).order_by("pk")
    if not sets:
        layout = EngineLayout(cylinders=4, main_bearings=3)
        begin_sheet(job=job, engine=None, layout=layout, keys=["bores", "deck"], hand=Hand(who="Ann"))
    check = Calibration.objects.select_related("instrument").order_by("pk").first() or _check_of_a_gauge()
    inspection = Inspection.objects.filter(job=job).order_by("pk").first() or want_inspection(
        job=job, said=SaidOfInspection("crack_test", "connecting rods"), hand=Hand(who="Ann")
    )
    fit = RunningFit.objects.filter(job=job).order_by("pk").first() or _fit_of_a_job(job)
    values = {
        **_matched_and_figured(job),
        **_photographed(job),
        "fit_id": fit.pk,
        "gauge_id": check.instrument_id,
        "check_id": check.pk,
        "inspection_id": inspection.pk,
        "set_id": sets.all()[0].pk,
        "job_id": job.pk,
        "engine_id": Engine.objects.filter(job=job).order_by("pk")[0].pk,
        "record_id": Record.objects.latest("pk").pk,
        "code": Bag.objects.filter(job=job).order_by("pk")[0].code,
        "list_id": bench_list.pk,
        "row": bench_list.rows.order_by("row")[0].row,
        "area_id": Area.objects.filter(job=job).order_by("pk")[0].pk,
        "place_id": Place.objects.filter(area__job=job).order_by("pk")[0].pk,
        "finding_id": Finding.objects.filter(job=job).order_by("pk")[0].pk,
        "sheet_id": TallySheet.objects.filter(job=job).order_by("pk")[0].pk,
        "photo_id": Photo.objects.filter(job=job).order_by("pk")[0].pk,
        "size": "shown",
        "designation": "5/16-24 UNF",
        "row_id": ToBuy.objects.filter(job=job).order_by("pk")[0].pk,
        "shop_id": OutsideShop.objects.all().order_by("pk")[0].pk,
        "discrepancy_id": Discrepancy.objects.all().order_by("pk")[0].pk,
        "line_id": line.pk,
    }
    numbers = {
        "/outside": line.consignment.number,
        "/jobs": Lot.objects.filter(job=job).order_by("pk")[0].number,
    }
    return Filled(values, numbers)


def _check_of_a_gauge() -> Calibration:
    """Put a gauge with one check into a cupboard that has none."""
    step = TypedNumber(0.01, "0.01 mm")
    gauge = add_instrument(said=SaidOfGauge("caliper", "caliper", "mm", step), hand=Hand(who="Ann"))
    nothing = TypedNumber(0.0, "0 mm")
    said = SaidOfCalibration(dt.date(2026, 1, 10), "certificate", nothing, step)
    return calibrate(instrument=gauge, said=said, hand=Hand(who="Ann"))


def _fit_of_a_job(job: Job) -> RunningFit:
    """Put bores and pistons on a sheet, and make a fit of them."""
    proposed = proposed_fits(sets_of_job(job), [])
    if not proposed:
        layout = EngineLayout(cylinders=2, main_bearings=3)
        begin_sheet(job=job, engine=None, layout=layout, keys=["bores", "pistons"], hand=Hand(who="Ann"))
        proposed = proposed_fits(sets_of_job(job), [])
    keys = [one.key for one in proposed]
    return add_proposed(job=job, proposed=proposed, keys=keys, hand=Hand(who="Ann"))[0]


def _photographed(job: Job) -> dict[str, Any]:
    """Keep a mat, and measure a photo of three pieces on it, one of which touches another."""
    mat = keep_mat(paper="A4", scale="0.985", where="on the bench", hand=Hand(who="Ann"))
    shown = measured(bolt(1, at=(60, 40)), bolt(2, at=(60, 70)), bolt(3, at=(60, 100), could_not=TOUCHING))
    picture = read_picture(photo_of(shown))
    run, _is_new = photograph(
        job=job, picture=picture, mat=mat, hand=Hand(who="Ann"), starter=lambda _run_id: None
    )
    compute(run.pk, measure=measure)
    return {"run_id": run.pk, "piece": 1, "mat_id": mat.pk, "paper": "A4"}


def _matched_and_figured(job: Job) -> dict[str, Any]:
    """Put a shim into the drawer, keep a pairing, read a degree wheel and type what a maker gives."""
    ann, shim = Hand(who="Ann"), TypedNumber(2.6, "2.60 mm")
    drawer = DrawerShim.objects.order_by("pk").first()
    pairing = Pairing("Nothing need come off.", ("piston", "rod"), (MatchRow(("No. 1", "No. 2")),))
    shown = MatchShown("weights", pairing, None, ())
    engine = Engine.objects.filter(job=job).order_by("pk")[0]
    wheel = SaidOfTiming("1", 330.0, 30.0, {ValveEvent.INLET_OPENS: 350.0}, 0.3)
    ratio = TypedNumber(8.5, "8.5")
    return {
        "kind": "weights",
        "shim_id": (drawer or put_in_drawer(said=SaidOfShim(shim, 2), hand=ann)).pk,
        "decision_id": keep_match(job=job, shown=shown, choice="best", seen_key=shown.key, hand=ann).pk,
        "reading_id": take_timing(engine=engine, said=wheel, hand=ann).pk,
        "figure_id": say_makers_figure(
            engine=engine, what="ratio", lower=ratio, upper=None, source="manual p. 6", hand=ann
        ).pk,
    }
