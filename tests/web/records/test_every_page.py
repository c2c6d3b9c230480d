"""Every address of the project: a GET answers, never writes, and its pages load nothing from elsewhere."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client, TestCase, override_settings
from django.urls import resolve

from every_page import PARAMETER, Filled, addresses, from_the_demo
from page_forms import forms_of
from pictures_for_tests import jpeg
from runningfit.cli.demo.scenario import build
from runningfit.workshop.models import Job, Lot, Record, TallyPress
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand

WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER|TRUNCATE)\b|.*\bFOR UPDATE\b", re.S)
# No bag was chosen to label; the demo's list is not an edited one. The page says so.
ASKS_FOR_MORE = {"labels_pdf": 400, "bench_list_changes": 409}
# What these forms change belongs to the shop, or to this device; the first opens the job again.
NOT_OF_A_JOB = {
    "close_job",
    "who",
    "door",
    "shop",
    "open_job",
    "export_all",
    "outside_shops",
    "outside_shop",
    "make_up",
    "drawer",
    "drawer_shim",
    "import_drawer",
    "add_gauge",
    "gauge",
    "add_check",
    "gauge_scatter",
    "gauge_out_of_use",
    "take_back_check",
    "photo_mats",
    "photo_mat",
    "usual_mat",
    "put_mat_away",
    "photo_corrections",
    "photo_corrections_zip",
}
Execute = Callable[[str, Any, bool, dict[str, Any]], Any]


def read_out(response: Any) -> None:
    """Read a file that is sent to its end, which closes it."""
    if response.streaming:
        b"".join(response.streaming_content)


class TestEveryPage(TestCase):
    """On the demo, in which there is something of everything."""

    job: Job
    filled: Filled

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
        cls.filled = from_the_demo(cls.job)

    def setUp(self) -> None:
        """Watch what the database is asked."""
        self.client = Client()
        self.written: list[str] = []

    def watched(self, execute: Execute, sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
        if WRITES.match(sql) and "django_session" not in sql:
            self.written.append(sql)
        return execute(sql, params, many, context)

    def test_a_get_answers_and_never_writes(self) -> None:
        shown = 0
        for pattern, name in addresses():
            with self.subTest(name), connection.execute_wrapper(self.watched):
                response = self.client.get(self.filled.address(pattern))
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
                    response = self.client.get(self.filled.address(pattern, **asked))
                    expected = (302,) if name == "job" else (404, 405)
                    assert response.status_code in expected, (name, response.status_code)
                    assert self.written == [], name

    def test_every_answer_carries_the_rules_for_what_it_may_load(self) -> None:
        for pattern, name in addresses():
            with self.subTest(name):
                response = self.client.get(self.filled.address(pattern))
                read_out(response)
                headers = response.headers
                assert "default-src 'self'" in headers["Content-Security-Policy"]
                assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
                assert headers["X-Content-Type-Options"] == "nosniff"
                assert headers["X-Frame-Options"] == "DENY"
                assert headers["Referrer-Policy"] == "same-origin"
                assert "geolocation=()" in headers["Permissions-Policy"]

    def test_no_page_shows_a_key_in_the_place_of_a_word(self) -> None:
        """Keys have an underscore, such as zinc_clear; no word of the trade has one."""
        # A sheet of threads tells how the columns of a person's own file are called.
        shown_keys = ("/name-a-thread/sheet", "/threads/sheet")
        patterns = [pattern for pattern, _name in addresses() if not pattern.endswith(shown_keys)]
        seen = [self.filled.address(pattern) for pattern in patterns]
        lots = Lot.objects.filter(job=self.job, withdrawn=False)
        telling = lots.exclude(treatment="", treatment_done="") | lots.filter(findings__isnull=False)
        for number in telling.distinct().values_list("number", flat=True):
            seen += [f"/jobs/{self.job.pk}/lots/{number}{rest}" for rest in ("", "/joint", "/treatments")]
        pages = 0
        for where in dict.fromkeys(seen):
            response = self.client.get(where)
            read_out(response)
            if response.status_code == 200 and response.headers["Content-Type"].startswith("text/html"):
                pages += 1
                shown = re.sub(r"<(script|style).*?</\1>|<[^>]+>", " ", response.content.decode(), flags=re.S)
                # The folder of the tests' data has a name of chance, at times with an underscore.
                shown = re.sub(rf"{re.escape(tempfile.gettempdir())}\S*", " ", shown)
                with self.subTest(where):
                    assert re.findall(r"\b[a-z]+_[a-z_]+\b", shown) == [], where
        assert pages > 70

    def test_every_form_is_sent_once_and_trusted(self) -> None:
        forms = 0
        for pattern, name in addresses():
            response = self.client.get(self.filled.address(pattern))
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

    def test_no_form_on_any_page_changes_a_closed_job(self) -> None:
        close_job(job=self.job, hand=Hand(who="Ann"))
        before = (Record.objects.count(), TallyPress.objects.count())
        refused, sent = 0, set()
        for pattern, name in addresses():
            if name in NOT_OF_A_JOB:
                continue
            where = self.filled.address(pattern)
            response = self.client.get(where)
            read_out(response)
            if response.status_code != 200 or not response.headers["Content-Type"].startswith("text/html"):
                continue
            for form in forms_of(response.content.decode(), where):
                path = form.action.partition("?")[0]
                if path in sent or resolve(path).url_name in NOT_OF_A_JOB:
                    continue
                sent.add(path)
                with self.subTest(path):
                    files = {"photo": SimpleUploadedFile("a.jpg", jpeg())} if form.asks_for_files else {}
                    answer = self.client.post(form.action, {**form.values, **files})
                    refused += "was closed on" in answer.content.decode()
                    assert (Record.objects.count(), TallyPress.objects.count()) == before, path
        assert refused > 30, refused

    def test_every_page_of_a_closed_job_says_so_at_the_top(self) -> None:
        close_job(job=self.job, hand=Hand(who="Ann"))
        said = 0
        for pattern, name in addresses():
            response = self.client.get(self.filled.address(pattern))
            read_out(response)
            if response.status_code == 200 and b'<nav class="way"' in b"".join(response):
                with self.subTest(name):
                    assert "This job was closed on" in response.content.decode(), name
                    said += 1
        assert said > 30
