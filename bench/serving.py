"""A real server on a data folder, and clients that measure what it answers."""

from __future__ import annotations

import http.client
import importlib
import os
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of one page: how often, the middle, and the slowest of twenty, in milliseconds."""

    page: str
    times: int
    p50_ms: float
    p95_ms: float
    kilobytes: float


def wake(folder: Path) -> None:
    """Wake Django on a data folder, in this process, as a worker of the server does, its memory included."""
    os.environ["RUNNINGFIT_DATA"] = str(folder)
    os.environ["DJANGO_SETTINGS_MODULE"] = "runningfit.project.settings"
    importlib.import_module("runningfit.project.wsgi")
    from runningfit.workshop.records.folder import bring_up_to_date

    bring_up_to_date()


@contextmanager
def served(folder: Path) -> Iterator[int]:
    """Serve a data folder as `runningfit serve` does; yields the port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    server = subprocess.Popen(
        [sys.executable, "-m", "runningfit", "serve", "--data", str(folder), "--port", str(port)],
        stdout=subprocess.DEVNULL,
    )
    try:
        wait_for(port)
        yield port
    finally:
        server.terminate()
        server.wait(20)


def wait_for(port: int, path: str = "/who") -> None:
    """Wait until the server answers."""
    until = time.monotonic() + 60
    while True:
        try:
            fetch(http.client.HTTPConnection("127.0.0.1", port, timeout=10), path)
            return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.01)


def fetch(connection: http.client.HTTPConnection, path: str) -> int:
    """Fetch one page; returns its size in bytes.

    Raises
    ------
    RuntimeError
        The server answered with anything but the page.
    """
    connection.request("GET", path, headers={"Host": "127.0.0.1"})
    answer = connection.getresponse()
    size = len(answer.read())
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}")
    return size


def measure(port: int, pages: dict[str, str], *, clients: int, rounds: int) -> list[Measured]:
    """Let clients fetch the pages again and again, each in an order of its own.

    Parameters
    ----------
    port : int
        Where the server is.
    pages : dict of str to str
        The path of each page by its name.
    clients : int
        How many at once.
    rounds : int
        How often each client fetches each page.
    """
    times: dict[str, list[float]] = defaultdict(list)
    sizes: dict[str, int] = {}
    troubles: list[Exception] = []

    def client(number: int) -> None:
        chance = Random(number)
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            for _ in range(rounds):
                order = list(pages.items())
                chance.shuffle(order)
                for name, path in order:
                    began = time.perf_counter()
                    sizes[name] = fetch(connection, path)
                    times[name].append((time.perf_counter() - began) * 1000)
        except Exception as error:
            troubles.append(error)

    threads = [threading.Thread(target=client, args=(number,)) for number in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if troubles:
        raise troubles[0]
    return [
        Measured(name, len(times[name]), *middle_and_slow(times[name]), sizes[name] / 1024) for name in pages
    ]


def middle_and_slow(times: Sequence[float]) -> tuple[float, float]:
    """Return the median and the 95th percentile."""
    if len(times) < 2:
        raise ValueError("at least two times are needed")
    return statistics.median(times), statistics.quantiles(times, n=20, method="inclusive")[-1]
