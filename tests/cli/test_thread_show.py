"""`runningfit thread show`: the keys of its answer, its classes, its refusals, and how fast it is."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

KEYS = [
    "designation",
    "pitch_mm",
    "major_mm",
    "pitch_diameter_mm",
    "minor_mm",
    "stress_area_mm2",
    "external",
    "internal",
    "source",
]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["thread", "show", *arguments])


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def test_the_answer_has_exactly_the_documented_keys() -> None:
    shown = answer("1/4-20 UNC")
    assert list(shown) == KEYS
    assert shown["designation"] == "1/4-20 UNC"
    assert (shown["pitch_mm"], shown["major_mm"], shown["pitch_diameter_mm"]) == (1.27, 6.35, 5.5245)
    assert shown["minor_mm"] == pytest.approx(4.976, abs=0.001)
    assert shown["stress_area_mm2"] == pytest.approx(0.0318 * 25.4**2, rel=0.002)
    # ASME B1.1-2019 as carried by screw-thread-lib 0.0.6.
    assert shown["external"] == pytest.approx(
        {
            "class": "2A",
            "major_max_mm": 0.2489 * 25.4,
            "major_min_mm": 0.2408 * 25.4,
            "pitch_diameter_max_mm": 0.2164 * 25.4,
            "pitch_diameter_min_mm": 0.2127 * 25.4,
        },
        abs=0.00001,
    )
    assert shown["internal"] == pytest.approx(
        {
            "class": "2B",
            "minor_min_mm": 0.196 * 25.4,
            "minor_max_mm": 0.207 * 25.4,
            "pitch_diameter_min_mm": 0.2175 * 25.4,
            "pitch_diameter_max_mm": 0.2224 * 25.4,
        },
        abs=0.00001,
    )
    assert "ASME B1.1" in shown["source"]


@pytest.mark.parametrize(
    ("designation", "asked", "external", "internal"),
    [
        ("1/4-20 UNC", "3A", "3A", "2B"),
        ("1/4-20 UNC", "3b", "2A", "3B"),
        ("M10", "5H", "6g", "5H"),
        ("M10", "4h", "4h", "6H"),
        ("1/4 BSW", "free", "free", "free"),
        ("2BA", "close", "close", "normal"),
        ("G1/2", "B", "B", "internal"),
    ],
)
def test_a_class_sets_the_side_that_has_it(
    designation: str, asked: str, external: str, internal: str
) -> None:
    shown = answer(designation, "--class", asked)
    assert (shown["external"]["class"], shown["internal"]["class"]) == (external, internal)


def test_a_class_behind_the_thread_is_taken_too() -> None:
    assert answer("5/16-24 UNF-3A")["external"]["class"] == "3A"


@pytest.mark.parametrize("designation", ["R1/4", "1/4-18 NPT"])
def test_what_a_taper_has_not_is_null_with_the_reason(designation: str) -> None:
    shown = answer(designation)
    assert list(shown) == [*KEYS, "reasons"]
    assert shown["external"] is shown["internal"] is shown["stress_area_mm2"] is None
    assert "taper thread has no limits of diameter" in shown["reasons"]["internal"]
    assert "hollow" in shown["reasons"]["stress_area_mm2"]
    assert shown["pitch_diameter_mm"] > 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["1/4-20 UNC", "--class", "5A"], "class needs one of UNC: 2A, 1A, 3A (bolt) or 2B, 1B, 3B (hole)"),
        (["R1/4", "--class", "6H"], "class needs a thread with limits of diameter; R1/4 has none; '6H' came"),
        (["1/4-20"], "It can be 1/4-20 UNC, 1/4-20 BSW: name one of them"),
        (["5/17 UNF"], "The nearest is 5/16-24 UNF"),
        ([""], "thread needs a designation such as"),
    ],
)
def test_what_cannot_be_shown_is_one_line(arguments: list[str], told: str) -> None:
    result = run(*arguments, "--json")
    assert result.exit_code == 2
    assert told in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert result.stdout == ""


def test_the_text_has_the_whole_card() -> None:
    text = run("1/4-20 BSW").stdout
    for part in (
        "1/4-20 BSW",
        "pitch diameter                                 5.537 mm  0.2180 in",
        "medium  6.165 to 6.320  5.408 to 5.507      at most 4.694",
        "Tapping drill for 75% of the full height: 5.13 mm",
        "spanner 5/16 BS = 1/4 W",
        "from memory",
    ):
        assert part in text
    assert "No hexagons: unions" in run("G1/4").stdout
    assert "gauge length" in run("R1/4").stdout
    # One class asked for leaves the others out.
    assert "close " not in run("1/4-20 BSW", "--class", "free").stdout


def test_it_answers_without_anything_heavy() -> None:
    """Neither numpy nor the web framework is among what it loads, so that it can answer at once."""
    code = (
        "import sys; from runningfit.cli.entry import main; "
        "main(['thread', 'show', 'M8', '--json'], standalone_mode=False); "
        "print([m for m in ('numpy', 'scipy', 'django') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
