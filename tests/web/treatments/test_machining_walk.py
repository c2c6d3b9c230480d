"""From worn bores to the machine-shop sheet and back again, by a person in a browser at both sizes."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import Watch, follow, no_serious_faults, nothing_beside
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.models import Consignment, FeatureSet, Job, MachiningOperation
from runningfit.workshop.outside_work.services import send
from runningfit.workshop.records.services import say_shop
from workshop.treatments.worn_engine import ANN, worn

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    say_shop(hand=ANN, unit="mm")
    return worn(job)


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def test_from_the_set_to_the_sheet_and_back(any_size: Page, bores: FeatureSet, watch: Watch) -> None:
    watch.expect_error("status of 400")
    page = any_size
    job = bores.job_id
    want_inspection(
        job=bores.job, said=SaidOfInspection("pressure_test", "cylinder block", gates="machining"), hand=ANN
    )
    page.goto(f"/jobs/{job}/measure/sets/{bores.pk}")
    follow(page.get_by_role("link", name="Machining").first)
    expect(page.get_by_text("Nobody said which steps can be had.")).to_be_visible()
    looked_at(page)
    page.get_by_label("Oversizes that can be had").fill("0.25, 0.50, 0.75, 1.00 mm")
    page.get_by_label("Parts for one, at each").fill("180, 180, 195, 195")
    page.get_by_label("Cutting one").fill("45")
    # What is rarely known lies folded away, a line for each part.
    expect(page.get_by_label("Where no step is enough")).to_be_hidden()
    for part in ("If no step is enough", "How it is cut, and to what size", "What the shop is told"):
        page.get_by_text(part).click()
    looked_at(page)
    page.get_by_label("Where no step is enough").fill("a liner")
    page.get_by_label("Its price, for one").fill("260")
    page.get_by_label("Stock for honing").fill("0.05")
    page.get_by_label("Finished size may be off by").fill("0.010")
    page.get_by_text("following the worn hole").click()
    page.get_by_label("What to keep").fill("the stamped numbers")
    follow(page.locator("#said").get_by_role("button", name="Keep"))
    expect(page.locator(".next")).to_contain_text("Start at 0.25 mm over")
    looked_at(page)

    # On a phone a step is one row, opened by a tap; on the desk all of it stands there.
    bars = page.locator("table.steps tbody tr").first.locator("td svg.chance")
    if page.viewport_size and page.viewport_size["width"] < 700:
        expect(bars.first).to_be_hidden()
        page.locator("table.steps details.more summary").first.click()
    expect(bars.first).to_be_visible()
    expect(bars).to_have_count(5)
    looked_at(page)

    page.locator("table.steps tbody tr").nth(1).get_by_role("radio").check()
    follow(page.get_by_role("button", name="Decide"))
    expect(page.get_by_text("a reason against the computation")).to_be_visible()
    looked_at(page)
    page.locator("table.steps tbody tr").first.get_by_role("radio").check()
    follow(page.get_by_role("button", name="Decide"))
    expect(page.get_by_text("It can be ordered now")).to_be_visible()
    expect(page.locator("table.targets")).to_contain_text("79.615 to 79.635 mm")
    looked_at(page)

    page.get_by_label("Machine shop").fill("Hillside Machine Shop")
    page.get_by_label("Why before the test").fill("they test it before boring")
    follow(page.get_by_role("button", name="Order it"))
    expect(page.get_by_text("On consignment 1. Print its sheet")).to_be_visible()
    looked_at(page)
    sheet = page.get_by_role("link", name="Machine-shop sheet (PDF)").get_attribute("href")
    assert page.request.get(str(sheet)).headers["content-type"] == "application/pdf"
    follow(page.get_by_role("link", name="Consignment 1"))
    expect(page.get_by_role("link", name="Machine-shop sheet")).to_be_visible()

    send(consignment=Consignment.objects.get(), hand=ANN)
    page.goto(f"/jobs/{job}/machining")
    follow(page.get_by_role("link", name="Measure what came back"))
    expect(page.locator("#id_typed")).to_be_focused()
    for row in MachiningOperation.objects.order_by("feature__position"):
        for _place in range(6):
            page.keyboard.type(f"{row.target_mm:.3f}")
            page.keyboard.press("Enter")
    expect(page.locator("#all-read")).to_be_visible()
    expect(page.locator("#unsent")).to_have_text("")
    page.goto(f"/jobs/{job}/machining")
    expect(page.get_by_text("within", exact=True)).to_have_count(4)
    looked_at(page)
    page.get_by_text("What the shop says").click()
    page.get_by_text("No. 2", exact=True).last.click()
    page.get_by_label("The shop's figures and words").fill("No. 2 dark at the top")
    looked_at(page)
    follow(page.get_by_role("button", name="Keep"))
    expect(page.get_by_text("not cleaned up")).to_be_visible()
    looked_at(page)
