"""A count-back filled in from a photo of the bag that came back; the person looks it through and keeps it."""

from __future__ import annotations

import pytest
from django.test import Client
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import TOUCHING, bolt, measured, shot
from runningfit.workshop.models import Discrepancy, PhotoRun
from runningfit.workshop.photos.hardware_reads import pieces_of
from workshop.outside_work.bucket import Shed, a_shed, counts, sent

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
URL = "/outside/1/count-back"
CAME = (
    *(bolt(n, at=(30 + 40 * n, 40)) for n in range(1, 4)),
    bolt(4, at=(60, 90), length_mm=50.6),
    bolt(5, at=(160, 90), threads={"M6": 1.0}, length_mm=20.0),
    bolt(6, at=(60, 130), could_not=TOUCHING),
)


@pytest.fixture
def shed(settings: Settings) -> Shed:
    settings.HARDWARE_MEASURER = hardware.MEASURER
    return a_shed()


def photographed(shed: Shed) -> PhotoRun:
    return shot(shed.job, measured(*CAME), bag=shed.bag("T1"))


def test_a_photo_fills_in_what_came_and_names_the_strangers(client: Client, shed: Shed) -> None:
    bolts, long = shed.lot(4), shed.lot(2, length="2 in", length_mm=50.8)
    sent(bolts, long)
    run = photographed(shed)
    page = client.get(URL)
    chosen = page.context["chosen"]
    assert f"?bag={chosen}&amp;photo={run.pk}" in page.content.decode()
    page = client.get(f"{URL}?bag={chosen}&photo={run.pk}")
    form = page.context["form"]
    assert {row.words: form[f"n-{row.key}"].value() for row in form.rows} == {
        "5/16-24 UNF x 1 3/8 in": 3, "5/16-24 UNF x 2 in": 1,
    }  # fmt: skip
    assert form["others"].value() == "1 hex bolt M6 x 20 mm"
    told = page.content.decode()
    assert f"hardware photo {run.pk}</a>: look it through before you keep it." in told
    assert "1 piece could not be measured and is counted nowhere." in told
    values = {f"n-{row.key}": form[f"n-{row.key}"].value() for row in form.rows}
    sending = {"bag": chosen, "state": page.context["outside"].state, "finished": "yes", **values}
    client.post(URL, {**sending, "others": "", "step": "propose"})
    assert counts(bolts).bench == 0
    client.post(URL, {**sending, "others": "", "step": "keep"})
    assert (counts(bolts).bench, counts(long).bench) == (3, 1)
    assert sorted(Discrepancy.objects.values_list("kind", "count")) == [("short", 1), ("short", 1)]


def test_more_than_went_is_counted_with_the_nearest_and_kept_as_over(client: Client, shed: Shed) -> None:
    sent(shed.lot(2))
    run = photographed(shed)
    form = client.get(f"{URL}?photo={run.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [3]
    assert form["others"].value().splitlines() == ["1 hex bolt 5/16-24 UNF x 2 in", "1 hex bolt M6 x 20 mm"]


def test_a_photo_of_another_bag_fills_in_nothing(client: Client, shed: Shed) -> None:
    sent(shed.lot(4, bag="T2"))
    run = photographed(shed)
    form = client.get(f"{URL}?photo={run.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [None]
    assert all(piece.fate == "" for piece in pieces_of(run))
