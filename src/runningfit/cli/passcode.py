"""The command passcode: set what other devices of the shop must say to come in."""

from __future__ import annotations

import os
from pathlib import Path

import click

from runningfit.cli.standing import answer, data_option, json_option, wake

SHORTEST = 6


@click.command()
@click.password_option(
    "--set", "passcode", prompt="Passcode of the shop", help="The passcode; asked for when not given."
)
@data_option
@json_option
def passcode(passcode: str, data: str | None, as_json: bool) -> None:
    """Set the passcode that phones and other devices need when the server runs with --lan."""
    wake(data)
    from django.conf import settings
    from django.contrib.auth.hashers import make_password

    from runningfit.core.errors import InvalidInput

    if len(passcode) < SHORTEST:
        raise InvalidInput(
            "passcode", needs=f"at least {SHORTEST} characters", came=f"{len(passcode)} characters"
        )
    path = Path(settings.PASSCODE_FILE)
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_name(path.name + ".half")
    descriptor = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as stream:
        stream.write(make_password(passcode))
    half.replace(path)
    answer(as_json, {"passcode": "set"}, "The passcode is set. Start with: runningfit --lan")
