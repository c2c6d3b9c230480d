"""Every address of the project: a GET answers, never writes, and its pages load nothing from elsewhere."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from django.db import connection
from django.test import Client, TestCase, override_settings
from django.urls import URLPattern, URLResolver, get_resolver

from runningfit.cli.demo.scenario import build
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

WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER|TRUNCATE)\b|.*\bFOR UPDATE\b", re.S)
PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")
# No bag was chosen to label; the demo's list is not an edited one. The page says so.
ASKS_FOR_MORE = {"labels_pdf": 400, "bench_list_changes": 409}
Execute = Callable[[str, Any, bool, dict[str, Any]], Any]


def addresses() -> list[tuple[str, str]]:
    """Return each address of the project with its name."""

    def walk(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[tuple[str, str]]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns, before + str(pattern.pattern))
            else:
                yield f"/{before}{pattern.pattern}", pattern.name or ""

    return list(walk(get_resolver().url_patterns, ""))


def read_out(response: Any) -> None:
    """Read a file that is sent to its end, which closes it."""
    if response.streaming:
        b"".join(response.streaming_content)


class TestEveryPage(TestCase):
    """On the demo, in which there is something of everything."""

    job: Job
    values: dict[str, Any]
    numbers: dict[str, int]

    @classmethod
    def setUpClass(cls) -> None:
        """Give the photos and lists a folder of their own."""
        folder = Path(tempfile.mkdtemp(prefix="runningfit-pages-"))
        cls.enterClassContext(override_settings(DATA=folder, PHOTO_FOLDER=folder / "photos"))
        cls.addClassCleanup(shutil.rmtree, folder, ignore_errors=True)
        super().setUpClass()

    @classmethod
    def setUpTestData(cls) -> None:
        """Build the demo."""
        cls.job = build()
        # Without an order PostgreSQL may give any row first, and the line must be one of this consignment.
        line = ConsignmentLine.objects.filter(withdrawn=False).order_by("pk")[0]
        bench_list = BenchList.objects.filter(job=cls.job).order_by("-pk")[0]
        cls.values = {
            "job_id": cls.job.pk,
            "engine_id": Engine.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "record_id": Record.objects.latest("pk").pk,
            "code": Bag.objects.filter(job=cls.job).order_by("pk")[0].code,
            "list_id": bench_list.pk,
            "row": bench_list.rows.order_by("row")[0].row,
            "area_id": Area.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "place_id": Place.objects.filter(area__job=cls.job).order_by("pk")[0].pk,
            "finding_id": Finding.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "sheet_id": TallySheet.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "photo_id": Photo.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "size": "shown",
            "row_id": ToBuy.objects.filter(job=cls.job).order_by("pk")[0].pk,
            "shop_id": OutsideShop.objects.all().order_by("pk")[0].pk,
            "discrepancy_id": Discrepancy.objects.all().order_by("pk")[0].pk,
            "line_id": line.pk,
        }
        cls.numbers = {
            "/outside": line.consignment.number,
            "/jobs": Lot.objects.filter(job=cls.job).order_by("pk")[0].number,
        }

    def setUp(self) -> None:
        """Watch what the database is asked."""
        self.client = Client()
        self.written: list[str] = []

    def watched(self, execute: Execute, sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
        if WRITES.match(sql) and "django_session" not in sql:
            self.written.append(sql)
        return execute(sql, params, many, context)

    def address(self, pattern: str, **other: object) -> str:
        number = next((n for where, n in self.numbers.items() if pattern.startswith(where)), 1)
        values = {**self.values, "number": number, **other}
        return PARAMETER.sub(lambda found: str(values[found[1]]), pattern)

    def test_a_get_answers_and_never_writes(self) -> None:
        shown = 0
        for pattern, name in addresses():
            with self.subTest(name), connection.execute_wrapper(self.watched):
                response = self.client.get(self.address(pattern))
                expected = (ASKS_FOR_MORE[name],) if name in ASKS_FOR_MORE else (200, 302, 405)
                assert response.status_code in expected, (name, response.status_code)
                read_out(response)
                shown += response.status_code == 200
                assert self.written == [], name
        assert shown > 50

    def test_a_get_of_what_is_not_there_says_so_and_never_breaks(self) -> None:
        for missing in (987654321, 10**25):
            for pattern, name in addresses():
                asked = dict.fromkeys(set(PARAMETER.findall(pattern)) - {"size"}, missing)
                if not asked:
                    continue
                with self.subTest(name=name, missing=missing), connection.execute_wrapper(self.watched):
                    response = self.client.get(self.address(pattern, **asked))
                    expected = (302,) if name == "job" else (404, 405)
                    assert response.status_code in expected, (name, response.status_code)
                    assert self.written == [], name

    def test_every_answer_carries_the_rules_for_what_it_may_load(self) -> None:
        for pattern, name in addresses():
            with self.subTest(name):
                response = self.client.get(self.address(pattern))
                read_out(response)
                headers = response.headers
                assert "default-src 'self'" in headers["Content-Security-Policy"]
                assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
                assert headers["X-Content-Type-Options"] == "nosniff"
                assert headers["X-Frame-Options"] == "DENY"
                assert headers["Referrer-Policy"] == "same-origin"
                assert "geolocation=()" in headers["Permissions-Policy"]

    def test_every_form_is_sent_once_and_trusted(self) -> None:
        forms = 0
        for pattern, name in addresses():
            response = self.client.get(self.address(pattern))
            read_out(response)
            if response.status_code != 200 or not response.headers["Content-Type"].startswith("text/html"):
                continue
            for form in re.findall(
                r"<form[^>]*method=\"?post.*?</form>", response.content.decode(), re.S | re.I
            ):
                with self.subTest(name):
                    forms += 1
                    assert 'name="csrfmiddlewaretoken"' in form, (name, form[:200])
                    assert 'name="once"' in form, (name, form[:200])
        assert forms > 30
