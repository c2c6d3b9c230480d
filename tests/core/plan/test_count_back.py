"""Counting back a bucket: exact in whole pieces, whatever came."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.count_back import (
    Back,
    Counted,
    Expected,
    Over,
    Proposal,
    Short,
    Sort,
    Swap,
    Twins,
    Unproven,
    Wrong,
    reconcile,
)
from runningfit.core.plan.count_back.filling import share
from runningfit.core.plan.count_back.saying import damaged_said, short_said
from runningfit.core.plan.count_back.sorts import alike, nearness

CLEAR, YELLOW, UNKNOWN = FinishLook.CLEAR, FinishLook.YELLOW, FinishLook.UNKNOWN
LONG = Sort(Kind.HEX_BOLT, ("5/16-24 UNF",), length_mm=34.925, length_said="1 3/8 in")
STUBBY = Sort(Kind.HEX_BOLT, ("5/16-24 UNF",), length_mm=31.75, length_said="1 1/4 in")
COARSE = Sort(Kind.HEX_BOLT, ("5/16-18 UNC",), length_mm=34.925, length_said="1 3/8 in")
OPEN = Sort(Kind.HEX_BOLT, ("5/16-18 UNC", "5/16-18 BSW"), length_mm=34.925, length_said="1 3/8 in")
NUT = Sort(Kind.NUT, ("5/16-24 UNF",))
SORTS = (LONG, STUBBY, COARSE, OPEN, NUT)


def sent(
    line: int,
    count: int,
    sort: Sort = LONG,
    *,
    origin: str = "Tern",
    finish: FinishLook | None = CLEAR,
    defect: str = "",
    waiting: bool = False,
) -> Expected:
    return Expected(line, f"lot {line}", f"T{line}", origin, sort, count, finish, defect, waiting)


def came(key: int, count: int, sort: Sort = LONG, *, damaged: int = 0, look: FinishLook = CLEAR) -> Counted:
    return Counted(key, sort, count, damaged, look)


def test_what_came_as_it_went_agrees() -> None:
    proposal = reconcile([sent(1, 9), sent(2, 4, NUT)], [came(1, 9), came(2, 4, NUT)])
    assert proposal.back == (Back(1, 1, 9), Back(2, 2, 4))
    assert proposal.agrees


def test_two_missing_are_short_and_while_more_is_to_come_only_out() -> None:
    counted = [came(1, 7)]
    assert reconcile([sent(1, 9)], counted).short == (Short(1, 2),)
    more_to_come = reconcile([sent(1, 9)], counted, finished=False)
    assert more_to_come.short == ()
    assert more_to_come.still_out == (Short(1, 2),)
    assert more_to_come.agrees


def test_a_shorter_bolt_where_a_longer_was_sent_is_a_swap() -> None:
    proposal = reconcile([sent(1, 9), sent(2, 4, NUT)], [came(1, 8), came(2, 1, STUBBY), came(3, 4, NUT)])
    assert proposal.swapped == (Swap(1, 2, 1),)
    assert proposal.short == ()
    assert proposal.over == ()


def test_a_nut_too_many_is_no_swap_for_a_missing_bolt() -> None:
    proposal = reconcile([sent(1, 9)], [came(1, 8), came(2, 1, NUT)])
    assert proposal.swapped == ()
    assert proposal.short == (Short(1, 1),)
    assert proposal.over == (Over(2, 1),)


def test_twins_of_two_engines_fill_both_bags_by_count_and_lose_their_engine() -> None:
    proposal = reconcile([sent(1, 4), sent(2, 6, origin="donor")], [came(1, 10)])
    assert proposal.back == (Back(1, 1, 4, 0, (1, 2)), Back(2, 1, 6, 0, (1, 2)))
    assert proposal.twins == (Twins((1, 2), ("Tern", "donor")),)
    assert proposal.twins[0].engine_lost
    assert not proposal.agrees


def test_twins_of_one_engine_are_said_but_lose_nothing() -> None:
    proposal = reconcile([sent(1, 4), sent(2, 6)], [came(1, 10)])
    assert proposal.twins == (Twins((1, 2), ("Tern",)),)
    assert proposal.agrees


def test_which_bag_lost_one_of_the_twins_is_not_known_and_a_person_may_say() -> None:
    lines = [sent(1, 4), sent(2, 6)]
    assert reconcile(lines, [came(1, 9)]).short == (Short(2, 1, (1, 2)),)
    said = reconcile(lines, [came(1, 9)], fixed={1: 3, 2: 6})
    assert said.short == (Short(1, 1, (1, 2)),)
    with pytest.raises(InvalidInput, match=r"add up to the 9 counted; '4 \+ 6' came"):
        reconcile(lines, [came(1, 9)], fixed={1: 4, 2: 6})
    with pytest.raises(InvalidInput, match="a number from 0 to 6; 7 came"):
        reconcile(lines, [came(1, 9)], fixed={1: 2, 2: 7})


def test_the_finish_asked_tells_twins_apart_when_it_came() -> None:
    lines = [sent(1, 4), sent(2, 6, origin="donor", finish=YELLOW)]
    apart = reconcile(lines, [came(1, 4), came(2, 6, look=YELLOW)])
    assert apart.twins == ()
    assert apart.agrees
    blurred = reconcile(lines, [came(1, 5), came(2, 5, look=YELLOW)])
    assert blurred.wrong_finish == (Wrong(2, 1, YELLOW, CLEAR),)
    assert blurred.twins == (Twins((1, 2), ("Tern", "donor")),)


def test_a_finish_nobody_can_see_opens_nothing() -> None:
    assert reconcile([sent(1, 4, finish=None)], [came(1, 4)]).wrong_finish == ()
    assert reconcile([sent(1, 4)], [came(1, 4, look=UNKNOWN)]).wrong_finish == ()


def test_damaged_pieces_go_first_to_the_lot_that_was_sent_damaged() -> None:
    lines = [sent(1, 7), sent(2, 2, defect="pulled threads")]
    proposal = reconcile(lines, [came(1, 9, damaged=2)])
    assert proposal.back == (Back(1, 1, 7), Back(2, 1, 2, 2))
    assert proposal.unproven == ()
    assert proposal.twins == ()


def test_a_defect_that_was_not_found_again_lies_among_the_good_ones() -> None:
    lines = [sent(1, 7), sent(2, 2, defect="pulled threads")]
    proposal = reconcile(lines, [came(1, 9, damaged=1)])
    assert proposal.unproven == (Unproven((1, 2), 1, "pulled threads"),)


def test_a_piece_found_short_before_is_filled_only_by_what_is_left_over() -> None:
    lines = [sent(1, 4), sent(2, 1, waiting=True)]
    assert reconcile(lines, [came(1, 4)]).still_out == (Short(2, 1),)
    found = reconcile(lines, [came(1, 5)])
    assert [(one.line, one.count) for one in found.back] == [(1, 4), (2, 1)]
    assert found.over == ()


def test_an_open_thread_takes_what_it_may_be_and_asks_when_it_may_be_two() -> None:
    one = reconcile([sent(1, 4, COARSE)], [came(1, 4, OPEN)])
    assert one.agrees
    both = Sort(Kind.HEX_BOLT, (), length_mm=34.925)
    two = reconcile([sent(1, 4, COARSE), sent(2, 4, LONG)], [came(1, 4, both)])
    assert two.questions == (
        "4 hex bolts x 34.925 mm: may be hex bolt 5/16-18 UNC x 1 3/8 in or hex bolt 5/16-24 UNF x 1 3/8 in. "
        "Gauge them, then count again.",
    )


@pytest.mark.parametrize(
    ("lines", "groups", "text"),
    [
        ([sent(1, 4)], [came(1, -1)], "count needs a whole number, 0 or more; -1 came. Count again."),
        ([sent(1, 4)], [came(1, 2, damaged=3)], "damaged needs at most the 2 counted of hex bolt"),
        ([sent(1, 4), sent(1, 4)], [], "each line and each group once"),
        ([sent(1, 0)], [], "lot 1 needs at least one piece outside; 0 came"),
    ],
)
def test_what_cannot_be_counted_is_refused(lines: list[Expected], groups: list[Counted], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        reconcile(lines, groups)


LINES = st.lists(
    st.builds(
        lambda count, sort, origin, finish, defect, waiting: (count, sort, origin, finish, defect, waiting),
        st.integers(1, 5),
        st.sampled_from(SORTS),
        st.sampled_from(("Tern", "donor", "")),
        st.sampled_from((CLEAR, YELLOW, UNKNOWN, None)),
        st.sampled_from(("", "", "pulled threads")),
        st.sampled_from((False, False, True)),
    ),
    max_size=6,
)
GROUPS = st.lists(
    st.tuples(
        st.integers(0, 7),
        st.integers(0, 3),
        st.sampled_from(SORTS),
        st.sampled_from((CLEAR, YELLOW, UNKNOWN)),
    ),
    max_size=6,
)


def built(
    lines: list[tuple[object, ...]], groups: list[tuple[int, int, Sort, FinishLook]]
) -> tuple[list[Expected], list[Counted]]:
    expected = [
        Expected(line, f"lot {line}", f"T{line}", origin, sort, count, finish, defect, waiting)  # type: ignore[arg-type]
        for line, (count, sort, origin, finish, defect, waiting) in enumerate(lines, start=1)
    ]
    counted = [
        Counted(key, sort, count, min(damaged, count), look)
        for key, (count, damaged, sort, look) in enumerate(groups, start=1)
    ]
    return expected, counted


def tallies(proposal: Proposal) -> tuple[Counter[int], Counter[int], Counter[int]]:
    """Pieces by group, damaged pieces by group, and pieces by line, over the whole proposal."""
    by_key: Counter[int] = Counter()
    damaged: Counter[int] = Counter()
    by_line: Counter[int] = Counter()
    came_as: tuple[Back | Over | Swap, ...] = (*proposal.back, *proposal.over, *proposal.swapped)
    sent_as: tuple[Back | Short | Swap, ...] = (
        *proposal.back,
        *proposal.short,
        *proposal.swapped,
        *proposal.still_out,
    )
    for one in came_as:
        by_key[one.key] += one.count
        damaged[one.key] += one.damaged
    for place in sent_as:
        by_line[place.line] += place.count
    return by_key, damaged, by_line


@given(LINES, GROUPS, st.booleans())
def test_every_piece_has_exactly_one_place(
    lines: list[tuple[object, ...]], groups: list[tuple[int, int, Sort, FinishLook]], finished: bool
) -> None:
    expected, counted = built(lines, groups)
    proposal = reconcile(expected, counted, finished=finished)
    by_key, damaged, by_line = tallies(proposal)
    assert by_key == Counter({one.key: one.count for one in counted})
    assert damaged == Counter({one.key: one.damaged for one in counted})
    assert by_line == Counter({one.line: one.count for one in expected})
    assert all(one.count > 0 for one in proposal.back)
    assert all(one.count > 0 for one in proposal.over)
    assert all(one.count > 0 for one in proposal.swapped)
    assert all(one.count > 0 for one in (*proposal.short, *proposal.still_out))
    assert all(0 <= one.damaged <= one.count for one in proposal.back)
    assert all(0 <= one.damaged <= one.count for one in proposal.over)
    waiting = {one.line for one in expected if one.waiting}
    assert not waiting & {one.line for one in proposal.short}
    assert not waiting & {one.line for one in proposal.swapped}
    assert finished or not (proposal.short or proposal.swapped)


@given(LINES, GROUPS)
def test_pieces_go_only_to_lines_they_may_be_of(
    lines: list[tuple[object, ...]], groups: list[tuple[int, int, Sort, FinishLook]]
) -> None:
    expected, counted = built(lines, groups)
    sorts = {one.line: one.sort for one in expected}
    sorts_counted = {one.key: one.sort for one in counted}
    proposal = reconcile(expected, counted)
    assert all(alike(sorts[one.line], sorts_counted[one.key]) for one in proposal.back)
    for swap in proposal.swapped:
        assert nearness(sorts_counted[swap.key], sorts[swap.line]) is not None
    for over in proposal.over:
        for short in proposal.short:
            assert nearness(sorts_counted[over.key], sorts[short.line]) is None


@given(LINES, GROUPS, st.randoms())
def test_the_order_of_counting_changes_no_sum(
    lines: list[tuple[object, ...]], groups: list[tuple[int, int, Sort, FinishLook]], random: Random
) -> None:
    expected, counted = built(lines, groups)
    shuffled = list(counted)
    random.shuffle(shuffled)
    one, other = reconcile(expected, counted), reconcile(expected, shuffled)
    for part in ("back", "short", "over", "swapped"):
        assert sum(place.count for place in getattr(one, part)) == sum(
            place.count for place in getattr(other, part)
        )


def by_brute_force(expected: list[Expected], counted: list[Counted]) -> int:
    """The most pieces that any way of putting them back, one by one, could bring home."""
    few, many = sorted(
        (
            [one.sort for one in expected for _ in range(one.count)],
            [group.sort for group in counted for _ in range(group.count)],
        ),
        key=len,
    )
    return max(
        sum(one.identity == other.identity for one, other in zip(few, order, strict=True))
        for order in set(permutations(many, len(few)))
    )


SMALL_LINES = st.lists(st.tuples(st.integers(1, 2), st.sampled_from((LONG, STUBBY, NUT))), max_size=3)
SMALL_GROUPS = st.lists(st.tuples(st.integers(0, 2), st.sampled_from((LONG, STUBBY, NUT))), max_size=3)


@given(SMALL_LINES, SMALL_GROUPS)
def test_no_other_way_brings_more_pieces_home(
    lines: list[tuple[int, Sort]], groups: list[tuple[int, Sort]]
) -> None:
    expected = [sent(line, count, sort) for line, (count, sort) in enumerate(lines, start=1)]
    counted = [came(key, count, sort) for key, (count, sort) in enumerate(groups, start=1)]
    proposal = reconcile(expected, counted)
    assert sum(one.count for one in proposal.back) == by_brute_force(expected, counted)
    # Bolts of one thread swap for each other until either runs out; nuts for nothing.
    bolts_over = sum(one.count for one in counted if one.sort is not NUT)
    bolts_sent = sum(one.count for one in expected if one.sort is not NUT)
    bolts_home = sum(one.count for one in proposal.back if expected[one.line - 1].sort is not NUT)
    swapped = sum(one.count for one in proposal.swapped)
    assert swapped == min(bolts_over - bolts_home, bolts_sent - bolts_home)


@given(st.lists(st.integers(0, 9), min_size=1, max_size=6), st.data())
def test_a_share_adds_up_and_nobody_gets_more_than_there_is_room(
    rooms: list[int], data: st.DataObject
) -> None:
    total = data.draw(st.integers(0, sum(rooms)))
    parts = share(total, rooms)
    assert sum(parts) == total
    assert all(0 <= part <= room for part, room in zip(parts, rooms, strict=True))
    assert all(
        abs(part * sum(rooms) - total * room) < sum(rooms)
        for part, room in zip(parts, rooms, strict=True)
        if total
    )


def test_more_pieces_than_room_cannot_be_shared() -> None:
    with pytest.raises(InvalidInput, match="a number from 0 to 3; 4 came"):
        share(4, (1, 2))


def test_a_sentence_names_a_bag_once_and_counts_what_is_beyond_six() -> None:
    in_two_bags = {line: replace(sent(line, 2), bag=f"T{1 + line % 2}") for line in range(8)}
    said = short_said(Short(0, 2, tuple(range(8))), in_two_bags)
    assert said.endswith("; alike went in bag T1 and bag T2, so nobody can say which bag it belongs to.")
    in_one_bag = {line: replace(sent(line, 2), bag="T1") for line in range(3)}
    said = short_said(Short(0, 2, (0, 1, 2)), in_one_bag)
    assert said.endswith("; alike went in bag T1, so nobody can say which lot it belongs to.")
    in_many = {line: sent(line, 2) for line in range(50)}
    said = damaged_said(in_many[0], 1, tuple(range(50)), in_many)
    assert said.endswith("in bag T0, bag T1, bag T2, bag T3, bag T4 and 45 more.")


def test_a_bolt_of_another_thread_is_not_alike_however_it_is_turned() -> None:
    fine = Sort(kind=Kind.HEX_BOLT, end_a=("5/16-24 UNF",), length_mm=31.75, length_said="1 1/4 in")
    assert not alike(fine, replace(fine, end_a=("3/8-16 UNC",)))
    assert alike(fine, replace(fine, end_a=("5/16-24 UNF", "M8x1")))
    stud = replace(fine, kind=Kind.STUD, end_b=("5/16-18 UNC",))
    assert alike(stud, replace(stud, end_a=("5/16-18 UNC",), end_b=("5/16-24 UNF",)))
    assert alike(stud, replace(stud, end_a=("5/16-18 UNC",), end_b=()))
