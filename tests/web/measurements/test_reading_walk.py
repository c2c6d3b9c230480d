"""A reading sheet walked through as a gauge types: a whole bore set, a doubt, a re-read, a broken network."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Route, expect

from browsing import Watch, follow, no_serious_faults, nothing_beside
from runningfit.workshop.measurements.queries import set_state
from runningfit.workshop.models import FeatureSet, Job, Reading

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def gauge(page: Page, *readings: str) -> None:
    """What a gauge does: figures, then Enter, with no regard to what the page is at."""
    for reading in readings:
        page.keyboard.type(reading)
        page.keyboard.press("Enter")


def sent(page: Page) -> None:
    expect(page.locator("#unsent")).to_have_text("")


def begun(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/measure")
    no_serious_faults(page)
    nothing_beside(page)
    follow(page.get_by_role("button", name="Make the sheet"))
    no_serious_faults(page)
    nothing_beside(page)
    follow(page.get_by_role("link", name="Go on: cylinder bores, 1"))
    page.locator("details.read-with summary").click()
    page.get_by_label("It stands on").select_option("mm")
    follow(page.get_by_role("button", name="Read with this"))
    expect(page.locator("#id_typed")).to_be_focused()


def test_a_gauge_types_through_a_whole_set_with_a_doubt_and_a_re_read(any_size: Page, job: Job) -> None:
    page = any_size
    begun(page, job)
    expect(page.locator("#its-point")).to_have_text("10 mm down, along the crank")
    expect(page.locator(".at.next")).to_have_count(1)
    no_serious_faults(page)
    nothing_beside(page)

    gauge(page, "79.41", "79.42", "79.40", "7.94")
    expect(page.locator(".asked")).to_contain_text("60 mm down, across it (thrust): 7.940 mm where about")
    expect(page.locator("#its-point")).to_have_text("110 mm down, along the crank")
    no_serious_faults(page)
    nothing_beside(page)
    page.get_by_role("button", name="79.400 mm").click()
    expect(page.locator(".asked")).to_have_count(0)
    expect(page.locator("#id_typed")).to_be_focused()

    # One key goes back to the point before, and the next reading takes its place.
    page.keyboard.press("ArrowUp")
    expect(page.locator("#stands")).to_contain_text("79.4")
    gauge(page, "79.43")
    gauge(page, *(f"79.{n}" for n in range(41, 61)))
    sent(page)
    expect(page.locator("#all-read")).to_be_visible()
    expect(page.locator("table.points caption")).to_have_text("24 of 24 read")
    expect(page.locator(".go-on")).to_contain_text("Go on: main journals")
    no_serious_faults(page)
    nothing_beside(page)

    bores = FeatureSet.objects.get(purpose="bores")
    state = set_state(bores)
    assert state.read_count == 24
    assert state.features[0].points["60@90"].values == [79.43]
    assert state.features[0].points["60@90"].superseded == 1
    assert state.features[3].points["110@90"].values == [79.6]

    # A tap on a point goes there; read again, it is averaged; struck out, it is to be read anew.
    page.locator("a.pt").first.click()
    expect(page.locator("#id_typed")).to_be_focused()
    page.get_by_text("read again, to be averaged").click()
    expect(page.locator("#id_typed")).to_be_focused()
    gauge(page, "79.43")
    expect(page.locator("a.pt").first).to_contain_text("mean of 2")
    page.locator("a.pt").nth(1).click()
    page.get_by_role("button", name="Strike out").click()
    expect(page.locator("table.points caption")).to_have_text("23 of 24 read")
    follow(page.get_by_role("link", name="The sheet"))
    expect(page.locator("table.sheet-sets")).to_contain_text("23/24")


def test_what_was_read_while_the_shop_did_not_answer_is_sent_later(
    phone: Page, job: Job, watch: Watch
) -> None:
    watch.expect_error("Failed to load resource")
    begun(phone, job)

    def broken(route: Route) -> None:
        route.abort()

    readings = re.compile(r"/readings$")
    phone.route(readings, broken)
    gauge(phone, "79.41", "79.42", "800", "79.43")
    expect(phone.locator("#unsent")).to_contain_text("4 kept on this device")
    expect(phone.locator("#its-point")).to_have_text("110 mm down, along the crank")
    assert not Reading.objects.exists()
    phone.reload()
    expect(phone.locator("#its-point")).to_have_text("110 mm down, along the crank")
    phone.unroute(readings)
    phone.reload()
    sent(phone)
    expect(phone.locator(".asked")).to_contain_text("800.000 mm")
    phone.get_by_label("Why it is right as typed").fill("measured with a rule")
    phone.get_by_role("button", name="Keep 800 as typed").click()
    expect(phone.locator(".asked")).to_have_count(0)
    sent(phone)
    rows = list(Reading.objects.order_by("pk").values_list("value", "why"))
    assert rows == [(79.41, ""), (79.42, ""), (79.43, ""), (800.0, "measured with a rule")]


def test_a_sheet_typed_in_the_wrong_unit_is_asked_about_once(phone: Page, job: Job) -> None:
    begun(phone, job)
    gauge(phone, "3.126", "3.127", "3.1255")
    sent(phone)
    whole = phone.locator(".whole-sheet")
    expect(whole).to_contain_text(
        "These 3 readings look typed in inches, and the sheet reads mm: 3.126, 3.127, 3.1255."
    )
    # Each can still be answered by itself, folded away.
    expect(phone.locator("details.one-by-one [data-token]")).to_have_count(3)
    no_serious_faults(phone)
    nothing_beside(phone)
    whole.get_by_role("button", name="The whole sheet is read in inches").click()
    expect(phone.locator("#asked .asked")).to_have_count(0)
    expect(phone.locator("label[for=id_typed]")).to_have_text("Reading in inches")
    gauge(phone, "3.1262")
    sent(phone)
    rows = list(Reading.objects.order_by("pk").values_list("typed", "unit", "why"))
    assert rows == [(typed, "in", "") for typed in ("3.126", "3.127", "3.1255", "3.1262")]
    phone.reload()
    expect(phone.locator("label[for=id_typed]")).to_have_text("Reading in inches")
    expect(phone.locator("table.points caption")).to_have_text("4 of 24 read")
