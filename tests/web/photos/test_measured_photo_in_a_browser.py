"""Two photos with exact truth go the whole way on a phone, measured as in the shop."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.workshop.models import Bag, Lot, PhotoCorrection, PhotoRun
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.records.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PHOTOS = Path(__file__).parents[2] / "data" / "photos"
# A photo of 8 megapixels takes a second or two; a busy machine many times that.
PATIENT_MS = 90_000


def shot(page: Page, name: str) -> None:
    page.locator("#shot-photo").set_input_files(PHOTOS / f"{name}.jpg")
    expect(page.get_by_role("heading", name="What lies on the mat")).to_be_visible(timeout=PATIENT_MS)


def test_a_photo_is_measured_corrected_bagged_and_compared(
    phone: Page, job: Job, place: Place, data_folder: Path
) -> None:
    page = phone
    page.goto("/mats")
    page.get_by_label("What its ruler measures").fill("200 mm")
    page.get_by_label("Where it lies").fill("on the bench")
    follow(page.get_by_role("button", name="Keep it"))
    page.goto(f"/jobs/{job.pk}/hardware")
    shot(page, "bag_before")
    no_serious_faults(page)
    nothing_beside(page)
    run = PhotoRun.objects.get()
    assert run.pieces.count() == 8

    for kind in ("hex_bolt", "hex_bolt"):
        follow(page.locator(".settle").first.get_by_role("link", name="Say what"))
        page.get_by_label("It is a", exact=True).select_option(kind)
        follow(page.get_by_role("button", name="That is what it is"))
    assert PhotoCorrection.objects.count() >= 2

    page.get_by_text("a new one").click()
    follow(page.get_by_role("button", name="Into the books"))
    bag = Bag.objects.get()
    assert sum(count_of(lot).bench for lot in Lot.objects.filter(bag=bag)) == 8

    assert PhotoRun.objects.get().bag == bag
    page.goto(f"/jobs/{job.pk}/hardware?bag={bag.code}")
    shot(page, "bag_after")
    page.goto(f"/jobs/{job.pk}/hardware")
    follow(page.get_by_role("link", name="Compare two photos of one bag"))
    follow(page.get_by_role("button", name="Compare them"))
    expect(page.get_by_role("heading", name="8 before, 7 after")).to_be_visible(timeout=PATIENT_MS)
    no_serious_faults(page)
