"""`runningfit measure`: the commands about readings, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "circle": LazyCommand(
        "runningfit.cli.measure_form", "circle", "Lay a circle to the points of a section."
    ),
    "conformity": LazyCommand(
        "runningfit.cli.measure_conformity",
        "conformity",
        "Say whether a measured value lies inside its limits, outside, or whether that is not proven.",
    ),
    "flatness": LazyCommand("runningfit.cli.measure_form", "flatness", "Give the flatness of a face."),
    "uncertainty": LazyCommand(
        "runningfit.cli.measure_uncertainty",
        "uncertainty",
        "Propagate the uncertainties of a budget to its result.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def measure() -> None:
    """Judge readings: uncertainty, form, and whether a value conforms."""
