"""The demo's engine from its readings to the machine-shop sheet, typed as a gauge does."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from printed_papers import words_of as printed
from runningfit.cli.demo.scenario import build
from runningfit.workshop.measurements.queries import set_state
from runningfit.workshop.models import FeatureSet, MachiningDecision, MachiningOperation

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]

# The stems from the fifth on, in the order in which the sheet asks; the micrometer sends them one by one.
STEMS = """
    8.704 8.702 8.696 8.694
    8.695 8.694 8.698 8.699 8.691 8.689
    8.699 8.697 8.703 8.701 8.695 8.693
    8.694 8.693 8.698 8.697 8.690 8.688
"""


def seen(page: Page) -> None:
    """The page has no serious fault, and nothing of it lies beside the screen."""
    no_serious_faults(page)
    nothing_beside(page)


def test_from_its_readings_to_the_machine_shop_sheet(any_size: Page, data_folder: Path) -> None:
    page = any_size
    job = build()
    page.goto(f"/jobs/{job.pk}/strip")
    follow(page.get_by_role("link", name="Measure", exact=True))
    stems = page.locator("table.sheet-sets tr", has_text="valve stems")
    expect(stems).to_contain_text("26/48")
    seen(page)

    follow(stems.get_by_role("link", name="valve stems", exact=True))
    expect(page.locator("#its-name")).to_have_text("No. 5")
    expect(page.locator("#its-point")).to_contain_text("45 mm along")
    seen(page)
    for reading in STEMS.split():
        page.keyboard.type(reading)
        page.keyboard.press("Enter")
    expect(page.locator("#unsent")).to_have_text("")
    expect(page.locator("#all-read")).to_be_visible()
    state = set_state(FeatureSet.objects.get(purpose="stems"))
    assert state.read_count == state.point_count == 48
    assert state.features[7].points["70@90"].values == [8.688]
    seen(page)

    follow(page.get_by_role("link", name="The sheet"))
    expect(page.locator("table.sheet-sets tr", has_text="valve stems")).to_contain_text("48/48")
    bores = page.locator("table.sheet-sets tr", has_text="cylinder bores")
    expect(bores).to_contain_text("not sound")
    follow(bores.get_by_role("link", name="cylinder bores: not sound"))
    expect(page.locator("p.verdict")).to_contain_text("not sound")
    expect(page.locator("section.come-to", has_text="No. 3").first).to_contain_text("0.08 mm")
    seen(page)

    follow(page.get_by_role("link", name="Readings", exact=True))
    follow(page.get_by_role("link", name="Machining", exact=True))
    recommended = page.locator("table.steps tr.mark")
    expect(recommended.get_by_role("radio", name="0.50 mm")).to_be_checked()
    seen(page)
    follow(page.get_by_role("button", name="Decide"))
    expect(page.get_by_role("status")).to_contain_text("Decided.")
    assert set(MachiningDecision.objects.get().steps.values()) == {0.5}
    seen(page)

    page.get_by_label("Machine shop").fill("Weir Street Machining (invented)")
    page.get_by_label("Quoted for all of it").fill("177")
    follow(page.get_by_role("button", name="Order it"))
    expect(page.get_by_role("status")).to_contain_text("Print its sheet before it goes.")
    assert MachiningOperation.objects.count() == 4
    seen(page)

    address = page.get_by_role("link", name="Machine-shop sheet").get_attribute("href")
    paper = page.request.get(str(address))
    assert paper.headers["content-type"] == "application/pdf"
    words = printed(paper.body())
    for said in ("Pellworth Tern", "Weir Street Machining", "79.875 mm", "cross-hatch", "20 °C"):
        assert said in words, said
