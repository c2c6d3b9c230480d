"""Bags: codes for a metal tag, packing, counting, and labels that stay true."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused, NotFound
from runningfit.workshop.pieces.bag_codes import FIGURES, LETTERS, free_code, looks_of, normal_code
from runningfit.workshop.pieces.bags import (
    bag_by_code,
    bag_lines,
    change_bag,
    contents,
    count_bag,
    make_bag,
    mark_labelled,
    new_code,
    pack,
    stale_labels,
    take_out,
)
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot, move_pieces
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

HAND = Hand(who="Ada")
pytestmark = pytest.mark.django_db


def lot_of(job: Job, count: int) -> Lot:
    return keep_lot(job=job, facts=LotFacts(count=count, kind="nut"), hand=HAND)


@pytest.mark.parametrize(
    ("typed", "code"), [("t1", "T1"), (" GC 4 ", "GC4"), ("Ｔ１", "T1"), ("a-1", "A-1"), ("12.3", "12.3")]
)
def test_a_code_is_kept_in_one_form(typed: str, code: str) -> None:
    assert normal_code(typed) == code


@pytest.mark.parametrize(
    "typed", ["", "  ", "../x", "T/1", "<b>", "-1", "ABCDEFGHIJKLM", "T1?", "tüte", "T\n1\x00"]
)
def test_what_cannot_be_a_code_is_refused(typed: str) -> None:
    with pytest.raises(InvalidInput, match="a code of letters and figures, at most 12, such as T1"):
        normal_code(typed)


@given(st.text(max_size=20))
def test_a_code_is_in_its_one_form_already_or_refused(typed: str) -> None:
    try:
        code = normal_code(typed)
    except InvalidInput:
        code = "T1"
    assert normal_code(code) == code


def test_given_codes_have_no_look_alikes_no_words_and_never_repeat() -> None:
    taken: list[str] = []
    for _ in range(900):
        taken.append(free_code(taken))
    assert len({looks_of(code) for code in taken}) == 900
    assert all(2 <= len(code) <= 4 for code in taken)
    assert set("".join(taken)) <= set(LETTERS + FIGURES)
    assert not set(LETTERS + FIGURES) & set("O0Q1IL2Z5S6G8BUVAEDOU")
    assert all(sum(sign in LETTERS for sign in code) <= 2 for code in taken)


def test_a_given_code_is_not_one_that_a_worn_tag_makes_alike(job: Job) -> None:
    first = new_code(job)
    make_bag(job=job, code=first, hand=HAND)
    make_bag(job=job, code="T0", hand=HAND)
    with pytest.raises(Conflict, match="On a worn tag TO looks like bag T0 of this job"):
        make_bag(job=job, code="to", hand=HAND)
    with pytest.raises(Conflict, match="has a bag T0 already"):
        make_bag(job=job, code="t 0", hand=HAND)
    assert new_code(job) != first


def test_bags_of_two_jobs_may_have_one_code(job: Job) -> None:
    other = open_job(name="Other", engine_name="Other", hand=HAND)
    assert make_bag(job=job, code="T1", hand=HAND).pk != make_bag(job=other, code="T1", hand=HAND).pk


def test_a_bag_is_found_however_its_code_is_typed(job: Job) -> None:
    bag = make_bag(job=job, code="T1", hand=HAND)
    assert bag_by_code(job, " t1") == bag
    with pytest.raises(NotFound, match="There is no bag T9 in the job Launch engine"):
        bag_by_code(job, "T9")
    with pytest.raises(NotFound, match="a code of letters and figures"):
        bag_by_code(job, "???")


def test_packing_some_of_a_lot_splits_it(job: Job) -> None:
    bag, lot = make_bag(job=job, hand=HAND), lot_of(job, 9)
    (inside,) = pack(bag=bag, lots=[(lot, 4)], hand=HAND)
    assert inside.parent == lot
    assert (count_of(lot).bench, count_of(inside).bench) == (5, 4)
    (rest,) = pack(bag=bag, lots=[(lot, 5)], hand=HAND)
    assert rest.pk == lot.pk
    assert sorted(one.pieces for one in contents(bag)) == [4, 5]
    assert books_balance() == (9, 9)


def test_what_is_fitted_stays_out_of_the_bag(job: Job) -> None:
    bag, lot = make_bag(job=job, hand=HAND), lot_of(job, 9)
    move_pieces(lot=lot, count=3, from_custody="bench", to_custody="fitted", hand=HAND)
    (inside,) = pack(bag=bag, lots=[(lot, 6)], hand=HAND)
    assert (count_of(inside).bench, count_of(lot).fitted, count_of(lot).bench) == (6, 3, 0)
    lot.refresh_from_db()
    assert lot.bag is None


def test_more_than_is_here_cannot_be_packed(job: Job) -> None:
    bag, lot = make_bag(job=job, hand=HAND), lot_of(job, 3)
    with pytest.raises(LedgerRefused, match="cannot be"):
        pack(bag=bag, lots=[(lot, 4)], hand=HAND)
    with pytest.raises(InvalidInput, match="at least one lot"):
        pack(bag=bag, lots=[], hand=HAND)
    assert not contents(bag)


def test_counting_a_bag_brings_the_books_to_what_is_there(job: Job) -> None:
    bag, nuts, more = make_bag(job=job, hand=HAND), lot_of(job, 9), lot_of(job, 4)
    move_pieces(lot=nuts, count=5, from_custody="bench", to_custody="store", hand=HAND)
    pack(bag=bag, lots=[(nuts, 9), (more, 4)], hand=HAND)
    nuts.refresh_from_db()
    more.refresh_from_db()
    assert count_bag(bag=bag, counted=[(nuts, 7), (more, 4)], hand=HAND) == 1
    assert (count_of(nuts).bench, count_of(nuts).store, count_of(nuts).missing) == (2, 5, 2)
    assert count_bag(bag=bag, counted=[(nuts, 9)], hand=HAND) == 1
    assert (count_of(nuts).here, count_of(nuts).missing, count_of(nuts).found) == (9, 0, 9)
    assert count_bag(bag=bag, counted=[(nuts, 3)], missing=False, hand=HAND) == 1
    assert (count_of(nuts).here, count_of(nuts).missing, count_of(nuts).found) == (3, 0, 3)
    assert books_balance() == (7, 7)


def test_a_lot_that_left_the_bag_is_not_counted_in_it(job: Job) -> None:
    bag, lot = make_bag(job=job, hand=HAND), lot_of(job, 3)
    with pytest.raises(Conflict, match=r"Lot 1 is not in bag \w+ any more"):
        count_bag(bag=bag, counted=[(lot, 3)], hand=HAND)


def test_a_label_says_less_once_something_else_is_in_the_bag(job: Job) -> None:
    bag, other = make_bag(job=job, hand=HAND), make_bag(job=job, hand=HAND)
    first, second = lot_of(job, 3), lot_of(job, 2)
    pack(bag=bag, lots=[(first, 3)], hand=HAND)
    mark_labelled(job=job, bags=[bag, other], hand=HAND)
    assert stale_labels([bag, other]) == set()
    pack(bag=bag, lots=[(second, 2)], hand=HAND)
    assert stale_labels([bag, other]) == {bag.pk}
    mark_labelled(job=job, bags=[bag], hand=HAND)
    assert stale_labels([bag, other]) == set()
    second.refresh_from_db()
    take_out(lot=second, hand=HAND)
    assert stale_labels([bag, other]) == {bag.pk}
    mark_labelled(job=job, bags=[bag], hand=HAND)
    first.refresh_from_db()
    count_bag(bag=bag, counted=[(first, 2)], hand=HAND)
    assert stale_labels([bag, other]) == {bag.pk}


def test_a_list_of_bags_takes_few_queries(job: Job, django_assert_max_num_queries: object) -> None:
    bags = [make_bag(job=job, hand=HAND) for _ in range(30)]
    for bag, size in zip(bags, itertools.cycle([1, 2, 3]), strict=False):
        pack(bag=bag, lots=[(lot_of(job, size), size)], hand=HAND)
    with django_assert_max_num_queries(5):  # type: ignore[operator]
        lines = bag_lines(list(Bag.objects.order_by("pk")))
    assert [line.pieces for line in lines[:3]] == [1, 2, 3]
    assert all(line.lots == 1 for line in lines)


def test_a_bag_is_packed_and_opened_again(job: Job) -> None:
    bag = change_bag(bag=make_bag(job=job, hand=HAND), packed=True, hand=HAND)
    assert bag.packed_on is not None
    assert change_bag(bag=bag, packed=False, note="ask about the copper washer", hand=HAND).packed_on is None
