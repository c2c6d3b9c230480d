"""A thread named by keys alone, as a caliper types them, and the pages of threads looked at by axe."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from browsing import look_at_each, no_serious_faults, nothing_beside
from runningfit.workshop.models import Job, Lot, ThreadNaming
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")


@pytest.fixture
def lot(job: Job) -> Lot:
    ends = ("1/4-20 UNC", "1/4-20 BSW")
    return keep_lot(job=job, facts=LotFacts(count=6, kind="hex_bolt", end_a=ends), hand=ANN)


def test_a_thread_is_named_and_kept_by_typed_keys_only(any_size: Page, lot: Lot) -> None:
    page = any_size
    page.goto(f"/jobs/{lot.job_id}/lots/{lot.number}/name")
    no_serious_faults(page)
    page.locator("#id_major").focus()
    page.keyboard.type("6.27")
    page.keyboard.press("Enter")
    expect(page.locator("#id_leaf")).to_be_focused()
    page.keyboard.type("20")
    page.keyboard.press("Enter")
    expect(page.locator("#id_turns_length")).to_be_focused()
    found = page.locator("#found")
    expect(found).to_contain_text("A 55 degree gauge")
    expect(found).to_contain_text("1/4-20 BSW")
    # The address holds what was typed: a page that is loaded again has lost nothing.
    expect(page).to_have_url(re.compile("major=6.27&.*leaf=20"))
    page.reload()
    expect(page.locator("#id_major")).to_have_value("6.27")
    expect(found).to_contain_text("A 55 degree gauge")

    page.locator("#id_turns_length").focus()
    for _ in range(2):
        page.keyboard.press("Enter")
    expect(page.locator("[name=angle]").first).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(found).to_contain_text(re.compile("very likely|almost surely"))
    page.keyboard.press("Enter")
    expect(found).to_be_focused()
    no_serious_faults(page)
    button = page.locator("button[value='1/4-20 UNC']")
    for _ in range(12):
        page.keyboard.press("Tab")
        if button.evaluate("element => element === document.activeElement"):
            break
    page.keyboard.press("Enter")

    expect(page.get_by_role("status")).to_contain_text("lot 1 is 1/4-20 UNC")
    no_serious_faults(page)
    lot.refresh_from_db()
    assert lot.end_a == "1/4-20 UNC"
    assert ThreadNaming.objects.get().typed["angle"] == "60"


def test_a_wrong_entry_is_told_while_it_is_typed_and_stays(phone: Page) -> None:
    phone.goto("/name-a-thread")
    phone.locator("#id_major").fill("7.8x")
    expect(phone.locator("#found")).to_contain_text("Outside diameter: length needs")
    expect(phone.locator("#id_major")).to_have_value("7.8x")
    phone.locator("#id_major").fill("7.87")
    expect(phone.locator("#found")).to_contain_text("read as 7.87 mm")


def test_what_a_bolt_has_and_a_nut_has_not_is_not_asked(phone: Page) -> None:
    phone.goto("/name-a-thread")
    expect(phone.locator("#id_major")).to_be_visible()
    expect(phone.locator("#id_minor")).to_be_hidden()
    phone.get_by_text("nut, hole").click()
    expect(phone.locator("#id_major")).to_be_hidden()
    expect(phone.locator("#id_minor")).to_be_visible()


def test_a_check_offers_the_classes_of_the_thread_as_it_is_named(desk: Page) -> None:
    desk.goto("/check-a-thread")
    desk.get_by_label("Thread", exact=True).fill("M8")
    expect(desk.get_by_label("Class").locator("option").first).to_have_text("6g, the usual one")
    desk.get_by_label("Pitch diameter").fill("7.1")
    expect(desk.locator("#found")).to_contain_text("GO and NO-GO are implied, not proven")
    no_serious_faults(desk)


def test_the_pages_of_threads_are_for_everybody_at_both_sizes(phone: Page, lot: Lot) -> None:
    shown = [
        "/name-a-thread?side=bolt&major=6.27&leaf=20",
        "/name-a-thread/sheet",
        "/threads",
        "/threads?q=5/16",
        "/threads/5/16-24%20UNF",
        "/threads/1/4-18%20NPT",
        "/check-a-thread?side=bolt&named=5/16+UNF&pitch_diameter=7.05&major=7.8",
        f"/jobs/{lot.job_id}/threads",
    ]
    looks = (no_serious_faults, nothing_beside)
    look_at_each(phone, shown, *looks, wide=looks)
