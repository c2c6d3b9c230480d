"""On what it was measured: the machine, its load, the versions."""

from __future__ import annotations

import datetime as dt
import os
import platform
import time
from importlib.metadata import version
from pathlib import Path


def about() -> str:
    """Return the machine in a few lines of Markdown."""
    cores = len(os.sched_getaffinity(0))
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    load = os.getloadavg()[0]
    return (
        f"Measured on {dt.date.today():%d %B %Y}: {_processor()}, {cores} cores, {memory:.0f} GB, "
        f"{platform.system()} {platform.release().split('-')[0]}, Python {platform.python_version()}, "
        f"Django {version('django')}, granian {version('granian')}.\n"
        f"Load of the machine when it began: {load:.1f} (1 for each core that something else kept busy). "
        f"Ten million additions in Python took {_additions():.2f} s; compare that first."
    )


def _additions() -> float:
    began = time.perf_counter()
    total = 0
    for number in range(10_000_000):
        total += number
    return time.perf_counter() - began


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.processor() or "an unnamed processor"
    return next(
        (line.partition(":")[2].strip() for line in lines if line.startswith("model name")), "a processor"
    )


if __name__ == "__main__":
    print(about())
