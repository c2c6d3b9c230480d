"""The file of corrections, read by the small script that training has for it, is as its page documents it."""

from __future__ import annotations

import csv
import io
import re
import runpy
import zipfile
from pathlib import Path
from typing import Any

import pytest
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import FULL_TRAY, PX_A_MM, shot
from runningfit.workshop.photos import correcting
from runningfit.workshop.photos.labelled import HEADINGS, write_labelled
from runningfit.workshop.pieces.spec_reading import read_spec
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ROOT = Path(__file__).parents[3]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


@pytest.fixture(scope="module")
def script() -> dict[str, Any]:
    return runpy.run_path(str(ROOT / "training" / "photos" / "corrections.py"))


def given_out(job: Job) -> io.BytesIO:
    """Something of every sort that can be said of a piece."""
    run = shot(job, FULL_TRAY)
    correcting.confirm(run=run, numbers=[4], hand=ANN)
    spec = read_spec(kind="stud", thread="M8x1/M8x1.25", length="35 mm")
    correcting.correct(run=run, numbers=[1, 2], spec=spec, look="black", hand=ANN)
    correcting.set_aside(run=run, number=6, hand=ANN)
    correcting.count_again(run=run, number=6, hand=ANN)
    correcting.join(run=run, number=6, into=5, hand=ANN)
    correcting.split(run=run, number=7, count=2, hand=ANN)
    stream = io.BytesIO()
    write_labelled(stream)
    return stream


def test_the_file_is_read_by_the_script_as_it_is_documented(job: Job, script: dict[str, Any]) -> None:
    lines = script["read"](given_out(job))
    assert [one.what for one in lines] == ["so", "other", "other", "no_piece", "piece", "part", "several"]
    open_one, stud, *_, part, several = lines
    assert (open_one.said_kind, open_one.said_threads) == ("hex_bolt", ("5/16-24 UNF", "M8x1"))
    assert (stud.proposed_kind, stud.said_kind, stud.said_length_mm) == ("hex_bolt", "stud", 35.0)
    assert (stud.said_threads, stud.said_other_threads) == (("M8x1",), ("M8x1.25",))
    assert stud.proposed_sizes_mm["length"] == [34.9, 0.15]
    assert (part.part_of, several.part_of, several.outline_px) == (5, None, [])
    # The outline lies in the cut-out: as long as the bolt, with a margin round it.
    xs = [x for x, _ in stud.outline_px]
    assert max(xs) - min(xs) == pytest.approx(34.9 * PX_A_MM, abs=1)
    assert min(xs) == pytest.approx(0.15 * 34.9 * PX_A_MM + 2, abs=1.5)
    assert all(one.cut_out for one in lines)


def test_the_page_about_the_file_names_its_columns_in_their_order(script: dict[str, Any]) -> None:
    page = (ROOT / "docs" / "photo-corrections.md").read_text(encoding="utf-8")
    columns = page.partition("| column |")[2]
    assert re.findall(r"^\| `([a-z_]+)` \|", columns, re.MULTILINE) == list(HEADINGS)
    assert script["COLUMNS"] == HEADINGS


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("what", "perhaps", "line 1, what: 'perhaps' is not as documented"),
        ("proposed_threads", '[["M8", 1.5]]', "line 1, proposed_threads"),
        ("cut_out", "cut-outs/00002.jpg", "line 1, cut_out: cut-outs/00002.jpg is another line's"),
        ("part_of", "3", "line 1, part_of: goes with `part` alone"),
    ],
)
def test_a_file_that_is_otherwise_is_refused_with_line_and_column(
    job: Job, script: dict[str, Any], column: str, value: str, said: str
) -> None:
    spoilt = io.BytesIO()
    with zipfile.ZipFile(given_out(job)) as archive, zipfile.ZipFile(spoilt, "w") as copy:
        for name in archive.namelist():
            data = archive.read(name)
            if name == "corrections.csv":
                rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))
                rows[0][column] = value
                sheet = io.StringIO()
                writer = csv.DictWriter(sheet, HEADINGS)
                writer.writeheader()
                writer.writerows(rows)
                data = sheet.getvalue().encode()
            copy.writestr(name, data)
    with pytest.raises(ValueError, match=re.escape(said)):
        script["read"](spoilt)
