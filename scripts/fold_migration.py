"""Writes the first migration anew with each table made whole, once its indexes and constraints are known.

makemigrations adds most indexes and constraints to tables made before; each such step makes Django work out
all models again and SQLite copy the table, which took most of the time in which a new data folder is made.
"""

from __future__ import annotations

import importlib
import os
from pathlib import Path

import django
from django.db.migrations.migration import Migration
from django.db.migrations.operations import CreateModel
from django.db.migrations.state import ModelState, ProjectState
from django.db.migrations.writer import MigrationWriter

NAME = "runningfit.workshop.migrations.0001_initial"


def main() -> None:
    """Fold the operations of the first migration into one for each table, those named by others first."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "runningfit.project.settings")
    django.setup()
    module = importlib.import_module(NAME)
    made: type[Migration] = module.Migration
    state = made("0001_initial", "workshop").mutate_state(ProjectState())
    waiting = {name: model for (_app, name), model in state.models.items()}
    operations: list[CreateModel] = []
    while waiting:
        ready = [name for name, model in waiting.items() if not (_named_by(model) - {name}) & set(waiting)]
        if not ready:
            raise SystemExit(f"These tables name each other in a circle: {', '.join(sorted(waiting))}.")
        operations += [_whole(waiting.pop(name)) for name in ready]
    whole = type("Migration", (made,), {"operations": operations})("0001_initial", "workshop")
    Path(str(module.__file__)).write_text(MigrationWriter(whole).as_string(), encoding="utf-8")


def _named_by(model: ModelState) -> set[str]:
    related = (getattr(field.remote_field, "model", None) for field in model.fields.values())
    return {str(name).lower().removeprefix("workshop.") for name in related if name}


def _whole(model: ModelState) -> CreateModel:
    empty = {name for name in ("indexes", "constraints") if not model.options.get(name)}
    options = {name: value for name, value in model.options.items() if name not in empty}
    return CreateModel(model.name, list(model.fields.items()), options, model.bases, model.managers)


if __name__ == "__main__":
    main()
