"""A person compares treatments, is stopped where the pieces would crack, and answers: at both sizes."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import a_shed, counts

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_from_the_lot_to_a_bake_that_is_ordered(any_size: Page) -> None:
    page = any_size
    shed = a_shed()
    lot = shed.lot(6, treatment="zinc_clear")
    KnownOfLot.objects.create(lot=lot, grade="SAE J429 8")

    page.goto(f"/jobs/{shed.job.pk}/lots/{lot.number}")
    expect(page.get_by_text("needs a bake")).to_be_visible()
    follow(page.get_by_role("link", name="compare"))
    no_serious_faults(page)
    nothing_beside(page)
    row = page.locator("#zinc_clear-and-bake")
    expect(row.get_by_text("190 to 220 °C").locator("visible=true").first).to_be_visible()
    opened = row.get_by_text("All of it")
    if opened.is_visible():
        # On a phone the rest of a treatment opens on a tap.
        expect(row.get_by_label("ASTM F1941")).to_be_hidden()
        opened.click()
    row.get_by_label("ASTM F1941").select_option("ASTM F1941 Fe/Zn 5")
    expect(page.locator("#zinc_clear").get_by_text("only with its bake")).to_be_visible()
    row.get_by_role("radio").check()
    page.get_by_label("Why, if it needs saying").fill("bright as it was")
    page.get_by_role("button", name="Choose it").click()

    expect(page.get_by_role("heading", name="Lot 1")).to_be_visible()
    expect(page.get_by_text("needs a bake")).to_have_count(0)
    asked = Lot.objects.get()
    assert (asked.ordered_steps, asked.ordered_coat) == ("bake", "ASTM F1941 Fe/Zn 5")


def test_a_consignment_is_stopped_until_the_washers_are_off_or_answered_for(any_size: Page) -> None:
    page = any_size
    shed = a_shed()
    bolts = shed.lot(4)
    KnownOfLot.objects.create(lot=bolts, grade="SAE J429 2")
    washers = [
        shed.lot(count, kind="spring_washer", thread="", length="", length_mm=None, bag=bag)
        for count, bag in ((8, "E2"), (3, "E3"))
    ]

    page.goto(f"/jobs/{shed.job.pk}/send?show=to_go")
    expect(page.get_by_text("do not send")).to_have_count(2)
    for line in page.locator("label.tickline").all():
        line.click()
    page.get_by_role("button", name="Make up a consignment of the ticked").click()
    expect(page.get_by_text("2 of these lots must not go")).to_be_visible()
    no_serious_faults(page)
    page.get_by_label("To which shop?").fill("The plater")
    follow(page.get_by_role("button", name="Make it up"))

    no_serious_faults(page)
    nothing_beside(page)
    page.get_by_role("button", name="It has gone").click()
    expect(page.get_by_text("does not go yet")).to_be_visible()
    page.locator(".held-back").first.get_by_role("button", name="Take it off").click()
    expect(page.locator(".held-back")).to_have_count(1)
    page.get_by_text("Send it all the same").click()
    page.get_by_label("It goes all the same, because").fill("Trial pieces, they never go back on.")
    page.get_by_role("button", name="Keep the reason").click()
    expect(page.get_by_text("Trial pieces, they never go back on.")).to_be_visible()
    page.get_by_role("button", name="It has gone").click()
    expect(page.get_by_text("Consignment 1 has gone to The plater.")).to_be_visible()
    assert Consignment.objects.get().sent_on is not None
    assert sorted(counts(lot).outside for lot in washers) in ([0, 3], [0, 8])
    assert counts(bolts).outside == 4
