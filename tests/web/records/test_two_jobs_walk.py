"""Two jobs open in two tabs of one device: a lot is written in each, and nothing crosses."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from browsing import no_serious_faults
from runningfit.workshop.models import Job, Lot
from runningfit.workshop.outside_work.services import Share, make_up, send
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.places import PlaceFacts, add_area, add_place
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")


def a_job(name: str, engine: str, missing: int) -> Job:
    job = open_job(name=name, engine_name=engine, hand=ANN)
    area = add_area(job=job, name="Gear case", hand=ANN)
    facts = PlaceFacts(name="cover bolts", count=missing, basis="holes_counted", kind="hex_bolt")
    add_place(area=area, facts=facts, hand=ANN)
    return job


def test_two_jobs_in_two_tabs_do_not_cross_and_one_page_tells_of_both(any_size: Page) -> None:
    launch = a_job("Launch", "Pellworth Tern", 12)
    saw = a_job("Saw bench", "Pellworth Wren", 4)
    first, second = any_size, any_size.context.new_page()
    tabs = ((first, launch, "9 hex bolts M8 x 35"), (second, saw, "5 studs 5/16-24 UNF x 2"))
    for tab, job, line in tabs:
        tab.goto(f"/jobs/{job.pk}/strip")
        tab.get_by_label("Say what came off").fill(f"{line}, clear, gear case, bag T1")
        expect(tab.locator("#understood")).to_contain_text("bag T1")
    # Both lines stand open, half said, when the first tab is sent.
    for tab, _job, _line in tabs:
        tab.get_by_role("button", name="Keep").click()
        expect(tab.get_by_text("Kept as lot 1.")).to_be_visible()
        expect(tab.get_by_label("Say what came off")).to_have_value("")
    for job, kind, other in ((launch, "hex bolts", "studs"), (saw, "studs", "hex bolts")):
        lot = Lot.objects.select_related("origin", "area", "bag").get(job=job)
        assert lot.origin == job.engines.get()
        assert lot.area is not None
        assert lot.bag is not None
        assert lot.area.job_id == lot.bag.job_id == job.pk
        first.goto(f"/jobs/{job.pk}/bags/T1")
        expect(first.locator("main")).to_contain_text(kind)
        expect(first.locator("main")).not_to_contain_text(other)
        first.goto(f"/jobs/{job.pk}/history")
        expect(first.locator("main")).to_contain_text("kept lot 1")

    lots = list(Lot.objects.all())
    say_treatment(lots=lots, treatment="zinc_clear", hand=ANN)
    shares = [Share(Lot.objects.get(pk=lot.pk)) for lot in lots]
    late = timezone.localdate() - dt.timedelta(days=3)
    send(consignment=make_up(shop_name="The plater", shares=shares, hand=ANN), due_on=late, hand=ANN)
    first.goto("/")
    no_serious_faults(first)
    for name, said in (("Launch", ("12 short", "9 out")), ("Saw bench", ("4 short", "5 out"))):
        row = first.get_by_role("row").filter(has=first.get_by_role("rowheader", name=name))
        for words in said:
            expect(row.first).to_contain_text(words)
    due = first.get_by_role("row").filter(has_text="consignment 1")
    expect(due).to_contain_text("overdue")
    expect(due).to_contain_text("Launch")
    expect(due).to_contain_text("Saw bench")
