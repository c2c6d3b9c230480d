"""How long a command takes to answer, and a server to answer its first page."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from serving import served, wake

TIMES = 9
AIM_COMMAND_S, AIM_START_S, AIM_DEMO_S = 0.4, 2.5, 8.0
LIST = "Count,Kind,Size,Length,Finish\n9,hex bolt,5/16-24 UNF,1 3/8,clear\n12,nut,5/16 UNF,,clear\n"
COMPUTED = (
    ("thread", "show", "1/4-20 UNC"),
    ("thread", "identify", "--major", "7.87mm", "--pitch", "1.06mm"),
    ("joint", "bolted", "--thread", "3/8-16 UNC", "--grade", "SAE J429 5", "--torque", "30 lbf.ft"),
    ("treatment", "plate", "--thread", "1/4-20 UNC", "--class", "2A", "--thickness", "5um"),
    ("treatment", "embrittlement", "--hardness", "42 HRC", "--process", "acid pickle, zinc electroplate"),
)


def timed(*arguments: str) -> float:
    """Run the command several times; returns the median in seconds."""
    times = []
    for _ in range(TIMES):
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "runningfit", *arguments], check=True, stdout=subprocess.DEVNULL
        )
        times.append(time.perf_counter() - began)
    return statistics.median(times)


def started(folder: Path) -> float:
    """Start the server several times on a folder that is there; returns the median until its first page."""
    times = []
    for _ in range(TIMES // 2):
        began = time.perf_counter()
        with served(folder):
            times.append(time.perf_counter() - began)
    return statistics.median(times)


def demo_built() -> float:
    """Return the seconds that building the demo in an empty folder takes, without serving it."""
    code = (
        "from runningfit.cli.standing import wake\nwake()\n"
        "from runningfit.cli.demo.command import prepare\nprepare()\n"
    )
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as folder:
        environment = os.environ | {"RUNNINGFIT_DATA": folder}
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True, env=environment, stdout=subprocess.DEVNULL)
        return time.perf_counter() - began


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        folder = Path(name)
        wake(folder)
        from django.db import connections

        connections.close_all()
        listed = folder / "list.csv"
        listed.write_text(LIST, encoding="utf-8")
        rows = [
            ("`runningfit --version`", timed("--version"), AIM_COMMAND_S),
            ("`runningfit --help`", timed("--help"), AIM_COMMAND_S),
            (
                "`runningfit catalogue read list.csv --json`",
                timed("catalogue", "read", str(listed), "--json"),
                AIM_COMMAND_S,
            ),
            *(
                (f"`runningfit {' '.join(one[:2])}`", timed(*one, "--json"), AIM_COMMAND_S)
                for one in COMPUTED
            ),
            ("`runningfit serve` until its first page", started(folder), AIM_START_S),
            ("the demo built in an empty folder, once", demo_built(), AIM_DEMO_S),
        ]
    print(f"## Commands and start-up\n\nThe middle of {TIMES} runs.\n")
    print("| command | s | aim |\n|---|---|---|")
    for what, seconds, aim in rows:
        print(f"| {what} | {seconds:.2f}{' **over**' if seconds > aim else ''} | {aim:g} |")
    print()
    return 0


if __name__ == "__main__":
    sys.exit(main())
