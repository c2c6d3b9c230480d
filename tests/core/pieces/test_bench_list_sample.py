"""The sample bench list, row by row, as an engine rebuilder would mean it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from runningfit.core.pieces.bench_list import read_bench_list
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.understood import Meaning, UnderstoodRow

SAMPLE = Path(__file__).parents[2] / "data" / "bench_lists" / "bench-list.csv"
LIST = read_bench_list(SAMPLE.read_bytes(), filename=SAMPLE.name)
ROWS = {row.row: row for row in LIST.rows}
# Where something is wrong with what was typed, or nothing was.
FAULTY = {21, 32, 33, 34, 37}


@dataclass(frozen=True)
class Meant:
    """A row as it is meant, written from the trade and not from the reader's answer."""

    kind: str | None
    count: int | None
    ends: tuple[str, ...]
    length_mm: float | None = None
    nominal: str | None = None
    look: str = "unknown"
    defects: tuple[Defect, ...] = ()
    size: str | None = None
    process: str | None = None


MEANT = {
    2: Meant("hex_bolt", 9, ("5/16-24 UNF",), 34.925, "1 3/8 in", "clear", (Defect(2, "pulled threads"),)),
    3: Meant("hex_bolt", 3, ("5/16-24 UNF",), 49.2125, "1 15/16 in", "clear"),
    4: Meant("spring_washer", 12, (), size="5/16 in"),
    5: Meant("setscrew", 22, ("1/4-28 UNF",), 15.875, "5/8 in", "black"),
    6: Meant("setscrew", 6, ("1/4-28 UNF",), 22.225, "7/8 in", "black"),
    7: Meant("plain_washer", 28, (), look="black", size="1/4 in"),
    8: Meant("plug", 1, ("G3/8",), look="bronze", defects=(Defect(1, "worn hexagon"),)),
    9: Meant("hex_bolt", 4, ("3/8-16 UNC",), 38.1, "1 1/2 in", "yellow"),
    # 16 to the inch at 3/8 is UNC and BSW alike.
    10: Meant(
        "hex_bolt", 3, ("3/8-16 UNC | 3/8-16 BSW",), 73.025, "2 7/8 in", "yellow", (Defect(3, "pitted"),)
    ),
    11: Meant("stud", 2, ("3/8-16 UNC", "3/8-24 UNF"), 47.625, "1 7/8 in", "none"),
    12: Meant(
        "stud",
        12,
        ("7/16-20 UNF", "7/16-20 UNF"),
        128.0,
        "128 mm",
        "none",
        (Defect(3, "wasted where the water was"),),
    ),
    13: Meant("nut", 12, ("7/16-20 UNF",), look="none"),
    14: Meant("plain_washer", 12, (), look="none", size="7/16 in"),
    15: Meant("domed_nut", 5, ("5/16-24 UNF",), look="chrome", defects=(Defect(1, "dull"),)),
    16: Meant("fibre_washer", 5, (), size="5/16 in", defects=(Defect(5, "perished"),)),
    17: Meant("nut", 6, ("5/16-24 UNF",), look="brass"),
    # 18 to the inch in the elbow, 24 for the nut: the system that has both is Unified.
    18: Meant("stud", 6, ("5/16-18 UNC", "5/16-24 UNF"), 44.45, "1 3/4 in", "none", (Defect(2, "sheared"),)),
    19: Meant("hex_bolt", 2, ("M8x1.25",), 34.9, "35 mm", "yellow"),
    20: Meant("hex_bolt", 8, ("7/16-20 UNF",), 28.575, "1 1/8 in", "black"),
    21: Meant("tab_washer", 4, (), look="none"),
    22: Meant("slotted_screw", 7, ("4BA",), 12.7, "1/2 in", "clear"),
    23: Meant("nut", 7, ("4BA",), look="clear"),
    24: Meant("pin", 3, ("1/4-26 BSF",), 28.575, "1 1/8 in", "clear", (Defect(1, "worn"),)),
    25: Meant("union", 2, ("G1/2 | R1/2",), look="brass"),
    26: Meant("other", 2, ("M12x1.5",), 28.0, "28 mm", "yellow"),
    # Whitworth has 12 to the inch at 1/2, so 13 is Unified coarse.
    27: Meant("hex_bolt", 8, ("1/2-13 UNC",), 57.15, "2 1/4 in", "yellow"),
    28: Meant("hex_bolt", 4, ("1/2-12 BSW",), 57.15, "2 1/4 in"),
    29: Meant("nut", 1, ("1 1/8-12 UNF",), look="none", defects=(Defect(1, "chewed"),)),
    30: Meant("hex_bolt", 10, ("1/2-20 UNF",), 85.725, "3 3/8 in", "black"),
    31: Meant("hex_bolt", 8, ("3/8-24 UNF",), 52.3875, "2 1/16 in", "black"),
    32: Meant(None, 31, ("1/4-20 UNC | 1/4-20 BSW",)),
    33: Meant("hex_bolt", None, ("5/16-18 UNC",), 25.4, "1 in", "yellow"),
    34: Meant("hex_bolt", 5, ("",), 25.4, "1 in", "yellow"),
    35: Meant("plug", 4, (), look="none", size="1 1/2 in", defects=(Defect(4, "rusted through"),)),
    36: Meant("plug", 5, ("1/4-18 NPT",), look="brass"),
    37: Meant("plug", 8, (), look="none"),
}


def shown(row: UnderstoodRow) -> Meant:
    return Meant(
        row.kind.value if row.kind else None,
        row.count,
        tuple(" | ".join(end.candidates) for end in row.ends),
        round(row.length_mm, 6) if row.length_mm is not None else None,
        row.length_nominal,
        row.finish_look.value,
        row.defects,
        None if row.ends else row.size_said,
        row.finish_process.value if row.finish_process else None,
    )


def test_every_line_of_the_file_is_a_row() -> None:
    assert sorted(ROWS) == list(range(2, 38))
    assert [(skipped.row, skipped.reason) for skipped in LIST.skipped] == [(1, "the headings")]


@pytest.mark.parametrize("number", sorted(MEANT))
def test_a_row_is_understood_as_it_is_meant(number: int) -> None:
    assert shown(ROWS[number]) == MEANT[number]


@pytest.mark.parametrize("number", sorted(set(MEANT) - FAULTY))
def test_a_row_without_a_fault_has_no_problem(number: int) -> None:
    assert [problem.sentence for problem in ROWS[number].problems] == []


@pytest.mark.parametrize(
    ("number", "field", "words"),
    [
        (21, Meaning.SIZE, "no size is given"),
        (32, Meaning.KIND, "mixed"),
        (32, Meaning.LENGTH, "the lengths differ"),
        (33, Meaning.COUNT, "cannot be negative"),
        (34, Meaning.SIZE, "5/17"),
        (37, Meaning.SIZE, "no size is given"),
    ],
)
def test_a_row_with_a_fault_says_which_value_and_why(number: int, field: Meaning, words: str) -> None:
    sentences = [problem.sentence for problem in ROWS[number].problems if problem.field is field]
    assert len(sentences) == 1
    assert words in sentences[0]


def test_what_is_under_the_head_and_what_overall() -> None:
    basis = {number: row.length_basis.value if row.length_basis else None for number, row in ROWS.items()}
    assert {basis[number] for number in (2, 5, 9, 19, 22, 27, 31)} == {"under_head"}
    assert {basis[number] for number in (11, 12, 18, 24)} == {"overall"}
    assert {basis[number] for number in (4, 7, 13, 15, 17, 25, 32)} == {None}


def test_bag_area_condition_and_remarks_are_kept_as_typed() -> None:
    row = ROWS[3]
    assert (row.bag, row.area, row.condition, row.remarks) == (
        "T1",
        "gear case",
        "ok",
        "through the dowel bosses",
    )
    assert ROWS[28].remarks == "12 to the inch by gauge"
    assert ROWS[19].remarks == "somebody's replacement? 13 across flats"
    assert (Meaning.LENGTH, '1 15/16"') in row.typed


def test_what_is_in_doubt_is_asked_and_not_refused() -> None:
    assert [question.field for question in ROWS[6].questions] == [Meaning.FINISH]
    assert any("both ends" in question.question for question in ROWS[12].questions)
    assert any(question.readings == ("3/8-16 UNC", "3/8-16 BSW") for question in ROWS[10].questions)
