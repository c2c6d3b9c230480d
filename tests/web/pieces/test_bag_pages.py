"""Pages of bags and labels."""

from __future__ import annotations

import pytest
from django.test import Client

from runningfit.workshop.pieces.bags import bag_by_code, stale_labels
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job, say_shop
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
HAND = Hand(who="Ada")


@pytest.fixture
def job() -> Job:
    job = open_job(name="Tern", engine_name="Pellworth Tern", hand=HAND)
    for text in (
        "9 hex bolts 5/16-24 UNF x 1 3/8, clear, gear case, bag T1",
        "12 plain washers 5/16, clear, gear case, bag T1",
        "7 nuts 5/16-24 UNF, gear case",
    ):
        keep_understood(job=job, line=understand_line(job=job, text=text), hand=HAND)
    return job


def text_of(client: Client, address: str) -> str:
    answer = client.get(address, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_scanned_label_opens_the_page_of_its_bag(client: Client, job: Job) -> None:
    page = text_of(client, f"/b/{job.pk}/t1")
    assert "Bag <span" in page
    assert ">9</span>" in page
    assert ">12</span>" in page
    lost = client.get(f"/b/{job.pk}/T9")
    assert lost.status_code == 404
    assert "There is no bag T9 in the job Tern" in lost.content.decode()
    assert client.get("/b/999/T1").status_code == 404


def test_a_bag_is_made_with_a_given_code_or_the_next_one(client: Client, job: Job) -> None:
    assert client.post(f"/jobs/{job.pk}/bags", {"code": "", "once": "a"}).status_code == 302
    assert client.post(f"/jobs/{job.pk}/bags", {"code": "gc 4", "once": "b"}).status_code == 302
    assert set(Bag.objects.values_list("code", flat=True)) >= {"T1", "GC4"}
    again = client.post(
        f"/jobs/{job.pk}/bags", {"code": "GC4", "note": "spare", "once": "c"}
    ).content.decode()
    assert "This job has a bag GC4 already" in again
    assert "spare" in again
    assert (
        "a code of letters and figures"
        in client.post(f"/jobs/{job.pk}/bags", {"code": "?!"}).content.decode()
    )


def test_one_tap_says_that_all_is_here(client: Client, job: Job) -> None:
    page = client.post(
        f"/jobs/{job.pk}/bags/T1/count", {"all_here": "1", "once": "a"}, follow=True
    ).content.decode()
    assert "All as written" in page


def test_a_count_typed_in_is_what_the_books_say_then(client: Client, job: Job) -> None:
    bolts, washers = Lot.objects.filter(bag__code="T1").order_by("number")
    address = f"/jobs/{job.pk}/bags/T1/count"
    page = client.post(address, {f"lot{bolts.number}": "8", "once": "a"}, follow=True).content.decode()
    assert "1 differ from the books" in page
    assert (count_of(bolts).here, count_of(bolts).missing, count_of(washers).here) == (8, 1, 12)
    client.post(address, {f"lot{bolts.number}": "9", "once": "b"})
    client.post(address, {f"lot{bolts.number}": "9", "once": "b"})
    assert (count_of(bolts).here, count_of(bolts).missing) == (9, 0)
    wrong = client.post(address, {f"lot{bolts.number}": "-4", "once": "c"}).content.decode()
    assert "greater than or equal to 0" in wrong
    assert "needs a number for at least one lot" in client.post(address, {"once": "d"}).content.decode()


def test_lots_are_put_into_a_bag_whole_or_in_part(client: Client, job: Job) -> None:
    nuts = Lot.objects.get(kind="nut")
    page = text_of(client, f"/jobs/{job.pk}/bags/T1")
    assert f'name="lots" value="{nuts.number}"' in page
    address = f"/jobs/{job.pk}/bags/T1/pack"
    assert client.post(address, {"lot": nuts.number, "count": "3", "once": "a"}).status_code == 302
    assert count_of(nuts).bench == 4
    assert client.post(address, {"lots": [nuts.number], "once": "b"}).status_code == 302
    assert Lot.objects.filter(kind="nut", bag__code="T1").count() == 2
    assert (
        "the number of a lot of this job" in client.post(address, {"lot": "99", "once": "c"}).content.decode()
    )


def test_labels_are_remembered_and_come_as_a_pdf(client: Client, job: Job) -> None:
    say_shop(hand=HAND, label_address="http://bench.local:8017")
    page = text_of(client, f"/jobs/{job.pk}/labels")
    assert 'value="T1" checked' in page
    assert "carry no QR code" not in page
    answer = client.post(f"/jobs/{job.pk}/labels", {"bags": ["T1"], "sheet": "62", "used": "", "once": "a"})
    assert answer.status_code == 302
    pdf = client.get(answer.headers["Location"])
    assert pdf.headers["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF-")
    bag = bag_by_code(job, "T1")
    assert bag.labelled_on is not None
    assert stale_labels([bag]) == set()
    assert 'value="T1" checked' not in text_of(client, f"/jobs/{job.pk}/labels")
    assert 'value="T1" checked' in text_of(client, f"/jobs/{job.pk}/labels?bag=T1")


@pytest.mark.parametrize("address", ["", "http://127.0.0.1:8017", "localhost", "http://[::1]:8017"])
def test_an_address_no_phone_can_reach_is_warned_about_with_the_way_to_mend_it(
    client: Client, job: Job, address: str
) -> None:
    say_shop(hand=HAND, label_address=address)
    page = text_of(client, f"/jobs/{job.pk}/labels")
    assert "carry no QR code" in page
    assert 'href="/shop"' in page


def test_bad_requests_for_labels_are_answered_in_words(client: Client, job: Job) -> None:
    page = client.post(f"/jobs/{job.pk}/labels", {"sheet": "a4-24", "once": "a"}).content.decode()
    assert "Tick the bags that need a label" in page
    page = client.post(f"/jobs/{job.pk}/labels", {"sheet": "62", "bags": "T1", "used": "3"}).content.decode()
    assert "This sheet has 1 label." in page
    for asked in ("", "?sheet=62", "?sheet=a3&bags=T1", "?sheet=a4-24&bags=T1&used=24"):
        assert client.get(f"/jobs/{job.pk}/labels/labels.pdf{asked}").status_code == 400


def test_an_empty_job_says_what_to_do_first(client: Client) -> None:
    job = open_job(name="New", engine_name="New", hand=HAND)
    assert "No bags yet" in text_of(client, f"/jobs/{job.pk}/bags")
    assert "No bags to label yet" in text_of(client, f"/jobs/{job.pk}/labels")
