"""The page of a lot: everything of it, and every act on it as a plain form."""

from __future__ import annotations

import pytest
from django.test import Client

from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


@pytest.fixture
def lot(job: Job) -> Lot:
    facts = LotFacts(
        count=9,
        kind="hex_bolt",
        end_a=("1/4-20 UNC", "1/4-20 BSW"),
        length_mm=34.9,
        length_nominal="1 3/8 in",
        length_typed="34.9",
        remarks="found loose",
        questions=("Is one bent?",),
    )
    return keep_lot(job=job, facts=facts, hand=ANN)


def post(client: Client, lot: Lot, act: str, **values: object) -> str:
    form = {name.replace("__", "-"): value for name, value in values.items()}
    return client.post(f"/jobs/{lot.job_id}/lots/{lot.number}/{act}", form, follow=True).content.decode()


def test_it_shows_everything_of_the_lot(client: Client, lot: Lot) -> None:
    page = client.get(f"/jobs/{lot.job_id}/lots/{lot.number}").content.decode()
    for said in (
        "hex bolts",
        "typed: 34.9",
        "on the bench",
        "Which is the thread?",
        "Is one bent?",
        "found loose",
        "kept lot 1",
        "take it back",
    ):
        assert said in page


def test_a_lot_that_is_not_there_says_so(client: Client, job: Job) -> None:
    answer = client.get(f"/jobs/{job.pk}/lots/77")
    assert (answer.status_code, b"There is no lot 77" in answer.content) == (404, True)


def test_the_acts_do_what_they_say(client: Client, lot: Lot) -> None:
    page = post(client, lot, "split", split__count=2, split__bag_code="t9", split__defect="bent")
    assert 'Lot <span class="num">2</span>' in page
    post(client, lot, "move", move__count=3, move__from_custody="bench", move__to_custody="store")
    post(client, lot, "recount", recount__counted=3, recount__custody="bench")
    counts = count_of(lot)
    assert (counts.bench, counts.store, counts.missing, counts.found) == (3, 3, 1, 9)
    post(client, lot, "which", end="end_a", designation="1/4-20 BSW")
    post(client, lot, "looked", question="Is one bent?")
    post(client, lot, "engine", origin__origin="lost", origin__said="Tern or Wren")
    post(client, lot, "thread", thread__state="good")
    lot.refresh_from_db()
    assert (lot.end_a, lot.questions, lot.origin_lost, lot.thread_state) == ("1/4-20 BSW", [], True, "good")


@pytest.mark.parametrize(
    ("act", "values", "said"),
    [
        ("split", {"split__count": 10}, "10 cannot be split off"),
        ("split", {"split__count": "some"}, "Enter a whole number"),
        ("split", {"split__count": 2, "split__bag_code": "??"}, "bag needs a code of letters and figures"),
        ("recount", {"recount__counted": -1, "recount__custody": "bench"}, "greater than or equal to 0"),
        (
            "move",
            {"move__count": 50, "move__from_custody": "bench", "move__to_custody": "store"},
            "has 9 on the bench, so 50 cannot be taken",
        ),
        ("join", {"join__number": 1}, "Two different lots of one job can be joined"),
        ("join", {"join__number": 44}, "There is no lot 44"),
        ("thread", {"thread__state": "defective", "thread__count": 12}, "count needs at most 9"),
        ("which", {"end": "end_a", "designation": "M6x1"}, "thread needs one of 1/4-20 UNC, 1/4-20 BSW"),
    ],
)
def test_what_cannot_be_done_says_why_and_changes_nothing(
    client: Client, lot: Lot, act: str, values: dict[str, object], said: str
) -> None:
    before = Record.objects.count()
    assert said in post(client, lot, act, **values)
    assert (Record.objects.count(), count_of(lot).bench) == (before, 9)


def test_a_change_reads_lengths_and_threads_as_the_trade_writes_them(client: Client, lot: Lot) -> None:
    form = {"kind": "hex_bolt", "thread": "5/16 UNF", "length": "inch and a half", "finish_look": "yellow"}
    client.post(f"/jobs/{lot.job_id}/lots/1/change", form | {"area_name": "gear case", "bag_code": "T1"})
    lot.refresh_from_db()
    assert lot.area is not None
    assert (lot.end_a, lot.length_nominal, lot.area.name) == ("5/16-24 UNF", "1 1/2 in", "gear case")


def test_a_change_elsewhere_leaves_an_open_thread_and_a_length_as_they_are(client: Client, lot: Lot) -> None:
    page = client.get(f"/jobs/{lot.job_id}/lots/1/change")
    form = page.context["form"].initial | {"finish_look": "black"}
    client.post(f"/jobs/{lot.job_id}/lots/1/change", form)
    lot.refresh_from_db()
    assert (lot.end_a, lot.length_mm, lot.finish_look) == ("1/4-20 UNC|1/4-20 BSW", 34.9, "black")


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("thread", "5/17 UNF", "thread needs a standard thread or size"),
        ("length", "1 5/0", "length needs one length"),
        ("length", "1.3/8", "It can be read as 1 3/8 in"),
    ],
)
def test_what_cannot_be_read_stays_in_its_field(
    client: Client, lot: Lot, field: str, typed: str, said: str
) -> None:
    form = {"kind": "hex_bolt", "thread": "5/16 UNF", "length": "1", "finish_look": "clear"} | {field: typed}
    page = client.post(f"/jobs/{lot.job_id}/lots/1/change", form).content.decode()
    assert said in page
    assert f'value="{typed}"' in page


def test_a_lot_by_form_goes_on_with_another(client: Client, job: Job) -> None:
    form = {
        "count": 6,
        "kind": "stud",
        "thread": "3/8 UNC / 3/8 UNF",
        "length": "2 1/4",
        "finish_look": "black",
    }
    answer = client.post(f"/jobs/{job.pk}/lots/new", form | {"another": "1"})
    assert answer.headers["Location"] == f"/jobs/{job.pk}/lots/new"
    assert (Lot.objects.get().end_a, Lot.objects.get().end_b) == ("3/8-16 UNC", "3/8-24 UNF")
