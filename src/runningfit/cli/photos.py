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
    "compare": LazyCommand(
        "runningfit.cli.photo_compare",
        "compare",
        "Say what is missing, added or swapped between two photos of one bag.",
    ),
    "mat": LazyCommand("runningfit.cli.photo_mat", "mat", "Write the mat to lay hardware on, as a PDF."),
    "measure": LazyCommand(
        "runningfit.cli.photo_measure",
        "measure",
        "Measure the loose fasteners on a mat: kind, length, thread and look of each.",
    ),
    "score": LazyCommand(
        "runningfit.cli.photo_score",
        "score",
        "Hold measured photos against what really lies on their mats.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def photo() -> None:
    """Photograph hardware on a printed mat: print it, check a photo, measure it, compare two."""
