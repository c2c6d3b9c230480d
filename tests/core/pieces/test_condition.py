"""Defects and their numbers are read out of what people say of a lot."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.condition import Defect, read_condition


@pytest.mark.parametrize(
    ("said", "count", "defects"),
    [
        ("2 with pulled threads", 9, [(2, "pulled threads")]),
        ("two with pulled threads; one sheared", 9, [(2, "pulled threads"), (1, "sheared")]),
        ("2 bent and 1 cracked", 9, [(2, "bent"), (1, "cracked")]),
        ("3 wasted where the water was", 12, [(3, "wasted where the water was")]),
        ("2 sheared", 6, [(2, "sheared")]),
        ("1 dull", 5, [(1, "dull")]),
        ("1 worn", 3, [(1, "worn")]),
        ("2 of 9 stripped", 9, [(2, "stripped")]),
        ("2 ok, 7 rusted through", 9, [(7, "rusted through")]),
        ("2 have bent ends, rest ok", 9, [(2, "bent ends")]),
        ("bent x2", 9, [(2, "bent")]),
        ("pulled threads: 2", 9, [(2, "pulled threads")]),
        ("threads stripped on 2", 9, [(2, "threads stripped")]),
        ("both bent", 2, [(2, "bent")]),
        ("all rusted through", 7, [(7, "rusted through")]),
        ("rusted through", 4, [(4, "rusted through")]),
        ("rusted through", None, [(None, "rusted through")]),
        ("perished", 5, [(5, "perished")]),
        ("worn hexagon", 1, [(1, "worn hexagon")]),
        ("chewed", 1, [(1, "chewed")]),
        ("pitted", 3, [(3, "pitted")]),
        ("cracked?", 4, [(4, "cracked?")]),
        ("slightly worn", 4, [(4, "slightly worn")]),
        ("half of them rusty", 6, [(3, "rusty")]),
        ("half pitted", 8, [(4, "pitted")]),
        ("all rusty", 9, [(9, "rusty")]),
        ("with split pin holes drilled", 6, []),
        ("marked 1 to 6 on the head", 6, []),
        ("stripped of paint", 6, []),
        ("pulled from the spare engine", 6, []),
        ("10 thou undersize", 3, []),
        ("0 bent", 4, []),
        ("no cracks", 3, []),
        ("not bent", 2, []),
        ("none bent", 3, []),
        ("ok", 4, []),
        ("all ok", 4, []),
        ("rusty", 12, []),
        ("used", 4, []),
        ("unsorted", 31, []),
        ("not yet out", 8, []),
        ("", 3, []),
    ],
)
def test_defects_are_read(said: str, count: int | None, defects: list[tuple[int | None, str]]) -> None:
    reading = read_condition(said, count)
    assert reading.defects == tuple(Defect(*defect) for defect in defects)
    assert reading.problems == ()
    assert reading.condition == said


@pytest.mark.parametrize(
    ("said", "count", "problem"),
    [
        ("13 with pulled threads", 9, "13 are said to be pulled threads, but the lot has 9."),
        ("both bent", 3, "'both bent' says two, but the lot has 3: count them."),
        ("some bent", 5, "'some bent' does not say how many: count them."),
        ("a few are cracked", 5, "'a few are cracked' does not say how many: count them."),
        ("-2 bent", 9, "'-2' is no number of pieces: how many are bent?"),
        ("half of them bent", 9, "'half of them bent' is no whole number of 9: count them."),
        ("1.5 bent", 9, "'1.5' is no number of pieces: how many are bent?"),
    ],
)
def test_what_cannot_be_right_is_a_problem_and_is_not_lost(said: str, count: int, problem: str) -> None:
    reading = read_condition(said, count)
    assert reading.problems == (problem,)
    assert len(reading.defects) == 1


@pytest.mark.parametrize(
    "remark",
    [
        "12 to the inch by gauge", "two pitches", "six radial marks on the head", "from engine no. 2",
        "somebody's replacement? 13 across flats", "measure the stretch", "deep pattern", "leave bare",
    ],
)  # fmt: skip
def test_a_number_in_a_remark_counts_only_beside_a_fault(remark: str) -> None:
    assert read_condition(remark, 4, in_remarks=True).defects == ()
    assert read_condition("2 bent", 4, in_remarks=True).defects == (Defect(2, "bent"),)


@given(st.text(max_size=80), st.none() | st.integers(0, 500))
def test_any_text_is_read_and_kept(text: str, count: int | None) -> None:
    reading = read_condition(text, count)
    assert reading.condition == " ".join(text.split())
    assert all(defect.what for defect in reading.defects)


@given(st.integers(1, 500), st.sampled_from(["pulled threads", "bent", "sheared", "worn hexagon"]))
def test_any_number_of_defects_is_read_however_it_is_said(number: int, what: str) -> None:
    for said in (
        f"{number} {what}",
        f"{number} with {what}",
        f"{what} x{number}",
        f"{number} of them {what}",
    ):
        assert read_condition(said, 500).defects == (Defect(number, what),)
