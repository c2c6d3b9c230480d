"""`runningfit treatment`: the commands about what a treatment does, each loaded only when it is called."""

from __future__ import annotations

import importlib

import click

# Where each subcommand lives, its name in the module, and its line in the help.
COMMANDS = {
    "embrittlement": (
        "runningfit.cli.treatment_embrittlement",
        "embrittlement",
        "Say whether a chain of cleaning and plating can make a piece crack later.",
    ),
    "plate": (
        "runningfit.cli.treatment_plate",
        "plate",
        "Say what a coat of plating does to a thread, and how thick it may be.",
    ),
}


class TreatmentGroup(click.Group):
    """The group, whose subcommands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of the subcommands, in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The subcommand of that name, imported now."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute, _ = COMMANDS[cmd_name]
        command = getattr(importlib.import_module(module), attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{module}.{attribute} is no command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the help from the table, so that asking for it imports nothing."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][2]) for name in sorted(COMMANDS)])


@click.group(cls=TreatmentGroup)
def treatment() -> None:
    """Judge what plating and cleaning do to a piece."""
