"""A person pairs pistons and rods, shims valves from the drawer, and prints what was kept; both sizes."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.match_models import MatchDecision
from runningfit.workshop.models import Job, ToBuy
from runningfit.workshop.records.queries import the_shop
from web.joints.matched_shop import a_read_set, bores_and_pistons

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def in_mm() -> None:
    shop = the_shop()
    shop.unit = "mm"
    shop.save()


def test_pistons_and_rods_are_paired_and_kept(any_size: Page, job: Job) -> None:
    in_mm()
    bores_and_pistons(job)
    for name, purpose, typed in (
        ("piston weights", "piston_weights", ("412.0", "418.0", "415.0")),
        ("rod weights", "rod_weights", ("603.0", "611.0", "606.0")),
    ):
        a_read_set(job, name, FeatureKind.WEIGHT, typed, purpose, unit="g")
    page = any_size
    page.goto(f"/jobs/{job.pk}/measure")
    follow(page.get_by_role("link", name="What goes with what"))
    looked_at(page)
    follow(page.get_by_role("link", name="Pistons to bores"))
    looked_at(page)
    page.get_by_label("Least clearance").fill("0.04")
    page.get_by_label("Largest clearance").fill("0.06")
    page.get_by_label("Where that stands").fill("manual p. 14")
    follow(page.get_by_role("button", name="Work it out"))
    expect(page.get_by_role("heading", name="The second best")).to_be_visible()
    expect(page.get_by_label("Least clearance")).to_have_value("0.04")
    looked_at(page)
    follow(page.get_by_role("button", name="Keep the best"))
    expect(page.get_by_role("heading", name="Pistons to bores")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="Pistons and rods by weight"))
    page.get_by_label("May come off each of the one").fill("5")
    page.get_by_label("May come off each of the other").fill("8")
    follow(page.get_by_role("button", name="Work it out"))
    expect(page.get_by_text("1.0 g come off in all")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("button", name="Keep the best"))
    assert MatchDecision.objects.count() == 2
    looked_at(page)


def test_valves_get_shims_from_the_drawer_and_the_rest_is_bought(any_size: Page, job: Job) -> None:
    in_mm()
    a_read_set(job, "valve clearances as found", FeatureKind.GAP, ("0.30", "0.15", "0.05"), "lash")
    page = any_size
    page.goto("/shop")
    follow(page.get_by_role("link", name="Shims"))
    looked_at(page)
    page.get_by_label("Thickness").fill("2.60")
    page.get_by_label("How many are there").fill("1")
    follow(page.get_by_role("button", name="Put it in"))
    looked_at(page)
    follow(page.get_by_role("link", name="2.60 mm"))
    page.get_by_label("Another costs").fill("3.40")
    looked_at(page)
    follow(page.get_by_role("button", name="Keep"))
    follow(page.get_by_role("link", name="From a sheet"))
    looked_at(page)
    page.get_by_label("Or paste it here").fill("shim mm,count\n2.50,0\n2.70,2")
    follow(page.get_by_role("button", name="Take the sheet"))
    expect(page.get_by_text("3 shims of 3 sizes")).to_be_visible()

    page.goto(f"/jobs/{job.pk}/matching/shims")
    looked_at(page)
    follow(page.get_by_role("link", name="Say the valves"))
    # The clearances of the sheet stand there; the shims are added behind them.
    box = page.get_by_label("The valves, one a line")
    expect(box).to_have_value("1; 0.3 mm; \n2; 0.15 mm; \n3; 0.05 mm; ")
    box.fill("1; 0.30; 2.50\n2; 0.15; 2.60\n3; 0.05; 2.40")
    page.get_by_label("Least clearance").fill("0.20")
    page.get_by_label("Largest clearance").fill("0.25")
    looked_at(page)
    follow(page.get_by_role("button", name="Keep the valves"))
    expect(page.get_by_text("valve shim 2.20 mm", exact=False).first).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("button", name="Put them on the list to buy"))
    assert ToBuy.objects.get().what == "valve shim 2.20 mm"
    follow(page.get_by_role("button", name="Keep the best"))
    looked_at(page)
