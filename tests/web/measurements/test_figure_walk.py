"""A person types sizes and a degree wheel's readings, and reads the figures of the engine; both sizes."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.models import Job
from runningfit.workshop.records.queries import the_shop
from web.joints.matched_shop import a_read_set

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def test_from_nothing_to_ratio_and_timing_against_the_maker(any_size: Page, job: Job) -> None:
    shop = the_shop()
    shop.unit = "mm"
    shop.save()
    a_read_set(job, "cylinder bores", FeatureKind.BORE, ("79.412", "79.405", "79.409", "79.415"), "bores")
    a_read_set(job, "chambers", FeatureKind.VOLUME, ("42.5", "42.1", "43.4", "42.6"), "chambers", unit="ml")
    page = any_size
    page.goto(f"/jobs/{job.pk}/measure")
    follow(page.get_by_role("link", name="Figures"))
    expect(page.get_by_text("What the figures still need")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="The sizes"))
    for label, typed in (
        ("Stroke", "90.0 ± 0.05"),
        ("Head gasket, tightened", "1.2 ± 0.05"),
        ("Hole of the gasket", "81.0"),
        ("Deck height", "0.40"),
        ("Dish of the piston, ml", "6.0"),
        ("Highest speed, turns a minute", "4500"),
        ("Compression ratio wanted", "8.5"),
        ("Where these come from", "measured"),
    ):
        page.get_by_label(label).fill(typed)
    looked_at(page)
    follow(page.get_by_role("button", name="Keep the sizes"))
    expect(page.get_by_role("heading", name="Compression ratio")).to_be_visible()
    expect(page.get_by_role("img", name="Cylinder 1 at the top of its stroke")).to_be_visible()
    expect(page.get_by_text("makes them even")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="Valve timing"))
    looked_at(page)
    for label, typed in (
        ("Cylinder", "1"),
        ("At the stop, turned forwards", "331"),
        ("At the stop, turned backwards", "31"),
        ("Inlet opens, as the wheel shows it", "349"),
        ("Inlet closes", "230"),
        ("Exhaust opens", "132"),
        ("Exhaust closes", "13"),
    ):
        page.get_by_label(label, exact=True).fill(typed)
    follow(page.get_by_role("button", name="Keep the timing"))
    expect(page.get_by_role("img", name="Valve timing of cylinder 1")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="What the maker gives"))
    page.get_by_label("Of what").select_option("inlet opens before top")
    page.get_by_label("At least").fill("10")
    page.get_by_label("At most").fill("14")
    looked_at(page)
    page.get_by_label("Manual and page").fill("manual p. 9")
    follow(page.get_by_role("button", name="Keep it"))
    expect(page.get_by_text("within", exact=True)).to_be_visible()
    looked_at(page)
