"""The pages of inspections: wanted, failed, tested again, and the area that waits."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from runningfit.workshop.measurements.models import Inspection
from runningfit.workshop.pieces.models import Area, Place
from runningfit.workshop.records.models import Job

pytestmark = pytest.mark.django_db
WANTED = {"kind": "crack_test", "what": "connecting rods", "gates": "machining"}


def want(client: Client, job: Job, **other: object) -> Inspection:
    answer = client.post(f"/jobs/{job.pk}/inspections/new", {**WANTED, **other})
    assert answer.status_code == 302, answer.content.decode()[:4000]
    return Inspection.objects.latest("pk")


def test_a_test_is_wanted_fails_and_passes_when_tested_again(client: Client, job: Job) -> None:
    one = want(client, job)
    where = f"/jobs/{job.pk}/inspections/{one.pk}"
    assert "Machining waits for it." in client.get(where).content.decode()
    today = f"{timezone.localdate():%Y-%m-%d}"
    failed = {"result": "failed", "tested_on": today, "tested_by": "The crack tester", "certificate": "MT 4"}
    assert client.post(where, failed).status_code == 302
    page = client.post(where, {**failed, "result": "passed"}).content.decode()
    assert "a new test, since the last one failed" in page
    assert 'value="The crack tester"' in page
    passed = {**failed, "result": "passed", "certificate": "MT 5"}
    assert "what was done since it failed" in client.post(where, passed).content.decode()
    assert client.post(where, {**passed, "why": "one rod replaced"}).status_code == 302
    listed = client.get(f"/jobs/{job.pk}/inspections").content.decode()
    assert "Machining may go on." in listed
    assert "hold" not in listed.partition("</main>")[0].partition("<h1")[2]
    past = client.get(where).content.decode()
    assert past.index("passed: crack test") < past.index("failed: crack test")
    assert "one rod replaced" in past


def test_the_list_says_in_words_what_waits_and_how_many_are_done(
    client: Client, job: Job, area: Area
) -> None:
    want(client, job)
    oilways = want(client, job, kind="oilways", what="crankcase", how_many="9", gates="build", area=area.pk)
    result = {"result": "failed", "tested_on": f"{timezone.localdate():%Y-%m-%d}", "tested_by": "Ann"}
    where = f"/jobs/{job.pk}/inspections/{oilways.pk}"
    assert client.post(where, {**result, "how_many": "9", "how_many_done": "7"}).status_code == 302
    page = client.get(f"/jobs/{job.pk}/inspections").content.decode()
    assert "<b>2 tests hold work up:</b>" in page
    assert "<b>Machining waits for it.</b>" in page
    assert f"<b>Building {area.name} waits for it.</b>" in page
    assert '<span class="num">7</span> of <span class="num">9</span> found clear' in page
    wrong = client.post(where, {"result": "", "tested_by": "Ann"})
    assert wrong.status_code == 400
    assert 'value="Ann"' in wrong.content.decode()


def test_oilways_are_counted_on_the_page(client: Client, job: Job) -> None:
    one = want(client, job, kind="oilways", what="crankcase", how_many="14")
    where = f"/jobs/{job.pk}/inspections/{one.pk}"
    result = {"result": "passed", "tested_on": f"{timezone.localdate():%Y-%m-%d}", "tested_by": "Ann"}
    page = client.post(where, {**result, "how_many": "14", "how_many_done": "13"}).content.decode()
    assert "all 14 oilways opened, cleaned and found clear; 13 came" in page
    assert client.post(where, {**result, "how_many": "14", "how_many_done": "14"}).status_code == 302
    assert '<span class="num">14</span> of <span class="num">14</span>' in client.get(where).content.decode()


def test_building_an_area_waits_by_the_name_of_the_test(
    client: Client, job: Job, area: Area, place: Place
) -> None:
    page = client.post(f"/jobs/{job.pk}/inspections/new", {**WANTED, "gates": "build"}).content.decode()
    assert "area needs the area whose building waits for it" in page
    want(client, job, kind="pressure_test", what="gear case", gates="build", area=area.pk)
    said = "Waits for pressure test: gear case: still to be done"
    assert said in client.get(f"/jobs/{job.pk}/build").content.decode()
    kit = client.get(f"/jobs/{job.pk}/build/{area.pk}").content.decode()
    assert said in kit
    assert "Why, if a test has not passed" in kit


def test_a_test_is_changed_and_taken_back(client: Client, job: Job) -> None:
    one = want(client, job)
    where = f"/jobs/{job.pk}/inspections/{one.pk}"
    assert client.post(f"{where}/change", {**WANTED, "what": "rods <b>and</b> caps"}).status_code == 302
    assert "rods &lt;b&gt;and&lt;/b&gt; caps" in client.get(where).content.decode()
    assert client.post(f"{where}/take-back").status_code == 302
    assert "No test is wanted yet" in client.get(f"/jobs/{job.pk}/inspections").content.decode()


def test_a_test_of_another_job_is_not_found(client: Client, job: Job) -> None:
    answer = client.get(f"/jobs/{job.pk}/inspections/77")
    assert answer.status_code == 404
    assert "There is no test 77" in answer.content.decode()
