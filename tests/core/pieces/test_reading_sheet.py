"""A sheet of measured threads is read row by row; a bad row says so in its place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.reading_sheet import read_sheet

HEAD = "label,lot,major_mm,tpi,pitch_mm,u_major_mm,u_pitch_mm\n"


def test_rows_keep_their_order_their_labels_and_their_lots() -> None:
    rows = read_sheet(HEAD + "tin 1,12,7.87,24,,0.02,\n\ntin 2,,6.3,,1.27,,0.01\n")
    assert [(row.line, row.label, row.lot) for row in rows] == [(2, "tin 1", "12"), (4, "tin 2", "")]
    first, second = (row.readings for row in rows)
    assert first is not None
    assert second is not None
    assert (first.major_mm, first.leaf_tpi, first.pitch_mm, first.u_major_mm) == (7.87, 24, None, 0.02)
    assert (second.major_mm, second.leaf_tpi, second.pitch_mm, second.u_pitch_mm) == (6.3, None, 1.27, 0.01)


@pytest.mark.parametrize("part", [";", "\t"])
def test_semicolons_and_tabs_part_cells_too_and_a_decimal_comma_is_read(part: str) -> None:
    text = f"\ufeffmajor_mm{part}tpi{part}internal\n7,87{part}24{part}\n6,9{part}24{part}nut\n"
    one, other = read_sheet(text)
    assert one.readings is not None
    assert one.readings.major_mm == 7.87
    assert other.readings is not None
    assert other.readings.internal


def test_a_measured_number_of_threads_is_no_leaf() -> None:
    (row,) = read_sheet("major_mm,tpi\n7.87,23.8\n")
    assert row.readings is not None
    assert row.readings.leaf_tpi is None
    assert row.readings.pitch_mm == pytest.approx(25.4 / 23.8)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("x,,,", "major_mm needs a number or nothing"),
        ("nan,,,", "major_mm needs a number or nothing"),
        ("7.87,0,,", "tpi needs more than 0"),
        ("7.87,24,,0", "uncertainty of the major diameter needs more than 0"),
        ("7.87,24,,8", "uncertainty of the major diameter needs more than 0"),
        ("tin,1", "major_mm needs a number"),
    ],
)
def test_a_row_that_cannot_be_used_says_why_and_the_others_stay(row: str, problem: str) -> None:
    bad, good = read_sheet(f"major_mm,tpi,pitch_mm,u_major_mm\n{row}\n7.87,24,,\n")
    assert bad.readings is None
    assert problem in bad.problem
    assert good.readings is not None


@pytest.mark.parametrize("text", ["", "\n\n", "7.87,24\n", "bag,what\nG1,bolt\n"])
def test_a_sheet_without_headings_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="sheet needs a first row that names its columns"):
        read_sheet(text)


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"at most 20,000 rows"):
        read_sheet("major_mm\n" + "7\n" * 20_001)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        rows = read_sheet("major_mm,tpi\n" + text)
    except InvalidInput:
        return
    assert all((row.readings is None) == bool(row.problem) for row in rows)
