"""A kill -9 in the middle of keeping a count-back loses what was not kept, and nothing else."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from house.tree import ROOT

BEGIN = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from workshop.outside_work.bucket import a_shed, sent
sent(a_shed().lot(9))
"""
KILLED = """
import django; django.setup()
import os, signal
from runningfit.workshop.outside_work import receiving
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import back, group
receiving.Receiving._open_differences = lambda self: os.kill(os.getpid(), signal.SIGKILL)
back(Consignment.objects.get(), group(Lot.objects.get(), 7))
"""
AGAIN = """
import django; django.setup()
from runningfit.workshop.outside_work.models import Consignment, CountBack
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import back, balanced, counts, group
lot = Lot.objects.get()
print(counts(lot).outside, CountBack.objects.count(), balanced())
back(Consignment.objects.get(), group(lot, 7))
print(counts(lot).bench, counts(lot).outside, CountBack.objects.count(), balanced())
"""


def run(script: str, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {
        "RUNNINGFIT_DATA": str(folder),
        "RUNNINGFIT_DATABASE_URL": "",
        "DJANGO_SETTINGS_MODULE": "runningfit.project.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")]),
    }
    return subprocess.run(
        [sys.executable, "-c", script],
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.slow
def test_what_was_being_counted_when_the_power_went_is_counted_again(tmp_path: Path) -> None:
    begun = run(BEGIN, tmp_path)
    assert begun.returncode == 0, begun.stderr
    assert run(KILLED, tmp_path).returncode == -signal.SIGKILL
    again = run(AGAIN, tmp_path)
    assert again.stdout.splitlines() == ["9 0 True", "7 2 1 True"], again.stderr
