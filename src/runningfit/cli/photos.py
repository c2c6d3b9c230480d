"""`runningfit photo`: the commands about photos of hardware on a mat, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "check": LazyCommand(
        "runningfit.cli.photo_check",
        "check",
        "Say whether a photo of a mat can be measured, and if not, what to do.",
    ),
    "mat": LazyCommand("runningfit.cli.photo_mat", "mat", "Write the mat to lay hardware on, as a PDF."),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def photo() -> None:
    """Photograph hardware on a printed mat: the mat, and whether a photo of it can be measured."""
