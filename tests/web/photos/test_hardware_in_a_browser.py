"""From the job's page to lots in a bag at phone size, and two photos of the bag compared."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from browsing import Watch, follow, no_serious_faults, nothing_beside
from hardware_for_tests import BLURRED, TOUCHING, bolt, measured, photo_of, washer
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.models import Bag, Lot, PhotoCorrection, PhotoRun
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.records.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NINE = [bolt(n, at=(50 + 70 * (n % 3), 40 + 30 * (n // 3))) for n in range(9)]
TRAY = measured(
    *(bolt(n + 1, at=item.mat_xy_mm) for n, item in enumerate(NINE)),
    bolt(10, at=(60, 150), kinds={Kind.HEX_BOLT: 0.5, Kind.SETSCREW: 0.5}),
    washer(11, at=(150, 150)),
    bolt(12, at=(210, 150), could_not=TOUCHING),
)


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def kept_as(data: bytes, path: Path) -> Path:
    path.write_bytes(data)
    return path


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def test_a_tray_is_photographed_corrected_and_bagged(
    phone: Page, job: Job, place: Place, data_folder: Path, tmp_path: Path
) -> None:
    page = phone
    page.goto("/mats")
    looked_at(page)
    page.get_by_label("What its ruler measures").fill("0,985")
    page.get_by_label("Where it lies").fill("on the bench")
    follow(page.get_by_role("button", name="Keep it"))
    expect(page.get_by_role("status")).to_contain_text("'0,985' was read as a factor of 0.985")

    # Three presses to the shot: this one, the shutter button, and the phone's own.
    page.goto(f"/jobs/{job.pk}/strip")
    follow(page.get_by_role("link", name="Photograph the hardware"))
    looked_at(page)
    expect(page.get_by_text("Measured by A4 on the bench, scale 0.985.")).to_be_visible()
    page.locator("#shot-photo").set_input_files(kept_as(photo_of(BLURRED), tmp_path / "blurred.jpg"))
    expect(page.get_by_role("heading", name="That could not be measured")).to_be_visible()
    expect(page.get_by_role("alert")).to_contain_text("Hold still, tap the mat to focus on it")
    looked_at(page)

    page.locator("#shot-photo").set_input_files(kept_as(photo_of(TRAY), tmp_path / "tray.jpg"))
    expect(page.get_by_role("heading", name="What lies on the mat")).to_be_visible()
    looked_at(page)
    assert PhotoRun.objects.filter(withdrawn=False).count() == 1
    expect(page.get_by_role("heading", name="2 to look at")).to_be_visible()

    # Two corrections: one by a choice, one set aside.
    follow(page.locator(".settle").first.get_by_role("link", name="Say what it is"))
    looked_at(page)
    page.get_by_label("It is a", exact=True).select_option("setscrew")
    follow(page.get_by_role("button", name="That is what it is"))
    expect(page.get_by_role("heading", name="1 to look at")).to_be_visible()
    follow(page.locator(".settle").first.get_by_role("link", name="Say what it is"))
    follow(page.get_by_role("button", name="It is no piece"))
    expect(page.get_by_role("heading", name="Set aside")).to_be_visible()
    assert sorted(PhotoCorrection.objects.values_list("what", flat=True)) == ["no_piece", "other"]

    page.locator(".belongs select").first.select_option(str(place.pk))
    page.get_by_text("a new one").click()
    follow(page.get_by_role("button", name="Into the books"))
    bag = Bag.objects.get()
    expect(page.get_by_role("status")).to_contain_text(f"Lots 1, 2, 3 are in the books, in bag {bag.code}.")
    looked_at(page)
    lots = list(Lot.objects.order_by("number"))
    assert [(lot.kind, count_of(lot).bench, lot.bag_id, lot.photos.count()) for lot in lots] == [
        ("hex_bolt", 9, bag.pk, 1), ("setscrew", 1, bag.pk, 1), ("plain_washer", 1, bag.pk, 1),
    ]  # fmt: skip
    assert lots[0].place == place


EIGHT = measured(
    *(
        bolt(
            n + 1,
            at=(50 + 60 * (n % 4), 40 + 50 * (n // 4)),
            length_mm=20.7 + 4 * n,
            threads={"5/16-24 UNF": 0.5, "M8x1": 0.3, "5/16-26 BSF": 0.2},
            ask="" if n == 3 else "The pitch over ten turns to 0.05 mm: 10.58 mm is 5/16-24 UNF, 10.0 M8x1.",
        )
        for n in range(8)
    )
)
FORTY = measured(
    *(
        bolt(
            n + 1,
            at=(30 + 27 * (n % 9), 30 + 35 * (n // 9)),
            length_mm=(25.4, 34.9, 44.5, 50.8)[n % 4],
            ask="Hold a caliper to it." if n % 5 == 0 else "",
        )
        for n in range(40)
    )
)


@pytest.mark.parametrize(("tray", "lots", "most_px"), [(EIGHT, 8, 2500), (FORTY, 4, 2000)])
def test_what_lies_on_the_mat_is_a_short_page(
    phone: Page, job: Job, data_folder: Path, tmp_path: Path, tray: MeasuredPhoto, lots: int, most_px: int
) -> None:
    page = phone
    page.goto(f"/jobs/{job.pk}/hardware")
    page.locator("#shot-photo").set_input_files(kept_as(photo_of(tray), tmp_path / "tray.jpg"))
    expect(page.get_by_role("heading", name="What lies on the mat")).to_be_visible()
    looked_at(page)
    expect(page.locator(".lot-row")).to_have_count(lots)
    assert page.evaluate("document.documentElement.scrollHeight") < most_px


def test_a_reload_and_a_lost_network_lose_nothing(
    phone: Page, job: Job, watch: Watch, data_folder: Path, tmp_path: Path
) -> None:
    page = phone
    watch.expect_error("ERR_FAILED")
    page.goto(f"/jobs/{job.pk}/hardware")
    page.route("**/hardware/shot", lambda route: route.abort())
    page.locator("#shot-photo").set_input_files(kept_as(photo_of(TRAY), tmp_path / "tray.jpg"))
    expect(page.get_by_text("Not sent: no connection. The photo is still here.")).to_be_visible()
    page.unroute("**/hardware/shot")
    page.get_by_role("button", name="Send it again").click()
    page.wait_for_url("**/hardware/*")
    page.reload()
    expect(page.get_by_role("heading", name="What lies on the mat")).to_be_visible()
    assert PhotoRun.objects.count() == 1


def test_two_photos_of_a_bag_find_what_is_missing_and_what_was_swapped(
    any_size: Page, job: Job, data_folder: Path, tmp_path: Path
) -> None:
    page = any_size
    bag = Bag.objects.create(job=job, code="T1")
    back = [*NINE[:7], bolt(8, at=(150, 170), length_mm=38.1)]
    for name, items in (("out", NINE), ("back", back)):
        page.goto(f"/jobs/{job.pk}/hardware?bag={bag.code}")
        page.locator("#shot-photo").set_input_files(
            kept_as(photo_of(measured(*items), mark=name), tmp_path / f"{name}.jpg")
        )
        expect(page.get_by_role("heading", name="What lies on the mat")).to_be_visible()
    page.goto(f"/jobs/{job.pk}/hardware")
    follow(page.get_by_role("link", name="Compare two photos of one bag"))
    looked_at(page)
    follow(page.get_by_role("button", name="Compare them"))
    expect(page.get_by_role("heading", name="9 before, 8 after: 1 missing, 1 swapped.")).to_be_visible()
    expect(page.locator(".findings li")).to_have_count(2)
    looked_at(page)
