"""The Strip step walked through at phone and desk size: say, see, tap, keep, find, take back."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")


@pytest.fixture
def job() -> Job:
    job = open_job(name="Launch", engine_name="Tern", hand=ANN)
    add_donor(job=job, name="Barge", hand=ANN)
    return job


def test_a_line_is_said_seen_tapped_kept_found_and_taken_back(any_size: Page, job: Job) -> None:
    page = any_size
    page.goto(f"/jobs/{job.pk}/strip")
    no_serious_faults(page)
    page.get_by_label("Say what came off").fill("bolts 1/4-20 x 1.3/8 clear gear case bag T1")
    expect(page.locator("#understood")).to_contain_text("how many? hex bolts")
    page.get_by_label("How many are there?").fill("6")
    page.get_by_text("1/4-20 BSW", exact=True).click()
    page.get_by_text("1 3/8 in (34.925 mm)", exact=True).click()
    no_serious_faults(page)
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Kept as lot 1.")).to_be_visible()
    expect(page.get_by_label("Say what came off")).to_have_value("")
    lot = Lot.objects.get()
    assert (lot.end_a, lot.length_nominal) == ("1/4-20 BSW", "1 3/8 in")
    page.get_by_role("searchbox").or_(page.locator("input[name=q]")).first.fill("1/4 W")
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="hex bolts")).to_be_visible()
    no_serious_faults(page)
    follow(page.get_by_role("link", name="hex bolts"))
    no_serious_faults(page)
    page.get_by_role("link", name="take it back").click()
    page.get_by_label("Why is it taken back?").fill("counted on the wrong bench")
    page.get_by_role("button", name="Take it back").click()
    page.goto(f"/jobs/{job.pk}/strip")
    expect(page.get_by_text("Nothing came off yet")).to_be_visible()


def test_typed_words_survive_a_closed_page_and_are_shown_as_understood_again(phone: Page, job: Job) -> None:
    phone.goto(f"/jobs/{job.pk}/strip")
    phone.get_by_label("Say what came off").fill("9 hex bolts 5/16-24 x 1 3/8")
    expect(phone.locator("#understood")).to_contain_text("5/16-24 UNF")
    phone.goto("/")
    phone.goto(f"/jobs/{job.pk}/strip")
    expect(phone.get_by_label("Say what came off")).to_have_value("9 hex bolts 5/16-24 x 1 3/8")
    expect(phone.locator("#understood")).to_contain_text("5/16-24 UNF")


def test_a_dictated_line_is_seen_whole_on_a_phone_stays_one_line_and_enter_sends_it(
    phone: Page, job: Job
) -> None:
    phone.goto(f"/jobs/{job.pk}/strip")
    line = phone.get_by_label("Say what came off")
    one_row = line.bounding_box()
    said = "nine hex bolts five sixteenths twenty four by inch and three eighths\nclear, gear case, bag T1"
    line.fill(said)
    expect(phone.locator("#understood")).to_contain_text("5/16-24 UNF")
    assert line.input_value() == said.replace("\n", " ")
    grown = line.bounding_box()
    assert one_row is not None
    assert grown is not None
    assert grown["height"] > one_row["height"]
    assert line.evaluate("box => box.scrollHeight <= box.clientHeight + 1")
    line.press("Enter")
    expect(phone.get_by_text("Kept as lot 1.")).to_be_visible()
    expect(line).to_have_value("")


def test_a_pulled_thread_makes_its_hole_not_proven_until_it_is_proven(any_size: Page, job: Job) -> None:
    page = any_size
    line = understand_line(job=job, text="9 hex bolts 5/16-24 x 1 3/8, clear, gear case, bag T1")
    keep_understood(job=job, line=line, hand=ANN)
    page.goto(f"/jobs/{job.pk}/areas")
    no_serious_faults(page)
    page.get_by_role("link", name="Places from what came off").click()
    expect(page.get_by_text("cannot show")).to_be_visible()
    page.get_by_role("button", name="Make 1 place, only assumed").click()
    page.goto(f"/jobs/{job.pk}/lots/1")
    page.get_by_text("Say what the thread is like").click()
    page.get_by_text("defective", exact=True).click()
    page.get_by_label("Of how many? (empty: all)").fill("2")
    page.locator("details[open]").get_by_role("button", name="Keep").click()
    expect(page.locator("h1")).to_contain_text("Lot 2")
    place = Place.objects.get()
    page.goto(f"/jobs/{job.pk}/places/{place.pk}")
    expect(page.get_by_text("not proven", exact=True)).to_be_visible()
    no_serious_faults(page)
    page.get_by_text("The thread was proven good").click()
    page.get_by_label("How was it proven?").fill("gauge goes in by hand")
    page.get_by_role("button", name="It is good").click()
    expect(page.get_by_text("good", exact=True)).to_be_visible()
