"""Writes the pages that are made from the code itself; with --check it only says which are out of date."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from runningfit.cli.page import cli_page
from runningfit.core.standards.page import standards_page
from runningfit.project.settings import OPTIONS

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "src" / "runningfit"
FLOORS = ("core", "workshop", "reports", "web", "cli", "project")
CROSSED_BY_ROOM = ("core", "workshop", "web", "cli")
LEFT_OUT = {"migrations", "data", "templates", "static", "templatetags"}

ROOMS_HEAD = """# Floors and rooms

Made from the code by `scripts/generate.py`; change the docstrings, not this page.

Imports go down only: `project` may use `web` and `cli`, these `reports`, these `workshop`, these `core`.
One word of the trade names a room, and the same word names it on every floor, so each line has an address:
word × floor. The contracts in `pyproject.toml` hold the floors and rooms to this; `./check` runs them.
"""


def sentence(path: Path) -> str:
    """Return the first paragraph of a module's docstring on one line."""
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return re.sub(r"\s+", " ", docstring.split("\n\n")[0]).strip()


def rooms_of(floor: Path) -> dict[str, Path]:
    """Return name and describing file of each room of a floor, packages and single modules alike."""
    found = {}
    for path in sorted(floor.iterdir()):
        if path.name.startswith("_") or path.stem in LEFT_OUT:
            continue
        if path.suffix == ".py":
            found[path.stem] = path
        elif (path / "__init__.py").is_file():
            found[path.name] = path / "__init__.py"
    return found


def lines_of(floor: Path, *, depth: int) -> Iterator[str]:
    """Yield one line a room, its own rooms and modules indented below it."""
    for name, path in rooms_of(floor).items():
        is_package = path.name == "__init__.py"
        yield f"{'  ' * depth}- `{name}{'/' if is_package else ''}` {sentence(path)}"
        if is_package:
            yield from lines_of(path.parent, depth=depth + 1)


def rooms_page() -> str:
    """Return docs/rooms.md: which word lives on which floor, then every room with its first sentence."""
    floors = [floor for floor in FLOORS if (PACKAGE / floor / "__init__.py").is_file()]
    rooms = {floor: rooms_of(PACKAGE / floor) for floor in CROSSED_BY_ROOM if floor in floors}
    words = {word for found in rooms.values() for word, path in found.items() if path.name == "__init__.py"}
    table = ["| word | " + " | ".join(rooms) + " |", "|---" * (len(rooms) + 1) + "|"]
    for word in sorted(words):
        table.append(
            f"| {word} | " + " | ".join("●" if word in found else "" for found in rooms.values()) + " |"
        )
    parts = [ROOMS_HEAD, "\n".join(table) + "\n"]
    for floor in floors:
        heading = f"## {floor}\n{sentence(PACKAGE / floor / '__init__.py')}\n"
        parts.append("\n".join([heading, *lines_of(PACKAGE / floor, depth=0)]) + "\n")
    return "\n".join(parts)


PAGES: dict[str, Callable[[], str]] = {
    "docs/cli.md": partial(cli_page, OPTIONS),
    "docs/rooms.md": rooms_page,
    "docs/standards.md": standards_page,
}


def main(arguments: list[str]) -> int:
    """Write every page, or with --check name those that differ from what the code says."""
    stale = []
    for name, page in PAGES.items():
        path, text = ROOT / name, page()
        if path.is_file() and path.read_text(encoding="utf-8") == text:
            continue
        stale.append(name)
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
    if "--check" not in arguments:
        print("\n".join(f"wrote {name}" for name in stale) or "every page was fresh")
        return 0
    if stale:
        print(f"Out of date: {', '.join(stale)}. Run: .venv/bin/python scripts/generate.py")
    else:
        print(f"{len(PAGES)} generated pages are fresh")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
