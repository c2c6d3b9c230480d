"""`runningfit measure`: the commands about readings, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "bore": LazyCommand(
        "runningfit.cli.measure_bore",
        "bore",
        "Judge worn bores, and give the smallest oversize that cleans them up.",
    ),
    "circle": LazyCommand(
        "runningfit.cli.measure_form", "circle", "Lay a circle to the points of a section."
    ),
    "conformity": LazyCommand(
        "runningfit.cli.measure_conformity",
        "conformity",
        "Say whether a measured value lies inside its limits, outside, or whether that is not proven.",
    ),
    "cylinder": LazyCommand(
        "runningfit.cli.measure_form", "cylinder", "Lay a cylinder to the points of a bore or journal."
    ),
    "flatness": LazyCommand("runningfit.cli.measure_form", "flatness", "Give the flatness of a face."),
    "ratio": LazyCommand(
        "runningfit.cli.measure_ratio",
        "ratio",
        "Give the compression ratio of a cylinder, and what machining or another gasket makes of it.",
    ),
    "spring": LazyCommand(
        "runningfit.cli.measure_parts", "spring", "Give the rate of a coil spring and its load at a height."
    ),
    "timing": LazyCommand(
        "runningfit.cli.measure_timing",
        "timing",
        "Give valve timing from a degree wheel that counts up as the engine turns, 0 to 360.",
    ),
    "two-point": LazyCommand(
        "runningfit.cli.measure_shafts",
        "two_point",
        "Give taper, barrel and out-of-round of bores or journals, and what such readings cannot see.",
    ),
    "uncertainty": LazyCommand(
        "runningfit.cli.measure_uncertainty",
        "uncertainty",
        "Propagate the uncertainties of a budget to its result.",
    ),
    "vee-block": LazyCommand(
        "runningfit.cli.measure_shafts",
        "vee_block",
        "Give run-out and bend of a shaft that was turned between V-blocks under an indicator.",
    ),
    "volume": LazyCommand(
        "runningfit.cli.measure_parts",
        "volume",
        "Give the volume at 20 °C of a chamber filled from a burette.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def measure() -> None:
    """Judge readings: uncertainty, form, whether a value conforms, compression ratio and valve timing."""
