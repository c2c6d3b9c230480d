"""A person has the usual fits judged, types the maker's limits and hot temperatures, looks at each pair."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from browsing import Watch, follow, no_serious_faults, nothing_beside
from fits_to_judge import ANN, gauges, main_bearings, number, piston_fit, pistons_in_bores, read_set
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.fit_typed import TypedSpan, typed_grades
from runningfit.workshop.joints.fits import SaidOfFit, add_fit
from runningfit.workshop.models import Job, MachiningPlan, RunningFit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def test_from_the_sheet_to_a_verdict_on_each_pair(any_size: Page, job: Job, watch: Watch) -> None:
    page = any_size
    watch.expect_error("status of 400")
    pistons_in_bores(job)
    page.goto(f"/jobs/{job.pk}/measure")
    follow(page.get_by_role("link", name="Fits", exact=True))
    looked_at(page)
    follow(page.get_by_role("button", name="Judge these fits"))
    expect(page.get_by_role("heading", name="Not proven")).to_be_visible()
    looked_at(page)

    follow(page.get_by_role("link", name="pistons in their bores, 1"))
    expect(page.get_by_role("img", name="piston in bore")).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="Type the maker's"))
    page.get_by_label("New, at least").fill("0.03 mm")
    page.get_by_label("New, at most").fill("0.02 mm")
    page.get_by_label("Worn, at most").fill("0.12 mm")
    page.get_by_label("Where the limits come from").select_option("manual")
    page.get_by_label("Page, or whose figure it is").fill("page 12")
    page.get_by_text("Metals, and how hot they run").click()
    page.get_by_label("The part around runs at, °C").fill("80")
    page.get_by_label("The part within runs at, °C").fill("80 to 85")
    looked_at(page)
    follow(page.get_by_role("button", name="Keep"))
    expect(page.get_by_text("They are upside down, or the same.")).to_be_visible()
    expect(page.get_by_label("Worn, at most")).to_have_value("0.12 mm")
    looked_at(page)
    page.get_by_label("New, at most").fill("0.07 mm")
    follow(page.get_by_role("button", name="Keep"))

    # The worst pair comes first: the second bore is worn.
    expect(page.get_by_role("heading", level=1)).to_have_text("pistons in their bores, 2")
    expect(page.locator(".verdict .stamp")).to_have_text("not sound")
    looked_at(page)
    follow(page.get_by_role("navigation", name="The pairs of this fit").get_by_role("link").nth(0))
    expect(page.get_by_role("img", name=re.compile("hot"))).to_be_visible()
    looked_at(page)
    follow(page.get_by_role("link", name="All fits"))
    expect(page.locator("section.part").first.get_by_role("heading")).to_contain_text("Needs you")
    looked_at(page)
    follow(page.get_by_role("link", name="Judge", exact=True))
    expect(page.get_by_text(re.compile(r"\d needs? you"))).to_be_visible()
    looked_at(page)


def test_shells_by_grade_and_a_fit_of_ones_own(any_size: Page, job: Job) -> None:
    page = any_size
    housings, mains = main_bearings(job)
    grades, typed = typed_grades("shell grades", "red 1.826 1.829\nblue 1.830 1.833", unit="mm")
    said = SaidOfFit(
        "bearing", "main bearings", housings, mains, new_lower=number(0.03), new_upper=number(0.06),
        basis="manual", source="page 40", shell_grades=grades, shell_grades_typed=typed,
    )  # fmt: skip
    fit = add_fit(job=job, said=said, hand=ANN)
    page.goto(f"/jobs/{job.pk}/fits/{fit.pk}")
    expect(page.get_by_role("heading", name="Which shells")).to_be_visible()
    looked_at(page)
    page.goto(f"/jobs/{job.pk}/fits/new")
    page.get_by_label("What it is").fill("mains with their shells in")
    page.get_by_label("What sort of fit").select_option("bush")
    page.get_by_label("The part around").first.select_option(str(housings.pk))
    page.get_by_label("The part within").first.select_option(str(mains.pk))
    looked_at(page)
    follow(page.get_by_role("button", name="Keep"))
    expect(page.locator(".verdict .stamp")).to_have_text("cannot tell yet")
    looked_at(page)
    assert RunningFit.objects.count() == 2


def test_a_press_fit_with_its_heat_and_a_plan_with_its_steps(any_size: Page, job: Job) -> None:
    page = any_size
    outside, inside = gauges()
    holes = read_set(job, FeatureKind.BORE, "guide holes", {"1": (13.000, 13.001)}, inside, nominal=13)
    guides = read_set(job, FeatureKind.SHAFT, "guides", {"1": (13.035,)}, outside, material="steel")
    said = SaidOfFit(
        "press", "guides in the head", holes, guides, outer=number(30), inner_bore=number(8),
        length=number(40), friction=TypedSpan(0.1, 0.15, "0.10 to 0.15"),
    )  # fmt: skip
    fit = add_fit(job=job, said=said, hand=ANN)
    page.goto(f"/jobs/{job.pk}/fits/{fit.pk}")
    expect(page.get_by_text("heat the outer part alone to")).to_be_visible()
    looked_at(page)
    bores = piston_fit(job)
    MachiningPlan.objects.create(
        feature_set=bores.hole_set, steps=[{"step_mm": 0.25}, {"step_mm": 0.5}], target_tolerance_mm=0.01
    )
    page.goto(f"/jobs/{job.pk}/fits/{bores.pk}")
    expect(page.get_by_role("heading", name="What machining cylinder bores would give")).to_be_visible()
    looked_at(page)
