"""What a command needs before it can act: the data folder named, Django awake, and the answer printed."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


def wake(data: str | None = None) -> None:
    """Name the data folder and wake Django; imports it only now, since most of the start-up is that."""
    if data:
        os.environ["RUNNINGFIT_DATA"] = str(Path(data).expanduser().absolute())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "runningfit.project.settings")
    import django

    django.setup()


def data_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the option that names the data folder."""
    return click.option(
        "--data",
        metavar="FOLDER",
        help="The data folder; without it $RUNNINGFIT_DATA, or running-fit in your home folder.",
    )(command)


def json_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the option to answer in JSON."""
    return click.option("--json", "as_json", is_flag=True, help="Answer in JSON.")(command)


def answer(as_json: bool, values: dict[str, Any], words: str) -> None:
    """Print the answer, in JSON or in words."""
    print(json.dumps(values, ensure_ascii=False) if as_json else words)
