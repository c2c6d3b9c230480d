"""`runningfit photo`: the mat is written, a photo checked; the keys are as documented, errors one line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main
from runningfit.core.photos.mats import read_mat
from runningfit.core.photos.own_mats import Paper, own_mat

DATA = Path(__file__).resolve().parents[1] / "data" / "photos"
KEYS = {
    "print_scale", "print_scale_told", "mat", "gsd_mm_per_px", "residual_px", "residual_mm", "blur_mm",
    "markers", "paper_scale", "could_not", "cautions", "seconds",
}  # fmt: skip


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["photo", *map(str, arguments)])


def answer(*arguments: str | Path) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def refused(*arguments: str | Path) -> str:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    return result.stderr


@pytest.mark.parametrize("name", ["a4", "A3", "letter"])
def test_the_mat_is_written_with_its_design(name: str, tmp_path: Path) -> None:
    out, design = tmp_path / "mat.pdf", tmp_path / "mat.json"
    told = answer("mat", "--paper", name, "--out", out, "--design", design)
    paper = next(one for one in Paper if one.value.lower() == name.lower())
    assert told == {
        "file": str(out),
        "design": str(design),
        "mat": f"{paper.value}_violet",
        "rulers_mm": [one.length_mm for one in own_mat(paper).rulers],
    }
    assert out.read_bytes().startswith(b"%PDF")
    assert read_mat(design.read_text()) == own_mat(paper)


def test_the_mat_says_how_to_print_it(tmp_path: Path) -> None:
    result = run("mat", "--paper", "A4", "--out", tmp_path / "mat.pdf")
    assert "Print it at 100 % and measure its rulers: 200 mm and 120 mm." in result.stdout


def test_a_photo_that_can_be_measured() -> None:
    told = answer("check", DATA / "s7.jpg", "--mat", DATA / "mat_A4_violet.json", "--print-scale", "1.002")
    assert set(told) == KEYS
    assert told["could_not"] is None
    assert (told["print_scale"], told["print_scale_told"]) == (1.002, True)
    assert told["markers"] == {"found": 22, "of": 22}
    # The renderer had the camera 295 mm away along its axis, and 1943.5 px of focal length after shrinking.
    assert told["gsd_mm_per_px"] == pytest.approx(0.163, abs=0.004)
    assert told["residual_px"] < 0.15


def test_a_photo_that_cannot_be_measured_says_what_to_do() -> None:
    told = answer("check", DATA / "s7.jpg")
    assert set(told) == KEYS
    assert told["could_not"]["fault"] == "no_mat"
    assert told["could_not"]["remedy"].startswith("Print a mat (on the page Mats")
    assert told["gsd_mm_per_px"] is None
    result = run("check", DATA / "README.md")
    assert result.exit_code == 0
    assert result.stdout.startswith("Could not measure: README.md needs a photo: JPEG, PNG, WebP or HEIC;")


def test_the_page_says_how_well_it_can_be_measured() -> None:
    page = run("check", DATA / "s6.jpg", "--mat", DATA / "mat_A3_violet.json").stdout
    assert page.startswith("Can be measured, on mat A3_violet: 26 of 26 markers found")
    assert "print scale by the paper's edges 1.000" in page
    assert "Nobody has measured the print's rulers" in page


def test_bad_input_is_one_line(tmp_path: Path) -> None:
    empty = tmp_path / "mat.json"
    empty.write_text("{}")
    said = refused("check", DATA / "s7.jpg", "--mat", empty)
    assert said.startswith("runningfit: size_mm of the mat needs 2 numbers")
    assert said.count("\n") == 1
    said = refused("check", DATA / "s7.jpg", "--print-scale", "97")
    assert "print scale needs measured over designed length of a ruler, 0.9 to 1.1; '97' came." in said
    assert "does not exist" in refused("check", tmp_path / "none.jpg")
    assert "'a5' is not one of" in refused("mat", "--paper", "a5", "--out", tmp_path / "mat.pdf")
    said = refused("mat", "--paper", "A4", "--out", tmp_path / "no" / "mat.pdf")
    assert "mat.pdf could not be written: No such file or directory. Name another file." in said
    out = tmp_path / "mat.pdf"
    said = refused("mat", "--paper", "A4", "--out", out, "--design", out)
    assert "design needs another file than --out" in said


def test_help_loads_none_of_what_takes_long() -> None:
    heavy = {"cv2", "numpy", "scipy", "django", "PIL"}
    code = (
        "import sys\nfrom click.testing import CliRunner\nfrom runningfit.cli.entry import main\n"
        "for one in ([], ['photo'], ['photo', 'check'], ['photo', 'mat']):\n"
        "    assert CliRunner().invoke(main, [*one, '--help']).exit_code == 0\n"
        f"print(sorted({heavy!r} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
