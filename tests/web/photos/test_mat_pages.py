"""Pages beside the hardware photos: two photos of one bag, the printed mats, what was corrected."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from django.test import Client
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import SMALL_TRAY as TRAY
from hardware_for_tests import bolt, measured, shot
from runningfit.workshop.models import PrintedMat
from runningfit.workshop.pieces.bags import make_bag
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def at(job: Job, rest: str = "") -> str:
    return f"/jobs/{job.pk}/hardware{rest}"


def page_of(client: Client, where: str) -> str:
    return client.get(where).content.decode()


def told(html: str) -> str:
    """The words of a page, each space once."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_two_photos_of_a_bag_are_compared_on_a_page(client: Client, job: Job) -> None:
    bag = make_bag(job=job, hand=ANN)
    assert "It takes two measured photos." in page_of(client, at(job, "/compare"))
    nine = [bolt(n, at=(30 + 40 * (n % 5), 40 + 30 * (n // 5))) for n in range(1, 10)]
    before = shot(job, measured(*nine), bag=bag)
    after = shot(job, measured(*nine[:7], bolt(8, at=(150, 150), length_mm=38.1)), bag=bag)
    page = page_of(client, at(job, f"/compare?bag={bag.code}"))
    assert f'<option value="{before.pk}" selected>' in page
    page = told(page_of(client, at(job, f"/compare?before={before.pk}&after={after.pk}")))
    assert "9 before, 8 after: 1 missing, 1 swapped." in page
    assert "Missing: 1 of 9 hex bolts" in page
    assert "Swapped: 1 of 9 hex bolts" in page
    strange = client.get(at(job, f"/compare?before={before.pk}&after=77"))
    assert (strange.status_code, "Select a valid choice" in strange.content.decode()) == (400, True)


def test_a_mat_is_kept_as_typed_and_the_page_says_how_it_was_read(client: Client) -> None:
    assert "No mat is kept yet." in page_of(client, "/mats")
    sent = client.post(
        "/mats", {"paper": "A4", "scale": "98,5", "where": "on the bench", "once": "a"}, follow=True
    )
    said = "&#x27;98,5&#x27; was read as 98.5 per cent, which is a print scale of 0.985."
    assert f"Kept: the A4 mat on the bench. {said}" in sent.content.decode()
    client.post("/mats", {"paper": "A3", "scale": "1", "where": "", "once": "b"})
    second = PrintedMat.objects.get(paper="A3")
    client.post(f"/mats/{second.pk}/usual", {"once": "c"})
    client.post(f"/mats/{second.pk}", {"scale": "299/300", "where": "office", "once": "d"})
    second.refresh_from_db()
    assert (second.usual, second.where, round(second.print_scale, 4)) == (True, "office", 0.9967)
    client.post(f"/mats/{second.pk}/away", {"once": "e"})
    assert [mat.usual for mat in PrintedMat.objects.filter(withdrawn=False)] == [True]
    wrong = client.post("/mats", {"paper": "A4", "scale": "half", "where": "shelf", "once": "f"})
    page = wrong.content.decode()
    assert (wrong.status_code, "print scale needs" in page, 'value="shelf"' in page) == (400, True, True)


@pytest.mark.parametrize("paper", ["A4", "A3", "letter"])
def test_the_mat_is_sent_as_a_pdf(client: Client, paper: str) -> None:
    answer = client.get(f"/mats/{paper}.pdf")
    assert (answer.headers["Content-Type"], answer.content[:5]) == ("application/pdf", b"%PDF-")
    assert client.get("/mats/A5.pdf").status_code == 404


def test_corrections_are_offered_and_sent_by_the_shops_own_press(client: Client, job: Job) -> None:
    assert "Nobody has corrected or confirmed a piece yet." in page_of(client, "/corrections")
    assert client.get("/corrections.zip").status_code == 405
    assert client.post("/corrections.zip", {"once": "a"}).status_code == 404
    run = shot(job, TRAY)
    client.post(at(job, f"/{run.pk}/so"), {"piece": "3", "once": "b"})
    page = told(page_of(client, "/corrections"))
    assert "1 time somebody said what a piece in a photo is" in page
    assert "They are the shop's own, and nothing is sent anywhere." in page
    answer: Any = client.post("/corrections.zip", {"once": "c"})
    assert b"".join(answer.streaming_content)[:2] == b"PK"
