"""The page of treatments side by side, and what warns where a treatment is chosen, as plain forms."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.outside_work import services
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.telling import coat_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from workshop.outside_work.bucket import HAND, Shed, a_shed, counts, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def hard_bolts(shed: Shed, treatment: str = "") -> Lot:
    lot = shed.lot(6, treatment=treatment)
    KnownOfLot.objects.create(lot=lot, grade="SAE J429 8")
    return lot


def washers(shed: Shed) -> Lot:
    return shed.lot(8, kind="spring_washer", thread="", length="", length_mm=None, bag="E2")


def page_of(client: Client, lot: Lot) -> str:
    return client.get(f"/jobs/{lot.job_id}/lots/{lot.number}/treatments").content.decode()


def test_cost_and_days_are_not_known_until_the_shop_has_its_own(client: Client, shed: Shed) -> None:
    lot = hard_bolts(shed)
    page = page_of(client, lot)
    assert "$" not in page
    assert page.count("not known") > 8
    gone = sent(shed.lot(4))
    services.change_line(line=gone.lines.get(), price=Decimal("6.00"), hand=HAND)
    assert "1.50 each, once before; about" in page_of(client, lot)


def test_plating_without_its_bake_is_shown_and_cannot_be_chosen(client: Client, shed: Shed) -> None:
    lot = hard_bolts(shed)
    page = page_of(client, lot)
    assert 'value="zinc_clear"' not in page
    assert "only with its bake" in page
    url = f"/jobs/{shed.job.pk}/lots/{lot.number}/treatments"
    assert "Select a valid choice" in client.post(url, {"chosen": "zinc_clear"}).content.decode()
    answer = client.post(url, {"chosen": "zinc_clear+bake", "why": "as new"})
    assert answer.headers["Location"] == f"/jobs/{shed.job.pk}/lots/{lot.number}"
    lot.refresh_from_db()
    assert (lot.treatment, lot.ordered_steps) == ("zinc_clear", "bake")
    record = Record.objects.latest("pk")
    assert (record.summary, record.why) == ("Lot 1: electroplate zinc, clear, with: bake", "as new")


def test_what_is_not_sound_is_chosen_only_with_a_reason_and_nothing_typed_is_lost(
    client: Client, shed: Shed
) -> None:
    lot = shed.lot(8, kind="spring_washer", thread="", length="", length_mm=None, treatment="")
    url = f"/jobs/{shed.job.pk}/lots/{lot.number}/treatments"
    page = client.post(url, {"chosen": "zinc_clear", "why": ""}).content.decode()
    assert "Not sound with electroplate zinc, clear" in page
    assert 'value="zinc_clear" checked' in page
    lot.refresh_from_db()
    assert lot.treatment == ""
    client.post(url, {"chosen": "zinc_clear", "why": "trial pieces"})
    lot.refresh_from_db()
    assert lot.treatment == "zinc_clear"


def test_nothing_tapped_comes_back_with_a_sentence(client: Client, shed: Shed) -> None:
    lot = hard_bolts(shed)
    page = client.post(f"/jobs/{shed.job.pk}/lots/{lot.number}/treatments", {"why": "so that"})
    assert "Tap the treatment that you choose." in page.content.decode()
    assert 'value="so that"' in page.content.decode()


def test_a_chosen_treatment_warns_on_the_lot_on_send_and_where_it_is_made_up(
    client: Client, shed: Shed
) -> None:
    bolts, springs = hard_bolts(shed, "zinc_clear"), washers(shed)
    for url in (f"/jobs/{shed.job.pk}/send?show=to_go", "/outside/new"):
        page = (
            client.post(url, {"lot": [bolts.pk, springs.pk], "begin": "1"})
            if url == "/outside/new"
            else client.get(url)
        ).content.decode()
        assert "needs a bake" in page, url
        assert "do not send" in page, url
        assert f"/jobs/{shed.job.pk}/lots/{springs.number}/treatments" in page, url
    assert "needs a bake" in client.get(f"/jobs/{shed.job.pk}/lots/{bolts.number}").content.decode()
    undecided = shed.lot(2, treatment="")
    page = client.get(f"/jobs/{shed.job.pk}/lots/{undecided.number}").content.decode()
    assert "not decided" in page
    assert f"/lots/{undecided.number}/treatments" in page


def test_sending_is_stopped_by_a_question_and_goes_on_once_it_is_answered(client: Client, shed: Shed) -> None:
    springs = washers(shed)
    services.make_up(shop_name="The plater", shares=[services.Share(springs)], hand=HAND)
    line = ConsignmentLine.objects.get()
    page = client.get("/outside/1").content.decode()
    assert "do not send" in page
    assert "Send it all the same" in page
    page = client.post("/outside/1/gone", {"sent_on": "2026-03-02"}).content.decode()
    assert "does not go yet" in page
    assert counts(springs).outside == 0
    page = client.post(f"/outside/1/lines/{line.pk}/anyway", {"why": ""}).content.decode()
    assert "Say why it goes all the same" in page
    client.post(f"/outside/1/lines/{line.pk}/anyway", {"why": "Trial pieces."})
    assert "Trial pieces." in client.get("/outside/1").content.decode()
    client.post("/outside/1/gone", {"sent_on": "2026-03-02"})
    assert counts(springs).outside == 8
    assert Consignment.objects.get().sent_on is not None


def test_what_can_be_put_on_a_consignment_is_warned_about_before_it_is(client: Client, shed: Shed) -> None:
    washers(shed)
    services.make_up(shop_name="The plater", shares=[services.Share(shed.lot(2))], hand=HAND)
    page = client.get("/outside/1").content.decode()
    assert page.count("do not send") == 1
    assert "Send it all the same" not in page


def test_a_longer_consignment_asks_the_database_no_more_questions(client: Client, shed: Shed) -> None:
    asked = []
    for number, lots in enumerate((2, 12), start=1):
        shares = [services.Share(shed.lot(3, length_mm=20.0 + one)) for one in range(lots)]
        services.make_up(shop_name="The plater", shares=shares, hand=HAND)
        client.get(f"/outside/{number}")
        with CaptureQueriesContext(connection) as questions:
            client.get(f"/outside/{number}")
        asked.append(len(questions))
    assert asked[0] == asked[1]


def test_a_class_of_coat_that_was_chosen_is_asked_of_the_shop(client: Client, shed: Shed) -> None:
    lot = shed.lot(6, treatment="")
    KnownOfLot.objects.create(lot=lot, grade="SAE J429 5")
    url = f"/jobs/{shed.job.pk}/lots/{lot.number}/treatments"
    coat = "ASTM F1941 Fe/Zn 5"
    refused = client.post(url, {"chosen": "zinc_clear", "coat-zinc_clear": "ASTM F1941 Fe/Zn 99"})
    assert "Choose a class of the list" in refused.content.decode()
    client.post(url, {"chosen": "zinc_clear", "coat-zinc_clear": coat, "coat-cadmium": "ASTM B766 8"})
    lot.refresh_from_db()
    assert (lot.treatment, lot.ordered_coat) == ("zinc_clear", coat)
    assert f'value="{coat}" selected' in page_of(client, lot)
    assert f"coat {coat}" in client.get(f"/jobs/{shed.job.pk}/lots/{lot.number}").content.decode()
    services.make_up(shop_name="The plater", shares=[services.Share(lot)], hand=HAND)
    (line,) = ConsignmentLine.objects.all()
    assert coat_of(line) == coat
    # The next choice says its own class, or none.
    services.take_off(line=line, hand=HAND)
    client.post(url, {"chosen": "zinc_clear", "coat-zinc_clear": ""})
    lot.refresh_from_db()
    assert lot.ordered_coat == ""


def test_the_best_stand_first_and_say_in_one_line_what_matters(client: Client, shed: Shed) -> None:
    page = page_of(client, hard_bolts(shed))
    rows = re.findall(r'<tr id="([^"]+)".*?<span class="stamp (\w+)">', page, re.S)
    assert rows[0][0] == "leave"
    assert [key for key, _stamp in rows].index("zinc_clear-and-bake") - 1 == [key for key, _ in rows].index(
        "zinc_clear"
    )
    bake = page.partition('id="zinc_clear-and-bake"')[2].partition("</tr>")[0]
    brief = bake.partition('<div class="brief"><p>')[2].partition("</p>")[0]
    assert "cost and days not known" in brief
    assert len(brief) < 140
