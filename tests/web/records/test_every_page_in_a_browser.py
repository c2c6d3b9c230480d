"""Every page in a browser at phone and desk size: no serious fault, and nothing beside the page."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import Page

from browsing import look_at_each, no_fault_but_of_colour, no_serious_faults, nothing_beside
from crowded_shop import ROWS, crowded_shop
from every_page import PARAMETER, Filled, addresses, from_the_demo
from runningfit.cli.demo.scenario import build
from runningfit.workshop.models import Lot
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def pages(filled: Filled) -> list[str]:
    """Return the addresses that answer with a whole page."""
    client = Client()
    shown = []
    for pattern, _name in addresses():
        if set(PARAMETER.findall(pattern)) - set(filled.values) - {"number"}:
            continue
        where = filled.address(pattern)
        answer = client.get(where)
        whole = answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html")
        if whole and b"<html" in answer.content:
            shown.append(where)
        answer.close()
    return shown


def test_every_page_of_the_demo_is_for_everybody(phone: Page, data_folder: Path) -> None:
    shown = pages(from_the_demo(build()))
    assert len(shown) > 50
    look_at_each(
        phone, shown, no_serious_faults, nothing_beside, wide=(no_fault_but_of_colour, nothing_beside)
    )


def test_every_page_of_an_empty_shop_is_for_everybody(phone: Page, data_folder: Path) -> None:
    nothing_yet = pages(Filled({}, {}))
    job = open_job(name="Launch engine", engine_name="Pellworth Tern", hand=Hand(who="Ann"))
    nothing_in_it = pages(Filled({"job_id": job.pk}, {}))
    assert len(nothing_yet) > 10
    assert len(nothing_in_it) > 30
    look_at_each(phone, sorted({*nothing_yet, *nothing_in_it}), no_serious_faults, nothing_beside)


def test_no_page_of_a_crowded_shop_scrolls_sideways(phone: Page, data_folder: Path) -> None:
    job = crowded_shop()
    assert Lot.objects.filter(job=job).count() > ROWS
    shown = pages(from_the_demo(job))
    assert len(shown) > 50
    look_at_each(phone, shown, nothing_beside)
