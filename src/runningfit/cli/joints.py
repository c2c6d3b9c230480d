"""`runningfit joint`: the commands about pieces that fit each other, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "bolted": LazyCommand(
        "runningfit.cli.joint_bolted",
        "bolted",
        "Say how a bolt tightened to TORQUE clamps, and how near it comes to yielding.",
    ),
    "chain": LazyCommand(
        "runningfit.cli.joint_chain",
        "chain",
        "Give the gap of CHAIN.toml by worst case, root sum of squares and draws, and what centres it.",
    ),
    "clearance": LazyCommand(
        "runningfit.cli.joint_clearance",
        "clearance",
        "Judge the clearance of two parts, at 20 °C and, with temperatures, hot.",
    ),
    "engagement": LazyCommand(
        "runningfit.cli.joint_engagement",
        "engagement",
        "Give the engagement that makes the bolt break before its thread or the hole's strips.",
    ),
    "fit": LazyCommand(
        "runningfit.cli.joint_fits",
        "fit",
        'Give the limits of hole and shaft and the clearance of a FIT such as "25 H7/g6" or "1 in RC4".',
    ),
    "match": LazyCommand(
        "runningfit.cli.joint_matching",
        "match",
        "Pair the rows of MATRIX.csv with its columns at the least total; an empty cell or x forbids a pair.",
    ),
    "plug": LazyCommand(
        "runningfit.cli.joint_fits",
        "plug",
        "Say whether a core plug suits its seat.",
    ),
    "press": LazyCommand(
        "runningfit.cli.joint_fits",
        "press",
        "Give pressure, stresses and grip of a press fit, hot and cold, and the heat that opens it.",
    ),
    "retorque": LazyCommand(
        "runningfit.cli.joint_torque",
        "retorque",
        "Give the torque for another finish or lubricant than TORQUE was made for; none where none is safe.",
    ),
    "shims": LazyCommand(
        "runningfit.cli.joint_matching",
        "shims",
        "Give each valve a shim: from those at hand first, buying the least, near the middle of its limits.",
    ),
    "torque-for": LazyCommand(
        "runningfit.cli.joint_torque",
        "torque_for",
        "Give the torque for a PRELOAD; none where the bolt might yield.",
    ),
    "weights": LazyCommand(
        "runningfit.cli.joint_matching",
        "weights",
        "Pair two sorts of parts so that all pairs weigh alike with the least metal taken off.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def joint() -> None:
    """Judge joints: bolts, threads, press fits, limits and fits, chains, shims, what goes with what."""
