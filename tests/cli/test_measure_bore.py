"""`runningfit measure bore`: the keys of its answer, what it recommends, and its errors in one line."""

from __future__ import annotations

import json
from math import exp
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

HEAD = "bore,depth_mm,angle_deg,diameter_mm"


def rows(name: str, *wear_mm: float) -> list[str]:
    return [
        f"{name},{depth},{angle},{79.375 + wear - (0.008 if angle else 0):.3f}"
        for depth, wear in zip((10, 50, 90), wear_mm, strict=True)
        for angle in (0, 90)
    ]


@pytest.fixture
def worn(tmp_path: Path) -> Path:
    file = tmp_path / "readings.csv"
    file.write_text("\n".join([HEAD, *rows("1", 0.14, 0.10, 0.05), *rows("2", 0.07, 0.05, 0.03)]), "utf-8")
    return file


TOLD = {
    "--nominal": "79.375mm", "--limits": "79.362..79.388", "--oversizes": "0.25mm,0.50mm,0.75mm,1.00mm",
    "--u": "0.003mm", "--hone": "0.05mm",
}  # fmt: skip


def run(file: Path, *more: str, **changed: str) -> Result:
    told = TOLD | {f"--{name.replace('_', '-')}": value for name, value in changed.items()}
    arguments = [one for pair in told.items() for one in pair]
    return CliRunner().invoke(main, ["measure", "bore", str(file), *arguments, *more])


def answer(file: Path, *more: str, **changed: str) -> dict[str, Any]:
    result = run(file, "--json", *more, **changed)
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def refused(file: Path, **changed: str) -> str:
    result = run(file, **changed)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    return result.stderr


def test_it_has_the_documented_keys(worn: Path) -> None:
    told = answer(worn, axis="worn")
    assert list(told)[:3] == ["bores", "oversizes", "recommended_mm"]
    first = told["bores"][0]
    assert list(first)[:7] == [
        "bore", "taper_mm", "out_of_round_mm", "max_mm", "min_mm", "verdict", "probability_within",
    ]  # fmt: skip
    assert first["bore"] == "1"
    assert first["taper_mm"] == pytest.approx(0.09)
    assert first["out_of_round_mm"] == pytest.approx(0.008)
    assert (first["max_mm"], first["min_mm"]) == (79.515, 79.417)
    assert (first["verdict"], first["probability_within"]) == ("not_sound", 0.0)
    assert [one["oversize_mm"] for one in told["oversizes"]] == [0.25, 0.5, 0.75, 1.0]
    assert set(told["oversizes"][0]["per_bore"]) == {"1", "2"}
    assert told["recommended_mm"] == 0.25
    assert told["reasons"][0].startswith("0.25 mm is the smallest oversize")


def test_the_axis_decides_where_wear_may_lie_on_one_side(worn: Path) -> None:
    on_worn, on_original, unknown = (
        answer(worn, axis=axis)["oversizes"][0] for axis in ("worn", "original", "unknown")
    )
    # Some of one-sided wear is left about a middle found at one depth.
    assert on_worn["low"] < on_worn["probability_cleans_up"] <= on_worn["high"]
    assert on_original["low"] < 0.05
    assert on_original["probability_cleans_up"] < unknown["probability_cleans_up"]
    assert unknown["probability_cleans_up"] < on_worn["probability_cleans_up"]
    told = answer(worn)
    assert told["recommended_mm"] == 0.5
    assert "radius to both sides" in told["close_range"]


def test_what_a_tool_may_be_off_by_is_twice_its_deviation(tmp_path: Path) -> None:
    file = tmp_path / "unworn.csv"
    points = [f"1,{depth},{angle},79.375" for depth in (10, 50, 90) for angle in (0, 45, 90, 135)]
    file.write_text("\n".join([HEAD, *points]), "utf-8")
    told = answer(file, axis="original", oversizes="0.1mm", hone="0mm", u="0.0005mm", centring="0.06mm")
    # Off by normal numbers of 0.03 mm in two directions; 0.05 mm on radius clears it (Rayleigh's law).
    clears = 1 - exp(-(0.05**2) / (2 * 0.03**2))
    assert told["oversizes"][0]["probability_cleans_up"] == pytest.approx(clears, abs=0.03)


def test_pits_and_honing_stock_ask_for_more(worn: Path) -> None:
    assert answer(worn, axis="worn", pits="0.05mm")["recommended_mm"] == 0.5
    assert answer(worn, axis="worn", hone="0.12mm")["recommended_mm"] == 0.5
    plain = answer(worn, axis="worn", hone="0mm", pits="0mm")
    assert plain["recommended_mm"] == 0.25


def test_where_all_bores_are_sound_nothing_is_recommended(tmp_path: Path) -> None:
    file = tmp_path / "good.csv"
    file.write_text("\n".join([HEAD, *rows("1", 0.006, 0.005, 0.005)]), "utf-8")
    told = answer(file, limits="79.355..79.395")
    assert told["bores"][0]["verdict"] == "sound"
    assert told["recommended_mm"] is None
    assert "none needs machining" in told["reasons"][0]
    assert answer(file, limits="79.355..79.395", pits="0.03mm")["recommended_mm"] == 0.25


def test_no_oversize_is_enough_or_allowed(worn: Path) -> None:
    told = answer(worn, most="0.25mm", pits="0.2mm")
    assert told["recommended_mm"] is None
    assert told["cannot_tell"]["reason"]
    assert "The maker allows 0.25 mm at most" in told["oversizes"][1]["forbidden"]


def test_what_the_gauge_shares_widens_the_answer(worn: Path) -> None:
    said = answer(worn)["cautions"]
    assert any("--u-shared" in one for one in said)
    assert not any("--u-shared" in one for one in answer(worn, u_shared="0.002mm")["cautions"])


def test_inches_all_through(tmp_path: Path) -> None:
    file = tmp_path / "inches.csv"
    lines = [
        f"1,{depth},{angle},{3.125 + wear:.4f}"
        for depth, wear in ((0.4, 0.004), (2.0, 0.003), (3.5, 0.002))
        for angle in (0, 90)
    ]
    file.write_text("\n".join(["bore,depth_in,angle_deg,diameter_in", *lines]), "utf-8")
    inches = {
        "nominal": "3.125in", "limits": "3.1245..3.1255", "oversizes": "10thou,20thou", "u": "0.1thou",
        "hone": "2thou", "axis": "worn",
    }  # fmt: skip
    told = answer(file, **inches)
    assert told["bores"][0]["max_mm"] == pytest.approx(3.129 * 25.4)
    assert told["recommended_mm"] == 0.254
    said = run(file, **inches).stdout
    assert "bore 1  3.12700 to 3.12900 in, taper 0.00200, out of round 0.00000" in said
    assert "recommended 0.01 in" in said
    assert "0.01 in is the smallest oversize that cleans up all with 95.0 % or more" in said
    assert "0.002 in is left on diameter for finishing" in said
    assert " mm" not in said


def test_offsets_and_one_sided_wear_are_taken_as_told(worn: Path) -> None:
    def cleans_up(**told: str) -> tuple[float, float]:
        found = answer(worn, axis="original", **told)["oversizes"][0]
        return found["probability_cleans_up"], found["high"] - found["low"]

    blind, wide = cleans_up()
    known, narrow = cleans_up(offsets="1: 0.00 ± 0.004mm; 2: 0.00mm at 90°")
    assert known > blind
    assert narrow < wide / 2
    assert cleans_up(offsets="1: 0.06±0.004mm at 0")[0] < 0.01
    assert cleans_up(one_sided="5 ± 3 %")[0] > blind > cleans_up(one_sided="90 ± 5 %")[0]


def test_in_words_it_says_why(worn: Path) -> None:
    said = run(worn).stdout
    assert "bore 1  79.4170 to 79.5150 mm" in said
    assert "recommended 0.5 mm" in said
    assert "Two-point diameters cannot see" in said


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        (
            {"nominal": "79.375"},
            "nominal needs a length with its unit, such as 79.375mm or 3.125in; '79.375' came",
        ),
        ({"limits": "79.388..79.362"}, "limits needs a lower limit below the upper one"),
        ({"limits": "79.375"}, "limits needs two ends such as 79.362..79.388mm"),
        ({"limits": "7.9362..7.9388"}, "slipped decimal point"),
        ({"limits": "3.1245..3.1255"}, "Was it typed in inches"),
        ({"u": "0mm"}, "uncertainty needs more than nothing"),
        ({"u": "3mm"}, "uncertainty needs that of a gauge for bores"),
        ({"u": "0.003"}, "uncertainty needs a length with its unit"),
        ({"u_shared": "-0.002mm"}, "shared uncertainty needs a length that is not negative"),
        ({"oversizes": ""}, "oversizes or undersizes needs steps of more than nothing"),
        ({"oversizes": "0.25,0.5"}, "oversizes needs a length that reads one way"),
        ({"oversizes": "25mm"}, "small against the nominal"),
        ({"hone": "some"}, "hone needs a length with its unit, such as 0.05mm; 'some' came"),
        ({"offsets": "7: 0.02mm"}, "offsets needs one of 1, 2 and a size for each"),
        ({"offsets": "0.02mm"}, "offsets needs one of 1, 2 and a size"),
        ({"offsets": "1: wide"}, "offsets needs a length with its unit"),
        ({"one_sided": "much"}, "one-sided wear needs a share of the wear in per cent"),
        ({"one_sided": "120 %"}, "usual one-sided wear needs to lie between the least and the most"),
        ({"u_pits": "0.01mm"}, "u-pits needs --pits beside it"),
        ({"wanted": "95"}, "probability wanted needs 0.5 to less than 1"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(worn: Path, changed: dict[str, str], text: str) -> None:
    assert text in refused(worn, **changed)


def test_doubtful_rows_are_refused_in_one_line(tmp_path: Path) -> None:
    file = tmp_path / "readings.csv"
    file.write_text("\n".join([HEAD, "1,10,0,79.41", "1,10,90,7.94", "1,50,0,3.126", "2,10,0,79.4"]), "utf-8")
    said = refused(file)
    assert "row 3: a diameter of 7.94 mm" in said
    assert "row 4: a diameter of 3.126 mm" in said
    assert "row 5: the only reading of bore 2" in said


def test_all_equal_and_missing_readings_are_said(tmp_path: Path) -> None:
    file = tmp_path / "readings.csv"
    file.write_text("\n".join([HEAD, "1,10,0,79.41", "1,10,90,79.41", "1,50,0,79.41"]), "utf-8")
    said = " ".join(answer(file)["cautions"])
    assert "All readings are the very same" in said
    assert "At 50 mm no reading across 90°" in said
