"""A person puts gauges in, checks and tries them, and keeps a test: at both sizes, in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import Watch, follow, no_serious_faults, nothing_beside
from runningfit.workshop.measurements.models import Instrument
from runningfit.workshop.pieces.models import Area
from runningfit.workshop.records.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def test_from_an_empty_cupboard_to_a_budget_with_a_drift(any_size: Page) -> None:
    page = any_size
    page.goto("/shop")
    follow(page.get_by_role("link", name="Gauges"))
    looked_at(page)
    follow(page.get_by_role("link", name="Put a gauge in"))
    page.get_by_label("What you call it").fill("micrometer 75 to 100")
    page.get_by_label("Smallest step it shows").fill("0.001")
    page.get_by_text("What it is set on").click()
    page.get_by_label("Ring or block that it is set on").fill("75")
    page.get_by_label("How sure that size is").fill("0.0008")
    page.get_by_label("Drift", exact=True).fill("0.002")
    looked_at(page)
    follow(page.get_by_role("button", name="Put it in"))
    expect(page.get_by_text("never checked").first).to_be_visible()
    looked_at(page)

    for day, read in (("2026-01-10", "75.002"), ("2026-06-10", "75.004")):
        follow(page.get_by_role("link", name="Check it on its ring"))
        page.get_by_label("On", exact=True).fill(day)
        page.get_by_label("What it read on the ring").fill(read)
        looked_at(page)
        follow(page.get_by_role("button", name="Keep the check"))
    expect(page.get_by_text("reads 0.004 mm too much")).to_be_visible()
    expect(page.get_by_role("img", name="Errors of its checks")).to_be_visible()

    follow(page.get_by_role("link", name="Try how far it scatters"))
    looked_at(page)
    box = page.get_by_label("Ten readings of one place")
    box.focus()
    for read in (
        "80.001",
        "80.002",
        "80.001",
        "80.003",
        "80.002",
        "80.000",
        "80.002",
        "80.001",
        "80.002",
        "80.001",
    ):
        page.keyboard.type(read)
        page.keyboard.press("Enter")
    follow(page.get_by_role("button", name="Keep the scatter"))
    expect(page.get_by_text("tried: 10 readings of one place")).to_be_visible()
    expect(page.get_by_text("weighs most")).to_have_count(1)
    looked_at(page)
    follow(page.get_by_role("link", name="All gauges"))
    expect(page.get_by_text("is shared by all its readings", exact=False).first).to_be_visible()
    looked_at(page)
    assert Instrument.objects.get().repeat_dof == 9


def test_a_test_is_wanted_and_its_result_kept(any_size: Page, job: Job, area: Area, watch: Watch) -> None:
    watch.expect_error("status of 400")
    page = any_size
    page.goto(f"/jobs/{job.pk}/inspections")
    looked_at(page)
    follow(page.get_by_role("link", name="Want a test"))
    looked_at(page)
    page.get_by_text("oilways opened, cleaned and counted").click()
    page.get_by_label("What is tested").fill("gear case")
    page.get_by_text("building that area").click()
    page.get_by_label("Where", exact=True).select_option("Gear case")
    page.get_by_label("How many in all").fill("6")
    follow(page.get_by_role("button", name="Want it"))
    expect(page.get_by_text("1 test holds work up:")).to_be_visible()
    expect(page.get_by_text("Building Gear case waits for it.")).to_be_visible()
    looked_at(page)
    page.goto(f"/jobs/{job.pk}/build")
    expect(page.get_by_text("Waits for oilways opened, cleaned and counted: gear case")).to_be_visible()
    page.go_back()
    follow(page.get_by_role("link", name="gear case", exact=False).first)
    looked_at(page)
    page.get_by_text("passed", exact=True).click()
    page.get_by_label("Tested by").fill("Ann")
    page.get_by_label("found clear").fill("5")
    follow(page.get_by_role("button", name="Keep the result"))
    expect(page.get_by_text("all 6 oilways opened")).to_be_visible()
    looked_at(page)
    page.get_by_label("found clear").fill("6")
    follow(page.get_by_role("button", name="Keep the result"))
    expect(page.get_by_text("Building Gear case may go on.")).to_be_visible()
