"""Re-reading an edited list: moved rows are the same, edited ones are paired, none is counted twice."""

from __future__ import annotations

import random
import time
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from runningfit.core.pieces.bench_list import RowChanges, compare, read_bench_list
from runningfit.core.pieces.bench_list.compare import Difference
from runningfit.core.pieces.understood import Meaning, UnderstoodRow

HEADINGS = "Bag,Where,How many,What,Size,Length,Finish,State,Remarks"
BASE = [
    "T1,gear case,9,hex bolt,5/16-24 UNF,1 3/8,clear,2 with pulled threads,",
    "T1,gear case,3,hex bolt,5/16 UNF,1 15/16,clear,ok,dowel bosses",
    "T2,oil tray,22,hex setscrew,1/4-28,5/8,black,ok,",
    "T2,oil tray,28,plain washer,1/4,,black,ok,",
    "T4,cylinder head,12,stud,7/16-20 UNF,128 mm,none,3 wasted,",
    "T4,cylinder head,12,hex nut,7/16 UNF,,none,ok,deep",
]


def rows(lines: list[str]) -> tuple[UnderstoodRow, ...]:
    return read_bench_list("\n".join([HEADINGS, *lines]).encode(), filename="list.csv").rows


def every_row_once(old: tuple[UnderstoodRow, ...], new: tuple[UnderstoodRow, ...], found: RowChanges) -> None:
    olds = [pair.old.row for pair in found.same] + [one.old.row for one in found.changed]
    news = [pair.new.row for pair in found.same] + [one.new.row for one in found.changed]
    assert Counter(olds + [row.row for row in found.gone]) == Counter(row.row for row in old)
    assert Counter(news + [row.row for row in found.added]) == Counter(row.row for row in new)


def test_an_edited_count_and_state_are_shown_value_by_value() -> None:
    edited = [*BASE]
    edited[0] = "T1,gear case,8,hex bolt,5/16-24 UNF,1 3/8,clear,ok,"
    found = compare(rows(BASE), rows(edited))
    assert [(one.old.row, one.new.row) for one in found.changed] == [(2, 2)]
    assert found.changed[0].differences == (
        Difference(Meaning.COUNT, "9", "8"),
        Difference(Meaning.CONDITION, "2 with pulled threads", "ok"),
    )
    assert (len(found.same), found.added, found.gone) == (5, (), ())


def test_a_row_put_in_between_moves_the_others_and_changes_none() -> None:
    more = [BASE[0], "T9,governor,7,screw,4BA,1/2,clear,ok,", *BASE[1:]]
    found = compare(rows(BASE), rows(more))
    assert (len(found.same), found.changed, found.gone) == (6, (), ())
    assert [row.bag for row in found.added] == ["T9"]


def test_a_row_taken_out_is_gone() -> None:
    found = compare(rows(BASE), rows(BASE[1:]))
    assert ([row.row for row in found.gone], found.changed, found.added) == ([2], (), ())


def test_two_equal_rows_are_two_lots() -> None:
    found = compare(rows([BASE[0]]), rows([BASE[0], BASE[0]]))
    assert (len(found.same), len(found.added), found.gone) == (1, 1, ())


def test_another_lot_in_the_place_of_one_is_no_edit() -> None:
    other = ["T7,dynamo,2,union,1/2 BSP,,brass,ok,from the tin", *BASE[1:]]
    found = compare(rows(BASE), rows(other))
    assert (len(found.same), found.changed) == (5, ())
    assert ([row.bag for row in found.gone], [row.bag for row in found.added]) == (["T1"], ["T7"])


def test_the_most_alike_are_paired_first() -> None:
    old = rows(
        [
            "T1,gear case,9,hex bolt,5/16-24 UNF,1 3/8,clear,ok,",
            "T1,gear case,3,hex bolt,5/16-24 UNF,2,clear,ok,",
        ]
    )
    new = rows(
        [
            "T1,gear case,3,hex bolt,5/16-24 UNF,2,clear,1 bent,",
            "T1,gear case,8,hex bolt,5/16-24 UNF,1 3/8,clear,ok,",
        ]
    )
    found = compare(old, new)
    assert [(one.old.row, one.new.row) for one in found.changed] == [(2, 3), (3, 2)]


LINES = st.lists(
    st.builds(
        lambda bag, count, what, size, length, state: (
            f"{bag},gear case,{count},{what},{size},{length},clear,{state},"
        ),
        st.sampled_from(["T1", "T2", "T3"]),
        st.integers(1, 4),
        st.sampled_from(["hex bolt", "stud", "nut"]),
        st.sampled_from(["5/16 UNF", "M8", "1/4-20"]),
        st.sampled_from(["1", "1 3/8", ""]),
        st.sampled_from(["ok", "1 bent"]),
    ),
    min_size=1,
    max_size=12,
)


@given(LINES)
@settings(max_examples=60, deadline=None)
def test_a_list_compared_with_itself_has_no_changes(lines: list[str]) -> None:
    found = compare(rows(lines), rows(lines))
    assert (found.changed, found.added, found.gone) == ((), (), ())
    assert len(found.same) == len(lines)


@given(LINES, st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_a_shuffled_list_has_no_changes(lines: list[str], order: random.Random) -> None:
    shuffled = [*lines]
    order.shuffle(shuffled)
    found = compare(rows(lines), rows(shuffled))
    assert (found.changed, found.added, found.gone) == ((), (), ())


@given(LINES, LINES)
@settings(max_examples=100, deadline=None)
def test_every_row_is_in_exactly_one_class(old_lines: list[str], new_lines: list[str]) -> None:
    old, new = rows(old_lines), rows(new_lines)
    found = compare(old, new)
    every_row_once(old, new, found)
    assert found == compare(old, new)
    assert all(one.differences for one in found.changed)


@pytest.mark.slow
def test_five_thousand_edited_rows_are_compared_in_seconds() -> None:
    old = rows(
        [f"T{at // 9},area {at % 50},{at % 30 + 1},hex bolt,5/16 UNF,1,clear,ok,{at}" for at in range(5000)]
    )
    new = rows(
        [f"T{at // 9},area {at % 50},{at % 30 + 2},hex bolt,5/16 UNF,1,clear,ok,{at}" for at in range(5000)]
    )
    began = time.process_time()
    found = compare(old, new)
    assert time.process_time() - began < 8
    assert len(found.changed) == 5000
    every_row_once(old, new, found)
