"""`runningfit thread`: the commands about threads, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "identify": LazyCommand(
        "runningfit.cli.thread_identify",
        "identify",
        "Name a thread from what was measured, and say how sure the name is.",
    ),
    "show": LazyCommand("runningfit.cli.thread_show", "show", "Show what the standards say of a thread."),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def thread() -> None:
    """Name threads, and look up what the standards say of them."""
