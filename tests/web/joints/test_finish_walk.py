"""The plater delivers another finish: back, no figure, confirmed, and another figure than the maker's."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import say_of_lot, say_of_place
from runningfit.workshop.models import Job, Lot, Place
from runningfit.workshop.outside_work.services import Share, make_up, send
from runningfit.workshop.outside_work.treating import say_treatment
from web.joints.judged_shop import ANN, SOUND, a_lot, a_place

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def sent_for(job: Job, name: str, treatment: str, *, made_for: str) -> Lot:
    """Bolts of a place whose torque was made for a condition, sent away; they go in dry."""
    place = a_place(job, name)
    said = replace(SOUND, torque_assumed=made_for, lubricant="dry")
    say_of_place(place=place, said=said, hand=ANN)
    lot = a_lot(job, Place.objects.get(pk=place.pk))
    # Soft enough that no bath harms them.
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", looks_sound=True, coat="5um"), hand=ANN)
    say_treatment(lots=[lot], treatment=treatment, hand=ANN)
    lot = Lot.objects.get(pk=lot.pk)
    send(consignment=make_up(shop_name="The plater", shares=[Share(lot)], hand=ANN), hand=ANN)
    return lot


def back_and_confirmed(page: Page, number: int, process: str) -> None:
    page.goto(f"/outside/{number}/count-back")
    follow(page.get_by_role("button", name="All 4 here, as asked"))
    no_serious_faults(page)
    nothing_beside(page)
    follow(page.get_by_role("link", name="Say which finish came"))
    no_serious_faults(page)
    nothing_beside(page)
    page.locator("label.tap", has_text=re.compile(rf"^\s*{process}\s*$")).click()
    page.locator("label.tap", has_text="asked by phone").click()
    page.get_by_label("Who said it, which test").fill("Odette")
    page.get_by_role("button", name="Confirm it").click()
    expect(page.get_by_role("status")).to_contain_text("It is not the finish that was asked for")
    expect(page.locator("tr", has_text=f"{process} came").locator(".stamp").first).to_have_text(
        "finish not as asked"
    )
    no_serious_faults(page)


def figure(page: Page, place: str) -> float:
    row = page.locator(".torques tr", has_text=place)
    found = re.match(r"([0-9.]+) lbf ft", row.locator(".big").inner_text())
    assert found is not None
    return float(found[1])


def test_no_figure_then_a_lower_and_a_higher_one_than_the_maker_s(
    any_size: Page, data_folder: Path, job: Job
) -> None:
    page = any_size
    slippery = sent_for(job, "pump to case", "zinc_yellow", made_for="zinc, dry")
    sent_for(job, "case to block", "cadmium", made_for="cadmium, oil")
    assert slippery.place is not None
    sheet = f"/jobs/{job.pk}/areas/{slippery.place.area_id}/torques"
    page.goto(f"/jobs/{job.pk}/build/{slippery.place.area_id}")
    page.get_by_role("link", name="Torque sheet").click()
    expect(page).to_have_url(re.compile(sheet))
    expect(page.locator(".torques .big")).to_have_count(0)
    expect(page.get_by_text("is still to come")).to_have_count(2)

    back_and_confirmed(page, 1, "cadmium")
    page.goto(sheet)
    expect(page.locator(".torques .caution")).to_have_count(1)
    assert figure(page, "pump to case") < 15
    row = page.locator(".torques tr", has_text="pump to case")
    expect(row).to_contain_text("Zinc was asked for and cadmium came.")
    expect(row).to_contain_text("the bolt may be overstretched")

    back_and_confirmed(page, 2, "zinc")
    page.goto(sheet)
    assert figure(page, "case to block") > 15
    expect(page.locator(".torques tr", has_text="case to block")).to_contain_text("may work loose")
    no_serious_faults(page)
    nothing_beside(page)

    # Judge says it too, and not at the end of its list.
    page.goto(f"/jobs/{job.pk}/judge")
    first = page.locator("section.part").first
    expect(first.get_by_role("heading")).to_contain_text("Needs you")
    expect(first).to_contain_text("cadmium came")
    expect(first).to_contain_text("zinc came")
