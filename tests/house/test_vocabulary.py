"""Every parameter of core's public functions stands in the vocabulary, with its unit and one sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass

from house.tree import CORE, ROOT, Function, modules, public_definitions

PAGE = ROOT / "docs" / "vocabulary.md"
HEADING = "## Parameters of core"
UNITS_IN_NAMES = {
    "_mm": "mm",
    "_n": "N",
    "_nm": "N m",
    "_mpa": "MPa",
    "_c": "°C",
    "_deg": "°",
    "_bytes": "bytes",
}


@dataclass(frozen=True)
class Entry:
    """One row of the page's table of parameters."""

    name: str
    symbol: str
    unit: str
    meaning: str


def used_parameters() -> dict[str, str]:
    """Each public parameter name of core, and one place that uses it."""
    found: dict[str, str] = {}
    for module in modules(CORE):
        for definition in public_definitions(module):
            if isinstance(definition.node, Function):
                arguments = definition.node.args
                for argument in [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]:
                    if argument.arg not in {"self", "cls"} and not argument.arg.startswith("_"):
                        found.setdefault(argument.arg, f"{definition.where} {definition.name}")
    return found


def entries() -> list[Entry]:
    section = PAGE.read_text(encoding="utf-8").partition(HEADING)[2].partition("\n## ")[0]
    rows = re.findall(r"^\| `(\w+)` \| ([^|]*) \| ([^|]*) \| ([^|]*) \|$", section, re.MULTILINE)
    return [Entry(*(cell.strip() for cell in row)) for row in rows]


def test_every_parameter_stands_in_the_vocabulary() -> None:
    known = {entry.name for entry in entries()}
    missing = {name: where for name, where in sorted(used_parameters().items()) if name not in known}
    rows = "\n".join(f"| `{name}` | – | unit | sentence. | <- {where}" for name, where in missing.items())
    assert not missing, f"Add to docs/vocabulary.md under '{HEADING}':\n{rows}"


def test_the_vocabulary_holds_no_word_that_is_gone() -> None:
    gone = [entry.name for entry in entries() if entry.name not in used_parameters()]
    assert not gone, f"No public function of core takes these any more: {', '.join(gone)}"


def test_the_vocabulary_is_in_order_and_says_each_word_once() -> None:
    names = [entry.name for entry in entries()]
    assert names
    assert names == sorted(set(names))


def test_every_word_has_a_unit_and_one_sentence() -> None:
    unclear = [
        entry.name
        for entry in entries()
        if not entry.unit or not entry.symbol or not re.fullmatch(r"[A-Z0-9].*[^.]\.", entry.meaning)
    ]
    assert not unclear, f"Each needs a symbol and a unit (or –) and a sentence: {', '.join(unclear)}"


def test_a_unit_in_a_name_is_the_unit_on_the_page() -> None:
    wrong = [
        f"{entry.name} is in {entry.unit}, its name says {unit}"
        for entry in entries()
        for ending, unit in UNITS_IN_NAMES.items()
        if entry.name.endswith(ending) and entry.unit != unit
    ]
    assert not wrong, "\n".join(wrong)
