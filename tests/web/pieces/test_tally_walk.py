"""A tally sheet walked through in the browser: forty presses, a question, a take-back, a broken network."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Route, expect

from browsing import Watch, no_serious_faults
from runningfit.workshop.models import Job, Lot, TallyPress, TallySheet
from runningfit.workshop.pieces import tally, tally_reads
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")


@pytest.fixture
def sheet(job: Job) -> TallySheet:
    return tally.open_sheet(job=job, kind="hex_bolt", thread="5/16 UNF", hand=ANN)


def press(page: Page, *readings: str) -> None:
    """What a caliper does: figures, then Enter, with no regard to what the page is at."""
    for reading in readings:
        page.keyboard.type(reading)
        page.keyboard.press("Enter")


def sent(page: Page) -> None:
    expect(page.locator("#unsent")).to_have_text("")


def test_forty_presses_with_a_question_and_a_take_back(any_size: Page, job: Job) -> None:
    page = any_size
    page.goto(f"/jobs/{job.pk}/tally")
    page.get_by_label("What they are").select_option("hex_bolt")
    page.get_by_label("Thread", exact=True).fill("5/16 UNF")
    page.get_by_label("Finish, as it looks").select_option("clear")
    no_serious_faults(page)
    page.get_by_role("button", name="Open the sheet").click()
    expect(page.locator("#id_typed")).to_be_focused()

    press(page, *["34.91", "34.88", "34,95", "38.05"] * 5)
    press(page, "36.50")
    press(page, *["34.90 mm", "47.60", "47.58"] * 6, "47.61")
    sent(page)
    expect(page.locator(".count-so-far")).to_contain_text("40 hex bolts")
    no_serious_faults(page)

    page.get_by_role("button", name="1 1/2 in").click()
    expect(page.get_by_text("Which length?")).to_have_count(0)
    expect(page.locator("#id_typed")).to_be_focused()
    page.get_by_role("button", name="Take back the last").click()
    expect(page.locator(".count-so-far")).to_contain_text("39 hex bolts")
    page.get_by_role("button", name=re.compile("Close the sheet: 3 lots, 39 hex bolts")).click()

    expect(page.get_by_text("What it became")).to_be_visible()
    no_serious_faults(page)
    assert [(lot.length_nominal, count_of(lot).bench) for lot in Lot.objects.order_by("number")] == [
        ("1 3/8 in", 21),
        ("1 1/2 in", 6),
        ("1 7/8 in", 12),
    ]


def test_a_slow_page_takes_no_press_before_it_can_keep_it(phone: Page, sheet: TallySheet) -> None:
    def late(route: Route) -> None:
        phone.wait_for_timeout(700)
        route.continue_()

    phone.route("**/tally*.js", late)
    phone.goto(f"/jobs/{sheet.job_id}/tally/{sheet.pk}", wait_until="commit")
    expect(phone.locator("#id_typed")).to_be_focused()
    press(phone, *["34.91"] * 8)
    sent(phone)
    expect(phone.locator(".count-so-far")).to_contain_text("8 hex bolts")


def test_a_broken_network_a_closed_page_and_a_lost_answer_lose_and_double_nothing(
    phone: Page, sheet: TallySheet, watch: Watch
) -> None:
    watch.expect_error("Failed to load resource")
    address = f"/jobs/{sheet.job_id}/tally/{sheet.pk}"
    phone.goto(address)
    press(phone, "34.91")
    sent(phone)

    phone.route("**/presses", lambda route: route.abort())
    press(phone, "34.92", "34.93", "38.10")
    expect(phone.locator("#unsent")).to_contain_text("3 kept on this device")
    assert TallyPress.objects.count() == 1

    def swallow_the_answer(route: Route) -> None:
        route.fetch()
        route.abort()

    phone.unroute("**/presses")
    phone.route("**/presses", swallow_the_answer)
    phone.reload()
    expect(phone.locator("#unsent")).to_contain_text("kept on this device")
    assert TallyPress.objects.count() == 4

    phone.unroute("**/presses")
    phone.reload()
    sent(phone)
    expect(phone.locator(".count-so-far")).to_contain_text("4 hex bolts")
    assert TallyPress.objects.count() == 4


def test_a_sheet_closed_by_another_leaves_the_presses_to_the_next_sheet(
    phone: Page, sheet: TallySheet, watch: Watch
) -> None:
    watch.expect_error("status of 409")
    phone.goto(f"/jobs/{sheet.job_id}/tally/{sheet.pk}")
    press(phone, "34.91")
    sent(phone)
    tally.close_sheet(sheet=sheet, hand=Hand(who="Ben"))
    press(phone, "38.10")
    expect(phone.locator("#unsent")).to_contain_text("closed meanwhile")

    following = tally.open_sheet(job=sheet.job, kind="hex_bolt", thread="5/16 UNF", hand=ANN)
    phone.goto(f"/jobs/{sheet.job_id}/tally/{following.pk}")
    phone.get_by_role("button", name="Count them on this sheet").click()
    expect(phone.locator(".count-so-far")).to_contain_text("1 hex bolt")
    assert tally_reads.state_of(following).total == 1


def test_what_is_no_reading_is_named_until_it_was_seen(desk: Page, sheet: TallySheet) -> None:
    desk.goto(f"/jobs/{sheet.job_id}/tally/{sheet.pk}")
    press(desk, "34.91", "34.934.9", "34.88")
    sent(desk)
    expect(desk.get_by_role("alert")).to_contain_text("'34.934.9' came")
    expect(desk.locator(".count-so-far")).to_contain_text("2 hex bolts")
    desk.get_by_role("button", name="Close the sheet").click()
    expect(desk.get_by_role("alert")).to_be_visible()
    desk.get_by_role("button", name="Seen").click()
    desk.get_by_role("button", name="Close the sheet").click()
    expect(desk.get_by_text("What it became")).to_be_visible()
