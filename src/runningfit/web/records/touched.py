"""What one act touched, said in the words of the bench instead of those of the database."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.apps import apps

from runningfit.workshop.pieces.ledger import CUSTODY_WORDS
from runningfit.workshop.records.models import Change

NOTHING: tuple[object, ...] = ("", None, [], False)
# What the page says elsewhere, what follows from the rest, and what of a photo tells nothing in words.
LEFT_OUT = {"id", "job_id", "number", "words", "proposed", "outline_px", "outline_mm", "box_px", "worker"}
A_KEY = re.compile("[a-z]+(_[a-z]+)+")
A_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Touched:
    """One row that an act touched: what it is, and its values before and after."""

    words: str
    before: tuple[tuple[str, str], ...]
    after: tuple[tuple[str, str], ...]


def touched(changes: Iterable[Change]) -> list[Touched]:
    """Say each change as the row it is about and its values before and after; empty values are left out."""
    rows = [change for change in changes if change.kind != Change.REFERRED]
    names = _names(rows)
    return [
        Touched(
            _what(change, names),
            _values(change, change.before, names),
            _values(change, change.after, names),
        )
        for change in rows
    ]


def row_name(model: str, object_id: int) -> str:
    """Say what a row is called, or nothing where there is none."""
    row = apps.get_model("workshop", model)._default_manager.filter(pk=object_id).first()
    kind, name = model.lower(), str(row) if row is not None else ""
    return name if name.lower().startswith(kind) else f"{kind} {name}".strip()


def _what(change: Change, names: dict[tuple[str, int], str]) -> str:
    kind = re.sub("(?<=[a-z])(?=[A-Z])", " ", change.model).lower()
    name = names.get((change.model, change.object_id), "")
    words = name if name.lower().startswith(kind) else f"{kind} {name}".strip()
    return words + {Change.CREATED: ", new", Change.MOVED: ", pieces moved"}.get(change.kind, "")


def _values(
    change: Change, values: dict[str, Any], names: dict[tuple[str, int], str]
) -> tuple[tuple[str, str], ...]:
    if change.kind == Change.MOVED:
        account = str(values.get("account", ""))
        return ((CUSTODY_WORDS.get(account, account.replace("_", " ")), str(values.get("count", ""))),)
    related = _related(change.model)
    said = []
    for field, value in values.items():
        if value in NOTHING or field in LEFT_OUT:
            continue
        shown = names.get((related[field], value)) if field in related else None
        said.append((field.removesuffix("_id").replace("_", " "), shown or _said(value)))
    return tuple(said)


def _said(value: object) -> str:
    if value is True:
        return "yes"
    if isinstance(value, dict):
        said = [(name.replace("_", " "), _said(one)) for name, one in value.items() if one not in NOTHING]
        return ", ".join(f"{name} {words}" for name, words in said)
    if isinstance(value, list):
        return ", ".join(_part(one) for one in value)
    if isinstance(value, str) and A_DAY.match(value):
        return value[:16].replace("T", " ")
    text = str(value)
    return text.replace("_", " ") if A_KEY.fullmatch(text) else text.replace("|", " or ")


def _part(one: object) -> str:
    """Say one entry of a list; what belongs together stands side by side."""
    parts = one.values() if isinstance(one, dict) else one if isinstance(one, list) else (one,)
    return " ".join(str(part) for part in parts)


def _names(changes: list[Change]) -> dict[tuple[str, int], str]:
    """Return what each row named in the changes is called, with one query for each kind of row."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for change in changes:
        wanted[change.model].add(change.object_id)
        for field, model in _related(change.model).items():
            for values in (change.before, change.after):
                if isinstance(values.get(field), int):
                    wanted[model].add(values[field])
    found: dict[tuple[str, int], str] = {}
    for model, ids in wanted.items():
        kind = apps.get_model("workshop", model)
        if "__str__" in vars(kind):
            found |= {(model, row.pk): str(row) for row in kind._default_manager.filter(pk__in=ids)}
    return found


def _related(model: str) -> dict[str, str]:
    fields = apps.get_model("workshop", model)._meta.concrete_fields
    return {
        field.attname: related.__name__
        for field in fields
        if field.is_relation and isinstance(related := field.related_model, type)
    }
