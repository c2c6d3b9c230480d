"""Every address of the project, and one thing of each sort in the demo to fill its parameters with."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from runningfit.workshop.models import (
    Area,
    Bag,
    BenchList,
    ConsignmentLine,
    Discrepancy,
    Engine,
    Finding,
    Job,
    Lot,
    OutsideShop,
    Photo,
    Place,
    Record,
    TallySheet,
    ToBuy,
)

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
    values = {
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
