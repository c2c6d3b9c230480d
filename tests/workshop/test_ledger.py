"""The count ledger: conserved in the database itself, append-only, and never overdrawn."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connection, transaction

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, LedgerRefused, NothingChanged
from runningfit.workshop.models import Holding, Job, Lot, Movement, Record
from runningfit.workshop.pieces import ledger
from runningfit.workshop.pieces.lots import (
    LotFacts,
    change_lot,
    join_lots,
    keep_lot,
    move_pieces,
    recount,
    split_lot,
)
from runningfit.workshop.records.taking_back import standing, take_back
from runningfit.workshop.records.writing import Hand, write

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BEN = Hand(who="Ben", why="it was the other lot")


@pytest.fixture
def lot(job: Job) -> Lot:
    facts = LotFacts(
        count=9, kind="hex_bolt", end_a=("5/16-24 UNF",), length_mm=34.925, length_nominal="1 3/8 in"
    )
    return keep_lot(job=job, facts=facts, hand=ANN)


def last_record() -> Record:
    return Record.objects.latest("id")


def test_a_new_lot_is_on_the_bench_and_was_found(lot: Lot) -> None:
    assert ledger.count_of(lot) == ledger.Counts(bench=9, found=9)
    assert ledger.books_balance() == (9, 9)


def test_a_split_keeps_the_sum(lot: Lot) -> None:
    new = split_lot(lot=lot, count=2, hand=ANN, defect="pulled threads")
    assert (ledger.count_of(lot).bench, ledger.count_of(new).bench) == (7, 2)
    assert new.parent == lot
    assert ledger.books_balance() == (9, 9)


@pytest.mark.parametrize("count", [0, -4, 2.5, "some", True, None, 100_001])
def test_a_count_that_is_no_count_of_pieces_is_refused(job: Job, count: object) -> None:
    with pytest.raises(InvalidInput, match=r"count needs a whole number from 1 to 100,000; .* came"):
        keep_lot(job=job, facts=LotFacts(count=count), hand=ANN)  # type: ignore[arg-type]
    assert not Lot.objects.exists()


def test_more_than_there_is_cannot_be_moved(lot: Lot) -> None:
    with pytest.raises(LedgerRefused, match="Lot 1 has 9 on the bench, so 10 cannot be taken"):
        move_pieces(lot=lot, count=10, from_custody="bench", to_custody="store", hand=ANN)
    assert ledger.count_of(lot).bench == 9


def test_the_database_refuses_an_overdraft_that_the_code_let_through(lot: Lot) -> None:
    with pytest.raises(DatabaseError, match="no_account_overdrawn"), transaction.atomic():
        Movement.objects.create(
            record=last_record(), from_lot=lot, from_account="store", to_lot=lot, to_account="bench", count=1
        )
    assert ledger.books_balance() == (9, 9)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE workshop_movement SET count = 8",
        "DELETE FROM workshop_movement",
        "UPDATE workshop_holding SET count = count + 1 WHERE account = 'bench'",
        "DELETE FROM workshop_holding",
        "INSERT INTO workshop_holding(lot_id, account, count) SELECT id, 'store', 3 FROM workshop_lot",
    ],
)
def test_the_database_lets_nobody_write_counts_past_the_ledger(lot: Lot, statement: str) -> None:
    law = r"append-only|movements only|cannot be deleted"
    with (
        pytest.raises(DatabaseError, match=law),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert ledger.count_of(lot) == ledger.Counts(bench=9, found=9)


def test_a_recount_is_a_movement_like_any_other(lot: Lot) -> None:
    assert recount(lot=lot, counted=7, hand=ANN) == -2
    assert ledger.count_of(lot) == ledger.Counts(bench=7, missing=2, found=9)
    assert recount(lot=lot, counted=10, hand=ANN) == 3
    assert ledger.count_of(lot) == ledger.Counts(bench=10, found=10)
    recount(lot=lot, counted=4, hand=ANN, missing=False)
    assert ledger.count_of(lot) == ledger.Counts(bench=4, found=4)


def test_the_same_form_sent_twice_counts_once(job: Job) -> None:
    hand = Hand(who="Ann", token="form-1")
    keep_lot(job=job, facts=LotFacts(count=3), hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        keep_lot(job=job, facts=LotFacts(count=3), hand=hand)
    assert ledger.books_balance() == (3, 3)


def test_a_split_is_taken_back_by_a_reversing_entry(lot: Lot) -> None:
    new = split_lot(lot=lot, count=2, hand=ANN)
    take_back(record=last_record(), hand=BEN)
    new.refresh_from_db()
    assert ledger.count_of(lot).bench == 9
    assert new.withdrawn
    assert Record.objects.count() == 5  # stock, job, lot, split, taking back


def test_taking_back_is_refused_with_the_name_of_what_depends_on_it(lot: Lot) -> None:
    kept = last_record()
    split_lot(lot=lot, count=2, hand=ANN)
    later = standing(kept)
    assert later is not None
    assert later.summary == "split 2 off lot 1 as lot 2"
    with pytest.raises(
        Conflict, match=r"'split 2 off lot 1 as lot 2' .Ann, .* depends on it. Take that back first"
    ):
        take_back(record=kept, hand=BEN)
    take_back(record=Record.objects.get(verb="split_lot"), hand=BEN)
    assert standing(kept) is None
    take_back(record=kept, hand=BEN)
    assert ledger.books_balance() == (0, 0)


def test_a_change_is_taken_back_to_what_it_was(lot: Lot) -> None:
    change_lot(lot=lot, hand=ANN, finish_look="black", length_mm=31.75, length_nominal="1 1/4 in")
    take_back(record=last_record(), hand=BEN)
    lot.refresh_from_db()
    assert (lot.finish_look, lot.length_mm, lot.length_nominal) == ("unknown", 34.925, "1 3/8 in")
    assert lot.words.startswith("lot 1 hex bolt 5/16-24 unf 1 3/8 in")


def test_what_somebody_else_changed_meanwhile_is_not_written_over_unseen(lot: Lot) -> None:
    shown_at = last_record().pk
    change_lot(lot=lot, hand=BEN, finish_look="black")
    late = Hand(who="Ann", seen=shown_at)
    with pytest.raises(Conflict, match=r"Ben changed the finish look of lot 1 on .* after this page was"):
        change_lot(lot=lot, hand=late, finish_look="yellow")
    change_lot(lot=lot, hand=late, condition="rusty")
    lot.refresh_from_db()
    assert (lot.finish_look, lot.condition) == ("black", "rusty")


def test_a_change_that_changes_nothing_says_so_and_leaves_no_record(lot: Lot) -> None:
    change_lot(lot=lot, hand=ANN, finish_look="black")
    before = last_record()
    with pytest.raises(NothingChanged, match="Nothing was changed: what you sent is what stands there"):
        change_lot(lot=lot, hand=BEN, finish_look="black")
    assert last_record() == before


def test_ones_own_other_tab_is_not_written_over_unseen_either_and_a_second_look_lets_it_through(
    lot: Lot,
) -> None:
    shown_at = last_record().pk
    change_lot(lot=lot, hand=ANN, finish_look="black")
    with pytest.raises(Conflict, match="You, elsewhere, changed the finish look of lot 1"):
        change_lot(lot=lot, hand=Hand(who="Ann", seen=shown_at), finish_look="yellow")
    change_lot(lot=lot, hand=Hand(who="Ann", seen=last_record().pk), finish_look="yellow")
    lot.refresh_from_db()
    assert lot.finish_look == "yellow"


def test_a_row_read_before_somebody_else_changed_it_is_not_stored_again(lot: Lot) -> None:
    stale = Lot.objects.get(pk=lot.pk)
    change_lot(lot=lot, hand=BEN, finish_look="black")
    with (
        pytest.raises(Conflict, match="Ben changed the finish look of lot 1"),
        write(verb="test", summary="test", hand=ANN) as entry,
    ):
        entry.change(stale, finish_look="yellow")


def test_taking_back_needs_a_reason_and_works_once(lot: Lot) -> None:
    record = last_record()
    with pytest.raises(InvalidInput, match="why needs a reason for taking it back"):
        take_back(record=record, hand=ANN)
    take_back(record=record, hand=BEN)
    with pytest.raises(Conflict, match="was already taken back"):
        take_back(record=record, hand=BEN)
    with pytest.raises(Conflict, match="is itself a taking back"):
        take_back(record=last_record(), hand=BEN)


def test_two_lots_that_are_alike_after_all_are_joined(lot: Lot) -> None:
    new = split_lot(lot=lot, count=2, hand=ANN)
    move_pieces(lot=new, count=1, from_custody="bench", to_custody="store", hand=ANN)
    join_lots(into=lot, other=new, hand=ANN)
    assert ledger.count_of(lot) == ledger.Counts(bench=8, store=1, found=9)
    take_back(record=last_record(), hand=BEN)
    assert ledger.count_of(new) == ledger.Counts(bench=1, store=1)


def test_a_movement_refused_by_one_verb_leaves_no_record(lot: Lot) -> None:
    before = Record.objects.count()
    with pytest.raises(LedgerRefused, match="10 cannot be split off"):
        split_lot(lot=lot, count=10, hand=ANN)
    assert Record.objects.count() == before
    assert Holding.objects.filter(count__gt=0).count() == 1


def test_a_wrong_count_of_a_split_off_lot_goes_out_where_its_pieces_came_in(lot: Lot) -> None:
    new = split_lot(lot=lot, count=4, hand=ANN)
    recount(lot=new, counted=1, hand=ANN, missing=False)
    assert ledger.count_of(new) == ledger.Counts(bench=1)
    assert ledger.count_of(lot) == ledger.Counts(bench=5, found=6)
    assert ledger.books_balance() == (6, 6)


def test_more_than_came_in_cannot_go_out_of_the_books(lot: Lot) -> None:
    new = split_lot(lot=lot, count=4, hand=ANN)
    recount(lot=lot, counted=0, hand=ANN, missing=False)
    with (
        pytest.raises(LedgerRefused, match="Only 4 pieces of lot 2 came into the books along its line"),
        write(verb="test", summary="test", hand=ANN) as entry,
    ):
        ledger.out_of_the_books(entry, new, count=5, custody="bench")
    assert ledger.books_balance() == (4, 4)
