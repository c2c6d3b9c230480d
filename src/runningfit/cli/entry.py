"""The command `runningfit` and the table of its subcommands, each loaded only when it is called."""

from __future__ import annotations

import importlib
from dataclasses import dataclass

import click

from runningfit import __version__
from runningfit.core.errors import RunningFitError


@dataclass(frozen=True, slots=True)
class LazyCommand:
    """Where a subcommand lives, and its line in the help."""

    module: str
    attribute: str
    help: str


COMMANDS = {
    "backup": LazyCommand(
        "runningfit.cli.archive", "backup", "Write everything to one file, original photos too."
    ),
    "demo": LazyCommand("runningfit.cli.demo.command", "demo", "Serve the invented demo job."),
    "export": LazyCommand(
        "runningfit.cli.archive", "export", "Write everything to one open file for others."
    ),
    "import": LazyCommand("runningfit.cli.archive", "import_", "Read such a file into an empty data folder."),
    "passcode": LazyCommand(
        "runningfit.cli.passcode", "passcode", "Set what other devices must say to come in."
    ),
    "restore": LazyCommand(
        "runningfit.cli.archive", "restore", "Read a backup back; the present content is set aside."
    ),
    "catalogue": LazyCommand("runningfit.cli.pieces", "catalogue", "Read lists of hardware."),
    "joint": LazyCommand(
        "runningfit.cli.joints",
        "joint",
        "Judge bolted joints: clamp, yield, torque for another finish, threads that strip.",
    ),
    "thread": LazyCommand(
        "runningfit.cli.threads", "thread", "Name threads, and look up what the standards say of them."
    ),
    "treatment": LazyCommand(
        "runningfit.cli.treatments", "treatment", "Judge what plating and cleaning do to a piece."
    ),
    "serve": LazyCommand(
        "runningfit.cli.serve", "serve", "Serve the workshop's pages (what a bare call does)."
    ),
}
DEFAULT_COMMAND = "serve"


class LazyGroup(click.Group):
    """A group whose subcommands are imported when they are called, and which has a default one."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of the subcommands, in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The subcommand of that name, imported now."""
        lazy = COMMANDS.get(cmd_name)
        if lazy is None:
            return None
        command = getattr(importlib.import_module(lazy.module), lazy.attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{lazy.module}.{lazy.attribute} is no command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the help from the table, so that asking for it imports nothing."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name].help) for name in sorted(COMMANDS)])

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the default command in front where none is named: `runningfit --port 9000` serves."""
        own = {"--help", "--version"}
        if not args or (args[0].startswith("-") and args[0] not in own):
            args = [DEFAULT_COMMAND, *args]
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> object:
        """Run the subcommand; an error raised on purpose is one line on standard error and exit status 2."""
        try:
            return super().invoke(ctx)
        except RunningFitError as error:
            click.echo(f"runningfit: {' '.join(str(error).split())}", err=True)
            ctx.exit(2)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["--help"]})
@click.version_option(__version__, prog_name="runningfit")
def main() -> None:
    """Running Fit: for the person who rebuilds old engines. Called bare, it serves."""
