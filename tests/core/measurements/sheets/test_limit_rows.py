"""Sheets of limits: headings in any order and words of the trade; a faulty row is named and never dropped."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.limit_rows import LimitRow, limit_rows

HEAD = (3, ["Part", "Max", "Min", "Dimension", "New or worn", "Manual page"])


def rows(*cells: list[str]) -> tuple[LimitRow, ...]:
    return limit_rows([(1, ["Engine data"]), (2, []), HEAD, *((4 + n, one) for n, one in enumerate(cells))])


def test_rows_are_understood_under_headings_in_any_order() -> None:
    one, other = rows(
        ["bores", "79.388", "79.362", "Diameter", "Service limit", "12"],
        ["bores", "0.02", "", "Ovality", "std", "12"],
    )
    assert (one.line_number, one.what, one.state, one.faults) == (4, "size", "wear", ())
    assert (one.cells["lower"], one.cells["upper"], one.cells["page"]) == ("79.362", "79.388", "12")
    assert (other.what, other.state) == ("out_of_round", "new")


def test_each_fault_is_named_and_no_row_is_lost() -> None:
    found = rows(
        ["", "1", "", "size", "new", "3"],
        ["bores", "", "", "size", "new", "3"],
        ["bores", "1", "", "shine", "old", ""],
        ["", "", "", "", "", ""],
    )
    assert [one.line_number for one in found] == [4, 5, 6]
    assert found[0].faults == ("It names no set.",)
    assert found[1].faults == ("It has neither a lower nor an upper limit.",)
    assert len(found[2].faults) == 3


@pytest.mark.parametrize(
    ("table", "match"),
    [
        ([], "headings needs a row with set"),
        ([(1, ["bores", "79.3", "79.4"])], "bores, 79.3, 79.4"),
        ([(1, ["set", "part", "lower", "page"])], "part twice"),
    ],
)
def test_a_table_without_headings_is_refused(table: list[tuple[int, list[str]]], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        limit_rows(table)
