"""The quick line, typed and dictated, in whatever order it comes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.quick_line import read_quick_line
from runningfit.core.pieces.understood import Meaning, UnderstoodLine
from runningfit.core.units import LengthUnit

AREAS = ("gear case", "oil tray", "cylinder head", "raw-water pump", "rocker box")
BAGS = ("T1", "B2", "K14")


def read(text: str) -> UnderstoodLine:
    return read_quick_line(text, known_areas=AREAS, known_bags=BAGS)


def threads(line: UnderstoodLine) -> list[tuple[str, ...]]:
    return [end.candidates for end in line.ends]


@pytest.mark.parametrize(
    "text",
    [
        "9 hex bolts 5/16-24 x inch and three eighths, clear, gear case, bag T1",
        "nine hex bolts five sixteenths twenty four by inch and three eighths clear gear case bag tee one",
        "9 hex bolts 5/16 UNF x 1 3/8 clear gear case bag T1",
        'bag T1: 9 off 5/16" UNF hex bolts, 1-3/8" long, clear, gear case',
        "gear case, T1, 9 hexagon bolts, 5/16-24, 1 3/8 in, clear",
        "Nine hex bolts, five-sixteenths twenty-four, by one and three eighths, clear, case gear, bag T 1",
        "hex bolts 5/16-24 UNF x 34.925 mm clear, geer case, bag t1, 9 off",
        "9 bolts 5/16x24 * 1⅜″ clear gear case in bag T1",
    ],
)
def test_the_same_lot_said_in_many_ways(text: str) -> None:
    line = read(text)
    assert (line.kind, line.count, threads(line)) == ("hex_bolt", 9, [("5/16-24 UNF",)])
    assert line.length_mm == pytest.approx(34.925)
    assert (line.length_nominal, line.length_basis) == ("1 3/8 in", "under_head")
    assert (line.finish_look, line.area, line.bag) == ("clear", "gear case", "T1")
    assert (line.remarks, line.problems) == ("", ())


def test_metric_and_a_part_of_a_known_area() -> None:
    line = read("12 M8 x 35 bolts yellow head bag B2")
    assert (line.kind, line.count, threads(line)) == ("hex_bolt", 12, [("M8x1.25",)])
    assert (line.length_mm, line.length_nominal, line.finish_look) == (35.0, "35 mm", "yellow")
    assert (line.area, line.bag, line.problems) == ("cylinder head", "B2", ())
    assert any(question.field is Meaning.AREA for question in line.questions)


def test_metric_dictated() -> None:
    line = read("twelve em eight by thirty five bolts yellow cylinder head bag bee two")
    assert (line.count, threads(line), line.length_mm) == (12, [("M8x1.25",)], 35.0)
    assert (line.area, line.bag) == ("cylinder head", "B2")


def test_a_stud_with_two_ends() -> None:
    line = read("6 studs 5/16-18/24 x 1 3/4 bare, exhaust elbow, bag K14")
    assert threads(line) == [("5/16-18 UNC",), ("5/16-24 UNF",)]
    assert (line.length_nominal, line.finish_look, line.area) == ("1 3/4 in", "none", "exhaust elbow")
    line = read("2 studs 3/8 UNC / 3/8 UNF x 1.875")
    assert (threads(line), line.length_nominal) == ([("3/8-16 UNC",), ("3/8-24 UNF",)], "1 7/8 in")


def test_faulty_pieces_are_counted_apart() -> None:
    line = read("9 hex bolts 5/16-24 x 1 3/8 clear, 2 with pulled threads, gear case, bag T1")
    assert (line.count, line.defects) == (9, (Defect(2, "pulled threads"),))
    line = read(
        "nine hex bolts five sixteenths twenty four by one inch clear two with pulled threads bag tee one"
    )
    assert (line.count, line.defects, line.length_mm) == (9, (Defect(2, "pulled threads"),), 25.4)
    line = read("6 studs 5/16 UNF x 2, 2 sheared, elbow")
    assert (line.count, line.defects, line.area) == (6, (Defect(2, "sheared"),), "elbow")


def test_a_missing_count_is_asked_for() -> None:
    line = read("hex bolt 5/16 UNF x 1 clear")
    assert line.count is None
    assert [problem.sentence for problem in line.problems] == ["Count: no count is given. Count them."]


@pytest.mark.parametrize(
    ("text", "count", "candidates"),
    [
        ("1 1/8-12 ring nut", None, ("1 1/8-12 UNF",)),
        ("1 1/4-20 UNC bolt x 1", 1, ("1/4-20 UNC",)),
        ("2 BA nuts", None, ("2BA",)),
        ("7 2BA nuts", 7, ("2BA",)),
        ("7 nuts 2 BA", 7, ("2BA",)),
        ("seven nuts four BA", 7, ("4BA",)),
        ("half a dozen nuts 3/8 Whit", 6, ("3/8-16 BSW",)),
        ("a dozen 1/4 BSF nuts", 12, ("1/4-26 BSF",)),
        ("two dozen nuts quarter twenty", 24, ("1/4-20 UNC", "1/4-20 BSW")),
        ("1 drain plug G3/8 bronze", 1, ("G3/8",)),
        ("2 unions 1/2 BSP brass", 2, ("G1/2", "R1/2")),
        ("4 nuts #10-32", 4, ("10-32 UNF",)),
        ("5 taper plugs 1/4-18 NPT", 5, ("1/4-18 NPT",)),
        ("6 nuts M10x1.25", 6, ("M10x1.25",)),
    ],
)
def test_counts_beside_threads(text: str, count: int | None, candidates: tuple[str, ...]) -> None:
    line = read(text)
    assert (line.count, threads(line)) == (count, [candidates])


def test_washers_have_a_size_and_no_thread() -> None:
    line = read("28 plain washers 1/4 black oil tray bag T1")
    assert (line.kind, line.count, line.ends, line.size_said) == ("plain_washer", 28, (), "1/4 in")
    assert (line.finish_look, line.area, line.length_mm, line.problems) == ("black", "oil tray", None, ())


def test_what_tells_nothing_else_becomes_a_remark() -> None:
    line = read("4 hex bolts 3/8 UNC x 1 1/2 yellow, the two long ones at the strainer end, raw water pump")
    assert (line.count, line.finish_look) == (4, "yellow")
    assert (line.remarks, line.area) == ("the 2 long ones at the strainer end", "raw-water pump")


@pytest.mark.parametrize(
    ("text", "length", "finish", "remarks"),
    [
        ("7 cheese head screws two BA by half an inch brass", "1/2 in", "brass", ""),
        ("4 hex bolts half inch thirteen by two and a quarter", "2 1/4 in", "unknown", ""),
        ("10 setscrews 1/4 BSF 5/8 long nickel plated", "5/8 in", "nickel", ""),
        ("8 big end bolts 3/8-24 x 2 1/16 black oxide", "2 1/16 in", "black", "big end"),
        ("12 M8x1.25x35 hex head bolts 8.8", "35 mm", "unknown", "8.8"),
        ("2 banjo bolts M12 x 1.5 x 28 yellow", "28 mm", "yellow", ""),
        ("hex bolts (4) M8 x 20", "20 mm", "unknown", ""),
        ("clear bolts 9 of them 5/16 whit one inch", "1 in", "clear", ""),
    ],
)
def test_lengths_and_finishes_as_they_are_said(text: str, length: str, finish: str, remarks: str) -> None:
    line = read(text)
    assert (line.length_nominal, line.finish_look, line.remarks, line.problems) == (
        length,
        finish,
        remarks,
        (),
    )


def test_an_impossible_thread_is_a_problem_and_the_rest_stands() -> None:
    line = read("5 hex bolts 5/17 UNF x 1 yellow bag T1")
    assert (line.kind, line.count, line.finish_look, line.bag) == ("hex_bolt", 5, "yellow", "T1")
    assert [end.candidates for end in line.ends] == [()]
    assert [problem.field for problem in line.problems] == [Meaning.SIZE]


def test_two_readings_of_a_length_are_asked_about() -> None:
    line = read("5 hex bolts 5/16 UNF x 1.3/8 yellow")
    assert line.length_mm is None
    assert [problem.field for problem in line.problems] == [Meaning.LENGTH]


def test_the_unit_of_the_person_decides_where_nothing_else_does() -> None:
    line = read_quick_line("5 pins x 20", default_unit=LengthUnit.MM)
    assert (line.count, line.length_mm) == (5, 20.0)


def test_nothing_and_too_much() -> None:
    with pytest.raises(InvalidInput, match="The quick line needs some words"):
        read("  ")
    with pytest.raises(InvalidInput, match="The quick line needs at most 1,000 characters"):
        read("bolt " * 300)


SAMPLED = (
    *(
        "9",
        "nine",
        "twelve",
        "hex",
        "bolts",
        "nut",
        "studs",
        "5/16-24",
        "M8",
        "1/4",
        "x",
        "by",
        "35",
        "1",
        "3/8",
    ),
    *("inch", "and", "a", "half", "clear", "black,", "gear", "case", "bag", "T1", "tee", "one", "2", "with"),
    *("pulled", "threads", "dozen", "three", "eighths", "zinc", "head", "?", "|", "-", "/", '"', "BA", "2BA"),
)
WORDS = st.lists(
    st.one_of(
        st.sampled_from(SAMPLED),
        st.text(max_size=8),
    ),
    min_size=1,
    max_size=14,
)


@given(WORDS)
@settings(max_examples=400, deadline=None)
def test_no_line_breaks_it(words: list[str]) -> None:
    text = " ".join(words)
    if not text.strip():
        return
    line = read(text)
    assert line.text == text
    assert line.count is None or line.count > 0


FREE_WORDS = st.lists(
    st.text("abcdefghijklmnopqrstuvwxyz", min_size=5, max_size=12).map(lambda word: f"zq{word}"),
    min_size=1,
    max_size=4,
)


@given(FREE_WORDS)
@settings(max_examples=100, deadline=None)
def test_no_free_word_is_lost(words: list[str]) -> None:
    line = read(f"9 hex bolts 5/16-24 x 1 3/8, clear, {' '.join(words)}, bag T1")
    assert line.remarks.split() == words


@pytest.mark.parametrize(
    ("text", "nominal"),
    [
        ("9 hex bolts 1/4-20 inch and a half", "1 1/2 in"),
        ("9 hex bolts 5/16-24 inch and three eighths, clear", "1 3/8 in"),
        ("3 bolts 5/16 24 inch and three eighths", "1 3/8 in"),
        ("3 bolts 3/8-16 2 inches and a half, black", "2 1/2 in"),
        ("3 bolts 3/8-16 x2 inches and 1/2, black", "2 1/2 in"),
    ],
)
def test_a_length_said_without_an_x_keeps_its_whole_inches(text: str, nominal: str) -> None:
    line = read_quick_line(text)
    assert line.length_nominal == nominal
    assert line.remarks == ""


@pytest.mark.parametrize(
    ("line", "thread", "length_mm"),
    [
        ("9 hex bolts M8 35 clear", "M8x1.25", 35.0),
        ("9 hex bolts M8 1.25 35, clear", "M8x1.25", 35.0),
        ("9 M8 35 hex bolts", "M8x1.25", 35.0),
        ("9 M8 hex bolts 35", "M8x1.25", 35.0),
        ("4 setscrews m6 16", "M6x1", 16.0),
        ("4 grub screws M3 6", "M3x0.5", 6.0),
        ("9 hex bolts M10 1 40", "M10x1", 40.0),
        ("9 bolts em eight thirty five clear", "M8x1.25", 35.0),
    ],
)
def test_a_metric_size_and_its_length_need_no_sign_between_them(
    line: str, thread: str, length_mm: float
) -> None:
    read = read_quick_line(line)
    assert [end.candidates for end in read.ends] == [(thread,)]
    assert read.length_mm == length_mm
    assert read.problems == ()


@pytest.mark.parametrize("line", ["6 nuts M8 13", "4 washers M8 16", "9 bolts M8 2", "6 bolts M6 8 off"])
def test_a_number_that_is_no_length_behind_a_metric_size_is_not_made_one(line: str) -> None:
    assert read_quick_line(line).length_mm is None


def test_a_number_behind_a_metric_size_that_is_a_pitch_of_it_is_the_pitch() -> None:
    for line in ("9 hex bolts M10 1, clear", "9 hex bolts M10x1, clear", "9 hex bolts M10 1 clear"):
        read = read_quick_line(line)
        assert [end.candidates for end in read.ends] == [("M10x1",)]
        assert read.length_mm is None


def test_set_screws_are_asked_about_and_nothing_else_of_the_line_is_lost() -> None:
    read = read_quick_line("4 set screws M6 10, black, bag T1")
    assert (read.kind, read.count, read.length_mm, read.bag) == (None, 4, 10.0, "T1")
    assert ["'set screw' means" in problem.what for problem in read.problems] == [True]
