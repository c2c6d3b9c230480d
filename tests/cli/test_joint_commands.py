"""`runningfit joint`: the keys of its answers, its errors, and how fast it is."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

ROOT = Path(__file__).parents[2]
BOLTED = ["joint", "bolted", "--thread", "3/8-16 UNC", "--grade", "SAE J429 5", "--torque", "30 lbf.ft"]
EXACT = ["--mu-thread", "0.15", "--mu-head", "0.15"]
RETORQUE = ["joint", "retorque", "--thread", "3/8-16 UNC", "--torque", "30 lbf.ft"]
ENGAGEMENT = ["joint", "engagement", "--thread", "1/4-20 UNC"]
STRENGTHS = ["--bolt-tensile", "827MPa", "--tapped-tensile", "230MPa"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def all_text(lines: list[Any]) -> bool:
    return bool(lines) and all(isinstance(line, str) and line for line in lines)


def test_bolted_has_exactly_the_documented_keys() -> None:
    told = answer(*BOLTED, *EXACT, "--bearing-diameter", "14mm", "--scatter", "0.25")
    assert list(told) == [
        "preload_n",
        "nut_factor",
        "proof_load_n",
        "yield_utilisation",
        "probability_yield",
        "verdict",
        "reasons",
        "cautions",
    ]
    assert list(told["preload_n"]) == ["low", "mean", "high"]
    assert list(told["yield_utilisation"]) == ["mean", "high"]
    assert told["verdict"] == "sound"
    assert all_text(told["reasons"])
    assert all_text(told["cautions"])


def test_bolted_reckons_by_the_long_form() -> None:
    told = answer(*BOLTED, *EXACT, "--bearing-diameter", "14mm", "--scatter", "0.25")
    # By hand: lead 1.5875 / (pi 8.4938) = 0.05949, rub 0.15 / cos 30 = 0.17321;
    # arm 4.2469 x 0.23511 + 0.15 x 7 = 2.0485 mm; 40.675 N m / 2.0485 mm = 19 856 N.
    assert told["preload_n"]["mean"] == pytest.approx(19_856, rel=1e-3)
    assert told["nut_factor"] == pytest.approx(2.0485 / 9.525, rel=1e-3)
    # 85 ksi on 0.07749 in2.
    assert told["proof_load_n"] == pytest.approx(85_000 * 0.07749 * 4.44822, rel=1e-3)
    half = 1.645 * 0.25 / 1.96
    assert told["preload_n"]["low"] == pytest.approx(19_856 * (1 - half), rel=5e-3)
    assert told["preload_n"]["high"] == pytest.approx(19_856 * (1 + half), rel=5e-3)


def test_a_range_of_friction_widens_the_answer() -> None:
    exact = answer(*BOLTED, *EXACT, "--scatter", "0.04")["preload_n"]
    wide = answer(*BOLTED, "--mu-thread", "0.10..0.20", "--mu-head", "0.10..0.20", "--scatter", "4%")[
        "preload_n"
    ]
    assert wide["low"] < exact["low"] < exact["high"] < wide["high"]


def test_finish_and_lubricant_stand_in_for_friction() -> None:
    told = answer(*BOLTED, "--finish", "zinc", "--lubricant", "dry")
    assert any("zinc, dry: 0.295" in reason for reason in told["reasons"])
    half = answer(*BOLTED, "--finish", "zinc", "--lubricant", "dry", "--mu-head", "0.15")
    assert (
        half["preload_n"]["high"] - half["preload_n"]["low"]
        < told["preload_n"]["high"] - told["preload_n"]["low"]
    )


def test_wanted_clamp_settling_and_a_locking_nut_are_counted() -> None:
    plain = answer(*BOLTED, *EXACT)
    assert answer(*BOLTED, *EXACT, "--wanted-clamp", "30 kN")["verdict"] == "not_sound"
    settled = answer(*BOLTED, *EXACT, "--wanted-clamp", "10 kN", "--clamped-length", "20 mm")
    assert any("of settling counted" in reason for reason in settled["reasons"])
    locking = answer(*BOLTED, *EXACT, "--prevailing", "5 N m")
    assert locking["preload_n"]["mean"] < plain["preload_n"]["mean"]


def test_torque_for_and_retorque_have_exactly_the_documented_keys() -> None:
    keys = ["torque_nm", "preload_ratio_if_unchanged", "reasons", "cautions"]
    wanted = answer(
        "joint",
        "torque-for",
        "--thread",
        "3/4-16 UNF",
        "--grade",
        "SAE J429 5",
        *EXACT,
        "--preload",
        "25000 lbf",
    )
    assert list(wanted) == keys
    # Shigley, 9th edition, example 8-3: 3551 lbf in.
    assert wanted["torque_nm"]["mean"] == pytest.approx(3551.1 * 0.112985, rel=1e-3)
    assert wanted["preload_ratio_if_unchanged"] is None
    changed = answer(*RETORQUE, "--from", "black oxide, dry", "--to", "cadmium, dry")
    assert list(changed) == keys
    assert list(changed["torque_nm"]) == ["mean", "low", "high"]
    assert list(changed["preload_ratio_if_unchanged"]) == ["low", "median", "high"]
    assert changed["torque_nm"]["mean"] < 30 * 1.35582
    assert all_text(changed["reasons"])
    assert all_text(changed["cautions"])


def test_retorque_gives_none_where_the_finish_received_is_not_said() -> None:
    told = answer(*RETORQUE, "--from", "zinc, dry", "--to", "unknown", "--grade", "SAE J429 8")
    assert told["torque_nm"] is None
    assert "is not confirmed" in told["reasons"][0]


def test_retorque_gives_none_where_none_is_safe() -> None:
    told = answer(*RETORQUE, "--from", "cadmium, dry", "--to", "zinc, dry", "--grade", "SAE J429 2")
    assert told["torque_nm"] is None
    assert told["preload_ratio_if_unchanged"]["median"] < 1
    assert told["reasons"][0].startswith("No torque is given")


def test_engagement_has_exactly_the_documented_keys() -> None:
    told = answer(*ENGAGEMENT, "--class", "2A/2B", *STRENGTHS, "--length", "12mm")
    assert list(told) == [
        "stress_area_mm2",
        "shear_area_internal_mm2_per_mm",
        "shear_area_external_mm2_per_mm",
        "length_needed_mm",
        "bolt_breaks_first",
    ]
    # 0.0318, 0.5390 and 0.3680 square inches a square inch and inch.
    assert told["stress_area_mm2"] == pytest.approx(0.03182 * 645.16, rel=1e-3)
    assert told["shear_area_internal_mm2_per_mm"] == pytest.approx(0.5390 * 25.4, rel=1e-3)
    assert told["shear_area_external_mm2_per_mm"] == pytest.approx(0.3680 * 25.4, rel=1e-3)
    assert told["length_needed_mm"] == pytest.approx(2 * 20.53 / 13.69 * 827 / 230, rel=1e-3)
    assert told["bolt_breaks_first"] is True
    assert answer(*ENGAGEMENT, *STRENGTHS, "--length", "10mm")["bolt_breaks_first"] is False
    assert (
        answer(*ENGAGEMENT, *STRENGTHS, "--length", "12mm", "--chamfer", "2mm")["bolt_breaks_first"] is False
    )
    assert answer(*ENGAGEMENT, *STRENGTHS)["bolt_breaks_first"] is None


def test_engagement_takes_a_grade_and_a_metal_by_name() -> None:
    named = answer(*ENGAGEMENT, "--grade", "SAE J429 5", "--tapped-material", "aluminium")
    # The strongest bolt of the grade in the weakest casting.
    assert named["length_needed_mm"] > answer(*ENGAGEMENT, *STRENGTHS)["length_needed_mm"]
    free = answer("joint", "engagement", "--thread", "3/8-16 BSW", "--class", "free", *STRENGTHS)
    close = answer("joint", "engagement", "--thread", "3/8-16 BSW", "--class", "close", *STRENGTHS)
    assert free["length_needed_mm"] > close["length_needed_mm"]


@pytest.mark.parametrize(
    "arguments",
    [
        [*BOLTED, *EXACT],
        [*RETORQUE, "--from", "unknown", "--to", "zinc, dry"],
        [*RETORQUE, "--from", "zinc, dry", "--to", "cadmium, dry"],
        [*ENGAGEMENT, *STRENGTHS, "--length", "12mm"],
    ],
)
def test_each_also_answers_in_words(arguments: list[str]) -> None:
    result = run(*arguments)
    assert result.exit_code == 0
    assert arguments[3] in result.stdout
    assert "[" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (["--grade", "SAE J429 5.2", "--thread", "1 1/4-7 UNC"], "grade needs a size that SAE J429 5.2 has"),
        (["--grade", "SAE J429 4"], "grade needs one of SAE J429: 1, 2, 5, 5.2, 8, 8.2; 'SAE J429 4' came"),
        (["--grade", "granite"], "grade needs a strength grade such as SAE J429 5"),
        (["--mu-thread", "0", "--mu-head", "0.15"], "friction needs a coefficient from 0.01 to 1"),
        (["--mu-thread", "2", "--mu-head", "0.15"], "friction needs a coefficient from 0.01 to 1"),
        (["--mu-thread", "slippery"], "friction needs a number or a range such as 0.10..0.18"),
        (["--torque", "-30 lbf.ft"], "torque needs a torque such as 25 lbf ft"),
        (["--torque", "30 lbf.ft 40 N m"], "Give one number in one unit"),
        (["--torque", "30"], "Write the unit: N m, lbf ft"),
        (["--torque", "0 N m"], "torque needs more than nothing"),
        (["--scatter", "3"], "scatter needs the tool's 95 % half-width"),
        (["--scatter", "some"], "scatter needs a share such as 0.25"),
        (["--bearing-diameter", "3mm"], "bearing diameter needs the mean diameter under the head"),
        (["--bearing-diameter", "14"], "bearing diameter needs a length that reads one way"),
        (["--thread", "3/8"], "thread needs one standard thread, with its pitch and series"),
        (["--thread", "G1/4"], "thread needs one of a bolt, stud or screw"),
        (["--finish", "gold leaf"], "condition needs a finish and a lubricant"),
        (["--prevailing", "50 N m"], "torque needs more than the prevailing torque"),
        (["--wanted-clamp", "0 kN"], "force needs more than nothing"),
    ],
)
def test_bad_input_to_bolted_is_one_clear_line(arguments: list[str], text: str) -> None:
    result = run("joint", "bolted", "--thread", "3/8-16 UNC", "--torque", "30 lbf.ft", *arguments)
    assert result.exit_code == 2
    assert text in result.stderr
    assert result.stderr.count("\n") == 1
    assert not result.stdout


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        ([*STRENGTHS, "--length", "1mm"], "length of engagement needs more than one turn, 1.27 mm"),
        ([*STRENGTHS, "--length", "3mm", "--chamfer", "3mm"], "length of engagement needs more than 3.00 mm"),
        ([*STRENGTHS, "--class", "7Z"], "class needs one of UNC: 2A, 1A, 3A (bolt) or 2B, 1B, 3B (hole)"),
        (["--bolt-tensile", "827MPa", "--tapped-material", "cheese"], "tapped material needs one of"),
        (
            ["--bolt-tensile", "827", "--tapped-tensile", "230MPa"],
            "bolt tensile needs a strength such as 827",
        ),
        (
            ["--bolt-tensile", "827MPa", "--tapped-tensile", "-2MPa"],
            "tapped tensile needs a strength such as",
        ),
        ([*STRENGTHS, "--length", "-3mm"], "length of engagement needs a length such as"),
        (["--bolt-tensile", "8 MPa", "--tapped-tensile", "230MPa"], "bolt tensile needs a tensile strength"),
        (["--tapped-tensile", "230MPa"], "bolt tensile needs the tensile strength or the grade of the bolt"),
        (["--bolt-tensile", "827MPa"], "tapped tensile needs the tensile strength or the name"),
    ],
)
def test_bad_input_to_engagement_is_one_clear_line(arguments: list[str], text: str) -> None:
    result = run(*ENGAGEMENT, *arguments)
    assert result.exit_code == 2
    assert text in result.stderr
    assert not result.stdout


def test_an_unknown_condition_word_is_one_clear_line() -> None:
    result = run(*RETORQUE, "--from", "zinc, butter", "--to", "zinc, dry")
    assert result.exit_code == 2
    assert "Finishes: black oxide, plain, zinc" in result.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        [*BOLTED, "--finish", "zinc", "--json"],
        [*RETORQUE, "--from", "unknown", "--to", "zinc, dry", "--json"],
        [*ENGAGEMENT, *STRENGTHS, "--json"],
    ],
    ids=["bolted", "retorque", "engagement"],
)
def test_it_answers_without_the_heavy_libraries(arguments: list[str]) -> None:
    code = (
        "import sys; from runningfit.cli.entry import main; main(sys.argv[1:], standalone_mode=False); "
        "sys.exit(any(name in sys.modules for name in ('numpy', 'scipy', 'django')))"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], env=environment, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
