"""`runningfit treatment`: the keys of its answers, its errors, and how fast it is."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

PLATE = ["treatment", "plate", "--thread", "1/4-20 UNC", "--class", "2A", "--thickness", "5um", "--json"]
PICKLED = "acid pickle, zinc electroplate"
BRITTLE = ["treatment", "embrittlement", "--hardness", "42 HRC", "--process", PICKLED, "--json"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments)
    assert result.exit_code == 0, result.stderr
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def test_plate_has_exactly_the_documented_keys() -> None:
    said = answer(*PLATE)
    assert list(said) == ["pitch_diameter_growth_mm", "max_thickness_um", "probability_go", "after"]
    assert (said["pitch_diameter_growth_mm"], said["max_thickness_um"], said["probability_go"]) == (
        0.02,
        6.985,
        1.0,
    )
    after = said["after"]
    assert after["go_limit_mm"] == 5.5245
    assert list(after["pitch_diameter_mm"]) == ["low", "mean", "high"]
    assert after["pitch_diameter_mm"]["mean"] == pytest.approx((5.49656 + 5.40258) / 2 + 0.02, abs=1e-5)
    assert after["verdict"] == "sound"
    assert all(after["reasons"])


def test_plate_takes_a_range_old_plating_and_a_reading() -> None:
    said = answer(
        *PLATE[:-3], "--thickness", "5..8um", "--stripped", "8um", "--pitch-diameter", "5.47mm", "--json"
    )
    assert said["pitch_diameter_growth_mm"] == 0.026
    assert said["max_thickness_um"] == 6.985
    assert said["after"]["bare_pitch_diameter_mm"]["mean"] == pytest.approx(5.438)
    wide = answer(*PLATE[:-1], "--pitch-diameter", "5.47mm ± 0.02mm", "--lost", "2um", "--json")
    bare = wide["after"]["bare_pitch_diameter_mm"]
    assert bare["high"] - bare["low"] == pytest.approx(2 * 1.645 * 0.01, abs=1e-4)
    assert bare["mean"] == pytest.approx(5.462)


@pytest.mark.parametrize(
    ("thread", "thread_class", "growth"),
    [
        ("1/4-20 UNC", "2B", -0.02),
        ("M8x1.25", "6H", -0.02),
        ("2BA", "normal", 0.02483),
        ("1/4-20 BSW", "medium", 0.021657),
    ],
)
def test_the_class_says_which_side_it_is(thread: str, thread_class: str, growth: float) -> None:
    said = answer(
        "treatment", "plate", "--thread", thread, "--class", thread_class, "--thickness", "5um", "--json"
    )
    assert said["pitch_diameter_growth_mm"] == pytest.approx(growth, abs=1e-6)
    assert ("minor_mm" in said["after"]) == (growth < 0)


def test_embrittlement_has_exactly_the_documented_keys() -> None:
    said = answer(*BRITTLE)
    assert list(said) == ["risk", "bake", "by_standard", "reasons", "cautions"]
    assert said["risk"] == "bake"
    assert said["bake"] == {"temperature_c": [190, 220], "hours": 14, "within_hours": 4}
    assert {"standard", "edition", "threshold", "says", "force", "status", "source"} <= set(
        said["by_standard"][0]
    )
    assert all(isinstance(text, str) and text for text in [*said["reasons"], *said["cautions"]])


@pytest.mark.parametrize(
    ("arguments", "risk"),
    [
        (["--kind", "spring_washer"], "avoid"),
        (["--kind", "spring_washer", "--hardness", "30 HRC"], "avoid"),
        (["--grade", "ISO 898-1 12.9"], "bake"),
        (["--grade", "ISO 898-1 12.9", "--safety-critical"], "avoid"),
        (["--grade", "ISO 898-1 8.8"], "below_threshold"),
        (["--hardness", "48 HRC"], "avoid"),
        (["--hardness", "25 HRC", "--case-hardened"], "avoid"),
    ],
)
def test_what_it_is_decides(arguments: list[str], risk: str) -> None:
    said = answer(
        "treatment", "embrittlement", *arguments, "--process", "acid pickle, zinc electroplate", "--json"
    )
    assert said["risk"] == risk
    assert (said["bake"] is None) == (risk != "bake")


def test_without_json_it_is_a_page_to_read() -> None:
    plate = run(*PLATE[:-1]).stdout
    assert plate.startswith("1/4-20 UNC 2A, bolt: sound\n")
    assert "! A coat takes room in a thread" in plate
    brittle = run(*BRITTLE[:-1]).stdout
    assert brittle.startswith("bake\n")
    assert "  Bake at 190 to 220 °C for at least 14 h, in the oven within 4 h of the last bath.\n" in brittle
    assert "Instead: Zinc flake" in brittle


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plate", "--thread", "1/4-20 UNC", "--thickness", "2mm"], "thickness needs at most 172 µm"),
        (["plate", "--thread", "1/4-20 UNC", "--thickness", "5"], "Write the unit: um, mm, thou or in"),
        (["plate", "--thread", "1/4-20", "--thickness", "5um"], "thread needs one standard thread"),
        (
            ["plate", "--thread", "M8", "--class", "9Z", "--thickness", "5um"],
            "class needs one that an external",
        ),
        (["plate", "--thread", "1/4-18 NPT", "--thickness", "5um"], "A taper thread has no limits"),
        (
            ["plate", "--thread", "M8", "--thickness", "5um", "--pitch-diameter", "0.283"],
            "That looks like inches",
        ),
        (["embrittlement", "--hardness", "420 HRC", "--process", "zinc"], "420 could be HV or HB"),
        (["embrittlement", "--hardness", "42", "--process", "zinc"], "write HRC, HRB, HV or HB"),
        (["embrittlement", "--kind", "widget", "--process", "zinc"], "kind needs one of spring_washer"),
        (["embrittlement", "--grade", "13.9", "--process", "zinc"], "grade needs one of ISO 898-1"),
        (["embrittlement", "--kind", "spring", "--process", "gold dip"], "'gold dip' came"),
        (["embrittlement", "--process", "zinc"], "hardness needs a hardness, a grade or a kind"),
    ],
)
def test_bad_input_is_one_line_that_says_what_is_needed(arguments: list[str], said: str) -> None:
    result = run("treatment", *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize("arguments", [PLATE, BRITTLE])
def test_an_answer_loads_no_heavy_library(arguments: list[str]) -> None:
    code = (
        "import sys; from runningfit.cli.entry import main\n"
        f"try: main({arguments!r})\n"
        "except SystemExit: pass\n"
        "print(sorted({'numpy', 'scipy', 'django'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
