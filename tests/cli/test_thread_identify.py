"""`runningfit thread identify`, one thread and a sheet, with what people get wrong."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

FIRST = ("--major", "7.87mm", "--pitch", "24tpi")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["thread", "identify", *arguments])


def answer(*arguments: str) -> Any:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_a_worn_bolt_is_named_as_in_the_issue() -> None:
    found = answer(*FIRST, "--u-major", "0.02mm")
    first = found["candidates"][0]
    assert list(first) == ["designation", "probability", "major_mm", "pitch_mm"]
    assert first["designation"] == "5/16-24 UNF"
    assert first["probability"] > 0.97
    assert (first["major_mm"], first["pitch_mm"]) == (7.9375, 1.0583)
    assert list(found)[:4] == ["candidates", "none_of_these", "tell_apart", "prior"]
    assert found["none_of_these"] < 0.02
    assert found["prior"].startswith("Nothing is known of the maker")


@pytest.mark.parametrize(
    ("arguments", "designation"),
    [
        (("--major", "0.310 in", "--pitch", "24 tpi"), "5/16-24 UNF"),
        (("--major", "5/16", "--pitch", "24"), "5/16-24 UNF"),
        (("--major", "7,87mm", "--pitch", "1.06mm", "--u-pitch", "0.01"), "5/16-24 UNF"),
        (("--major", "9.9", "--pitch", "leaf 1.25mm"), "M10x1.25"),
        (("--major", "9.9", "--pitch", "1.25 leaf"), "M10x1.25"),
        (("--internal", "--minor", "6.8", "--pitch", "1.25"), "M8x1.25"),
        (("--major", "6.3", "--pitch", "20tpi", "--angle", "55"), "1/4-20 BSW"),
        (("--major", "6.3", "--pitch", "20tpi", "--not-angle", "55"), "1/4-20 UNC"),
        (("--major", "13.0", "--pitch", "19tpi", "--taper"), "R1/4"),
        (("--pitch-diameter", "7.19", "--pitch", "23.99tpi", "--u-pitch", "0.005"), "5/16-24 UNF"),
        (("--major=6.3", "--pitch=20tpi", "--across-flats=11", "--u-across-flats=.02"), "1/4-20 UNC"),
        (("--major", "6.3", "--pitch", "20tpi", "--country", "uk", "--year", "1930-1938"), "1/4-20 BSW"),
        (("--major", "6.3", "--pitch", "20tpi", "--near", "12x3/8-16 UNC", "--near", "2BA"), "1/4-20 UNC"),
        (("--major", "6.3", "--pitch", "20tpi", "--weight", "bsw=0"), "1/4-20 UNC"),
        (("--major", "7.87", "--pitch", "18tpi", "--material", "aluminium", "--country=us"), "5/16-18 UNC"),
    ],
)  # fmt: skip
def test_lengths_pitches_and_what_is_known_are_read_as_written(
    arguments: tuple[str, ...], designation: str
) -> None:
    assert answer(*arguments)["candidates"][0]["designation"] == designation


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "at least one reading"),
        (("--major", "0.3125", "--pitch", "24tpi"), "Was the diameter meant in inches?"),
        (("--major", "0.3125"), "Did you mean inches?"),
        (("--major", "7.87", "--u-major", "0"), "uncertainty of the major diameter needs"),
        (("--major", "7.87", "--u-major", "9mm"), "less than the value of 7.87 mm; 9.0 came"),
        (("--major", "7.87", "--u-major", "-0.1"), "uncertainty of the major diameter needs"),
        (("--major", "abc"), "major diameter needs a length"),
        (("--major", "13/8"), "major diameter needs a length that reads one way"),
        (("--major", "7.87", "--pitch", "5"), "Write 5tpi or 5mm."),
        (("--major", "7.87", "--pitch", "0tpi"), "threads per inch needs"),
        (("--major", "7.87", "--angle", "50"), "47.5, 55 or 60"),
        (("--major", "7.87", "--year", "fifties"), "year needs"),
        (("--major", "7.87", "--near", "nothing"), "a designation of the tables"),
        (("--major", "7.87", "--weight", "BSF"), "BSF=2"),
        (("--batch", "not-there.csv"), "a CSV file that can be read"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_line(arguments: tuple[str, ...], said: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert result.output.count("\n") == 1


def test_a_pitch_no_standard_has_is_an_honest_spread() -> None:
    found = answer("--major", "7.9mm", "--pitch", "23tpi")
    assert found["none_of_these"] > 0.5
    assert sum(one["probability"] for one in found["candidates"]) < 0.5


def test_twins_are_said_on_the_page() -> None:
    page = run("--major", "6.3", "--pitch", "20tpi").output
    assert "Alike in diameter and pitch: 1/4-20 BSW, 1/4-20 UNC." in page
    assert "Next: A 55 degree gauge: fits 1/4-20 BSW, not 1/4-20 UNC." in page
    assert "none of these" in page


SHEET = """major_mm,tpi,pitch_mm,u_major_mm,u_pitch_mm
7.87,24,,0.02,0.01
2.79,,0.53,0.02,0.01
0.3125,24,,0.02,
0.3125,,,0.001,
,,,0.02,
abc,24,,,
7.9,23,,0,
9.90,,1.25,0.02,0.01
"12,6",12,,,
"""


def test_a_sheet_is_answered_row_by_row_and_nothing_is_dropped(tmp_path: Path) -> None:
    sheet = tmp_path / "cases.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    results = answer("--batch", str(sheet))["results"]
    firsts = [result["candidates"][0]["designation"] if result["candidates"] else None for result in results]
    assert firsts == [
        "5/16-24 UNF", "4-48 UNF", None, None, None, None, None, "M10x1.25", "1/2-12 BSW",
    ]  # fmt: skip
    problems = [result.get("problem", "") for result in results]
    assert problems[2].startswith("row 4: pitch needs less than the diameter")
    assert problems[3].startswith("row 5: Did you mean inches?")
    assert problems[4].startswith("row 6: thread needs at least one reading")
    assert problems[5] == "row 7: major_mm needs a number or nothing; 'abc' came. Correct the cell."
    assert problems[6].startswith("row 8: uncertainty of the major diameter needs more than 0")
    page = run("--batch", str(sheet)).output.splitlines()
    assert page[0].startswith("row 2: 5/16-24 UNF 99.")
    assert len(page) == 9


def test_a_sheet_may_have_semicolons_and_further_columns(tmp_path: Path) -> None:
    sheet = tmp_path / "cases.csv"
    sheet.write_text(
        "name;minor_mm;pitch_mm;internal;angle_deg;tpi\nnut;6,8;1,25;yes;60;\nbolt;;;maybe;;24\n",
        encoding="utf-8-sig",
    )
    nut, bolt = answer("--batch", str(sheet))["results"]
    assert nut["candidates"][0]["designation"] == "M8x1.25"
    assert bolt == {
        "candidates": [],
        "problem": "row 3: internal needs yes or no; 'maybe' came. Correct the cell.",
    }


def test_a_sheet_without_known_columns_is_refused(tmp_path: Path) -> None:
    sheet = tmp_path / "cases.csv"
    sheet.write_text("7.87,24\n", encoding="utf-8")
    result = run("--batch", str(sheet))
    assert result.exit_code == 2
    assert "Name them major_mm, tpi, pitch_mm, u_major_mm, u_pitch_mm" in result.output


def test_one_thread_is_named_without_loading_numpy() -> None:
    """numpy and scipy take longer to load than a command may take."""
    code = (
        "import sys\nfrom runningfit.cli.entry import main\n"
        f"try:\n    main(['thread', 'identify', *{list(FIRST)!r}])\nexcept SystemExit:\n    pass\n"
        "print(sorted({'numpy', 'scipy', 'django'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
