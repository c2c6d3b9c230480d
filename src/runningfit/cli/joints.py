"""`runningfit joint`: the commands about pieces that must fit each other."""

from __future__ import annotations

import click

from runningfit.cli.joint_bolted import bolted
from runningfit.cli.joint_engagement import engagement
from runningfit.cli.joint_torque import retorque, torque_for


@click.group()
def joint() -> None:
    """Judge bolted joints: clamp, yield, torque for another finish, threads that strip."""


for _command in (bolted, engagement, retorque, torque_for):
    joint.add_command(_command)
