"""Finding anything by code, number, thread in any spelling, length as typed, area or words."""

from __future__ import annotations

import pytest

from runningfit.workshop.pieces.models import Area
from runningfit.workshop.pieces.places import change_area
from runningfit.workshop.pieces.search import SHOWN, find
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
LINES = (
    "9 hex bolts 5/16-24 x inch and three eighths, clear, gear case, bag T1",
    "6 studs 5/16-18/24 x 2 1/4, black, cylinder head, bag T2",
    "4 bolts 1/4-20 x 3/4, water pump",
    "8 M10 x 1.5 x 40 bolts yellow flywheel housing",
    "3 bolts M10 x 1 x 40",
    "5 bolts 1/4 UNC x 34.9 mm",
)


@pytest.fixture
def job() -> Job:
    job = open_job(name="Launch", engine_name="Tern", hand=ANN)
    for line in LINES:
        keep_understood(job=job, line=understand_line(job=job, text=line), hand=ANN)
    return job


def lots(text: str) -> list[int]:
    return sorted(line.lot.number for line in find(text).lots)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("T1", [1]),
        ("3", [3]),
        ("bag t2", [2]),
        ("lot 3", [3]),
        ("5/16 UNF", [1, 2]),
        ('5/16" unf', [1, 2]),
        ("5/16x24", [1, 2]),
        ("5/16-18", [2]),
        ("1/4-20", [3, 6]),
        ("1/4 W", [3]),
        ("M10", [4, 5]),
        ("m10 x 1", [5]),
        ("1 3/8", [1, 6]),
        ("34.9", [1, 6]),
        ("34,9mm", [1, 6]),
        ("gear case", [1]),
        ("GEAR", [1]),
        ("5/16-24 x 1 3/8, clear", [1]),
        ("5/16-24, yellow", []),
        ("yellow", [4]),
        ("studs", [2]),
        ("stud", [2]),
        ("xyzzy", []),
        ("%", []),
        ("", []),
    ],
)
def test_it_is_found(job: Job, text: str, found: list[int]) -> None:
    assert lots(text) == found


def test_a_bag_and_an_area_are_found_themselves(job: Job) -> None:
    assert [bag.code for bag in find("t1").bags] == ["T1"]
    assert [area.name for area in find("pump").areas] == ["water pump"]


def test_it_says_how_it_read_a_thread_and_a_length(job: Job) -> None:
    assert find("1/4-20").read_as == ("1/4-20 UNC or 1/4-20 BSW",)
    assert "1 3/8 in" in find("1 3/8").read_as


def test_a_renamed_area_is_found_by_its_new_name_only(job: Job) -> None:
    area = Area.objects.get(name="gear case")
    change_area(area=area, name="timing chest", parent=None, engine=area.engine, hand=ANN)
    assert (lots("gear case"), lots("timing chest")) == ([], [1])


def test_all_jobs_are_looked_through_and_pages_follow_without_gap_or_double(job: Job) -> None:
    other = open_job(name="Other", engine_name="Wren", hand=ANN)
    for _ in range(SHOWN + 5):
        keep_understood(job=other, line=understand_line(job=other, text="2 hex bolts 5/16-24 x 1"), hand=ANN)
    first = find("5/16-24 UNF")
    rest = find("5/16-24 UNF", before=first.before)
    found = [line.lot.pk for line in (*first.lots, *rest.lots)]
    assert (len(first.lots), len(rest.lots), rest.before) == (SHOWN, 7, None)
    assert len(set(found)) == SHOWN + 7
