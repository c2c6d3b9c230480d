"""The pages of jobs and of the history: what happened, taking it back, everything out in one file."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pytest
from django.test import Client

from runningfit.workshop.models import Engine, Job, Lot, Record
from runningfit.workshop.outside_work.services import Share, make_up
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot, split_lot
from runningfit.workshop.records.services import change_job, open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BEN = Hand(who="Ben", why="they were twins")


@pytest.fixture
def lot(job: Job) -> Lot:
    return keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN)


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found is not None
    return found[1]


def test_a_job_is_opened_once_though_its_form_came_twice(client: Client) -> None:
    typed = {"name": "Launch engine", "engine_name": "Tern", "once": "form-7"}
    first = client.post("/jobs/new", typed)
    second = client.post("/jobs/new", typed, follow=True)
    job = Job.objects.get(is_stock=False)
    assert first.headers["Location"] == f"/jobs/{job.pk}/strip"
    assert "This form was already kept; nothing was done twice." in second.content.decode()


def test_a_window_that_runs_backwards_is_refused_and_nothing_typed_is_lost(client: Client) -> None:
    typed = {"name": "Launch", "engine_name": "Tern", "built_from": "1960-01-01", "built_to": "1959-01-01"}
    page = client.post("/jobs/new", typed).content.decode()
    assert "a date not before 01 Jan 1960" in page
    assert 'value="Launch"' in page
    assert 'value="1959-01-01"' in page
    assert not Engine.objects.exists()


def test_the_history_says_who_when_and_why_and_goes_back_page_by_page(client: Client, lot: Lot) -> None:
    for number in range(120):
        change_lot(lot=lot, hand=BEN, condition=f"looked {number} times")
    page = client.get(f"/jobs/{lot.job_id}/history?of=lot&id={lot.pk}").content.decode()
    assert "Ben" in page
    older = re.search(r'href="([^"]*before=\d+[^"]*)"', page)
    assert older is not None
    where = older[1].replace("&amp;", "&")
    back = client.get(where if where.startswith("/") else f"/jobs/{lot.job_id}/history{where}")
    assert "kept lot 1: 9 hex bolt" in back.content.decode()
    assert "they were twins" in client.get("/history").content.decode()


@pytest.mark.parametrize(
    "query", ["of=lot&id=²", "of=lot&id=9" + "9" * 40, "before=²", "before=" + "9" * 40, "of=x&id=1"]
)
def test_an_address_typed_wrongly_shows_the_history_all_the_same(
    client: Client, job: Job, query: str
) -> None:
    assert client.get(f"/jobs/{job.pk}/history?{query}").status_code == 200
    assert client.get(f"/history?{query}").status_code == 200


def test_an_act_is_taken_back_on_its_page_with_a_reason(client: Client, lot: Lot) -> None:
    split_lot(lot=lot, count=2, hand=ANN)
    act = Record.objects.latest("pk")
    where = f"/history/{act.pk}"
    page = client.get(where).content.decode()
    without = client.post(where, {"why": ""})
    assert without.status_code == 200
    assert not Record.objects.filter(reverses=act).exists()
    sent = {"why": "they were twins", "once": hidden(page, "once"), "seen": hidden(page, "seen")}
    assert client.post(where, sent).headers["Location"] == where
    assert Lot.objects.get(number=2).withdrawn
    again = client.post(where, sent, follow=True)
    assert "nothing was done twice" in again.content.decode()
    after = client.get(where).content.decode()
    assert "they were twins" in after
    assert "Take it back" not in after


def test_the_page_of_an_act_names_what_depends_on_it(client: Client, lot: Lot) -> None:
    kept = Record.objects.latest("pk")
    split_lot(lot=lot, count=2, hand=BEN)
    page = client.get(f"/history/{kept.pk}").content.decode()
    assert "This cannot be taken back while" in page
    assert "split 2 off lot 1 as lot 2" in page
    answer = client.post(f"/history/{kept.pk}", {"why": "a slip"})
    assert "This cannot be taken back while" in answer.content.decode()
    assert not Record.objects.filter(reverses=kept).exists()


def test_the_page_of_a_big_import_asks_the_database_little(
    client: Client, job: Job, django_assert_max_num_queries: object
) -> None:
    from runningfit.workshop.pieces.lots import keep_lots
    from runningfit.workshop.records.writing import write

    with write(verb="import", summary="took in a list", hand=ANN, job=job) as entry:
        keep_lots(entry, job=job, facts=[LotFacts(count=1)] * 2000)
    with django_assert_max_num_queries(30):  # type: ignore[operator]
        page = client.get(f"/history/{entry.record.pk}").content.decode()
    assert "and 1800 more rows" in page, [t for t in page.splitlines() if "more" in t]


def test_what_is_not_there_is_said(client: Client) -> None:
    answer = client.get("/history/4711")
    assert answer.status_code == 404
    assert "There is no entry 4711 in the history." in answer.content.decode()


def test_everything_comes_out_as_one_file(client: Client, lot: Lot, data_folder: Path) -> None:
    assert client.get("/export").status_code == 405
    answer = client.post("/export")
    assert re.fullmatch(
        r'attachment; filename="running-fit-\d{8}-\d{4}\.zip"', answer.headers["Content-Disposition"]
    )
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as archive:  # type: ignore[attr-defined]
        assert "tables/Lot.csv" in archive.namelist()


def test_an_engine_that_somebody_else_changed_is_not_written_over(client: Client, job: Job) -> None:
    engine = job.engines.get()
    where = f"/jobs/{job.pk}/engines/{engine.pk}"
    seen = hidden(client.get(where).content.decode(), "seen")
    client.post(where, {"engine_name": "Pellworth Tern", "engine_number": "T 117"})
    late = client.post(where, {"engine_name": "Pellworth Tern", "engine_number": "T 171", "seen": seen})
    assert "changed the number of Pellworth Tern" in late.content.decode()
    assert 'value="T 171"' in late.content.decode()
    engine.refresh_from_db()
    assert engine.number == "T 117"


def test_a_job_that_was_changed_says_so_in_its_history(client: Client, job: Job) -> None:
    change_job(job=job, hand=BEN, note="hull first")
    assert "changed the job Launch engine" in client.get(f"/jobs/{job.pk}/history").content.decode()


def test_what_spans_two_jobs_stands_in_the_history_of_each(client: Client) -> None:
    jobs = [open_job(name=name, engine_name="Pellworth Tern", hand=ANN) for name in ("Launch", "Saw bench")]
    lots = [keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN) for job in jobs]
    say_treatment(lots=lots, treatment="zinc_clear", hand=ANN)
    shares = [Share(Lot.objects.get(pk=lot.pk)) for lot in lots]
    make_up(shop_name="The plater", shares=shares, hand=ANN)
    for job in jobs:
        page = client.get(f"/jobs/{job.pk}/history").content.decode()
        assert page.count("made up consignment 1 for The plater") == 1
        assert page.index("made up consignment 1") < page.index("kept lot 1")
    only = open_job(name="Third", engine_name="Pellworth Wren", hand=ANN)
    assert "consignment 1" not in client.get(f"/jobs/{only.pk}/history").content.decode()


def test_a_form_sent_back_as_it_was_says_that_nothing_changed(client: Client) -> None:
    job = open_job(name="Launch", engine_name="Pellworth Tern", hand=ANN)
    before = Record.objects.count()
    answer = client.post(f"/jobs/{job.pk}/about", {"name": "Launch"}, HTTP_REFERER="/")
    assert answer.status_code == 302
    assert "Nothing was changed" in client.get("/").content.decode()
    assert Record.objects.count() == before
