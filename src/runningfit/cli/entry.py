"""The command `runningfit` and the table of its subcommands, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit import __version__
from runningfit.cli.lazy import LazyCommand, LazyGroup
from runningfit.core.errors import RunningFitError

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
    "measure": LazyCommand(
        "runningfit.cli.measures",
        "measure",
        "Judge readings: uncertainty, form, and whether a value conforms.",
    ),
    "photo": LazyCommand(
        "runningfit.cli.photos", "photo", "Photograph hardware on a printed mat, and check such photos."
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


class Front(LazyGroup):
    """The whole command: it has a default subcommand, and says errors in one line."""

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


@click.group(cls=Front, table=COMMANDS, context_settings={"help_option_names": ["--help"]})
@click.version_option(__version__, prog_name="runningfit")
def main() -> None:
    """Running Fit: for the person who rebuilds old engines. Called bare, it serves."""
