"""Threads are read in every common way, and stay open where more than one fits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.designations import ThreadReading, read_ends, read_thread
from runningfit.core.standards import Thread, ThreadSeries, all_threads


def spellings(one: Thread) -> list[str]:
    """Ways in which people write a thread so that it can be no other one."""
    size, series = one.size.removeprefix("No. "), str(one.series)
    if one.series is ThreadSeries.BA:
        return [
            f"{size} BA",
            f"{size}ba",
            f"BA {size}",
            f"No. {size} BA",
            f"{size} B.A.",
            f"{size} BA thread",
        ]
    if one.series in {ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE}:
        diameter, pitch = one.size[1:], f"{one.pitch_mm:g}"
        comma = pitch.replace(".", ",")
        return [
            f"m{diameter}x{pitch}",
            f"M {diameter} x {comma}",
            f"M{diameter}*{pitch}",
            f"M{diameter} × {pitch}",
            f"M{diameter}-{pitch}",
            f"M{diameter} x {pitch} pitch",
            f"M{diameter}x{pitch} 6g",
            f"{diameter} mm x {comma}",
        ]
    if one.series is ThreadSeries.G:
        return [f"G {size}", f"g{size}", f"{size} BSPP", f"G{size} A", f'G {size}"', f"{size} bsp parallel"]
    if one.series is ThreadSeries.R:
        return [f"R {size}", f"r{size}", f"{size} BSPT", f"{size} B.S.P. taper", f'R {size}"', f"Rc {size}"]
    tpi = f"{one.tpi:g}"
    number = "#" if one.size.startswith("No. ") else ""
    return [
        f"{number}{size}-{tpi} {series.lower()}",
        f"{number}{size}x{tpi} {series}",
        f"{number}{size} {tpi}tpi {series}",
        f"{series} {number}{size}-{tpi}",
        f"{number}{size} - {tpi} {'.'.join(series)}.",
        f"{number}{size}-{tpi}{series}",
        f"{number}{size} {tpi} threads per inch {series}",
        f"{number}{size}–{tpi} {series} thread",
    ]


@pytest.mark.parametrize("series", list(ThreadSeries))
def test_every_thread_is_read_from_its_designation_and_its_spellings(series: ThreadSeries) -> None:
    threads = [one for one in all_threads() if one.series is series]
    assert threads
    for one in threads:
        ways = spellings(one)
        assert len(ways) >= 5
        for text in [one.designation, *ways]:
            reading = read_thread(text)
            assert reading.candidates == (one.designation,), text
            assert reading.typed == text
            assert not reading.doubt


@pytest.mark.parametrize(
    ("text", "candidates"),
    [
        ("5/16 UNF", ["5/16-24 UNF"]),
        ('5/16" UNF', ["5/16-24 UNF"]),
        ("5/16x24", ["5/16-24 UNF"]),
        ("5/16 24tpi", ["5/16-24 UNF"]),
        ("five sixteenths UNF", ["5/16-24 UNF"]),
        ("six thirty seconds UNF", None),
        ("1/4-28", ["1/4-28 UNF"]),
        ("M8", ["M8x1.25"]),
        ("m 10", ["M10x1.5"]),
        ("8mm", ["M8x1.25"]),
        ("M8 fine", ["M8x1", "M8x0.75"]),
        ("3/8 BSP", ["G3/8", "R3/8"]),
        ("3/8 gas", ["G3/8", "R3/8"]),
        ("G 3/8 A", ["G3/8"]),
        ("1/2 BSPT", ["R1/2"]),
        ("#10-32", ["10-32 UNF"]),
        ("10-32", ["10-32 UNF"]),
        ("number ten thirty two", ["10-32 UNF"]),
        ("1/4 W", ["1/4-20 BSW"]),
        ("3/8 Whit", ["3/8-16 BSW"]),
        ("1/4 cycle", ["1/4-26 CEI"]),
        ("1/4 SAE", ["1/4-28 UNF"]),
        ("1-11 1/2 NPT", ["1-11.5 NPT"]),
        (".250-28", ["1/4-28 UNF"]),
        ("0.3125-24 UNF", ["5/16-24 UNF"]),
        ("6/16 UNF", ["3/8-24 UNF"]),
        ("1⅛-12", ["1 1/8-12 UNF"]),
        ("1/2-13", ["1/2-13 UNC"]),
        ("1/2-12", ["1/2-12 BSW"]),
        ("1/2-12 UNS", ["1/2-12 UNS"]),
        ("1/2-20", ["1/2-20 UNF"]),
        ("1/2-20 CEI", ["1/2-20 CEI"]),
        ("1/2 CEI", ["1/2-26 CEI"]),
        ("1-14 UNS", ["1-14 UNS"]),
        ("1-14", ["1-14 UNS"]),
        ("1-12 UN", ["1-12 UNF"]),
        ("1 1/4-8 UN", ["1 1/4-8 UN"]),
        ("1 1/4 8UN", ["1 1/4-8 UN"]),
        ("5/16 UN", ["5/16-18 UNC", "5/16-24 UNF", "5/16-32 UNEF"]),
        ("1/4 UNS", [f"1/4-{tpi} UNS" for tpi in (24, 27, 36, 40, 48, 56)]),
        ("20BA", ["20BA"]),
        ("7/8-14", ["7/8-14 UNF"]),
        ("5/8-14", ["5/8-14 BSF"]),
        ("1/8-28", ["G1/8", "R1/8"]),
        ("1/4-20", ["1/4-20 UNC", "1/4-20 BSW"]),
        ("quarter twenty", ["1/4-20 UNC", "1/4-20 BSW"]),
        ("3/8-16", ["3/8-16 UNC", "3/8-16 BSW"]),
        ("1/4-26", ["1/4-26 BSF", "1/4-26 CEI"]),
        ("3/16-32", ["3/16-32 BSF", "3/16-32 CEI"]),
        ("5/16 fine", ["5/16-24 UNF", "5/16-22 BSF"]),
        ("1/2 unified fine", ["1/2-20 UNF"]),
        ("1/4 BSW or UNC", ["1/4-20 UNC", "1/4-20 BSW"]),
        ("1 UNC", ["1-64 UNC", "1-8 UNC"]),
        ('1" UNC', ["1-8 UNC"]),
        ("No. 1 UNC", ["1-64 UNC"]),
        (
            "5/16",
            ["5/16-18 UNC", "5/16-24 UNF", "5/16-32 UNEF", "5/16-18 BSW", "5/16-22 BSF", "5/16-26 CEI"],
        ),
    ],
)
def test_a_thread_is_read_and_stays_open(text: str, candidates: list[str] | None) -> None:
    if candidates is None:
        with pytest.raises(InvalidInput, match=r"3/16 is no size of UNF"):
            read_thread(text)
        return
    reading = read_thread(text)
    assert sorted(reading.candidates) == sorted(candidates)


def test_what_else_was_said_is_kept() -> None:
    doubted = read_thread("1 1/8-12?")
    assert doubted.candidates == ("1 1/8-12 UNF",)
    assert (doubted.doubt, doubted.note) == (True, "doubted by the writer")
    assert read_thread("1/4 BSF LH").note == "left-hand thread"
    assert read_thread("M10x1.25 left hand").note == "left-hand thread"
    assert read_thread("5/16-24 UNF-2A").note == "class 2A"
    assert read_thread("M8x1.25-6g").note == "class 6g"
    assert read_thread("G 3/8 B").note == "class B"
    assert read_thread("5/16 NF").note == "NF: American National, before Unified"
    assert read_thread("5/16 UNF RH").note == ""


def test_a_rare_thread_that_nobody_named_is_noted() -> None:
    rare = read_thread("5/16-20")
    assert rare.candidates == ("5/16-20 UN",)
    assert rare.note == "only 5/16-20 UN fits, a rare thread: count the threads again"
    assert read_thread("5/16-20 UN").note == ""
    assert read_thread("1/2-20 CEI").note.startswith("Its flank angle is given as 55° by one source")


@pytest.mark.parametrize(
    ("text", "size_said", "size_mm"),
    [
        ("5/16-24 UNF", "5/16 in", 7.9375),
        ("5/16", "5/16 in", 7.9375),
        ("M8", "M8", 8.0),
        ("2BA", "2BA", 4.7),
        ("#10-32", "No. 10", 4.826),
        ("3/8 BSP", "3/8 pipe", None),
    ],
)
def test_the_size_stands_apart(text: str, size_said: str, size_mm: float | None) -> None:
    reading = read_thread(text)
    assert reading.size_said == size_said
    assert reading.size_mm == pytest.approx(size_mm)


@pytest.mark.parametrize(
    ("text", "size_said", "size_mm"),
    [
        ("5/16", "5/16 in", 7.9375),
        ("1 1/2", "1 1/2 in", 38.1),
        ("11/32", "11/32 in", 8.73125),
        (".500", "1/2 in", 12.7),
        ("M8", "M8", 8.0),
        ("12 mm", "12 mm", 12.0),
        ("#10", "No. 10", 4.826),
    ],
)
def test_a_bare_size_of_a_piece_without_thread_is_a_size(text: str, size_said: str, size_mm: float) -> None:
    reading = read_thread(text, threaded=False)
    assert reading.candidates == ()
    assert reading.size_said == size_said
    assert reading.size_mm == pytest.approx(size_mm)


def test_a_thread_said_in_full_of_a_washer_is_kept() -> None:
    assert read_thread("7/16 UNF", threaded=False).candidates == ("7/16-20 UNF",)


def test_a_bare_size_of_a_plug_may_be_a_pipe_size() -> None:
    assert {"3/8-24 UNF", "G3/8", "R3/8", "3/8-18 NPT"} <= set(read_thread("3/8", pipe=True).candidates)
    assert "G3/8" not in read_thread("3/8").candidates


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("5/17 UNF", "5/17 is no size of UNF. The nearest is 5/16-24 UNF: measure the outside diameter"),
        ("13/16 UNC", "13/16 is no size of UNC. The nearest is 3/4-10 UNC"),
        ("17/64", "17/64 is no size of any series. The nearest is 1/4"),
        (
            "1/2-12 UNF",
            r"UNF 1/2 has 20 \(UNF\) threads per inch, not 12; 12 on 1/2 is 1/2-12 BSW. "
            r"The nearest is 1/2-20 UNF",
        ),
        ("5/16-17 UNF", r"UNF 5/16 has 24 \(UNF\) threads per inch, not 17. The nearest is 5/16-24 UNF"),
        ("1 5/0", "1 5/0 is no size of any series"),
        ("M7.3", "M7.3 is no size of ISO 261 here. The nearest is M7x1"),
        ("M8x1.3", "M8 has a pitch of 1.25, 1, 0.75 mm, not 1.3. The nearest is M8x1.25"),
        ("M8 x 35", "It may be a length: write it apart"),
        ("26BA", "B.A. sizes run from 0BA to 25BA"),
        ("No. 99 UNC", "numbers run from 0 to 12"),
        ("24", "24 alone is no size"),
        ("M8 UNF", "'m8' is not understood"),
        ("UNF", "Say the size too"),
        ("5/16 UNF x 1 3/8", "is not understood"),
        ("frob", "'frob' is not understood"),
        ("", "Type the thread, or leave it out"),
        ("x" * 200, "Type the thread alone"),
    ],
)
def test_what_is_no_thread_says_what_to_do(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match=f"thread needs a designation such as .*{remedy}"):
        read_thread(text)


@pytest.mark.parametrize("text", ["5/17", "#40", "99", "1/0"])
def test_what_is_no_size_says_what_to_do(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"thread needs a size such as 5/16, M8 or 2BA"):
        read_thread(text, threaded=False)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("5/16-18/24", [["5/16-18 UNC", "5/16-18 BSW"], ["5/16-24 UNF"]]),
        ("5/16 18/24 tpi", [["5/16-18 UNC", "5/16-18 BSW"], ["5/16-24 UNF"]]),
        ("5/16-18 & 24", [["5/16-18 UNC", "5/16-18 BSW"], ["5/16-24 UNF"]]),
        ("5/16-18/24 UN", [["5/16-18 UNC"], ["5/16-24 UNF"]]),
        ("3/8 UNC / 3/8 UNF", [["3/8-16 UNC"], ["3/8-24 UNF"]]),
        ("3/8 UNC/UNF", [["3/8-16 UNC"], ["3/8-24 UNF"]]),
        ("3/8 BSW and BSF", [["3/8-16 BSW"], ["3/8-20 BSF"]]),
        ("3/8 UNC one end, 3/8 UNF other end", [["3/8-16 UNC"], ["3/8-24 UNF"]]),
        ("5/16 UNC x 5/16 UNF", [["5/16-18 UNC"], ["5/16-24 UNF"]]),
        ("M8 / M8x1", [["M8x1.25"], ["M8x1"]]),
        ("M8 x 1,25 / M8 x 1", [["M8x1.25"], ["M8x1"]]),
        ("10-24/32", [["10-24 UNC"], ["10-32 UNF"]]),
        ("1-8/12", [["1-8 UNC", "1-8 BSW"], ["1-12 UNF"]]),
        ("2BA/4BA", [["2BA"], ["4BA"]]),
        ("3/8 UNF both ends", [["3/8-24 UNF"], ["3/8-24 UNF"]]),
        ("7/16-20 UNF", [["7/16-20 UNF"]]),
        ("1 1/8-12", [["1 1/8-12 UNF"]]),
        ("1-7/8 BSW", None),
        ("7/8 BSW", [["7/8-9 BSW"]]),
    ],
)
def test_the_ends_of_a_stud_are_read(text: str, ends: list[list[str]] | None) -> None:
    if ends is None:
        with pytest.raises(InvalidInput, match=r"1 7/8 is no size of BSW"):
            read_ends(text)
        return
    assert [list(end.candidates) for end in read_ends(text)] == ends


def test_doubt_and_faults_of_an_end_are_told() -> None:
    assert [end.doubt for end in read_ends("5/16-18/24?")] == [True, True]
    with pytest.raises(InvalidInput, match=r"'5/17 UNF' came.*The nearest is 5/16-24 UNF"):
        read_ends("5/16 UNC / 5/17 UNF")
    with pytest.raises(InvalidInput, match=r"A piece has two ends at most"):
        read_ends("3/8 UNC / 3/8 UNF / 3/8 BSF")


KNOWN = {one.designation for one in all_threads()}
PIECES_OF_THREADS = [
    "1/4",
    "5/16",
    "-",
    "x",
    " ",
    "24",
    "UNF",
    "BSW",
    "M",
    "8",
    "1.25",
    "BA",
    "G",
    "/",
    "?",
    "#",
    "tpi",
]


def answer(text: str, threaded: bool) -> tuple[ThreadReading, ...] | str:
    """Read text as the ends of a piece; give back the ends, or what to do."""
    try:
        return read_ends(text, threaded=threaded, pipe=not threaded)
    except InvalidInput as refused:
        return refused.remedy


@given(
    st.text(max_size=90) | st.lists(st.sampled_from(PIECES_OF_THREADS), max_size=9).map("".join),
    st.booleans(),
)
def test_any_text_is_read_or_refused_with_what_to_do(text: str, threaded: bool) -> None:
    ends = answer(text, threaded)
    assert ends
    if not isinstance(ends, str):
        assert len(ends) <= 2
        assert all(set(end.candidates) <= KNOWN for end in ends)
        assert all(end.candidates or end.size_mm for end in ends)
