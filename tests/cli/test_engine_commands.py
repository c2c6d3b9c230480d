"""`runningfit joint clearance`, `measure ratio` and `timing`: keys of their answers, words and errors."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

PISTON = ["joint", "clearance", "--hole", "79.413mm", "--shaft", "79.34mm"]
DOUBT = ["--u-hole", "0.004mm", "--u-shaft", "0.003mm"]
LIMITS = ["--limits", "0.05..0.10mm", "--page", "manual, p. 12"]
METALS = [
    "--hole-material", "grey cast iron", "--shaft-material", "aluminium",
    "--hole-temperature", "90C", "--shaft-temperature", "150C",
]  # fmt: skip
RATIO = [
    "measure", "ratio", "--bore", "79.41mm ±0.005mm", "--stroke", "90mm ±0.02mm",
    "--chamber", "42.3ml ±0.2ml", "--gasket", "1.2mm", "--dish", "2ml", "--deck", "0.3mm +- 0.02mm",
]  # fmt: skip
TIMING = [
    "measure", "timing", "--stop", "345.5,14.5", "--ivo", "348", "--ivc", "232", "--evo", "128",
    "--evc", "12",
]  # fmt: skip
STATE = ["clearance_mm", "low_mm", "high_mm", "u_mm"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def test_clearance_has_exactly_the_documented_keys() -> None:
    told = answer(*PISTON, *DOUBT, *LIMITS, *METALS)
    assert list(told) == [
        "cold", "hot", "as_measured_mm", "probability_within", "limits", "verdict", "probability", "reasons",
        "cautions",
    ]  # fmt: skip
    assert list(told["cold"]) == STATE
    assert list(told["hot"]) == [*STATE, "probability_free"]
    assert told["cold"]["clearance_mm"] == pytest.approx(0.073)
    assert told["cold"]["u_mm"] == pytest.approx(0.005)
    # 79.4 mm of iron by 70 K and of aluminium by 130 K, at the middles of 10 to 12 and 21 to 23.6e-6 per K.
    assert told["hot"]["clearance_mm"] == pytest.approx(
        0.073 + 79.413 * 11e-6 * 70 - 79.34 * 22.3e-6 * 130, abs=1e-5
    )
    assert told["limits"] == {
        "lower_mm": pytest.approx(0.05), "upper_mm": pytest.approx(0.10), "for": "new", "sanity_band": False,
        "source": "manual, p. 12",
    }  # fmt: skip
    assert told["verdict"] == "not_sound"


def test_clearance_without_temperatures_has_no_hot_one() -> None:
    told = answer(*PISTON, *DOUBT, *LIMITS)
    assert told["hot"] is None
    assert told["verdict"] == "sound"
    assert told["probability"] == told["probability_within"] > 0.99


def test_what_one_gauge_brings_into_both_cancels() -> None:
    told = answer(*PISTON, *DOUBT, "--shared", "0.002mm")
    assert told["cold"]["u_mm"] == pytest.approx((0.004**2 + 0.003**2 - 2 * 0.002**2) ** 0.5, rel=1e-5)
    assert any("cancels" in one for one in told["reasons"])


def test_a_rule_of_thumb_is_no_pass() -> None:
    told = answer(*PISTON, *DOUBT, "--as", "piston")
    assert told["probability_within"] > 0.99
    assert told["limits"]["sanity_band"] is True
    assert told["verdict"] == "not_proven"
    assert any("no pass" in one for one in told["cautions"])


def test_used_parts_are_held_against_wear_limits() -> None:
    worn = [
        "joint",
        "clearance",
        "--hole",
        "79.46mm",
        "--shaft",
        "79.34mm",
        *DOUBT,
        *LIMITS,
        "--wear",
        "..0.15mm",
    ]
    assert answer(*worn)["verdict"] == "not_sound"
    told = answer(*worn, "--used")
    assert told["verdict"] == "sound"
    assert told["limits"]["for"] == "wear"
    assert told["limits"]["lower_mm"] is None


def test_shells_count_twice_and_crush_widens() -> None:
    told = answer(
        "joint", "clearance", "--hole", "60.013mm", "--shell", "2.97mm", "--shaft", "54.013mm", *DOUBT,
        "--u-shell", "0.001mm", "--crush", "0.002..0.008mm", "--as", "bearing",
    )  # fmt: skip
    assert told["cold"]["clearance_mm"] == pytest.approx(0.065)
    assert told["cold"]["u_mm"] == pytest.approx((0.004**2 + 0.003**2 + 0.002**2) ** 0.5, rel=1e-5)


def test_clearance_is_said_in_words_and_takes_inches() -> None:
    text = run("joint", "clearance", "--hole", "3.1265in", "--shaft", "3.1236in", *LIMITS).stdout
    assert text.startswith("not proven\n  at 20 °C 0.00290 in")
    assert "tell what the gauge does" in text


def test_ratio_has_exactly_the_documented_keys() -> None:
    told = answer(*RATIO, "--limits", "9..10", "--wanted", "10", "--head-skim", "0.2mm")
    assert list(told) == [
        "ratio", "u", "low", "high", "swept_ml", "above_ml", "contributions", "after", "for_wanted",
        "verdict", "probability", "reasons", "cautions",
    ]  # fmt: skip
    assert list(told["for_wanted"]) == [
        "remove_ml", "head_skim_mm", "deck_skim_mm", "gasket_mm", "piston_clearance_mm",
    ]  # fmt: skip
    assert told["swept_ml"] == pytest.approx(445.74, abs=0.01)
    assert told["ratio"] == pytest.approx(1 + told["swept_ml"] / told["above_ml"], rel=1e-5)
    assert told["after"]["ratio"] > told["ratio"]
    assert told["verdict"] == "sound"
    reached = answer(*RATIO, "--head-skim", f"{told['for_wanted']['head_skim_mm']}mm")
    assert reached["after"]["ratio"] == pytest.approx(10, abs=1e-4)


def test_ratio_takes_cubic_inches_and_minds_what_was_told_as_exact() -> None:
    text = run(
        "measure", "ratio", "--bore", "3.125in", "--stroke", "3in", "--chamber", "2.5in3", "--gasket",
        "0.04in", "--wanted", "12",
    ).stdout  # fmt: skip
    assert text.startswith("9.20 : 1\n")
    assert "skim the head by" in text
    assert "Bore, chamber, stroke and gasket were told without ±, so they are taken as exact" in text


def test_a_ratio_held_against_limits_names_what_was_told_as_exact() -> None:
    exact = ("--bore", "79.41mm", "--stroke", "90mm", "--chamber", "42.3ml", "--gasket", "1.2mm")
    refused = run("measure", "ratio", *exact, "--limits", "9..10")
    assert refused.exit_code == 2
    assert (
        "uncertainty of bore, chamber, stroke and gasket needs to be told to hold the ratio against limits, "
        "such as 79.41mm ±0.005mm; '79.41mm, 42.3ml, 90mm, 1.2mm' came."
    ) in refused.stderr
    told = answer("measure", "ratio", *exact[:-1], "1.2mm ±0.05mm", "--limits", "9..11")
    assert told["verdict"] is not None
    assert told["cautions"][0].startswith("Bore, chamber and stroke were told without ±")
    assert "Mind\n  Stroke, gasket and dish were told" in run(
        *RATIO, "--stroke", "90mm", "--limits", "9..10"
    ).stdout  # fmt: skip


def test_a_doubt_without_its_unit_is_shown_with_its_value() -> None:
    text = run(*RATIO, "--chamber", "42.3ml ±0.2").stderr
    assert "'42.3ml ±0.2' came. Write the unit behind 0.2." in text


def test_a_lower_ratio_takes_a_thicker_gasket() -> None:
    assert "must grow by" in run(*RATIO, "--wanted", "8").stdout


def test_timing_has_exactly_the_documented_keys() -> None:
    told = answer(*TIMING, "--maker", "ivo=10..14", "--lift", "0.4mm")
    assert list(told) == [
        "top_deg", "at", "events", "inlet_open_deg", "exhaust_open_deg", "overlap_deg", "inlet_centre_deg",
        "exhaust_centre_deg", "lobe_separation_deg", "reasons", "cautions",
    ]  # fmt: skip
    assert {event: one["angle_deg"] for event, one in told["events"].items()} == {
        "IVO": 12, "IVC": 52, "EVO": 52, "EVC": 12,
    }  # fmt: skip
    assert told["events"]["IVO"]["verdict"] == "sound"
    assert told["events"]["EVC"]["verdict"] is None
    assert (told["overlap_deg"]["value"], told["inlet_open_deg"]["value"]) == (24, 244)
    assert "0.4 mm of lift" in told["at"]


def test_timing_is_said_in_words() -> None:
    text = run(*TIMING, "--maker", "evc=20..24").stdout
    assert "IVO 12.0° before top dead centre" in text
    assert "EVC: not sound" in text


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        ([*PISTON[:-1], "3.1236mm"], "typed in inches"),
        ([*PISTON[:-1], "7.934mm"], "slipped decimal"),
        ([*PISTON[:-1], "79.34"], "Write the unit"),
        ([*PISTON, "--u-hole", "0mm"], "more than nothing"),
        ([*PISTON, *DOUBT, "--shared", "0.004mm"], "no more than it"),
        ([*PISTON, "--shared", "0.004mm"], "no more than it"),
        ([*PISTON, "--limits", "0.10..0.05mm"], "upside down"),
        ([*PISTON, "--limits", "0.05mm"], "two ends"),
        ([*PISTON, "--hole-temperature", "90C"], "none for shaft"),
        ([*PISTON, "--measured-at", "20..25C"], "one temperature"),
        ([*PISTON, "--hole-material", "unobtainium"], "careful end"),
        ([*PISTON, "--crush", "0..0.01mm"], "--shell beside it"),
        ([*RATIO, "--chamber", "42.3"], "a volume with its unit"),
        ([*RATIO, "--bore", "3.125mm"], "may be inches"),
        ([*RATIO, "--land", "79mm"], "or neither"),
        ([*RATIO, "--limits", "9mm..10mm"], "bare numbers"),
        ([*TIMING, "--stop", "345"], "two readings"),
        ([*TIMING, "--stop", "10,190"], "below the top"),
        ([*TIMING, "--maker", "tdc=3..4"], "one of IVO"),
        ([*TIMING, "--u", "0"], "more than 0"),
    ],
)
def test_bad_input_is_refused_in_one_line_with_what_to_do(arguments: list[str], why: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert why in result.stderr
    assert result.stderr.count("\n") == 1


def test_no_numbers_library_is_loaded_for_an_answer() -> None:
    commands = [[*PISTON, *DOUBT, *LIMITS, *METALS], RATIO, TIMING]
    code = (
        "import sys; from click.testing import CliRunner; from runningfit.cli.entry import main;"
        f"results = [CliRunner().invoke(main, one) for one in {commands!r}];"
        "print([one.exit_code for one in results], 'numpy' in sys.modules, 'django' in sys.modules)"
    )
    found = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert found.stdout.strip() == "[0, 0, 0] False False"
