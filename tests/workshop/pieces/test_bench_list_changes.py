"""An edited bench list read in again: shown row by row, applied once, never over what a hand changed."""

from __future__ import annotations

import pytest

from bench_list_files import ROWS, as_file, edited
from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.understood import Meaning
from runningfit.workshop.models import BenchList, BenchRow, Job, Lot, Record
from runningfit.workshop.pieces import bench_intake, bench_lists
from runningfit.workshop.pieces.bench_applying import Applied, Choice, apply_changes
from runningfit.workshop.pieces.bench_changes import ListChanges, changes_of
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.lots import change_lot, move_pieces, recount
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")
WHY = Hand(who="Ann", why="wrong tin")
COUNTABLE = 58


@pytest.fixture
def first(job: Job) -> BenchList:
    bench_list = take_in(job, ROWS)
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    return bench_list


def take_in(job: Job, rows: tuple[str, ...]) -> BenchList:
    return bench_intake.take_in(job=job, name="tins.csv", data=as_file(*rows), hand=ANN).bench_list


def lots(bench_list: BenchList, number: int) -> list[Lot]:
    return list(bench_list.rows.get(row=number).lots.filter(withdrawn=False).order_by("number"))


def apply(bench_list: BenchList, **choices: Choice) -> Applied:
    by_row = {bench_list.rows.get(row=int(name[1:])).pk: choice for name, choice in choices.items()}
    return apply_changes(bench_list=bench_list, choices=by_row, hand=ANN)


def sizes(changes: ListChanges) -> tuple[int, int, int, int, int]:
    return (
        changes.same,
        len(changes.changed),
        len(changes.added),
        len(changes.waiting),
        len(changes.gone),
    )


def test_an_edited_file_shows_what_it_changes_and_counts_nothing(job: Job, first: BenchList) -> None:
    rows = (*edited("1 1/2,yellow", "1 5/8,yellow")[:6], "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,")
    newer = take_in(job, rows)
    assert newer.supersedes == first
    changes = changes_of(newer)
    assert sizes(changes) == (4, 1, 1, 1, 1)
    (facet,) = changes.changed[0].facets
    assert (facet.name, facet.old, facet.new, facet.now) == ("length", "1 1/2 in", "1 5/8 in", "")
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_applying_changes_the_lots_and_counts_nothing_twice(job: Job, first: BenchList) -> None:
    rows = (*edited("1 1/2,yellow", "1 5/8,yellow"), "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,")
    newer = take_in(job, rows)
    assert apply(newer) == Applied(changed=1, added=1, kept=0, taken_out=0, left_open=0)
    (lot,) = lots(newer, 6)
    assert (lot.length_nominal, lot) == ("1 5/8 in", lots(first, 6)[0])
    assert books_balance() == (COUNTABLE + 3, COUNTABLE + 3)
    assert sizes(changes_of(newer))[1:] == (0, 0, 1, 0)
    assert changes_of(newer).settled == 2


def test_an_edited_list_cannot_be_accepted_as_if_it_were_new(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited(",12,", ",13,"))
    with pytest.raises(Conflict, match=r"edits tins\.csv, whose rows are counted: look at the changes"):
        bench_lists.accept(bench_list=newer, hand=ANN)
    with pytest.raises(Conflict, match="newer version of this list"):
        bench_lists.accept(bench_list=first, hand=ANN)
    assert books_balance() == (COUNTABLE, COUNTABLE)


@pytest.mark.parametrize(("count", "total"), [("15", 15), ("10", 10)])
def test_a_changed_count_corrects_what_was_found(job: Job, first: BenchList, count: str, total: int) -> None:
    newer = take_in(job, edited(",12,", f",{count},"))
    apply(newer)
    (lot,) = lots(newer, 3)
    assert (count_of(lot).bench, count_of(lot).found, count_of(lot).missing) == (total, total, 0)
    assert books_balance() == (COUNTABLE - 12 + total,) * 2


def test_fewer_than_are_outside_cannot_be_applied_and_stay_open(job: Job, first: BenchList) -> None:
    (lot,) = lots(first, 3)
    move_pieces(lot=lot, count=11, from_custody="bench", to_custody="outside", hand=ANN)
    newer = take_in(job, edited(",12,", ",9,"))
    (change,) = changes_of(newer).changed
    assert change.blocked == "3 fewer cannot be applied: 1 on the bench, 11 are outside"
    with pytest.raises(Conflict, match="Nothing was applied"):
        apply(newer)
    move_pieces(lot=lot, count=11, from_custody="outside", to_custody="bench", hand=ANN)
    assert apply(newer).changed == 1
    assert count_of(lot).bench == 9


def test_more_defects_are_split_off_the_good_ones(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited("2 with pulled threads", "3 with pulled threads"))
    apply(newer)
    good, pulled = lots(newer, 2)
    assert (count_of(good).bench, count_of(pulled).bench) == (6, 3)
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_defects_found_later_make_a_lot_of_their_own(job: Job, first: BenchList) -> None:
    rows = edited("black,ok", "black,4 with pulled threads", ROWS[:3]) + ROWS[3:]
    newer = take_in(job, rows)
    apply(newer)
    good, pulled = lots(newer, 4)
    assert (count_of(good).bench, count_of(pulled).bench) == (18, 4)
    assert (pulled.parent, pulled.thread_state) == (good, "defective")


def test_defects_that_are_none_go_back_to_the_good_ones(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited("2 with pulled threads", "ok"))
    apply(newer)
    (good,) = lots(newer, 2)
    assert (count_of(good).bench, good.defect) == (9, "")
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_a_lot_edited_by_hand_is_not_overwritten_silently(job: Job, first: BenchList) -> None:
    (lot,) = lots(first, 6)
    change_lot(lot=lot, finish_look="black", hand=ANN)
    newer = take_in(job, edited("1 1/2,yellow", "1 1/2,clear"))
    (change,) = changes_of(newer).changed
    assert change.by_hand
    assert (change.facets[0].old, change.facets[0].new, change.facets[0].now) == ("yellow", "clear", "black")
    with pytest.raises(Conflict, match="Nothing was applied"):
        apply(newer)
    assert apply(newer, r6=Choice.BOOKS).kept == 1
    lot.refresh_from_db()
    assert lot.finish_look == "black"
    assert changes_of(newer).changed == ()


def test_the_list_may_win_over_the_hand_when_chosen(job: Job, first: BenchList) -> None:
    (lot,) = lots(first, 6)
    change_lot(lot=lot, finish_look="black", hand=ANN)
    recount(lot=lot, counted=3, hand=ANN, missing=False)
    newer = take_in(job, edited(",4,hex bolt,3/8-16 UNC,1 1/2,yellow", ",5,hex bolt,3/8-16 UNC,1 1/2,clear"))
    (change,) = changes_of(newer).changed
    assert change.count_by_hand
    assert apply(newer, r6=Choice.LIST).changed == 1
    lot.refresh_from_db()
    assert (lot.finish_look, count_of(lot).bench) == ("clear", 5)


def test_a_row_that_is_gone_is_asked_about_and_never_withdrawn_silently(job: Job, first: BenchList) -> None:
    newer = take_in(job, ROWS[:4] + ROWS[5:])
    (change,) = changes_of(newer).gone
    assert (change.row, change.pieces) == (first.rows.get(row=6), 4)
    with pytest.raises(Conflict, match="Nothing was applied"):
        apply(newer)
    applied = apply_changes(bench_list=newer, choices={change.row.pk: Choice.LIST}, hand=ANN)
    assert applied.taken_out == 1
    assert lots(first, 6) == []
    assert books_balance() == (COUNTABLE - 4, COUNTABLE - 4)


def test_a_row_that_is_gone_and_comes_back_is_not_counted_again(job: Job, first: BenchList) -> None:
    second = take_in(job, ROWS[:4] + ROWS[5:])
    gone = changes_of(second).gone[0].row
    apply_changes(bench_list=second, choices={gone.pk: Choice.BOOKS}, hand=ANN)
    third = take_in(job, edited(",12,", ",13,"))
    assert third.supersedes == second
    assert apply(third) == Applied(changed=1, added=0, kept=0, taken_out=0, left_open=0)
    assert books_balance() == (COUNTABLE + 1, COUNTABLE + 1)


def test_a_change_left_open_is_still_seen_by_the_next_version(job: Job, first: BenchList) -> None:
    (lot,) = lots(first, 3)
    move_pieces(lot=lot, count=12, from_custody="bench", to_custody="outside", hand=ANN)
    second = take_in(job, (*edited(",12,", ",9,"), "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,"))
    assert apply(second).left_open == 1
    move_pieces(lot=lot, count=12, from_custody="outside", to_custody="bench", hand=ANN)
    third = take_in(
        job,
        (*edited("black,ok", "chrome,ok", edited(",12,", ",9,")), "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,"),
    )
    assert apply(third).changed == 3
    assert count_of(lot).bench == 9
    assert books_balance() == (COUNTABLE - 3 + 3,) * 2


def test_taking_the_changes_back_leaves_the_first_list_as_it_was(job: Job, first: BenchList) -> None:
    newer = take_in(job, (*edited(",12,", ",15,"), "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,"))
    apply(newer)
    take_back(record=Record.objects.get(verb="apply_list_changes"), hand=WHY)
    assert books_balance() == (COUNTABLE, COUNTABLE)
    assert sizes(changes_of(newer)) == (5, 1, 1, 1, 0)
    apply(newer)
    assert books_balance() == (COUNTABLE + 6, COUNTABLE + 6)


def test_a_list_of_other_pieces_can_be_said_to_be_one(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited(",12,", ",13,"))
    own = bench_intake.another_list(bench_list=newer, hand=ANN)
    assert own.supersedes is None
    assert bench_lists.accept(bench_list=own, hand=ANN).pieces == COUNTABLE + 1
    assert books_balance() == (2 * COUNTABLE + 1,) * 2


def test_corrections_are_carried_to_the_edited_list(job: Job) -> None:
    bench_list = take_in(job, ROWS)
    bench_lists.correct_row(row=bench_list.rows.get(row=7), texts={Meaning.COUNT: "4"}, hand=ANN)
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    newer = take_in(job, edited(",22,", ",23,"))
    assert sizes(changes_of(newer)) == (6, 1, 0, 0, 0)
    apply(newer)
    assert books_balance() == (COUNTABLE + 4 + 1,) * 2


def test_a_row_waiting_in_the_first_list_is_counted_once_it_can_be(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited(",-4,", ",4,"))
    assert sizes(changes_of(newer)) == (6, 0, 1, 0, 0)
    apply(newer)
    assert books_balance() == (COUNTABLE + 4, COUNTABLE + 4)
    with pytest.raises(Conflict, match="newer version"):
        bench_lists.accept(bench_list=first, hand=ANN)


def test_an_edited_list_that_changes_nothing_more_can_be_applied_quietly(job: Job, first: BenchList) -> None:
    newer = take_in(job, edited(",12,", ",13,"))
    apply(newer)
    again = apply(newer)
    assert again == Applied(changed=0, added=0, kept=0, taken_out=0, left_open=0)
    assert BenchRow.objects.filter(bench_list=newer).count() == len(ROWS)
    assert books_balance() == (COUNTABLE + 1, COUNTABLE + 1)


def test_what_an_edited_list_adds_came_off_the_engine_of_the_list(job: Job) -> None:
    engine = job.engines.get()
    bench_lists.accept(bench_list=take_in(job, ROWS), origin=engine, hand=ANN)
    added = "T9,gear case,3,hex bolt,M10,40 mm,clear,ok,"
    newer = take_in(job, (*ROWS, added))
    apply(newer)
    assert set(Lot.objects.values_list("origin", flat=True)) == {engine.pk}
    assert Lot.objects.get(end_a__startswith="M10").bag.code == "T9"  # type: ignore[union-attr]


def test_a_list_is_not_said_to_come_off_an_engine_of_another_job(job: Job) -> None:
    other = open_job(name="Saw bench", engine_name="Pellworth Wren", hand=ANN).engines.get()
    with pytest.raises(InvalidInput, match="an engine of this job"):
        bench_lists.accept(bench_list=take_in(job, ROWS), origin=other, hand=ANN)
    assert not Lot.objects.exists()
