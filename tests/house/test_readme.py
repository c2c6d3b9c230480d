"""The README promises only what is there: its links, its pictures, its commands."""

from __future__ import annotations

import re
from pathlib import Path

from PIL import Image

from runningfit.cli.entry import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_link_leads_to_a_file() -> None:
    linked = re.findall(r"\]\(([^)#]+)\)|<img src=\"([^\"]+)\"", README)
    files = [one or other for one, other in linked]
    assert len(files) >= 8
    assert [name for name in files if not (ROOT / name).is_file()] == []


def test_it_shows_three_pictures_that_are_taken_by_the_script() -> None:
    shown = set(re.findall(r"docs/pictures/([a-z-]+\.png)", README))
    taken = set(re.findall(r'Shot\("([a-z-]+\.png)"', (ROOT / "scripts" / "take_pictures.py").read_text()))
    assert shown == taken
    assert len(shown) == 3
    for name in shown:
        with Image.open(ROOT / "docs" / "pictures" / name) as picture:
            assert min(picture.size) >= 700


def test_every_command_it_names_exists() -> None:
    named = set(re.findall(r"runningfit ([a-z]+)\b", README)) - {"is"}
    assert {"demo", "passcode", "backup", "restore", "export"} <= named
    assert named <= set(COMMANDS)


def test_the_two_commands_stand_at_the_top() -> None:
    top = README.partition("![")[0]
    assert "./start" in top
    assert "./check" in top
    assert (ROOT / "start").stat().st_mode & 0o100
    assert (ROOT / "check").stat().st_mode & 0o100
