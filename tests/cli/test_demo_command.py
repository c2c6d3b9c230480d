"""The command demo: builds once, never on top of other work, and serves what it built."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

PREPARE = """
from runningfit.cli.standing import wake
wake()
from runningfit.cli.demo.command import prepare
print("built" if prepare() else "there already")
from runningfit.workshop.records.models import Job
print(Job.objects.filter(is_demo=True).count(), Job.objects.filter(name="Ours").count())
"""
OWN_JOB = """
from runningfit.cli.standing import wake
wake()
from runningfit.workshop.records.folder import bring_up_to_date
bring_up_to_date()
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand
open_job(name="Ours", engine_name="an engine", hand=Hand(who="Ann"))
"""
JOBS = """
from runningfit.cli.standing import wake
wake()
from runningfit.workshop.records.models import Job
print(*Job.objects.values_list("name", flat=True))
"""
PATIENCE_S = 60


def run(code: str, folder: Path) -> str:
    """Run a few lines in a process of their own on a data folder; returns what they printed."""
    environment = os.environ | {"RUNNINGFIT_DATA": str(folder), "RUNNINGFIT_DATABASE_URL": ""}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.slow
def test_the_demo_is_built_once_and_found_the_next_time(tmp_path: Path) -> None:
    assert "\nbuilt\n1 0\n" in run(PREPARE, tmp_path)
    assert run(PREPARE, tmp_path) == "there already\n1 0\n"


@pytest.mark.slow
def test_a_folder_with_jobs_and_no_finished_demo_is_set_aside_whole(tmp_path: Path) -> None:
    run(OWN_JOB, tmp_path)
    said = run(PREPARE, tmp_path)
    assert "no finished demo" in said
    assert said.endswith("built\n1 0\n")
    (aside,) = tmp_path.glob("before-demo-*")
    assert "Ours" in run(JOBS, aside)


@pytest.mark.slow
def test_the_command_serves_the_demo_apart_from_the_own_folder(tmp_path: Path) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    own = tmp_path / "own"
    environment = os.environ | {
        "RUNNINGFIT_DATA": str(own),
        "RUNNINGFIT_DEMO_DATA": str(tmp_path / "demo"),
        "RUNNINGFIT_DATABASE_URL": "postgresql://nobody@127.0.0.1:9/never-the-shops-own",
    }
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    server = subprocess.Popen(
        [sys.executable, "-m", "runningfit", "demo", "--alone", "--port", str(port)],
        env=environment,
        stdout=subprocess.DEVNULL,
    )
    try:
        page = first_page(f"http://127.0.0.1:{port}/")
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(20)
    assert "Pellworth Tern" in page
    assert not own.exists()


def first_page(address: str) -> str:
    """Return the page once the server answers."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except (URLError, ConnectionError):
            if time.monotonic() > until:
                raise
            time.sleep(0.2)
