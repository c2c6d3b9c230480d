"""The command demo: make the demo's own data folder on first need, and serve it beside the shop's own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import click

from runningfit.cli.serve import PORT, free_port, run
from runningfit.cli.standing import wake

OWN_PORT = PORT + 100


@click.command()
@click.option(
    "--data",
    metavar="FOLDER",
    help="The demo's folder; without it $RUNNINGFIT_DEMO_DATA, or running-fit-demo in your home folder.",
)
@click.option(
    "--port", type=click.IntRange(1, 65535), help=f"The port; without it the first free one from {PORT} on."
)
@click.option("--lan", is_flag=True, help="Let the other devices of the shop in; needs a passcode.")
@click.option("--alone", is_flag=True, help="Serve only the demo, not the shop's own folder beside it.")
def demo(data: str | None, port: int | None, lan: bool, alone: bool) -> None:
    """Serve the invented demo job from its own data folder; your own data stays apart from it."""
    own_data = os.environ.get("RUNNINGFIT_DATA")
    # The invented job never goes into the shop's own database, whatever that is.
    own_database = os.environ.pop("RUNNINGFIT_DATABASE_URL", "")
    wake(data or os.environ.get("RUNNINGFIT_DEMO_DATA") or "~/running-fit-demo")
    chosen = free_port("127.0.0.1", port)
    beside = None if alone else _Beside(own_data, own_database)
    if beside is not None:
        os.environ["RUNNINGFIT_OWN_ADDRESS"] = beside.address
    prepare()
    if beside is not None:
        beside.start_soon()
    try:
        run(data=None, port=chosen, lan=lan)
    finally:
        if beside is not None:
            beside.stop()


def prepare() -> bool:
    """Build the demo job where the folder has none yet; returns whether it was built now."""
    from runningfit.cli.demo.scenario import build
    from runningfit.workshop.records.folder import bring_up_to_date, held
    from runningfit.workshop.records.models import Job
    from runningfit.workshop.records.setting_aside import set_aside

    with held("runningfit demo"):
        bring_up_to_date()
        if Job.objects.filter(is_demo=True).exists():
            return False
        if Job.objects.exists():
            aside = set_aside("before-demo")
            print(f"The folder held jobs and no finished demo; they lie in {aside} now.", flush=True)
            bring_up_to_date()
        print("Preparing the invented demo job, once …", flush=True)
        build()
        return True


class _Beside:
    """The server of the shop's own folder, started once the demo answers."""

    def __init__(self, own_data: str | None, own_database: str) -> None:
        self._database = own_database
        self.folder = Path(own_data or "~/running-fit").expanduser()
        self._process: subprocess.Popen[bytes] | None = None
        served = self._served_already()
        self._port = served or free_port("127.0.0.1", None, start=OWN_PORT)
        self._needed = served is None

    @property
    def address(self) -> str:
        """Return where the own folder is served."""
        return f"http://127.0.0.1:{self._port}"

    def start_soon(self) -> None:
        """Start the server in a moment, so that the demo comes first."""
        if self._needed:
            timer = threading.Timer(2.0, self._start)
            timer.daemon = True
            timer.start()

    def stop(self) -> None:
        """Stop the server if this command started it."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait(10)

    def _start(self) -> None:
        environment = os.environ | {
            "RUNNINGFIT_DATA": str(self.folder),
            "RUNNINGFIT_DATABASE_URL": self._database,
            "RUNNINGFIT_PARENT": str(os.getpid()),
        }
        for name in ("RUNNINGFIT_OWN_ADDRESS", "RUNNINGFIT_LAN"):
            environment.pop(name, None)
        self._process = subprocess.Popen(  # noqa: S603  (our own interpreter and module)
            [sys.executable, "-m", "runningfit", "serve", "--port", str(self._port)],
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )

    def _served_already(self) -> int | None:
        from runningfit.workshop.records.folder import LOCK

        try:
            found = re.search(r"serving on port (\d+)", (self.folder / LOCK).read_text(encoding="utf-8"))
        except OSError:
            return None
        port = int(found[1]) if found else None
        return port if port is not None and _taken(port) else None


def _taken(port: int) -> bool:
    from runningfit.core.errors import InvalidInput

    try:
        free_port("127.0.0.1", port)
    except InvalidInput:
        return True
    return False
