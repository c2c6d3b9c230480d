"""Two people at one list or one sheet in the same moment: one is told, nothing is counted twice."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from bench_list_files import ROWS, as_file, edited
from runningfit.core.errors import Conflict
from runningfit.workshop.models import BenchList, Job, TallyPress
from runningfit.workshop.pieces import bench_intake, bench_lists, tally
from runningfit.workshop.pieces.bench_applying import apply_changes
from runningfit.workshop.pieces.ledger import books_balance
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("data_folder")]
ANN, BEN = Hand(who="Ann"), Hand(who="Ben")
COUNTABLE = 58


def at_once(*acts: Callable[[], object]) -> list[str]:
    """Do them at the same moment, each on its own connection; say how each went."""

    def one(act: Callable[[], object]) -> str:
        try:
            act()
        except Conflict as error:
            return str(error)
        else:
            return "done"
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(one, acts))


def test_two_people_accept_one_list(job: Job) -> None:
    one = bench_intake.take_in(job=job, name="tins.csv", data=as_file(*ROWS), hand=ANN).bench_list
    went = at_once(
        lambda: bench_lists.accept(bench_list=one, hand=ANN),
        lambda: bench_lists.accept(bench_list=one, hand=BEN),
    )
    assert sorted(went)[0].startswith("Every row that can be counted is counted already")
    assert sorted(went)[1] == "done"
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_two_people_read_the_same_file_in(job: Job) -> None:
    data = as_file(*ROWS)
    at_once(
        *(
            lambda hand=hand: bench_intake.take_in(job=job, name="tins.csv", data=data, hand=hand)
            for hand in (ANN, BEN)
        )
    )
    assert BenchList.objects.filter(withdrawn=False).count() == 1


def test_two_people_apply_one_edited_list(job: Job) -> None:
    first = bench_intake.take_in(job=job, name="tins.csv", data=as_file(*ROWS), hand=ANN).bench_list
    bench_lists.accept(bench_list=first, hand=ANN)
    data = as_file(*edited(",12,", ",15,"), "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,")
    newer = bench_intake.take_in(job=job, name="tins.csv", data=data, hand=ANN).bench_list
    at_once(
        lambda: apply_changes(bench_list=newer, choices={}, hand=ANN),
        lambda: apply_changes(bench_list=newer, choices={}, hand=BEN),
    )
    assert books_balance() == (COUNTABLE + 6, COUNTABLE + 6)


def test_presses_and_the_closing_of_their_sheet_do_not_cross(job: Job) -> None:
    sheet = tally.open_sheet(job=job, kind="hex_bolt", thread="M8", hand=ANN)
    tally.press(sheet=sheet, presses=[tally.Pressed("token-first", "35.02")], hand=ANN)
    presses = [tally.Pressed(f"token-{at:04d}", "35.00") for at in range(20)]
    went = at_once(
        lambda: tally.press(sheet=sheet, presses=presses, hand=ANN),
        lambda: tally.press(sheet=sheet, presses=presses, hand=ANN),
        lambda: tally.close_sheet(sheet=sheet, hand=BEN),
    )
    assert went[2] == "done"
    counted = TallyPress.objects.filter(sheet=sheet).count()
    assert counted in {1, 21}
    assert books_balance() == (counted, counted)
