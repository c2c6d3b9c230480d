"""The bucket comes back with two missing, one swapped and twins from two bags: walked through to the end."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults
from runningfit.workshop.outside_work.models import Consignment, Discrepancy
from runningfit.workshop.pieces.ledger import Counts
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import a_shed, balanced, counts, sent

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def count(page: Page, words: str) -> None:
    """Type nothing: press what a thumb presses."""
    page.get_by_role("button", name=words).click()


def close(page: Page, kind: str, end: str, why: str) -> None:
    page.locator("tr", has=page.locator(".stamp", has_text=kind)).first.get_by_role(
        "link", name="Close it"
    ).click()
    page.get_by_label(end).check()
    page.get_by_label("Why").fill(why)
    page.get_by_role("button", name="Close it").click()
    expect(page.get_by_text("Closed.")).to_be_visible()


def test_the_whole_bucket_to_closed_discrepancies(any_size: Page) -> None:
    page = any_size
    shed = a_shed()
    ours, theirs = shed.lot(9, bag="T1"), shed.lot(6, bag="T2", origin=shed.donor)
    long = shed.lot(4, bag="T3", length="2 1/4 in", length_mm=57.15)
    nuts = shed.nuts(15, bag="T1")
    sent(ours, theirs, long, nuts)

    page.goto("/outside")
    no_serious_faults(page)
    follow(page.get_by_role("link", name="Count back"))
    no_serious_faults(page)
    follow(page.get_by_role("link", name="It all came in one bucket"))
    no_serious_faults(page)

    # Twins from two bags: fifteen of them, counted as one heap. Two nuts missing, one long bolt swapped.
    count(page, "All 15: hex bolts 5/16-24 UNF x 1 3/8 in")
    count(page, "All 4: hex bolts 5/16-24 UNF x 2 1/4 in")
    count(page, "One less: hex bolts 5/16-24 UNF x 2 1/4 in")
    page.get_by_role("spinbutton", name="Counted: nuts 5/16-24 UNF").fill("13")
    page.get_by_label("Anything else in it?").fill("1 hex bolt 5/16-24 x 2 in, clear")

    # A closed page loses nothing that was typed.
    page.reload()
    expect(page.get_by_role("spinbutton", name="Counted: nuts 5/16-24 UNF")).to_have_value("13")
    follow(page.get_by_role("button", name="See what it comes to"))
    no_serious_faults(page)
    expect(page.get_by_text("2 nuts 5/16-24 UNF short of 15 sent in bag T1 (lot 4).")).to_be_visible()
    expect(page.get_by_text("1 hex bolt 5/16-24 UNF x 2 in came where 1 hex bolt")).to_be_visible()
    expect(page.get_by_text("Which engine: lost. It may be Tern")).to_be_visible()
    page.get_by_role("button", name="Count again").click()
    expect(page.get_by_role("spinbutton", name="Counted: nuts 5/16-24 UNF")).to_have_value("13")
    page.get_by_role("button", name="See what it comes to").click()
    page.get_by_role("button", name="Keep this").click()

    expect(page.get_by_text("31 back, the bucket.")).to_be_visible()
    no_serious_faults(page)
    assert counts(nuts) == Counts(bench=13, outside=2, found=15)
    assert counts(long) == Counts(bench=3, outside=1, found=4)
    assert (counts(ours).bench, counts(theirs).bench) == (9, 6)
    assert Lot.objects.get(pk=ours.pk).origin_lost

    close(page, "short", "lost: count it as missing", "not in his bath either")
    close(page, "swapped", "put right: ours came, the other went back", "he found it and we swapped")
    close(page, "which engine: lost", "accept it: which engine stays lost", "no mark on them")
    expect(page.get_by_text("accounted for")).to_be_visible()
    no_serious_faults(page)
    assert counts(nuts) == Counts(bench=13, missing=2, found=15)
    assert counts(long) == Counts(bench=4, found=4)
    assert not Discrepancy.objects.filter(closed_at__isnull=True).exists()
    assert Consignment.objects.get().closed_on is not None
    assert balanced()

    page.goto(f"/jobs/{shed.job.pk}/send")
    no_serious_faults(page)
    page.goto(f"/jobs/{shed.job.pk}/discrepancies")
    page.get_by_text("Closed before").click()
    expect(page.get_by_text("not in his bath either")).to_be_visible()
    no_serious_faults(page)


def test_bags_one_after_the_other_by_thumb(phone: Page) -> None:
    shed = a_shed()
    first, second = shed.lot(9, bag="T1"), shed.nuts(4, bag="T2")
    shed.lot(2, bag="T3", treatment="")
    sent(first, second)
    phone.goto("/outside/1/count-back")
    phone.get_by_role("button", name="All 9 here, as asked").click()
    phone.get_by_role("button", name="All 4 here, as asked").click()
    expect(phone.get_by_text("accounted for")).to_be_visible()
    assert (counts(first).bench, counts(second).bench) == (9, 4)

    phone.goto(f"/jobs/{shed.job.pk}/send?show=undecided")
    no_serious_faults(phone)
    phone.get_by_label("hex bolts").check()
    phone.get_by_label("What is to be done?").select_option(label="electroplate nickel")
    phone.get_by_role("button", name="Say so").click()
    expect(phone.get_by_text("Said for 1 lot.")).to_be_visible()
    phone.get_by_role("link", name="To go outside").click()
    phone.get_by_label("hex bolts").check()
    follow(phone.get_by_role("button", name="Make up a consignment"))
    no_serious_faults(phone)
    phone.get_by_label("To which shop?").fill("The plater")
    follow(phone.get_by_role("button", name="Make it up"))
    no_serious_faults(phone)
    phone.get_by_role("button", name="It has gone").click()
    expect(phone.get_by_text("Consignment 2 has gone to The plater.")).to_be_visible()
    follow(phone.get_by_role("link", name="Log a call"))
    no_serious_faults(phone)
    phone.get_by_label("What was said").fill("ready on Friday")
    phone.get_by_role("button", name="Keep the call").click()
    expect(phone.get_by_text("ready on Friday")).to_be_visible()
