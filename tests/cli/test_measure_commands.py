"""`runningfit measure`: the keys of its answers, its words, and its errors in one line."""

from __future__ import annotations

import json
import subprocess
import sys
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from runningfit.cli.entry import main

BUDGET = Path(__file__).parents[1] / "published" / "measurements" / "gum_h1.toml"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["measure", *arguments])


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def refused(*arguments: str) -> str:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    return result.stderr


@pytest.fixture
def points(tmp_path: Path) -> Path:
    lines = [
        f"{40.0 * cos(angle) * (1 + lift)},{40.0 * sin(angle) * (1 + lift)}"
        for index in range(8)
        for angle, lift in [(index * pi / 4, 0.00025 if index % 2 else -0.00025)]
    ]
    file = tmp_path / "points.csv"
    file.write_text("\n".join(["x_mm,y_mm", *lines]), encoding="utf-8")
    return file


def test_uncertainty_has_exactly_the_documented_keys() -> None:
    told = answer("uncertainty", str(BUDGET))
    assert list(told) == ["value", "u", "dof", "k", "U", "second_order_u"]
    assert told["value"] == 50000838
    assert told["U"] == pytest.approx(told["k"] * told["u"], rel=1e-5)


def test_uncertainty_says_null_where_there_is_no_number(tmp_path: Path) -> None:
    file = tmp_path / "budget.toml"
    file.write_text(
        'model = "a + b"\n[inputs]\na = { value = 1, u = 1 }\nb = { value = 2, u = 1 }\n'
        '[[correlations]]\nbetween = ["a", "b"]\nr = 0.5\n',
        encoding="utf-8",
    )
    told = answer("uncertainty", str(file))
    assert (told["dof"], told["second_order_u"]) == (None, None)
    assert told["u"] == pytest.approx(3**0.5, rel=1e-5)


def test_uncertainty_is_checked_by_draws_when_asked() -> None:
    drawn = answer("uncertainty", str(BUDGET), "--monte-carlo")["monte_carlo"]
    assert list(drawn) == ["value", "u", "symmetric", "shortest", "trials", "settled", "agrees"]
    assert drawn["u"] == pytest.approx(35.3, abs=0.5)
    assert drawn["settled"]


def test_uncertainty_tells_in_words_what_each_input_adds() -> None:
    said = run("uncertainty", str(BUDGET)).stdout
    assert "expanded 92.5 nm (k = 2.92, 99 %)" in said
    assert "  ls: 25 nm" in said
    assert "[JCGM 100:2008, G.4.1, clause number from memory]" in said


def test_conformity_has_exactly_the_documented_keys() -> None:
    told = answer("conformity", "--value", "-5.47", "--u", "0.05", "--upper", "-5.40")
    assert list(told) == ["probability_conforms", "decision"]
    assert told["probability_conforms"] == pytest.approx(0.91924, abs=1e-5)
    assert told["decision"] == "not_proven"


BORE = ["--lower", "79.362", "--upper", "79.388"]


@pytest.mark.parametrize(
    ("value", "more", "decision"),
    [
        ("79.375", [], "inside"),
        ("79.40", [], "outside"),
        ("79.386", [], "not_proven"),
        ("79.386", ["--wanted", "0.5"], "inside"),
        ("79.386", ["--prior-mean", "79.375", "--prior-sd", "0.002"], "inside"),
        ("79.400", ["--prior-mean", "79.375", "--prior-sd", "0.002"], "not_proven"),
        ("79.380", ["--dof", "1"], "not_proven"),
        ("7.94", ["--as-typed"], "outside"),
    ],
)
def test_conformity_decides(value: str, more: list[str], decision: str) -> None:
    assert answer("conformity", "--value", value, "--u", "0.003", *BORE, *more)["decision"] == decision


def test_conformity_takes_lengths_of_either_unit() -> None:
    told = answer(
        "conformity", "--value", "3.1260in", "--u", "0.1thou", "--lower", "79.362mm", "--upper", "79.388mm"
    )
    assert told["decision"] == "outside"


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (
            ["--value", "7.94", "--u", "0.003", *BORE],
            "typed with a slipped decimal point? If it is right, add",
        ),
        (["--value", "3.1252", "--u", "0.003", *BORE], "Was it typed in inches where the others are mill"),
        (["--value", "79.38", "--u", "0", *BORE], "uncertainty needs more than nothing; '0' came. No gauge"),
        (["--value", "79.38", "--u", "0.003"], "limits needs a lower limit, an upper limit or both"),
        (["--value", "1", "--u", "1", "--lower", "2", "--upper", "1"], "They are upside down"),
        (["--value", "1mm", "--u", "0.1", "--upper", "2"], "figures needs all with a unit, or all without"),
        (
            ["--value", "1", "--u", "1", "--upper", "2", "--prior-mean", "1"],
            "prior needs a mean and a deviation",
        ),
        (["--value", "x", "--u", "1", "--upper", "2"], "value needs a length"),
        (["--value", "nan", "--u", "1", "--upper", "2"], "value needs a finite number; 'nan' came"),
    ],
)
def test_conformity_says_what_it_cannot_use(arguments: list[str], text: str) -> None:
    assert text in refused("conformity", *arguments)


def test_conformity_gives_its_reasons_in_words() -> None:
    said = run("conformity", "--value", "79.386", "--u", "0.003", *BORE).stdout
    assert said.startswith("not proven\nWhy\n")
    assert "Not proven is not a pass" in said


def test_a_circle_is_answered_by_every_method(points: Path) -> None:
    for method in ("lsc", "mzc", "mcc", "mic"):
        told = answer("circle", str(points), "--method", method)
        assert list(told) == [
            "method", "centre_x_mm", "centre_y_mm", "radius_mm", "diameter_mm", "out_of_round_mm", "points",
            "contacts",
        ]  # fmt: skip
        assert told["method"] == method
        assert told["out_of_round_mm"] == pytest.approx(0.02, abs=1e-9)
    assert answer("circle", str(points), "--method", "mcc")["diameter_mm"] == pytest.approx(80.02)
    assert answer("circle", str(points), "--method", "mic")["diameter_mm"] == pytest.approx(79.98)
    assert "out of round by 0.0200 mm" in run("circle", str(points)).stdout


def test_flatness_is_answered_both_ways(tmp_path: Path) -> None:
    file = tmp_path / "grid.csv"
    file.write_text("0.03,0,-0.03\n0,0,0\n-0.03,0,0.03\n", encoding="utf-8")
    told = answer("flatness", str(file), "--step", "50mm")
    assert list(told) == ["flatness_mm", "minimum_zone_mm", "least_squares_mm", "points", "highest", "lowest"]
    assert told["flatness_mm"] == pytest.approx(0.06, rel=1e-5)
    assert (told["points"], told["highest"], told["lowest"]) == (9, [1, 9], [3, 7])
    assert "flat within 0.0600 mm" in run("flatness", str(file), "--step", "50mm").stdout


def sheet(folder: Path, text: str) -> str:
    file = folder / "sheet.csv"
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_a_cylinder_is_answered_by_every_method(tmp_path: Path) -> None:
    rows = [
        f"{(40 + lift) * cos(index * pi / 4)},{(40 + lift) * sin(index * pi / 4)},{depth}"
        for depth in (0, 40, 80)
        for index in range(8)
        for lift in [0.01 if (index + depth // 40) % 2 else -0.01]
    ]
    file = sheet(tmp_path, "\n".join(["x_mm,y_mm,z_mm", *rows]))
    for method, diameter in (("lsc", 80.0), ("mzc", 80.0), ("mcc", 80.02), ("mic", 79.98)):
        told = answer("cylinder", file, "--method", method)
        assert list(told) == [
            "method", "radius_mm", "diameter_mm", "cylindricity_mm", "on_axis_mm", "along", "points",
            "contacts",
        ]  # fmt: skip
        assert told["diameter_mm"] == pytest.approx(diameter, abs=1e-6)
        assert told["cylindricity_mm"] == pytest.approx(0.02, abs=1e-6)
    assert "cylindricity 0.0200 mm" in run("cylinder", file).stdout


BORES = "bore,depth_mm,angle_deg,diameter_mm\n1,10,0,79.41\n1,10,90,79.38\n1,60,0,79.40\n1,60,90,79.38\n"


def test_two_point_readings_are_answered_bore_by_bore(tmp_path: Path) -> None:
    file = sheet(tmp_path, BORES + "2,10,0,79.40\n2,10,90,79.39\n")
    told = answer("two-point", file, "--u", "0.002mm", "--nominal", "79.375mm")
    first, second = told["parts"]
    assert (first["name"], second["name"]) == ("1", "2")
    assert first["out_of_round_mm"] == pytest.approx(0.03)
    assert first["taper_mm"] == pytest.approx(0.005)
    assert first["cautions"][0].startswith("Two-point diameters cannot see an odd number of lobes")
    assert "Only one depth was read" in second["cautions"][1]
    assert "1: 79.3800 to 79.4100 mm" in run("two-point", file, "--u", "0.002mm").stdout


def test_a_shaft_in_vee_blocks_is_answered(tmp_path: Path) -> None:
    rows = [f"{angle},{2 * cos(angle * pi / 180)}" for angle in range(0, 360, 45)]
    file = sheet(tmp_path, "\n".join(["angle_deg,reading_thou", *rows]))
    told = answer("vee-block", file, "--u", "0.002mm")
    assert told["bow_mm"] == pytest.approx(0.0508)
    assert told["total_mm"] == pytest.approx(0.1016)
    assert "bent by 0.0508 ± 0.0010 mm towards 0°" in run("vee-block", file, "--u", "0.002mm").stdout


def test_a_spring_is_answered_and_held_against_its_limits(tmp_path: Path) -> None:
    file = sheet(tmp_path, "length_mm,load_n\n30,264\n35,204\n40,144\n")
    told = answer("spring", file, "--height", "38mm", "--u", "2N", "--limits", "160..180N")
    assert (told["rate_n_per_mm"], told["free_length_mm"], told["load_n"]) == pytest.approx((12, 52, 168))
    assert told["decision"] == "inside"
    assert answer("spring", file, "--height", "38mm", "--u", "2N")["decision"] is None
    assert "rate 12 ±" in run("spring", file, "--height", "38mm", "--u", "2N", "--limits", "160..180N").stdout


def test_a_chamber_is_answered_at_20_degrees() -> None:
    told = ["volume", "--poured", "42.3 cc", "--u", "0.05ml", "--metal", "cast iron"]
    found = answer(*told)
    assert found["volume_ml"] == pytest.approx(42.3)
    assert found["U_ml"] == pytest.approx(found["k"] * found["u_ml"], rel=1e-4)
    assert any("paraffin is from memory" in one for one in found["cautions"])
    assert answer(*told, "--chamber", "30C", "--liquid", "9.5e-4")["volume_ml"] > 42.6
    assert "42.300 ml at 20 °C" in run(*told).stdout


@pytest.mark.parametrize(
    ("command", "text", "more", "told"),
    [
        ("two-point", BORES, ["--u", "0.002mm", "--nominal", "3.125in"], None),
        (
            "two-point",
            BORES.replace("79.41", "3.126"),
            ["--u", "0.002mm", "--nominal", "79.375mm"],
            "'3.126 mm in line 2' came. Was it typed in inches",
        ),
        ("two-point", BORES.replace("79.41", "7.941"), ["--u", "0.002mm"], "slipped decimal point"),
        ("two-point", BORES.replace("1,10,0", "1,10,"), ["--u", "0.002mm"], "a number in line 2 under angle"),
        ("two-point", "1,2,3\n", ["--u", "0.002mm"], "a heading such as depth_mm,angle_deg,diameter_mm"),
        (
            "vee-block",
            "angle_deg,reading_mm\n0,1\n",
            ["--u", "0.002mm"],
            "an angle to each, and four at least",
        ),
        ("spring", "length_mm,load_stone\n30,26\n", ["--height", "38mm", "--u", "2N"], "a unit of force"),
        ("spring", "length_mm,load_n\n30,26\n", ["--height", "38mm", "--u", "2N"], "loads at two lengths"),
    ],
)
def test_a_sheet_of_readings_that_cannot_be_used_is_told(
    command: str, text: str, more: list[str], told: str | None, tmp_path: Path
) -> None:
    file = sheet(tmp_path, text)
    if told is None:
        assert run(command, file, *more).exit_code == 0
    else:
        assert told in refused(command, file, *more)


@pytest.mark.parametrize(
    ("more", "text"),
    [
        (["--poured", "42.3", "--u", "0.1ml"], "poured needs a volume with its unit"),
        (["--poured", "42.3ml", "--u", "0ml"], "uncertainty needs more than nothing"),
        (["--poured", "42.3ml", "--u", "0.1ml", "--liquid", "beer"], "liquid needs paraffin, water"),
    ],
)
def test_a_volume_that_cannot_be_used_is_told(more: list[str], text: str) -> None:
    assert text in refused("volume", "--metal", "cast iron", *more)


@pytest.mark.parametrize("command", ["circle", "flatness", "uncertainty"])
def test_a_file_that_is_not_there_is_told(command: str, tmp_path: Path) -> None:
    said = refused(command, str(tmp_path / "none.csv"))
    assert "file needs a text that can be read" in said
    assert "No such file" in said


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "picture.csv").write_bytes(b"\xff\xfe\x00\x80")
    assert "It is not UTF-8" in refused("circle", str(tmp_path / "picture.csv"))


def test_uncertainty_and_conformity_answer_without_loading_numpy() -> None:
    told = [["uncertainty", str(BUDGET)], ["conformity", "--value", "1", "--u", "1", "--upper", "9"]]
    program = (
        "import sys; from runningfit.cli.entry import main\n"
        f"for told in {told!r}:\n"
        "    main(['measure', *told], standalone_mode=False)\n"
        "assert not {'numpy', 'scipy', 'django'} & set(sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert "standard uncertainty" in done.stdout
