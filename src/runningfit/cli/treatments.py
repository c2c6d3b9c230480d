"""`runningfit treatment`: the commands about what a treatment does, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "embrittlement": LazyCommand(
        "runningfit.cli.treatment_embrittlement",
        "embrittlement",
        "Say whether a chain of cleaning and plating can make a piece crack later.",
    ),
    "plate": LazyCommand(
        "runningfit.cli.treatment_plate",
        "plate",
        "Say what a coat of plating does to a thread, and how thick it may be.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def treatment() -> None:
    """Judge what plating and cleaning do to a piece."""
