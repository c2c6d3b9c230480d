"""A closed job refuses every change but opening it again, whichever verb asks."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict
from runningfit.workshop.models import Consignment, ConsignmentLine, Job, Lot, PhoneCall, Record
from runningfit.workshop.outside_work import services as outside
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces import tally
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot, move_pieces
from runningfit.workshop.records.services import add_donor, change_job, close_job, open_job, reopen_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann", why="she runs")
CLOSED = r"Launch engine was closed on \d+ \w+ \d{4} by Ann, so nothing of it can be changed\. Open it again"


@pytest.fixture
def other() -> Job:
    return open_job(name="Saw bench", engine_name="Pellworth Wren", hand=ANN)


def a_lot(job: Job) -> Lot:
    lot = keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt", end_a=("5/16-24 UNF",)), hand=ANN)
    say_treatment(lots=[lot], treatment="zinc_clear", hand=ANN)
    return Lot.objects.get(pk=lot.pk)


def test_a_closed_job_takes_no_change_until_it_is_opened_again(job: Job) -> None:
    lot = a_lot(job)
    close_job(job=job, hand=ANN)
    before = Record.objects.count()
    with pytest.raises(Conflict, match=CLOSED):
        keep_lot(job=job, facts=LotFacts(count=1), hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        change_lot(lot=lot, hand=ANN, condition="rusty")
    with pytest.raises(Conflict, match=CLOSED):
        move_pieces(lot=lot, count=1, from_custody="bench", to_custody="store", hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        add_donor(job=job, name="a donor", hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        change_job(job=job, note="more", hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        take_back(record=Record.objects.get(verb="keep_lot"), hand=ANN)
    assert Record.objects.count() == before
    assert count_of(lot).bench == 9
    reopen_job(job=job, hand=ANN)
    change_lot(lot=lot, hand=ANN, condition="rusty")


def test_taking_the_closing_back_opens_the_job_again(job: Job) -> None:
    lot = a_lot(job)
    close_job(job=job, hand=ANN)
    take_back(record=Record.objects.get(verb="close_job"), hand=ANN)
    change_lot(lot=lot, hand=ANN, condition="rusty")
    lot.refresh_from_db()
    assert lot.condition == "rusty"


def test_a_page_that_was_loaded_before_the_closing_does_not_write_after_it(job: Job) -> None:
    loaded_before = Job.objects.get(pk=job.pk)
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        keep_lot(job=loaded_before, facts=LotFacts(count=1), hand=ANN)


def test_a_press_on_a_sheet_of_a_closed_job_is_not_counted(job: Job) -> None:
    sheet = tally.open_sheet(job=job, kind="hex_bolt", hand=ANN)
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        tally.press(sheet=sheet, presses=[tally.Pressed("a-token-of-it", "34.9")], hand=ANN)
    assert not sheet.presses.exists()


def sent_of_both(job: Job, other: Job) -> Consignment:
    shares = [outside.Share(a_lot(job)), outside.Share(a_lot(other))]
    return outside.make_up(shop_name="The plater", shares=shares, hand=ANN)


def test_what_spans_jobs_is_refused_where_it_touches_a_closed_one(job: Job, other: Job) -> None:
    consignment = sent_of_both(job, other)
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        outside.send(consignment=consignment, hand=ANN)
    line = ConsignmentLine.objects.get(lot__job=job)
    with pytest.raises(Conflict, match=CLOSED):
        outside.take_off(line=line, hand=ANN)
    lots = list(Lot.objects.all())
    with pytest.raises(Conflict, match=CLOSED):
        say_treatment(lots=lots, treatment="clean", hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        sent_of_both(job, other)
    outside.log_call(consignment=consignment, said="Friday", hand=ANN)
    outside.take_off(line=ConsignmentLine.objects.get(lot__job=other), hand=ANN)
    with pytest.raises(Conflict, match=CLOSED):
        outside.log_call(consignment=consignment, said="Saturday", hand=ANN)
    assert PhoneCall.objects.count() == 1
