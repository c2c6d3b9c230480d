"""From a short place to a built area, walked through on a phone and at a desk."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults
from runningfit.workshop.models import Job
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.places import PlaceFacts, add_area, add_place
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")
FINE = ("5/16-24 UNF",)


@pytest.fixture
def job() -> Job:
    job = open_job(name="Launch engine", engine_name="Pellworth Tern", hand=ANN)
    area = add_area(job=job, name="Gear case", hand=ANN)
    for name, kind, count, length_mm in (
        ("cover bolts", "hex_bolt", 9, 34.925),
        ("cover nuts", "nut", 4, None),
    ):
        facts = PlaceFacts(
            name=name, count=count, basis="holes_counted", kind=kind, end_a=FINE, length_mm=length_mm
        )
        add_place(area=area, facts=facts, hand=ANN)
    keep_lot(job=job, facts=LotFacts(count=6, kind="hex_bolt", end_a=FINE, length_mm=34.9), hand=ANN)
    keep_lot(job=job, facts=LotFacts(count=3, kind="setscrew", end_a=FINE, length_mm=34.925), hand=ANN)
    return job


def test_from_short_to_built(any_size: Page, job: Job) -> None:
    page = any_size
    page.goto("/")
    no_serious_faults(page)
    page.get_by_role("link", name="13 short").click()
    expect(page.get_by_text("9 missing", exact=True)).to_be_visible()
    no_serious_faults(page)
    follow(page.get_by_role("link", name="See what could go where"))
    no_serious_faults(page)
    page.get_by_role("button", name="Keep what is ticked").click()
    expect(page.get_by_text("4 missing", exact=True)).to_be_visible()
    follow(page.get_by_role("link", name="Fill"))
    no_serious_faults(page)
    page.get_by_role("button", name="Put 4 on the list to buy").click()
    follow(page.get_by_role("link", name="To buy", exact=True))
    no_serious_faults(page)
    follow(page.get_by_role("link", name="nuts 5/16-24 UNF"))
    no_serious_faults(page)
    page.get_by_label("Price each, new").fill("0.45")
    page.get_by_role("button", name="Keep the price").click()
    page.get_by_role("link", name="nuts 5/16-24 UNF").click()
    page.get_by_role("button", name="It is ordered").click()
    page.get_by_role("link", name="nuts 5/16-24 UNF").click()
    page.get_by_role("button", name="Take it into the books").click()
    page.get_by_role("link", name="How much, and when").click()
    expect(page.get_by_text("£1.80").first).to_be_visible()
    no_serious_faults(page)
    follow(page.get_by_role("link", name="Foreign and spare"))
    no_serious_faults(page)
    page.get_by_role("link", name="Build", exact=True).click()
    expect(page.get_by_text("ready to build")).to_be_visible()
    no_serious_faults(page)
    follow(page.get_by_role("link", name="Gear case"))
    no_serious_faults(page)
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_role("button", name="Mark what is ticked as fitted").click()
    expect(page.get_by_text("13 fitted.")).to_be_visible()
    expect(page.get_by_text("built", exact=True)).to_be_visible()
