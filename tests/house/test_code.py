"""The house rules that a reader of the code meets: short modules, honest names, docstrings."""

from __future__ import annotations

import ast
import re

from house.tree import CORE, PACKAGE, ROOT, first_line, modules, project_files, public_definitions, text_files

LONGEST_MODULE = 400
ATTICS = {"util", "utils", "helper", "helpers", "common", "misc", "manager", "managers", "tools", "stuff"}
CODE_SUFFIXES = (".py", ".html", ".css", ".js", ".sh", ".toml", ".typ")


def report(offenders: list[str]) -> str:
    return "\n" + "\n".join(offenders)


def test_no_module_is_longer_than_one_idea() -> None:
    lengths = {
        module.where: len(module.path.read_text(encoding="utf-8").splitlines()) for module in modules()
    }
    offenders = [f"{where}: {lines} lines" for where, lines in lengths.items() if lines > LONGEST_MODULE]
    assert not offenders, f"Past {LONGEST_MODULE} lines a module becomes a package:" + report(offenders)


def test_no_room_is_an_attic() -> None:
    offenders = [
        path.relative_to(ROOT).as_posix()
        for path in project_files()
        if ATTICS & {part.split(".")[0].lower() for part in path.relative_to(ROOT).parts}
    ]
    assert not offenders, "Name these for what they are:" + report(offenders)


def test_every_module_says_its_idea_in_one_sentence() -> None:
    offenders = [
        module.where for module in modules(PACKAGE) if not re.search(r"[.:?]$", first_line(module.tree))
    ]
    assert not offenders, "These need a first line that is a sentence:" + report(offenders)


def test_everything_public_in_core_says_what_it_is_in_a_sentence() -> None:
    offenders = [
        f"{definition.where} {definition.name}: {first_line(definition.node) or 'no docstring'}"
        for module in modules(CORE)
        for definition in public_definitions(module)
        if not re.search(r"[.:?]$", first_line(definition.node))
    ]
    assert not offenders, "These need a docstring whose first paragraph is a sentence:" + report(offenders)


def test_every_dataclass_of_core_is_frozen() -> None:
    offenders = [
        f"{module.where}:{node.lineno} {node.name}"
        for module in modules(CORE)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.ClassDef)
        for decorator in node.decorator_list
        if "dataclass" in ast.unparse(decorator) and "frozen=True" not in ast.unparse(decorator)
    ]
    assert not offenders, "What crosses a border in core is frozen:" + report(offenders)


def test_nothing_is_put_off() -> None:
    put_off = re.compile(r"\b(" + "|".join(("TO" + "DO", "FIX" + "ME", "X" * 3, "HA" + "CK")) + r")\b")
    offenders = [
        f"{where}:{number} {line.strip()}"
        for where, text in text_files()
        if where.endswith(CODE_SUFFIXES) or where in {"start", "check"}
        for number, line in enumerate(text.splitlines(), start=1)
        if put_off.search(line)
    ]
    assert not offenders, "Do it, or file it where it is read:" + report(offenders)


def test_no_checker_is_silenced_without_saying_which_rule() -> None:
    silenced = re.compile(
        r"#\s*type:\s*ignore(?!\[)|#\s*noqa(?!:)|#\s*ruff:\s*noqa(?!:)|#\s*mypy:\s*ignore-errors"
    )
    offenders = [
        f"{module.where}:{number} {line.strip()}"
        for module in modules()
        if module.where != "tests/house/test_code.py"
        for number, line in enumerate(module.path.read_text(encoding="utf-8").splitlines(), start=1)
        if silenced.search(line)
    ]
    assert not offenders, "Name the rule:" + report(offenders)
