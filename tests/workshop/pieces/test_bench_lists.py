"""Bench lists taken in: every row kept, corrected in place, accepted once, counted once."""

from __future__ import annotations

from pathlib import Path
from unittest import mock

import pytest

from bench_list_files import HEAD, ROWS, as_file, edited
from runningfit.core.errors import AlreadyDone, Conflict, DataFolderError, InvalidInput
from runningfit.core.pieces.understood import Meaning
from runningfit.workshop.models import BenchList, BenchRow, Job, Lot, Record
from runningfit.workshop.pieces import bench_intake, bench_lists, bench_rows
from runningfit.workshop.pieces.bench_intake import News
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")
WHY = Hand(who="Ann", why="wrong tin")
# 9 + 12 + 22 + 6 + 4 + 5; the row with -4 waits.
COUNTABLE = 58


@pytest.fixture
def bench_list(job: Job) -> BenchList:
    return take_in(job, *ROWS)


def take_in(job: Job, *rows: str, name: str = "tins.csv") -> BenchList:
    return bench_intake.take_in(job=job, name=name, data=as_file(*rows), hand=ANN).bench_list


def row(bench_list: BenchList, number: int) -> BenchRow:
    return bench_list.rows.get(row=number)


def correct(bench_list: BenchList, number: int, **texts: str) -> BenchRow:
    meanings = {Meaning(name): text for name, text in texts.items()}
    return bench_lists.correct_row(row=row(bench_list, number), texts=meanings, hand=ANN)


def test_a_file_becomes_a_draft_and_counts_nothing(bench_list: BenchList, data_folder: Path) -> None:
    assert bench_list.rows.count() == len(ROWS)
    assert books_balance() == (0, 0)
    assert (data_folder / bench_list.stored_as).read_bytes() == as_file(*ROWS)
    readings = list(bench_list.rows.order_by("row").values_list("reading", "pieces"))
    assert readings == [
        ("clear", 9),
        ("clear", 12),
        ("clear", 22),
        ("asked", 6),
        ("clear", 4),
        ("problem", None),
        ("problem", 5),
    ]


def test_a_row_as_understood_survives_its_storing(bench_list: BenchList) -> None:
    for one in bench_list.rows.all():
        assert bench_rows.stored(bench_rows.understood_of(one)) == one.understood
        assert bench_rows.understood_again(bench_list, one, {}) == bench_rows.understood_of(one)


def test_accepting_counts_what_can_be_counted_in_one_record(bench_list: BenchList) -> None:
    before = Record.objects.count()
    accepted = bench_lists.accept(bench_list=bench_list, hand=ANN, expected_pieces=COUNTABLE)
    assert (accepted.rows, accepted.pieces, accepted.lots) == (6, COUNTABLE, 7)
    assert Record.objects.count() == before + 1
    assert books_balance() == (COUNTABLE, COUNTABLE)
    good, pulled = row(bench_list, 2).lots.order_by("number")
    assert (count_of(good).bench, count_of(pulled).bench) == (7, 2)
    assert (pulled.defect, pulled.thread_state) == ("pulled threads", "defective")
    assert good.bag is not None
    assert (good.bag.code, good.length_nominal, good.end_a) == ("T1", "1 3/8 in", "5/16-24 UNF")
    (unread,) = row(bench_list, 8).lots.all()
    assert unread.end_a == ""
    assert any("5/17" in question for question in unread.questions)


def test_a_row_without_a_count_waits_and_is_accepted_later_alone(bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    assert not row(bench_list, 7).lots.exists()
    assert row(bench_list, 7).pieces is None
    correct(bench_list, 7, count="4")
    accepted = bench_lists.accept(bench_list=bench_list, hand=ANN)
    assert (accepted.rows, accepted.pieces) == (1, 4)
    assert books_balance() == (COUNTABLE + 4, COUNTABLE + 4)


def test_accepting_again_counts_nothing_twice(bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    with pytest.raises(Conflict, match="nothing was counted twice"):
        bench_lists.accept(bench_list=bench_list, hand=Hand(who="Ben"))
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_the_same_form_twice_counts_nothing_twice(bench_list: BenchList) -> None:
    hand = Hand(who="Ann", token="accept-form")
    bench_lists.accept(bench_list=bench_list, hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        bench_lists.accept(bench_list=bench_list, hand=hand)
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_a_list_changed_since_the_page_was_shown_is_not_accepted(bench_list: BenchList) -> None:
    correct(bench_list, 3, count="13")
    with pytest.raises(Conflict, match="it has 59 pieces, not 58"):
        bench_lists.accept(bench_list=bench_list, hand=ANN, expected_pieces=COUNTABLE)
    assert not Lot.objects.exists()


def test_something_failing_in_the_middle_leaves_nothing(bench_list: BenchList) -> None:
    with (
        mock.patch.object(bench_lists, "tie", side_effect=RuntimeError("the plug was pulled")),
        pytest.raises(RuntimeError, match="the plug was pulled"),
    ):
        bench_lists.accept(bench_list=bench_list, hand=ANN)
    assert not Lot.objects.exists()
    assert books_balance() == (0, 0)
    assert bench_lists.accept(bench_list=bench_list, hand=ANN).pieces == COUNTABLE


def test_taking_the_acceptance_back_frees_the_rows_again(bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    take_back(record=Record.objects.get(verb="accept_bench_list"), hand=WHY)
    assert books_balance() == (0, 0)
    bench_list.refresh_from_db()
    assert bench_list.accepted_at is None
    assert bench_lists.accept(bench_list=bench_list, hand=ANN).pieces == COUNTABLE
    assert books_balance() == (COUNTABLE, COUNTABLE)


def test_the_same_file_again_changes_nothing(job: Job, bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    again = bench_intake.take_in(job=job, name="copy of tins.csv", data=as_file(*ROWS), hand=ANN)
    assert (again.bench_list, again.news) == (bench_list, News.SAME_FILE)
    assert BenchList.objects.count() == 1


def test_the_same_rows_in_another_file_change_nothing(job: Job, bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    data = as_file(*reversed(ROWS)).replace(b",", b";")
    again = bench_intake.take_in(job=job, name="tins.txt", data=data, hand=ANN)
    assert (again.bench_list, again.news) == (bench_list, News.SAME_ROWS)
    assert BenchList.objects.count() == 1


def test_a_correction_keeps_what_was_typed_and_is_understood_again(bench_list: BenchList) -> None:
    corrected = correct(bench_list, 8, size="5/16 UNF")
    assert corrected.typed["4"] == "5/17 UNF"
    assert corrected.corrected == {"4": "5/16 UNF"}
    assert corrected.reading == "clear"
    assert bench_rows.understood_of(corrected).ends[0].candidates == ("5/16-24 UNF",)
    assert correct(bench_list, 8, size="5/17 UNF").corrected == {}


def test_a_correction_can_be_taken_back(bench_list: BenchList) -> None:
    correct(bench_list, 8, size="5/16 UNF")
    take_back(record=Record.objects.get(verb="correct_bench_row"), hand=WHY)
    assert (row(bench_list, 8).corrected, row(bench_list, 8).reading) == ({}, "problem")


def test_an_open_thread_is_settled_by_a_choice_or_left_open(bench_list: BenchList) -> None:
    chosen = bench_lists.choose_thread(row=row(bench_list, 5), end=0, designation="1/4-20 BSW", hand=ANN)
    assert bench_rows.understood_of(chosen).ends[0].candidates == ("1/4-20 BSW",)
    with pytest.raises(InvalidInput, match="thread needs one of those the row can be"):
        bench_lists.choose_thread(row=row(bench_list, 6), end=0, designation="1/4-20 BSW", hand=ANN)


def test_a_counted_row_is_corrected_in_its_lot_only(bench_list: BenchList) -> None:
    bench_lists.accept(bench_list=bench_list, hand=ANN)
    with pytest.raises(Conflict, match=r"Row 3 is counted already\. Change its lot instead\."):
        correct(bench_list, 3, count="13")


def test_a_row_set_aside_is_kept_and_not_counted(bench_list: BenchList) -> None:
    with pytest.raises(InvalidInput, match="why needs a reason"):
        bench_lists.set_aside(row=row(bench_list, 3), hand=ANN)
    bench_lists.set_aside(row=row(bench_list, 3), hand=WHY)
    assert bench_lists.accept(bench_list=bench_list, hand=ANN).pieces == COUNTABLE - 12
    assert (row(bench_list, 3).fate, row(bench_list, 3).said) == ("aside", "wrong tin")
    bench_lists.bring_back(row=row(bench_list, 3), hand=ANN)
    assert bench_lists.accept(bench_list=bench_list, hand=ANN).pieces == 12


def test_columns_read_otherwise_make_the_list_anew_and_keep_corrections(job: Job) -> None:
    head = HEAD.replace("Count", "A").replace("Finish", "B")
    data = as_file(*ROWS, head=head)
    first = bench_intake.take_in(job=job, name="odd.csv", data=data, hand=ANN).bench_list
    correct(first, 8, size="5/16 UNF")
    columns = bench_rows.columns_restored(first.columns).remapped(6, None)
    made = bench_intake.remap(bench_list=first, columns=columns, hand=ANN)
    first.refresh_from_db()
    assert first.withdrawn
    assert row(made, 8).corrected == {"4": "5/16 UNF"}
    assert "black" in row(made, 4).understood["remarks"]
    assert row(made, 4).understood["finish_look"] == "unknown"
    bench_lists.accept(bench_list=made, hand=ANN)
    with pytest.raises(Conflict, match="in the books already"):
        bench_intake.remap(bench_list=made, columns=columns, hand=ANN)


def test_a_newer_draft_puts_the_older_draft_aside_and_takes_its_corrections(
    job: Job, bench_list: BenchList
) -> None:
    correct(bench_list, 8, size="5/16 UNF")
    newer = take_in(job, *edited(",12,", ",13,"))
    bench_list.refresh_from_db()
    assert bench_list.put_aside
    assert newer.supersedes is None
    assert row(newer, 8).corrected == {"4": "5/16 UNF"}
    with pytest.raises(Conflict, match="put aside"):
        bench_lists.accept(bench_list=bench_list, hand=ANN)
    assert bench_lists.accept(bench_list=newer, hand=ANN).pieces == COUNTABLE + 1


def test_a_full_disk_reads_nothing_in(job: Job, data_folder: Path) -> None:
    with (
        mock.patch("os.fsync", side_effect=OSError(28, "No space left on device")),
        pytest.raises(DataFolderError, match=r"No space left on device.*make room"),
    ):
        take_in(job, *ROWS)
    assert not BenchList.objects.exists()
    assert list((data_folder / "lists").iterdir()) == []


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.csv", b"", "0 rows"),
        ("head.csv", (HEAD + "\n").encode(), "0 rows"),
        ("long.csv", as_file(*(ROWS[0],) * 100_000), "at most 20,000 rows"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "an old .xls workbook"),
        ("photo.csv", b"\x89PNG\r\n\x1a\n" + bytes(100), "a picture"),
    ],
)
def test_a_file_that_is_no_bench_list_is_refused_in_words(
    job: Job, name: str, data: bytes, said: str
) -> None:
    with pytest.raises(InvalidInput, match=said):
        bench_intake.take_in(job=job, name=name, data=data, hand=ANN)
    assert not BenchList.objects.exists()
