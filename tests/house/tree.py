"""What the house tests look at: the project's files, and its modules as syntax trees."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "runningfit"
CORE = PACKAGE / "core"
PICTURES_AND_PAPERS = {".gif", ".heic", ".ico", ".jpg", ".pdf", ".png", ".webp", ".woff2", ".xlsx", ".zip"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Definable = Function | ast.ClassDef


@dataclass(frozen=True)
class Module:
    """One Python file of the project, parsed."""

    path: Path
    tree: ast.Module

    @property
    def where(self) -> str:
        """Its path from the root of the project."""
        return self.path.relative_to(ROOT).as_posix()


@dataclass(frozen=True)
class Definition:
    """A public function, method or class, and where it stands."""

    where: str
    name: str
    node: Definable


@cache
def project_files() -> tuple[Path, ...]:
    """Every file that is, or is about to be, part of the project: git's view without what it ignores."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    paths = (ROOT / name for name in listed.split("\0") if name)
    return tuple(sorted(path for path in paths if path.is_file()))


@cache
def text_files() -> tuple[tuple[str, str], ...]:
    """Path and text of every project file that people read as text."""
    return tuple(
        (path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8", errors="replace"))
        for path in project_files()
        if path.suffix.lower() not in PICTURES_AND_PAPERS
    )


@cache
def modules(folder: Path = ROOT) -> tuple[Module, ...]:
    """Every Python file under the folder; the migrations, which a command writes, are left out."""
    if folder != ROOT:
        return tuple(module for module in modules() if module.path.is_relative_to(folder))
    return tuple(
        Module(path, ast.parse(path.read_text(encoding="utf-8"), filename=str(path)))
        for path in project_files()
        if path.suffix == ".py" and "migrations" not in path.parts
    )


def public_definitions(module: Module) -> Iterator[Definition]:
    """Each public function and class of the module, and the public methods of its public classes."""
    for node in module.tree.body:
        if isinstance(node, Definable) and not node.name.startswith("_"):
            yield Definition(f"{module.where}:{node.lineno}", node.name, node)
            for inner in node.body if isinstance(node, ast.ClassDef) else ():
                if isinstance(inner, Function) and not inner.name.startswith("_"):
                    yield Definition(f"{module.where}:{inner.lineno}", f"{node.name}.{inner.name}", inner)


def first_line(node: ast.Module | Definable) -> str:
    """The first paragraph of a docstring on one line; empty where there is no docstring."""
    paragraph = (ast.get_docstring(node) or "").split("\n\n")[0]
    return re.sub(r"\s+", " ", paragraph).strip()
