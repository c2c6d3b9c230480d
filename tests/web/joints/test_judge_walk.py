"""The demo judged with a thumb: found at the top, told by a tap, and the verdict changes; for everybody."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browsing import no_serious_faults, nothing_beside
from runningfit.cli.demo.scenario import build
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.models import JointDecision, KnownOfLot
from runningfit.workshop.joints.queries import judged_joint
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import say_of_lot
from runningfit.workshop.models import Lot, Place
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")


def flywheel_bolts() -> Lot:
    return Lot.objects.get(place=Place.objects.get(name="flywheel to crankshaft"))


def test_the_flywheel_bolts_are_found_their_mark_is_tapped_and_the_verdict_changes(
    any_size: Page, data_folder: Path
) -> None:
    page = any_size
    job = build()
    lot = flywheel_bolts()
    # Nobody said anything of them yet.
    say_of_lot(lot=lot, said=SaidOfLot(), hand=ANN)
    page.goto(f"/jobs/{job.pk}/strip")
    page.get_by_role("link", name="Judge", exact=True).click()
    first = page.locator("section.part").first
    expect(first.get_by_role("heading")).to_contain_text("Needs you")
    row = first.locator("tr", has_text="flywheel to crankshaft")
    expect(row).to_be_visible()
    no_serious_faults(page)
    nothing_beside(page)

    row.get_by_role("link", name="flywheel to crankshaft").click()
    before = judged_joint(lot.place, lot).judgement
    expect(page.locator(".verdict")).to_contain_text(before.says)
    no_serious_faults(page)
    nothing_beside(page)
    page.get_by_role("link", name="What is known of the pieces").click()
    page.locator("label.tap", has_text="6 lines").click()
    page.locator("label.tap", has_text="safety-critical").click()
    no_serious_faults(page)
    nothing_beside(page)
    page.get_by_role("button", name="Keep").first.click()

    expect(page.get_by_role("status")).to_contain_text("Kept.")
    assert KnownOfLot.objects.get(lot=lot).head_marking == "6 radial lines"
    after = judged_joint(lot.place, lot).judgement
    assert after.says != before.says
    expect(page.locator(".verdict")).to_contain_text(after.says)
    expect(page.get_by_text("SAE grade 8").first).to_be_attached()


def test_a_decision_is_made_beside_the_verdict(phone: Page, data_folder: Path) -> None:
    job = build()
    washers = Lot.objects.filter(place__name="spring washers of the dynamo").get()
    phone.goto(f"/jobs/{job.pk}/lots/{washers.number}/joint")
    expect(phone.get_by_text("Do not send.")).to_be_visible()
    phone.get_by_text("Decide what shall be done with them").click()
    phone.locator("label.tap", has_text="replace it").click()
    phone.get_by_label("Why?").fill("new ones cost nothing")
    phone.get_by_role("button", name="Decide").click()
    expect(phone.locator(".asked")).to_contain_text("replace it")
    no_serious_faults(phone)
    assert JointDecision.objects.get(lot=washers).outcome == Outcome.NOT_SOUND


def test_a_line_is_told_anew_where_it_stands_when_its_pieces_were_looked_at(
    any_size: Page, data_folder: Path
) -> None:
    page = any_size
    job = build()
    page.goto(f"/jobs/{job.pk}/judge?group=open")
    row = page.locator(".judged tr", has=page.get_by_role("button", name="Looked: no fault")).first
    where = re.search(r"lot (\d+)", row.inner_text())
    assert where is not None
    row.get_by_role("button", name="Looked: no fault").click()
    told = page.locator(".judged tr", has_text=re.compile(rf"lot {where[1]}\b"))
    expect(told.locator(".stamp").first).to_have_text("sound")
    expect(told.get_by_role("link").first).to_be_focused()
    assert KnownOfLot.objects.get(lot__job=job, lot__number=where[1]).looks_sound is True
    no_serious_faults(page)
