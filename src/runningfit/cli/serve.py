"""The command serve, which bare `runningfit` means: serve a data folder here, or in the shop's network."""

from __future__ import annotations

import os
import signal
import socket
import sys
import threading
import time
from pathlib import Path

import click

from runningfit.cli.standing import data_option, wake

PORT = 8017
TRIES = 20


@click.command()
@data_option
@click.option(
    "--port", type=click.IntRange(1, 65535), help=f"The port; without it the first free one from {PORT} on."
)
@click.option("--lan", is_flag=True, help="Let the other devices of the shop in; needs a passcode.")
def serve(data: str | None, port: int | None, lan: bool) -> None:
    """Serve a data folder; it is made when it is not there."""
    run(data=data, port=port, lan=lan)


def run(*, data: str | None, port: int | None, lan: bool, workers: int = 2) -> None:
    """Bring the folder up to date, print the address and serve until stopped.

    Raises
    ------
    InvalidInput
        The port is taken, or --lan was asked for and no passcode is set.
    DataFolderError
        The folder cannot be used.
    """
    if lan:
        os.environ["RUNNINGFIT_LAN"] = "1"
    wake(data)
    from django.conf import settings

    from runningfit.core.errors import InvalidInput
    from runningfit.workshop.photos.sweeping import sweep
    from runningfit.workshop.records.folder import bring_up_to_date, held

    if lan and not Path(settings.PASSCODE_FILE).exists():
        raise InvalidInput(
            "--lan",
            needs="a passcode, so that not everybody comes in",
            came="none is set",
            remedy="Set one with: runningfit passcode",
        )
    _stop_with_parent()
    address = "0.0.0.0" if lan else "127.0.0.1"  # noqa: S104  (asked for by --lan, behind a passcode)
    chosen = free_port(address, port)
    with held(f"runningfit serving on port {chosen}"):
        bring_up_to_date()
        sweep()
        say_addresses(chosen, lan=lan, folder=Path(settings.DATA))
        _serve(address, chosen, workers)


def free_port(address: str, port: int | None, *, start: int = PORT) -> int:
    """Return the port asked for, or the first free one.

    Raises
    ------
    InvalidInput
        It is taken, or none of the usual ones is free.
    """
    from runningfit.core.errors import InvalidInput

    for candidate in [port] if port else range(start, start + TRIES):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((address, candidate))
            except OSError:
                continue
            return candidate
    raise InvalidInput(
        "--port", needs="a free port", came=port or f"{start} to {start + TRIES - 1}, all taken"
    )


def say_addresses(port: int, *, lan: bool, folder: Path) -> None:
    """Print where the pages are."""
    print(f"Running Fit, data folder {folder}")
    print(f"  on this machine:  http://127.0.0.1:{port}/")
    if lan:
        for host in own_addresses():
            print(f"  in the shop:      http://{host}:{port}/")
    print("Stop it with Ctrl-C.")
    sys.stdout.flush()


def own_addresses() -> list[str]:
    """Return this machine's addresses in the shop's network."""
    try:
        found = {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    except OSError:
        return []
    return sorted(address for address in found if not address.startswith("127."))


def _stop_with_parent() -> None:
    """End this server when the one that started it (the demo's) is gone, however it went."""
    parent = os.environ.get("RUNNINGFIT_PARENT")
    if not parent:
        return

    def watch() -> None:
        while os.getppid() == int(parent):
            time.sleep(1)
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=watch, daemon=True).start()


def _serve(address: str, port: int, workers: int) -> None:
    import logging

    from django.db import connections
    from granian import Granian
    from granian.constants import Interfaces

    connections.close_all()
    logging.getLogger("granian").setLevel(logging.WARNING)
    Granian(
        "runningfit.project.wsgi:reading_ahead",
        factory=True,
        address=address,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=4,
        backpressure=64,
        log_enabled=False,
        # A worker asked to stop while it is still starting never hears of it.
        workers_kill_timeout=5,
    ).serve()
