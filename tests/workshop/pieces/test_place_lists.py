"""Places from a list: understood row by row, nothing dropped, nothing made twice."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces.models import Area, Place
from runningfit.workshop.pieces.place_lists import PlaceRow, import_places, text_of, understand_places
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
LIST = """Parts of the gear case, as counted
Area;Place;Qty;Kind;Thread;Length;Finish;Visible;Torque;Hole in;Blind/through;Depth
Gear case;cover, upper row;9;hex bolt;5/16-24;1 3/8;clear;yes;18 lbf ft;aluminium;blind;7/8
;cover, dowels;2 off;pin;5/16;3/4;;no;;;;
Oil tray;drain;some;plug;1/2 BSP;;brass;;;;;
"""


def understood(job: Job, text: str = LIST) -> list[PlaceRow]:
    return understand_places(
        job=job,
        data=text.encode(),
        filename="places.csv",
        basis="holes_counted",
        basis_said="",
        default_unit=LengthUnit.INCH,
    )


def test_each_row_is_understood_or_says_why_not(job: Job) -> None:
    first, second, third = understood(job)
    assert first.facts is not None
    assert second.facts is not None
    assert (first.line_number, first.area, first.facts.count) == (3, "Gear case", 9)
    assert (first.facts.end_a, first.facts.visible, first.facts.hole_blind) == (
        ("5/16-24 UNF",),
        True,
        "blind",
    )
    assert first.facts.torque_nm == pytest.approx(24.40, abs=0.01)
    assert (second.area, second.facts.count, second.fate) == ("Gear case", 2, "new")
    assert (third.fate, third.facts) == ("not understood", None)
    assert "count needs a whole number; 'some' came" in third.problem


def test_the_same_list_again_changes_nothing(job: Job) -> None:
    assert import_places(job=job, rows=understood(job), hand=ANN) == (2, 0)
    before = Record.objects.count()
    again = understood(job)
    assert [row.fate for row in again] == ["same", "same", "not understood"]
    assert import_places(job=job, rows=again, hand=ANN) == (0, 0)
    assert (Record.objects.count(), Place.objects.count(), Area.objects.count()) == (before, 2, 1)


def test_an_edited_row_changes_its_place_and_says_how(job: Job) -> None:
    import_places(job=job, rows=understood(job), hand=ANN)
    edited = understood(job, LIST.replace("row;9;", "row;10;").replace("18 lbf ft", "25 N m"))
    assert edited[0].fate == "changed"
    assert edited[0].differs == ("count: 9 → 10", "torque: 24.4047 → 25")
    assert import_places(job=job, rows=edited, hand=ANN) == (0, 1)
    assert Place.objects.get(name="cover, upper row").count == 10


def test_a_place_named_twice_is_asked_about(job: Job) -> None:
    twice = LIST + "Gear case;Cover, Upper Row;4;hex bolt;5/16-24;1;;;;;;\n"
    assert "Line 3 has it already" in understood(job, twice)[3].problem


def test_rows_left_over_come_back_as_text_with_their_heading() -> None:
    text = text_of(LIST.encode(), "places.csv", only={5})
    heading, row = text.split("\n")
    assert heading.split("\t")[:3] == ["Area", "Place", "Qty"]
    assert row.split("\t")[:3] == ["Oil tray", "drain", "some"]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "0 rows"),
        (b"a;b\n1;2\n", "a heading row that names at least area, place and count"),
        (b"area;place;count\n", "rows under its heading"),
        (b"\x89PNG\r\n\x1a\n0000", "a picture"),
    ],
)
def test_a_file_that_is_no_such_list_is_refused(job: Job, data: bytes, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        understand_places(
            job=job,
            data=data,
            filename="x.csv",
            basis="holes_counted",
            basis_said="",
            default_unit=LengthUnit.MM,
        )
