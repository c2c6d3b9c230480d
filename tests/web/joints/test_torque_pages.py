"""The torque sheet on screen: figures or why there is none, the ways to it, and the paper."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from printed_papers import words_of
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import say_of_lot, say_of_place
from runningfit.workshop.models import Area, Job, Lot, Place, Record
from runningfit.workshop.pieces.lots import change_lot
from web.joints.judged_shop import ANN, SOUND, a_place, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(job: Job, place: Place, lot: Lot) -> str:
    say_of_place(place=place, said=SOUND, hand=ANN)
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", looks_sound=True), hand=ANN)
    return reverse("torques", args=[job.pk, place.area_id])


def test_a_figure_stands_with_its_reason_and_leads_to_the_joint(client: Client, lot: Lot, sheet: str) -> None:
    change_lot(lot=lot, finish_look="none", hand=ANN)
    before = Record.objects.count()
    answer = client.get(sheet)
    said = text_of(answer)
    for words in (
        "15 lbf ft",
        "20.3 N m",
        "plain, oil",
        "manual p. 12",
        "The maker's own figure",
        "pump to case",
    ):
        assert words in said
    assert reverse("lot_joint", args=[lot.job_id, lot.number]) in answer.content.decode()
    assert "nothing else" in said
    assert Record.objects.count() == before
    paper = client.get(f"{sheet}.pdf")
    assert paper.headers["Content-Type"] == "application/pdf"
    assert "15 lbf ft" in words_of(paper.content)


def test_without_a_finish_the_way_to_say_it_stands_in_place_of_the_figure(
    client: Client, lot: Lot, sheet: str
) -> None:
    answer = client.get(sheet)
    assert "No figure until" in text_of(answer)
    # Never treated: that is said of the lot itself.
    assert reverse("edit_lot", args=[lot.job_id, lot.number]) in answer.content.decode()
    Lot.objects.filter(pk=lot.pk).update(treatment_done="cadmium", finish_received_look="yellow")
    answer = client.get(sheet)
    way = reverse("lot_finish", args=[lot.job_id, lot.number])
    assert way in answer.content.decode()
    assert way in client.get(reverse("lot_joint", args=[lot.job_id, lot.number])).content.decode()
    Lot.objects.filter(pk=lot.pk).update(treatment="cadmium")
    assert way not in client.get(sheet).content.decode()


def test_a_place_without_a_torque_leads_to_where_it_is_said(client: Client, job: Job, sheet: str) -> None:
    lid = a_place(job, "lid")
    answer = client.get(sheet).content.decode()
    assert f"{reverse('say_place', args=[job.pk, lid.pk])}?first=torque" in answer
    empty = Area.objects.create(job=job, name="governor")
    assert "No torque yet" in text_of(client.get(reverse("torques", args=[job.pk, empty.pk])))


def test_build_area_joint_and_judge_lead_to_it(
    client: Client, job: Job, lot: Lot, place: Place, sheet: str
) -> None:
    for name, number in (("kit", place.area_id), ("area", place.area_id), ("lot_joint", lot.number)):
        assert f'href="{sheet}"' in client.get(reverse(name, args=[job.pk, number])).content.decode(), name
    narrowed = client.get(reverse("judge", args=[job.pk]), {"area": place.area_id}).content.decode()
    assert f'href="{sheet}"' in narrowed


def test_an_area_of_another_job_is_not_found(client: Client, sheet: str, place: Place) -> None:
    answer = client.get(reverse("torques", args=[place.area.job_id, 99999]))
    assert answer.status_code == 404
