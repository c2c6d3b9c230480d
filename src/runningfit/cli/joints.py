"""`runningfit joint`: the commands about bolted joints, each loaded only when it is called."""

from __future__ import annotations

import click

from runningfit.cli.lazy import LazyCommand, LazyGroup

COMMANDS = {
    "bolted": LazyCommand(
        "runningfit.cli.joint_bolted",
        "bolted",
        "Say how a bolt tightened to TORQUE clamps, and how near it comes to yielding.",
    ),
    "engagement": LazyCommand(
        "runningfit.cli.joint_engagement",
        "engagement",
        "Give the engagement that makes the bolt break before its thread or the hole's strips.",
    ),
    "retorque": LazyCommand(
        "runningfit.cli.joint_torque",
        "retorque",
        "Give the torque for another finish or lubricant than TORQUE was made for; none where none is safe.",
    ),
    "torque-for": LazyCommand(
        "runningfit.cli.joint_torque",
        "torque_for",
        "Give the torque for a PRELOAD; none where the bolt might yield.",
    ),
}


@click.group(cls=LazyGroup, table=COMMANDS)
def joint() -> None:
    """Judge bolted joints: clamp, yield, torque for another finish, threads that strip."""
