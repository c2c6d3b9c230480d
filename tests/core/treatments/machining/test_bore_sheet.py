"""Sheets of bore readings: what is read, and every doubtful row named at once."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.machining.sheet import SheetBore, read_bore_sheet

HEAD = "bore,depth_mm,angle_deg,diameter_mm\n"
GOOD = "1,10,0,79.41\n1,10,90,79.40\n2,10,0,79.42\n2,10,90,79.41\n"


def sheet(text: str) -> tuple[SheetBore, ...]:
    return read_bore_sheet(text.encode(), "readings.csv", 79.375)


def test_bores_come_in_the_order_of_the_sheet() -> None:
    found = sheet(HEAD + "front,10,0,79.41\nrear,10,0,79.42\nfront,10,90,79.40\nrear,10,90,79.43\n")
    assert [one.name for one in found] == ["front", "rear"]
    assert [one.diameter_mm for one in found[0].points] == [79.41, 79.40]


@pytest.mark.parametrize(
    "text",
    [
        "bore;depth_mm;angle_deg;diameter_mm\n1;10;0;79,41\n1;10;90;79,40\n",
        "Bore,Depth (mm),Angle,Diameter\n1,10,0,79.41\n\n# read again\n1,10,90,79.40\n",
        "diameter_in,bore,angle_deg,depth_in\n3.126378,1,0,.3937\n3.125984,1,90,.3937\n",
    ],
)
def test_other_ways_to_write_the_same(text: str) -> None:
    (one,) = sheet(text)
    assert [round(point.diameter_mm, 3) for point in one.points] == [79.41, 79.40]
    assert round(one.points[0].depth_mm, 2) == 10.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            HEAD + GOOD + "1,50,0,3.1260\n",
            "row 6: a diameter of 3.126 mm .* typed in inches where the others",
        ),
        (
            HEAD + "1,10,0,3.126\n1,10,90,3.127\n1,50,0,3.125\n",
            "rows 2 to 4: a diameter of 3.126 mm .* inches",
        ),
        (HEAD + GOOD + "1,50,0,7.94\n1,50,90,794\n", "rows 6, 7: .* slipped decimal point"),
        (HEAD + GOOD + "1,50,0,75.41\n", "row 6: 75.41 mm is far from the nominal 79.375 mm"),
        (HEAD + GOOD + "3,10,0,79.41\n", "row 6: the only reading of bore 3; one diameter tells a size"),
        (HEAD + GOOD + "1,50,,79.41\n", "row 6: no angle"),
        (HEAD + GOOD + "1,50,north,79.41\n", "row 6: 'north' is no number for the angle"),
        (HEAD + GOOD + "1,50,900,79.41\n", "row 6: an angle of 900°"),
        (HEAD + GOOD + "1,50,0,-79.41\n", "row 6: a diameter of -79.41"),
        (HEAD + GOOD + ",50,0\n", "row 6: no bore, no diameter"),
        ("bore,depth_mm,angle_deg,diameter_mm,mood\n" + GOOD, "row 1: mood is not known"),
        ("bore,depth_mm,diameter_mm\n1,10,79.41\n", "row 1: angle_deg is missing"),
        ("bore,depth_mm,angle_deg,diameter_kg\n1,1,1,1\n", "row 1: diameter_kg is not known"),
        (
            "bore,depth_mm,angle_deg,diameter_mm,diameter_mm\n1,1,1,1,1\n",
            "one column of diameter; 'two, in row 1'",
        ),
        (HEAD, "a row for each reading; 'headings alone' came"),
        ("", "at least one row; 'an empty file' came"),
    ],
)
def test_what_is_doubtful_is_asked(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        sheet(text)


def test_all_doubtful_rows_are_said_at_once() -> None:
    with pytest.raises(InvalidInput, match="row 3: no diameter") as refused:
        sheet(HEAD + "1,10,0,79.41\n1,10,90,\n1,50,0,7.94\n1,50,90,x\n2,50,0,79.41\n")
    text = str(refused.value)
    for part in ("row 4: a diameter of 7.94", "row 5: 'x' is no number", "row 6: the only reading of bore 2"):
        assert part in text
    assert "\n" not in text


def test_a_sheet_with_many_faults_names_the_first_and_counts_the_rest() -> None:
    with pytest.raises(InvalidInput, match="and 28 more"):
        sheet(HEAD + "1,10,0,\n" * 40)
