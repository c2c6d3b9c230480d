"""The pages of one job itself, of the loose stock and of the shop: closing, reopening, phones, copies."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.test import Client

from browsing import follow, no_serious_faults
from runningfit.core.errors import Conflict
from runningfit.workshop.models import Job, Record
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.records.queries import loose_stock
from runningfit.workshop.records.services import close_job, reopen_job
from runningfit.workshop.records.writing import Hand

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from pytest_django.fixtures import Settings

pytestmark = pytest.mark.django_db(transaction=True)
ANN = Hand(who="Ann")
SMALL_TARGETS = """() => [...document.querySelectorAll('main a, main button, .cover a, .cover input')]
    .filter((one) => one.getBoundingClientRect().height > 0)
    .map((one) => [one.innerText, Math.round(one.getBoundingClientRect().height)])
    .filter(([, height]) => height < 46)"""


def test_a_job_takes_another_name_and_day(client: Client, job: Job) -> None:
    client.post(f"/jobs/{job.pk}/about", {"name": "Launch, hull 7", "wanted_by": "2027-03-01", "note": ""})
    page = client.get("/").content.decode()
    assert "Launch, hull 7" in page
    assert "wanted by 1 Mar 2027" in page


def test_a_job_without_a_name_is_refused_and_keeps_its_own(client: Client, job: Job) -> None:
    page = client.post(f"/jobs/{job.pk}/about", {"name": " ", "wanted_by": "2027-03-01"}).content.decode()
    assert 'value="2027-03-01"' in page
    assert 'role="alert"' in page
    job.refresh_from_db()
    assert job.name == "Launch engine"


def test_a_closed_job_leaves_the_front_page_and_comes_back(client: Client, job: Job) -> None:
    client.post(f"/jobs/{job.pk}/close", {"why": "she runs"})
    page = client.get("/").content.decode()
    assert "Closed jobs" in page
    assert "No job is open." in page
    assert f'href="/jobs/{job.pk}/about"' in page
    assert "closed" in client.get(f"/jobs/{job.pk}/strip").content.decode()
    assert Record.objects.get(verb="close_job").why == "she runs"
    client.post(f"/jobs/{job.pk}/close")
    assert "Closed jobs" not in client.get("/").content.decode()


def test_what_is_closed_is_not_closed_again_and_the_stock_never(job: Job) -> None:
    with pytest.raises(Conflict, match="is open already"):
        reopen_job(job=job, hand=ANN)
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match="was closed on"):
        close_job(job=job, hand=ANN)
    stock = loose_stock()
    assert stock is not None
    with pytest.raises(Conflict, match="The loose stock is never closed"):
        close_job(job=stock, hand=ANN)


def test_the_loose_stock_offers_no_step_that_does_nothing(client: Client, job: Job) -> None:
    stock = loose_stock()
    assert stock is not None
    lot = keep_lot(job=stock, facts=LotFacts(count=40, kind="plain_washer"), hand=ANN)
    for address in ("strip", "about", "bags", "history", f"lots/{lot.number}"):
        page = client.get(f"/jobs/{stock.pk}/{address}").content.decode()
        for step in ("plan", "build", "areas", "close", "donors/new"):
            assert f'/jobs/{stock.pk}/{step}"' not in page, (address, step)
        assert "Say which engine" not in page
        assert f'href="/jobs/{stock.pk}/send"' in page


def test_the_shop_says_how_phones_get_in_and_where_its_copies_are(
    client: Client, settings: Settings, data_folder: Path
) -> None:
    page = client.get("/shop").content.decode()
    assert "runningfit passcode" in page
    assert "runningfit --lan" in page
    assert "no backup yet" in page
    (data_folder / "backups").mkdir()
    (data_folder / "backups" / "one.zip").write_bytes(b"")
    (data_folder / "passcode").write_text("set")
    page = client.get("/shop").content.decode()
    assert "A passcode is set already" in page
    assert "Last backup:" in page


def test_the_history_of_one_row_is_shown_across_the_jobs(client: Client, job: Job) -> None:
    lot = keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN)
    page = client.get(f"/history?of=lot&id={lot.pk}").content.decode()
    assert "Only lot 1." in page
    assert "kept lot 1" in page
    assert "opened the job" not in page


def test_an_act_is_told_in_words_not_in_columns(client: Client, job: Job) -> None:
    keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt", end_a=("1/4-20 UNC", "1/4-20 BSW")), hand=ANN)
    page = client.get(f"/history/{Record.objects.latest('pk').pk}").content.decode()
    assert "lot 1, new" in page
    assert "hex bolt" in page
    assert "1/4-20 UNC or 1/4-20 BSW" in page
    for column in ("end_a", "job_id", "hex_bolt", "length_mm"):
        assert column not in page


def test_the_front_page_the_shop_and_the_job_at_both_sizes(any_size: Page, job: Job) -> None:
    for address in ("/", "/shop", f"/jobs/{job.pk}/about", "/history"):
        any_size.goto(address)
        no_serious_faults(any_size)
        assert any_size.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
        assert any_size.evaluate(SMALL_TARGETS) == [], address
    any_size.goto("/")
    any_size.get_by_role("link", name="Outside work").click()
    any_size.get_by_role("link", name="All jobs").click()
    follow(any_size.get_by_role("link", name="The shop", exact=True))
    assert any_size.get_by_text("runningfit --lan").is_visible()
