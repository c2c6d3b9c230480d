"""`runningfit catalogue read`: the keys of its answer, its errors, and how fast it is."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from runningfit import __version__
from runningfit.cli import entry
from runningfit.cli.entry import COMMANDS, main
from runningfit.cli.lazy import LazyCommand

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "tests" / "data" / "bench_lists" / "bench-list.csv"
KEYS = [
    "row",
    "kind",
    "count",
    "defects",
    "ends",
    "length_mm",
    "length_nominal",
    "length_basis",
    "finish_look",
    "finish_process",
    "condition",
    "problems",
]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def test_the_answer_has_exactly_the_documented_keys() -> None:
    answer = json.loads(run("catalogue", "read", str(SAMPLE), "--json").stdout)
    assert list(answer) == ["rows"]
    assert [row["row"] for row in answer["rows"]] == list(range(2, 38))
    assert all(list(row) == KEYS for row in answer["rows"])
    assert all(isinstance(problem, str) for row in answer["rows"] for problem in row["problems"])
    assert answer["rows"][0] == {
        "row": 2,
        "kind": "hex_bolt",
        "count": 9,
        "defects": [{"count": 2, "what": "pulled threads"}],
        "ends": [{"candidates": ["5/16-24 UNF"]}],
        "length_mm": 34.925,
        "length_nominal": "1 3/8 in",
        "length_basis": "under_head",
        "finish_look": "clear",
        "finish_process": None,
        "condition": "2 with pulled threads",
        "problems": [],
    }


def test_unknown_values_are_null_with_a_problem() -> None:
    rows = {
        row["row"]: row for row in json.loads(run("catalogue", "read", str(SAMPLE), "--json").stdout)["rows"]
    }
    assert (rows[32]["kind"], rows[32]["length_mm"], rows[33]["count"]) == (None, None, None)
    assert all(rows[number]["problems"] for number in (32, 33, 34))


def test_without_json_it_is_a_table_to_read() -> None:
    result = run("catalogue", "read", str(SAMPLE))
    assert result.exit_code == 0
    assert "hex bolt" in result.stdout
    assert "! Count: a count cannot be negative ('-4' came). Count them again." in result.stdout
    assert result.stdout.endswith("36 rows, 5 with a problem.\n")


def test_the_unit_can_be_said(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("Qty,What,Size,Length\n4,pin,,20\n")
    rows = json.loads(run("catalogue", "read", str(file), "--json", "--unit", "mm").stdout)["rows"]
    assert rows[0]["length_mm"] == 20.0


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.csv", b"", "The bench list needs at least one row with something in it"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "Save it from the spreadsheet as .xlsx or .csv"),
        ("absent.csv", None, "FILE needs a file that can be read"),
    ],
)
def test_an_error_is_one_line_and_status_two(
    tmp_path: Path, name: str, content: bytes | None, words: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    result = run("catalogue", "read", str(tmp_path / name), "--json")
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr
    assert result.stderr.count("\n") == 1


def test_a_bare_call_and_its_options_go_to_serve(monkeypatch: pytest.MonkeyPatch) -> None:
    @click.command()
    @click.option("--port", default=1)
    def stand_in(port: int) -> None:
        click.echo(f"served on {port}")

    monkeypatch.setattr(entry, "stand_in", stand_in, raising=False)
    monkeypatch.setitem(COMMANDS, "serve", LazyCommand("runningfit.cli.entry", "stand_in", "Serve."))
    assert run().stdout == "served on 1\n"
    assert run("--port", "9").stdout == "served on 9\n"
    assert run("serve").stdout == "served on 1\n"


def test_help_and_version_load_no_command() -> None:
    assert "catalogue" in run("--help").stdout
    assert __version__ in run("--version").stdout
    assert "No such command 'fly'" in run("fly").stderr


def fresh(code: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=True, cwd=ROOT
    )


def test_the_command_starts_without_the_heavy_libraries() -> None:
    heavy = "{'django', 'openpyxl', 'numpy', 'scipy', 'PIL'}"
    loaded = f"print(sorted({heavy} & {{name.partition('.')[0] for name in sys.modules}}))"
    assert fresh(f"import sys, runningfit.cli.entry, runningfit.cli.pieces; {loaded}").stdout == "[]\n"
    call = f"main(['catalogue', 'read', {str(SAMPLE)!r}], standalone_mode=False)"
    assert fresh(f"import sys; from runningfit.cli.entry import main; {call}; {loaded}").stdout.endswith(
        "[]\n"
    )
