"""The main pages of a larger shop: they ask the database little, and draw whatever is written as text."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from random import Random

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.models import (
    Area,
    Consignment,
    Discrepancy,
    DrawerShim,
    Engine,
    FeatureLimit,
    FeatureSet,
    Finding,
    Inspection,
    Instrument,
    Job,
    Lot,
    MachiningOperation,
    OutsideShop,
    Photo,
    Place,
    RunningFit,
    ToBuy,
)
from runningfit.workshop.records.services import open_job

pytestmark = pytest.mark.slow

BENCH = Path(__file__).resolve().parents[3] / "bench"
# How many questions each page may ask, whatever the number of its rows.
MOST_QUERIES = {
    "who (nearly empty: the baseline)": 2,
    "all jobs": 14,
    "strip": 14,
    "lot": 14,
    "areas": 8,
    "area": 12,
    "place": 7,
    "findings": 8,
    "bags": 10,
    "bag": 15,
    "inbox": 10,
    "photos": 6,
    "hardware on the mat": 7,
    "tally sheet": 8,
    "find a thread": 9,
    "find words": 11,
    "find a bag": 13,
    "measure": 13,
    "readings of a set": 17,
    "result of a set": 16,
    "limits of a set": 9,
    "machining of a set": 17,
    "machining not planned": 15,
    "fits": 12,
    "fit": 12,
    "matching": 8,
    "figures": 16,
    "tests": 5,
    "test": 9,
    "machining": 13,
    "gauges": 5,
    "gauge": 9,
    "drawer": 4,
    "judge": 25,
    "joint": 15,
    "known of a lot": 13,
    "known of a place": 7,
    "plan": 9,
    "allot": 17,
    "foreign": 11,
    "to buy": 12,
    "how much": 13,
    "send": 13,
    "to go outside": 18,
    "treatments": 18,
    "outside": 7,
    "consignment": 14,
    "discrepancies": 7,
    "build": 7,
    "kit": 11,
    "torque sheet": 16,
    "history": 5,
}
# As many sets and fits as the one that is measured, with fewer of each, since each bore takes long to judge.
SMALL_ENGINE = EngineLayout(cylinders=4, main_bearings=3, valves_each=1)
WRITTEN = "\"><b id='came'>"
FIELDS = {
    Job: ("name",),
    Engine: ("name",),
    Area: ("name",),
    Place: ("name", "basis_said", "size_said", "length_nominal", "torque_typed", "note"),
    Lot: ("defect", "kind_said", "size_said", "length_nominal", "origin_said", "remarks", "condition"),
    Finding: ("note", "tried"),
    ToBuy: ("what", "supplier", "note"),
    OutsideShop: ("name", "phone"),
    Consignment: ("asked", "must_not", "note"),
    FeatureSet: ("name", "how", "material"),
    FeatureLimit: ("source",),
    Instrument: ("name", "mark", "note"),
    Inspection: ("what", "note"),
    RunningFit: ("name", "source"),
    MachiningOperation: ("surface", "keep", "anyway"),
    DrawerShim: ("mark", "size_typed"),
    Discrepancy: ("said",),
    Photo: ("words",),
}


def pages_of_a_large_shop(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Build the shop that is measured, smaller, and return the main pages of its job."""
    monkeypatch.syspath_prepend(str(BENCH))
    shop = import_module("big_shop")
    monkeypatch.setattr(import_module("measured_engine"), "LAYOUT", SMALL_ENGINE)
    job = shop.build(shop.Size(jobs=1, lots=800))
    pages: dict[str, str] = import_module("pages").pages_of(job.pk)
    return pages


@pytest.mark.django_db
def test_each_page_asks_few_questions_of_the_database(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    pages = pages_of_a_large_shop(monkeypatch)
    assert pages.keys() == MOST_QUERIES.keys()
    too_many: dict[str, list[str]] = {}
    for name, path in pages.items():
        # The first time a page may look at what this worker has not seen yet.
        assert client.get(path).status_code == 200, name
        with CaptureQueriesContext(connection) as asked:
            client.get(path)
        if len(asked) > MOST_QUERIES[name]:
            too_many[name] = [query["sql"][:400] for query in asked]
    assert too_many == {}


@pytest.mark.django_db
def test_judge_measure_and_fits_ask_no_more_of_four_sets_than_of_one(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(str(BENCH))
    bench = import_module("measured_engine")
    monkeypatch.setattr(bench, "LAYOUT", SMALL_ENGINE)
    for name in ("GAUGES", "CHECKS", "SHIMS", "TESTS"):
        monkeypatch.setattr(bench, name, 2)
    sizes_mm = list(bench.SIZES_MM.items())
    asked: dict[str, set[int]] = {"judge": set(), "measure": set(), "fits": set()}
    for count in (1, 2, 4):
        monkeypatch.setattr(bench, "SIZES_MM", dict(sizes_mm[:count]))
        job = open_job(name=f"{count} sets", engine_name=f"with {count}", hand=bench.HAND)
        bench.measure(job, Random(count))
        assert FeatureSet.objects.filter(job=job).count() == count
        assert RunningFit.objects.filter(job=job).count() == count // 2
        # One set makes no fit, and a page of no fits asks for no gauges and readings.
        for page in asked if count > 1 else ("judge", "measure"):
            client.get(f"/jobs/{job.pk}/{page}")
            with CaptureQueriesContext(connection) as queries:
                client.get(f"/jobs/{job.pk}/{page}")
            asked[page].add(len(queries))
    assert {page: len(counts) for page, counts in asked.items()} == dict.fromkeys(asked, 1)


@pytest.mark.django_db
def test_whatever_is_written_is_drawn_as_text(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    pages = pages_of_a_large_shop(monkeypatch)
    for model, fields in FIELDS.items():
        for field in fields:
            model._default_manager.update(**{field: WRITTEN})
    Lot.objects.filter(pk__in=Lot.objects.order_by("-pk").values("pk")[:100]).update(kind="other", end_a="")
    drawn = {}
    for name, path in {**pages, "find what was written": "/find?q=came"}.items():
        page = client.get(path).content.decode()
        assert "<b id=" not in page, name
        drawn[name] = "&lt;b id=" in page
    nothing_of_it = {name for name, shows in drawn.items() if not shows}
    assert nothing_of_it <= {"who (nearly empty: the baseline)"}
