"""Groups of commands whose subcommands are loaded only when they are called, so that each answers at once."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import click


@dataclass(frozen=True, slots=True)
class LazyCommand:
    """Where a subcommand lives, and its line in the help."""

    module: str
    attribute: str
    help: str


class LazyGroup(click.Group):
    """A group whose subcommands are imported when they are called; its table says where they are."""

    def __init__(self, *args: Any, table: Mapping[str, LazyCommand], **named: Any) -> None:
        super().__init__(*args, **named)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of the subcommands, in order."""
        return sorted(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The subcommand of that name, imported now."""
        lazy = self.table.get(cmd_name)
        if lazy is None:
            return None
        command = getattr(importlib.import_module(lazy.module), lazy.attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{lazy.module}.{lazy.attribute} is no command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the help from the table, so that asking for it imports nothing."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, self.table[name].help) for name in sorted(self.table)])
