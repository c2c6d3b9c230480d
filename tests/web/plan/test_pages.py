"""The pages of planning and building: each shows what is there, keeps what is typed, and GETs never write."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from runningfit.workshop.models import Area, Job, Lot, Place, Record, ToBuy
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.places import PlaceFacts, add_place
from runningfit.workshop.plan.filling import filled
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
FINE = ("5/16-24 UNF",)


@pytest.fixture
def lot(job: Job) -> Lot:
    return keep_lot(
        job=job, facts=LotFacts(count=12, kind="hex_bolt", end_a=FINE, length_mm=34.925), hand=ANN
    )


def text_of(client: Client, name: str, *args: object) -> str:
    response = client.get(reverse(name, args=args))
    assert response.status_code == 200
    return re.sub(r"\s+", " ", response.content.decode())


PAGES = ("plan", "suggest_allotment", "foreign", "to_buy", "how_much", "build")


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_an_empty_job_says_what_to_do_first(client: Client, job: Job, name: str) -> None:
    page = text_of(client, name, job.pk)
    assert 'class="empty"' in page


@pytest.mark.parametrize("name", PAGES)
def test_looking_writes_nothing(client: Client, job: Job, place: Place, lot: Lot, name: str) -> None:
    before = Record.objects.count()
    text_of(client, name, job.pk)
    assert Record.objects.count() == before


def test_a_short_place_is_filled_in_two_taps(client: Client, job: Job, place: Place, lot: Lot) -> None:
    assert "9 missing" in text_of(client, "plan", job.pk)
    page = text_of(client, "allot", job.pk, place.pk)
    assert 'value="9"' in page
    response = client.post(
        reverse("allot", args=[job.pk, place.pk]), {"lot": lot.pk, "count": 9, "once": "a1"}
    )
    assert response.headers["Location"] == reverse("plan", args=[job.pk])
    assert "nothing missing" in text_of(client, "plan", job.pk)
    client.post(reverse("allot", args=[job.pk, place.pk]), {"lot": lot.pk, "count": 9, "once": "a1"})
    assert filled(place) == 9


def test_what_was_typed_stays_when_it_is_refused(client: Client, job: Job, place: Place) -> None:
    keep_lot(job=job, facts=LotFacts(count=3, kind="stud", end_a=FINE), hand=ANN)
    sent = {"number": 1, "other_count": 3, "why": ""}
    response = client.post(reverse("allot", args=[job.pk, place.pk]), sent)
    page = response.content.decode()
    assert "it is a stud, the place needs a hex bolt" in page
    assert 'name="other_count" value="3"' in page
    client.post(reverse("allot", args=[job.pk, place.pk]), sent | {"why": "it is all there is"})
    assert filled(place) == 3


@pytest.mark.parametrize("count", ["0", "-4", "2.5", "some", "10"])
def test_a_count_that_cannot_be_is_refused(
    client: Client, job: Job, place: Place, lot: Lot, count: str
) -> None:
    response = client.post(reverse("allot", args=[job.pk, place.pk]), {"lot": lot.pk, "count": count})
    assert response.status_code == 200
    assert 'role="alert"' in response.content.decode()
    assert filled(place) == 0


def test_a_proposal_keeps_only_what_is_ticked(
    client: Client, job: Job, area: Area, place: Place, lot: Lot
) -> None:
    facts = PlaceFacts(
        name="long ones", count=2, basis="holes_counted", kind="hex_bolt", end_a=FINE, length_mm=34.925
    )
    other = add_place(area=area, facts=facts, hand=ANN)
    page = text_of(client, "suggest_allotment", job.pk)
    assert f'value="{place.pk}:{lot.pk}:9"' in page
    client.post(reverse("suggest_allotment", args=[job.pk]), {"line": [f"{place.pk}:{lot.pk}:9"]})
    assert (filled(place), filled(other)) == (9, 0)


@pytest.mark.parametrize("line", ["", "1:2", "a:b:c", "1:2:99999999999999999999", "7:7:7"])
def test_a_proposal_that_was_tampered_with_is_refused(
    client: Client, job: Job, place: Place, line: str
) -> None:
    response = client.post(reverse("suggest_allotment", args=[job.pk]), {"line": [line]})
    assert response.status_code in (400, 404)
    assert filled(place) == 0


def test_missing_pieces_go_on_the_list_and_come_into_the_books(
    client: Client, job: Job, place: Place
) -> None:
    client.post(reverse("buy_for_place", args=[job.pk, place.pk]))
    row = ToBuy.objects.get()
    url = reverse("bought", args=[job.pk, row.pk])
    client.post(url, {"act": "quote", "count": 9, "supplier": "Bolt stores", "price_each": "1.10"})
    client.post(url, {"act": "order", "ordered_on": "2026-03-02", "due_on": "2026-03-09"})
    assert "due 9 Mar 2026" in text_of(client, "to_buy", job.pk)
    assert "£9.90" in text_of(client, "how_much", job.pk)
    client.post(url, {"act": "receive", "came": 9, "paid_each": "1.00", "look": "black"})
    assert (filled(place), Lot.objects.get().finish_look) == (9, "black")
    assert "came" in text_of(client, "to_buy", job.pk)


def test_new_ones_compete_with_refurbishing_a_lot(client: Client, job: Job, lot: Lot) -> None:
    response = client.post(reverse("buy_instead", args=[job.pk, lot.number]))
    row = ToBuy.objects.get()
    assert response.headers["Location"] == reverse("bought", args=[job.pk, row.pk])
    sent = {"act": "quote", "count": 12, "price_each": "1.10", "refurbish_price_each": "0.65"}
    client.post(reverse("bought", args=[job.pk, row.pk]), sent)
    assert "refurbishing the old ones" in text_of(client, "bought", job.pk, row.pk)


def test_the_kit_is_fitted_from_its_page(
    client: Client, job: Job, area: Area, place: Place, lot: Lot
) -> None:
    allot(lot=lot, place=place, count=12, hand=ANN, over=True)
    page = text_of(client, "kit", job.pk, area.pk)
    assert "ready to build" in page
    assert 'value="9"' in page
    sent = {"fit": lot.pk, f"count-{lot.pk}": "9"}
    client.post(reverse("kit", args=[job.pk, area.pk]), sent)
    assert count_of(lot).fitted == 9
    assert ">built<" in text_of(client, "build", job.pk)
    refused = client.post(reverse("kit", args=[job.pk, area.pk]), sent).content.decode()
    assert "9 are fitted already; 9 more do not go in" in refused


def test_the_kit_list_is_a_pdf(client: Client, job: Job, area: Area, place: Place) -> None:
    response = client.get(reverse("kit_paper", args=[job.pk, area.pk]))
    assert response.content.startswith(b"%PDF-")
    assert response.headers["Content-Type"] == "application/pdf"


def test_foreign_lots_are_named_with_the_reason(client: Client, job: Job, place: Place) -> None:
    keep_lot(
        job=job, facts=LotFacts(count=2, kind="hex_bolt", end_a=("1/4-26 BSF",), length_mm=25.4), hand=ANN
    )
    assert "Its thread is 1/4-26 BSF, the place needs 5/16-24 UNF" in text_of(client, "foreign", job.pk)


def test_the_front_page_leads_to_what_is_short(client: Client, job: Job, place: Place) -> None:
    page = text_of(client, "jobs")
    assert reverse("plan", args=[job.pk]) in page
    assert '<span class="num">9</span> short' in page


def test_a_place_of_another_job_is_not_found(client: Client, place: Place) -> None:
    other = open_job(name="Other", engine_name="Pellworth Plover", hand=ANN)
    assert client.get(reverse("allot", args=[other.pk, place.pk])).status_code == 404
