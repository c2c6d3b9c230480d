"""The bake that was asked is asked about at the count and on the consignment, and told no more after that."""

from __future__ import annotations

import pytest
from django.test import Client

from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.models import ConsignmentLine, Lot
from runningfit.workshop.outside_work.expecting import Scope, outside_of
from web.joints.judged_shop import text_of
from workshop.outside_work.bucket import a_shed, back, group, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot() -> Lot:
    lot = a_shed().lot(6, bag="H1")
    KnownOfLot.objects.create(lot=lot, grade="SAE J429 8")
    return lot


def test_one_tap_counts_a_bag_back_with_its_bake(client: Client, lot: Lot) -> None:
    consignment = sent(lot)
    page = client.get("/outside/1/count-back")
    assert text_of(page).count("You asked for a bake. Was it done?") == 2
    line = ConsignmentLine.objects.get()
    posted = {
        "step": "all",
        "bag": line.bag_id,
        "finished": "yes",
        "state": outside_of(consignment, Scope("bag", line.bag)).state,
        "baked": "certificate",
    }
    client.post("/outside/1/count-back", posted)
    assert ConsignmentLine.objects.get().baked == "certificate"
    assert "Bake: yes, with a certificate" in text_of(client.get("/outside/1"))


def test_a_bake_that_nobody_told_of_is_asked_on_the_consignment(client: Client, lot: Lot) -> None:
    consignment = sent(lot)
    assert "Nothing came back with it yet" in text_of(client.get("/outside/1/bake"))
    back(consignment, group(lot, 6))
    assert "nobody said whether it did" in text_of(client.get("/outside/1"))
    refused = client.post("/outside/1/bake", {"baked": "yes", "why": ""})
    assert "This field is required" in text_of(refused) or "how" in text_of(refused).lower()
    answer = client.post("/outside/1/bake", {"baked": "no", "why": "asked by phone"}, follow=True)
    assert answer.redirect_chain == [("/outside/1", 302)]
    assert "Bake: no" in text_of(answer)


def test_the_plater_is_told_nothing_more_once_it_is_back(client: Client, lot: Lot) -> None:
    page = f"/jobs/{lot.job_id}/lots/{lot.number}/joint"
    assert "Tell the plater" in text_of(client.get(page))
    back(sent(lot), group(lot, 6))
    said = text_of(client.get(page))
    assert "Tell the plater" not in said
    assert "nobody said whether it had it" in said


def test_a_soft_lot_is_not_asked_for_a_bake(client: Client) -> None:
    soft = a_shed().lot(6, bag="H1")
    KnownOfLot.objects.create(lot=soft, grade="SAE J429 2")
    sent(soft)
    assert "Was it done?" not in text_of(client.get("/outside/1/count-back"))
