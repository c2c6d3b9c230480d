"""A real server on a data folder, and clients that measure what it answers."""

from __future__ import annotations

import http.client
import importlib
import math
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


@dataclass(frozen=True, slots=True)
class Server:
    """A server that runs: its port and its process."""

    port: int
    process: int

    def worked_ms(self) -> float:
        """Return how long it and its workers kept a core busy; nan where the system does not tell."""
        try:
            children = Path(f"/proc/{self.process}/task/{self.process}/children").read_text(encoding="ascii")
            return sum(_worked_ms(process) for process in (self.process, *map(int, children.split())))
        except FileNotFoundError:
            return math.nan


def _worked_ms(process: int) -> float:
    said = Path(f"/proc/{process}/stat").read_text(encoding="utf-8")
    # The name stands in brackets and may hold anything; user and system time are the 14th and 15th value.
    values = said.rpartition(")")[2].split()
    return (int(values[11]) + int(values[12])) * 1000 / os.sysconf("SC_CLK_TCK")


def wake(folder: Path) -> None:
    """Wake Django on a data folder, in this process, as a worker of the server does, its memory included."""
    os.environ["RUNNINGFIT_DATA"] = str(folder)
    os.environ["DJANGO_SETTINGS_MODULE"] = "runningfit.project.settings"
    importlib.import_module("runningfit.project.wsgi")
    from runningfit.workshop.records.folder import bring_up_to_date

    bring_up_to_date()


@contextmanager
def served(folder: Path) -> Iterator[Server]:
    """Serve a data folder as `runningfit serve` does; yields the server."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    server = subprocess.Popen(
        [sys.executable, "-m", "runningfit", "serve", "--data", str(folder), "--port", str(port)],
        stdout=subprocess.DEVNULL,
    )
    try:
        wait_for(port)
        yield Server(port, server.pid)
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

    A connection stays with the worker that took it, and chance decides which: so each round has a new one.

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
        try:
            for _ in range(rounds):
                connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
                connection.connect()
                order = list(pages.items())
                chance.shuffle(order)
                for name, path in order:
                    began = time.perf_counter()
                    sizes[name] = fetch(connection, path)
                    times[name].append((time.perf_counter() - began) * 1000)
                connection.close()
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


def work(server: Server, pages: dict[str, str], *, times: int) -> dict[str, float]:
    """Return how long the server keeps a core busy for each page, in milliseconds.

    Whatever else the machine does, this says what a page costs. The system counts it in steps of 10 ms.
    """
    costs = {}
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    for name, path in pages.items():
        fetch(connection, path)
        before = server.worked_ms()
        for _ in range(times):
            fetch(connection, path)
        costs[name] = (server.worked_ms() - before) / times
    connection.close()
    return costs


def middle_and_slow(times: Sequence[float]) -> tuple[float, float]:
    """Return the median and the 95th percentile."""
    if len(times) < 2:
        raise ValueError("at least two times are needed")
    return statistics.median(times), statistics.quantiles(times, n=20, method="inclusive")[-1]
