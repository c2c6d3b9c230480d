"""Snap, name, and find the bag again by its label, as a phone and an office screen do it."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browsing import no_serious_faults
from pictures_for_tests import jpeg
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_photos_are_snapped_named_and_found_by_their_bag(
    any_size: Page, data_folder: Path, tmp_path: Path
) -> None:
    page = any_size
    job = open_job(name="Tern", engine_name="Pellworth Tern", hand=Hand(who="Ada"))
    files = []
    for number in range(3):
        path = tmp_path / f"photo-{number}.jpg"
        path.write_bytes(jpeg(800 + number, 600))
        files.append(path)
    page.goto(f"/jobs/{job.pk}/snap")
    no_serious_faults(page)
    page.get_by_label("another").or_(page.get_by_label("which")).first.fill("Gear case")
    page.get_by_text("a new one").click()
    page.locator("#photo").set_input_files(files[:2])
    page.get_by_role("button", name="Keep 2 photos").click()
    expect(page.locator(".sent figure")).to_have_count(2)
    bag = Bag.objects.get()
    assert Photo.objects.filter(bag=bag, area__name="Gear case").count() == 2

    # The next one needs the shutter and one more tap: area and bag are remembered.
    page.goto(f"/jobs/{job.pk}/snap")
    page.locator("#photo").set_input_files(files[2])
    page.get_by_role("button", name="Keep 1 photo").click()
    expect(page.locator(".sent figure")).to_have_count(1)
    assert Photo.objects.filter(bag=bag).count() == 3

    page.goto(f"/jobs/{job.pk}/inbox")
    no_serious_faults(page)
    page.locator("#id_line").fill("9 hex bolts 5/16-24 UNF x 1 3/8, clear, 2 with pulled threads")
    expect(page.locator("#understood")).to_contain_text("9 hex bolts")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("Kept as lot 1 and lot 2")
    assert Lot.objects.filter(bag=bag, area__name="Gear case").count() == 2
    assert Lot.objects.get(number=1).photos.count() == 1

    page.goto(f"/b/{job.pk}/{bag.code.lower()}")
    expect(page.locator(".held .big").first).to_have_text("7")
    no_serious_faults(page)
    page.get_by_role("button", name="All here as written").click()
    expect(page.get_by_role("status")).to_contain_text("All as written")
    page.get_by_role("link", name="Print its label").click()
    expect(page.get_by_text("labels carry no QR code")).to_be_visible()
    no_serious_faults(page)
    page.goto(f"/jobs/{job.pk}/bags")
    no_serious_faults(page)


def test_a_photo_that_the_network_lost_is_sent_again_and_kept_once(
    phone: Page, data_folder: Path, tmp_path: Path
) -> None:
    page = phone
    job = open_job(name="Tern", engine_name="Pellworth Tern", hand=Hand(who="Ada"))
    path = tmp_path / "photo.jpg"
    path.write_bytes(jpeg())
    page.goto(f"/jobs/{job.pk}/snap")
    page.locator("#photo").set_input_files(path)
    # The photo arrives and the answer is lost, as in the corner of a workshop.
    page.evaluate(
        """() => {
        const send = XMLHttpRequest.prototype.send;
        XMLHttpRequest.prototype.send = function (body) {
          XMLHttpRequest.prototype.send = send;
          const hear = this.onerror;
          this.addEventListener("load", (event) => { event.stopImmediatePropagation(); });
          const loaded = this.onload;
          this.onload = null;
          this.addEventListener("loadend", () => hear());
          send.call(this, body);
        };
      }"""
    )
    page.get_by_role("button", name="Keep 1 photo").click()
    expect(page.get_by_text("Not sent: no connection")).to_be_visible()
    assert Photo.objects.count() == 1
    page.get_by_role("button", name="Send 1 again").click()
    expect(page.get_by_text("kept before")).to_be_visible()
    assert Photo.objects.count() == 1


def test_the_form_works_without_the_script(desk: Page, data_folder: Path, tmp_path: Path) -> None:
    job = open_job(name="Tern", engine_name="Pellworth Tern", hand=Hand(who="Ada"))
    path = tmp_path / "photo.jpg"
    path.write_bytes(jpeg())
    desk.route("**/snap.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    desk.goto(f"/jobs/{job.pk}/snap")
    desk.locator("#photo").set_input_files(path)
    desk.get_by_role("button", name="Keep", exact=True).click()
    expect(desk.get_by_role("status")).to_contain_text("1 photo kept")
    assert Photo.objects.count() == 1
