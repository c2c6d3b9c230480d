"""`runningfit photo measure`, `compare` and `score`: the keys are as documented, errors one line."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from photos_of_bags import photo, piece
from runningfit.cli import photo_measuring
from runningfit.cli.entry import main
from runningfit.cli.photo_measuring import Answered
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Look, PhotoItem
from runningfit.core.photos.measured_files import photo_text, read_photo
from runningfit.core.pieces.kinds import Kind

pytestmark = pytest.mark.slow

DATA = Path(__file__).resolve().parents[1] / "data" / "photos"
# Shows a mat that is not the project's own, and whose design is not told here.
NO_MAT = DATA / "s7.jpg"
BOLT = piece(Kind.HEX_BOLT, {"3/8-16 UNC": 0.99}, look=Look.YELLOW, length=25.4, major=9.4, pitch=1.5875)
WASHER = piece(Kind.PLAIN_WASHER, outside=19.0, inside=10.0)
REFUSED = CouldNotMeasure(Fault.DARK, "It is too dark.", "Switch a lamp on.")


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["photo", *map(str, arguments)])


def answer(*arguments: str | Path) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def written(file: Path, items: list[PhotoItem] | CouldNotMeasure) -> Path:
    found = items if isinstance(items, CouldNotMeasure) else photo(items)
    file.write_text(photo_text(found, print_scale=1.0, time_s=1.0), encoding="utf-8")
    return file


@pytest.fixture
def bags(tmp_path: Path) -> tuple[Path, Path]:
    return (
        written(tmp_path / "before.json", [BOLT, BOLT, WASHER]),
        written(tmp_path / "after.json", [WASHER, BOLT]),
    )


def truth_of(file: Path, kind: str, at: tuple[float, float]) -> Path:
    item = {"id": 0, "kind": kind, "finish": "yellow", "mat_xy_mm": list(at), "length_mm": 25.0}
    file.write_text(json.dumps({"image": file.stem, "items": [item]}))
    return file


def test_two_measured_photos_are_compared(bags: tuple[Path, Path]) -> None:
    told = answer("compare", *bags)
    assert set(told) == {
        "before", "after", "summary", "probability_complete", "scale_ratio", "groups", "missing", "added",
        "swapped", "cannot_tell", "could_not", "cautions", "seconds",
    }  # fmt: skip
    assert told["summary"] == "3 before, 2 after: 1 missing."
    (missing,) = told["missing"]
    assert missing["sentence"].startswith("Missing: 1 of 2 hex bolts 3/8-16 UNC, 25.4 mm")
    group = told["groups"][missing["group"] - 1]
    assert (group["name"], group["before"], group["after"]) == ("hex bolt 3/8-16 UNC, 25.4 mm", [1, 2], [2])
    assert told["could_not"] is None


def test_a_comparison_can_be_read(bags: tuple[Path, Path]) -> None:
    lines = run("compare", *bags).stdout.splitlines()
    assert lines[0] == "3 before, 2 after: 1 missing."
    assert lines[1].startswith("Missing: 1 of 2 hex bolts")
    assert lines[2] == "before  after"
    assert lines[3] == "     2      1  hex bolt 3/8-16 UNC, 25.4 mm"


def test_looks_count_where_they_are_told_to(tmp_path: Path) -> None:
    black = replace(BOLT, looks={Look.BLACK: 1.0})
    before, after = written(tmp_path / "a.json", [BOLT]), written(tmp_path / "b.json", [black])
    plated, kept = answer("compare", before, after), answer("compare", before, after, "--same-looks")
    assert kept["probability_complete"] <= plated["probability_complete"]


def test_a_photo_that_could_not_be_measured_is_not_compared(bags: tuple[Path, Path], tmp_path: Path) -> None:
    dark = written(tmp_path / "dark.json", REFUSED)
    told = answer("compare", bags[0], dark)
    assert told["could_not"] == {
        "photo": str(dark), "fault": "dark", "reason": "It is too dark.", "remedy": "Switch a lamp on.",
    }  # fmt: skip
    assert told["missing"] is None
    page = run("compare", dark, bags[0]).stdout
    assert page == f"Could not measure {dark}: It is too dark.\nSwitch a lamp on.\n"


def test_a_picture_without_a_mat_is_compared_with_nothing(bags: tuple[Path, Path]) -> None:
    told = answer("compare", bags[0], NO_MAT)
    assert told["could_not"]["fault"] == "no_mat"


def test_two_photos_are_measured_and_compared() -> None:
    told = answer("compare", DATA / "bag_before.jpg", DATA / "bag_after.jpg")
    assert (told["before"], told["after"]) == (8, 7)
    gone = sum(one["count"] for one in (*told["missing"], *told["swapped"]))
    assert gone >= 1
    assert told["probability_complete"] < 0.05


@pytest.mark.parametrize(
    ("options", "taken"),
    [
        ((), [(None, None), (None, None)]),
        (("--mat", "both", "--print-scale", "0.985"), [("both", 0.985), ("both", 0.985)]),
        (("--mat-before", "one", "--print-scale-after", "1.01"), [("one", None), (None, 1.01)]),
        (
            ("--mat", "both", "--mat-after", "one", "--print-scale", "0.99", "--print-scale-before", "1"),
            [("both", 1.0), ("one", 0.99)],
        ),
    ],
)
def test_each_photo_has_a_mat_and_a_print_scale_of_its_own_where_they_differ(
    options: tuple[str, ...],
    taken: list[tuple[str | None, float | None]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[str | None, float | None]] = []

    def measured_file(_photo: Path, mat: Path | None, scale: float | None) -> Answered:
        asked.append((None if mat is None else mat.stem, scale))
        return Answered(photo([BOLT]), 1.0, 0.1)

    monkeypatch.setattr(photo_measuring, "measured_file", measured_file)
    files = {name: tmp_path / f"{name}.json" for name in ("both", "one")}
    for file in files.values():
        file.write_text("{}")
    arguments = [str(files.get(one, one)) for one in options]
    answer("compare", DATA / "bag_before.jpg", DATA / "bag_after.jpg", *arguments)
    assert asked == taken


def test_a_photo_is_scored_and_several_are_pooled(tmp_path: Path) -> None:
    measured = written(tmp_path / "m.json", [BOLT])
    right = truth_of(tmp_path / "right.json", "hex_bolt", (50, 51))
    wrong = truth_of(tmp_path / "wrong.json", "stud", (250, 51))
    told = answer("score", measured, right, measured, wrong)
    assert [one["exact"] for one in told["photos"]] == [True, False]
    assert told["exact_count"] == {"right": 1, "of": 2, "share": 0.5}
    assert told["all"]["found"] == {"right": 1, "of": 2, "share": 0.5}
    assert told["all"]["length"]["median_mm"] == 0.4
    assert set(told["by_kind"]) == {"hex_bolt", "stud"}
    assert told["by_kind"]["hex_bolt"]["kind"]["share"] == 1.0
    assert told["by_finish"]["yellow"]["pieces"] == 2
    assert [one["from"] for one in told["thread_reliability"]] == [0.0, 0.5, 0.7, 0.9]


def test_a_score_can_be_read(tmp_path: Path) -> None:
    measured = written(tmp_path / "m.json", [BOLT])
    page = run("score", measured, truth_of(tmp_path / "t.json", "hex_bolt", (50, 51))).stdout
    assert page.startswith(
        "t: 1 outlines for 1 pieces, every piece once\nPhotos with every piece once: 1 of 1"
    )
    assert "  length              0.40, 0.40, +0.40 mm (1 of 1)" in page


def test_a_file_without_its_truth_is_refused(tmp_path: Path) -> None:
    result = run("score", written(tmp_path / "m.json", [BOLT]))
    assert result.exit_code == 2
    assert "files needs pairs of a measured photo and its truth; '1 file' came." in result.stderr


def test_a_file_that_is_no_measured_photo_is_named(tmp_path: Path) -> None:
    file = tmp_path / "m.json"
    file.write_text(
        '{"print_scale": 1, "gsd_mm_per_px": 0.1, "items": [{"kind": "bolt", "mat_xy_mm": [1, 2]}]}'
    )
    result = run("score", file, truth_of(tmp_path / "t.json", "stud", (1, 2)))
    assert result.exit_code == 2
    assert "kind of item 1 needs one of hex_bolt" in result.stderr


def test_a_picture_without_a_mat_is_measured_no_further(tmp_path: Path) -> None:
    result = run("measure", NO_MAT, "--json", "--print-scale", "0.985")
    assert result.exit_code == 0
    told = json.loads(result.stdout)
    assert (told["could_not"]["fault"], told["items"], told["print_scale"]) == ("no_mat", [], 0.985)
    assert read_photo(result.stdout) == CouldNotMeasure(**{**told["could_not"], "fault": Fault.NO_MAT})
    assert run("measure", NO_MAT).stdout.startswith("Could not measure: ")


def test_help_loads_none_of_what_takes_long() -> None:
    heavy = {"cv2", "numpy", "scipy", "django", "PIL"}
    code = (
        "import sys\nfrom click.testing import CliRunner\nfrom runningfit.cli.entry import main\n"
        "for one in ('measure', 'compare', 'score'):\n"
        "    assert CliRunner().invoke(main, ['photo', one, '--help']).exit_code == 0\n"
        f"print(sorted({heavy!r} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
