"""The page on the commands says what the commands say of themselves."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from runningfit.cli.entry import COMMANDS
from runningfit.cli.page import ANSWERS, cli_page
from runningfit.project.settings import OPTIONS

ROOT = Path(__file__).resolve().parents[2]


def test_the_page_in_docs_is_fresh() -> None:
    assert (ROOT / "docs" / "cli.md").read_text(encoding="utf-8") == cli_page(OPTIONS)


def test_every_command_stands_on_it_with_its_options() -> None:
    page = cli_page(OPTIONS)
    for name in COMMANDS:
        assert f"## `runningfit {name}" in page
    for option in ("--data", "--port", "--lan", "--json", "--alone", "--set", "--unit"):
        assert option in page


def test_a_command_that_answers_in_json_has_its_answer_documented() -> None:
    page = cli_page(OPTIONS)
    for part in page.split("## `runningfit ")[1:]:
        name = part.partition("`")[0]
        assert ("--json" in part) == (name in ANSWERS), name


def test_the_documented_keys_are_those_that_come(tmp_path: Path) -> None:
    listed = tmp_path / "list.csv"
    listed.write_text("Count,Kind,Size,Length,Finish,State\n9,hex bolt,5/16-24 UNF,1 3/8,clear,2 bent\n")
    done = subprocess.run(
        [sys.executable, "-m", "runningfit", "catalogue", "read", str(listed), "--json"],
        capture_output=True,
        text=True,
        check=True,
    )
    (row,) = json.loads(done.stdout)["rows"]
    documented = json.loads(ANSWERS["catalogue read"].replace(", …", ""))["rows"][0]
    assert list(row) == list(documented)
