"""The tally sheet over the wire: its queue, its plain forms, its answers to double sending."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from runningfit.workshop.models import Job, Lot, TallySheet
from runningfit.workshop.pieces import tally, tally_reads
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


@pytest.fixture
def sheet(job: Job) -> TallySheet:
    return tally.open_sheet(job=job, kind="hex_bolt", thread="5/16 UNF", finish_look="clear", hand=ANN)


def address(sheet: TallySheet, *more: str) -> str:
    return "/".join((f"/jobs/{sheet.job_id}/tally/{sheet.pk}", *more))


def send(client: Client, sheet: TallySheet, *items: dict[str, Any]) -> Any:
    body = json.dumps({"items": items})
    return client.post(address(sheet, "presses"), body, content_type="application/json")


def test_a_sheet_is_opened_and_the_next_one_remembers_its_marks(client: Client, job: Job) -> None:
    what = {"kind": "stud", "thread": "3/8 UNC / 3/8 UNF", "finish_look": "none", "unit": "in"}
    marks = {**what, "area": "Pump", "bag": "T3"}
    answer = client.post(f"/jobs/{job.pk}/tally", marks)
    opened = TallySheet.objects.get()
    assert answer["Location"] == address(opened)
    page = client.get(f"/jobs/{job.pk}/tally").content.decode()
    for remembered in ("3/8-16 UNC / 3/8-24 UNF", 'value="Pump"', 'value="T3"', 'value="stud" selected'):
        assert remembered in page


def test_a_sheet_that_cannot_be_opened_keeps_what_was_typed(client: Client, job: Job) -> None:
    marks = {"kind": "hex_bolt", "thread": "5/17 UNF", "finish_look": "clear", "unit": "mm", "area": "Pump"}
    page = client.post(f"/jobs/{job.pk}/tally", marks).content.decode()
    assert "5/17" in page
    assert 'value="Pump"' in page
    assert not TallySheet.objects.exists()


def test_a_queue_is_taken_in_order_and_sent_twice_it_counts_once(client: Client, sheet: TallySheet) -> None:
    queue: tuple[dict[str, Any], ...] = (
        {"token": "token-0001", "typed": "34.91"},
        {"token": "token-0002", "typed": "36.50"},
        {"token": "token-0003", "press": "token-0001", "length_mm": ""},
        {"token": "token-0004", "typed": "34.88"},
        {"token": "token-0005", "press": "token-0002", "length_mm": "38.1"},
    )
    for _sending in range(2):
        answer = send(client, sheet, *queue)
        assert answer.status_code == 200
        assert json.loads(answer.content)["taken"] == [item["token"] for item in queue]
        assert json.loads(answer.content)["refused"] == []
    state = tally_reads.state_of(sheet)
    assert [(line.said, line.count) for line in state.lines] == [("1 3/8 in", 1), ("1 1/2 in", 1)]


def test_a_reading_that_is_none_is_refused_by_name(client: Client, sheet: TallySheet) -> None:
    answer = json.loads(send(client, sheet, {"token": "token-0001", "typed": "34.934.9"}).content)
    assert answer["refused"][0]["token"] == "token-0001"
    assert "Press the button again" in answer["refused"][0]["why"]


@pytest.mark.parametrize("body", ["", "[]", '{"items":5}', '{"items":[5]}', '{"items":[{"typed":"1"}]}'])
def test_what_is_no_queue_is_refused_in_words(client: Client, sheet: TallySheet, body: str) -> None:
    answer = client.post(address(sheet, "presses"), body, content_type="application/json")
    assert answer.status_code == 400
    assert "presses needs" in json.loads(answer.content)["why"]


def test_a_press_on_a_closed_sheet_is_said_and_not_lost(client: Client, sheet: TallySheet) -> None:
    send(client, sheet, {"token": "token-0001", "typed": "34.91"})
    client.post(address(sheet, "close"))
    answer = send(client, sheet, {"token": "token-0002", "typed": "34.91"})
    assert answer.status_code == 409
    assert "closed meanwhile" in json.loads(answer.content)["why"]
    assert Lot.objects.count() == 1


def test_without_script_each_press_is_a_form(client: Client, sheet: TallySheet) -> None:
    for token, typed in (("form-token-1", "34.91"), ("form-token-1", "34.91"), ("form-token-2", "36.50")):
        assert client.post(address(sheet), {"typed": typed, "once": token}).status_code == 302
    page = client.get(address(sheet)).content.decode()
    assert "lies between two lengths" in page
    refused = client.post(address(sheet), {"typed": "thirty", "once": "form-token-3"}).content.decode()
    assert 'value="thirty"' in refused
    client.post(address(sheet, "answer"), {"press": "form-token-2", "length_mm": "34.925"})
    client.post(address(sheet, "close"))
    assert [lot.length_nominal for lot in Lot.objects.all()] == ["1 3/8 in"]
    closed = client.get(address(sheet)).content.decode()
    assert "What it became" in closed


def test_looking_at_a_sheet_writes_nothing(client: Client, sheet: TallySheet) -> None:
    before = Hand(who="x"), sheet.presses.count()
    client.get(address(sheet))
    client.get(f"/jobs/{sheet.job_id}/tally")
    assert client.get(address(sheet, "close")).status_code == 405
    assert sheet.presses.count() == before[1]


def test_a_sheet_thrown_away_is_gone_from_the_list(client: Client, sheet: TallySheet) -> None:
    client.post(address(sheet, "away"))
    assert client.get(address(sheet)).status_code == 404
    assert "Open sheets" not in client.get(f"/jobs/{sheet.job_id}/tally").content.decode()
