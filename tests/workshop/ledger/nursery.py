"""Where actors come from: a process that is awake already and forks one for each piece of work.

Waking takes Django a second of the processor; a test of fifty killings would do little else. What is killed
is a whole process all the same, with a connection of its own.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import NoReturn

AWAKE = "import django; django.setup(); from workshop.ledger import nursery; nursery.serve({channel})"


class Actor:
    """One process at the bench; it reads and writes lines, and can be killed."""

    def __init__(self, asked: socket.socket, work: tuple[str, ...]) -> None:
        self._asked = asked
        self._wrong = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115  (communicate closes it)
        theirs_in, ours_in = os.pipe()
        ours_out, theirs_out = os.pipe()
        self.stdin = os.fdopen(ours_in, "w", encoding="utf-8")
        self.stdout = os.fdopen(ours_out, encoding="utf-8")
        given = [theirs_in, theirs_out, self._wrong.fileno()]
        socket.send_fds(asked, [json.dumps(work).encode()], given)
        self.pid = int(asked.recv(64))
        os.close(theirs_in)
        os.close(theirs_out)
        self.returncode: int | None = None
        self._said = ("", "")

    def kill(self) -> None:
        """Kill it as a power cut would, unless its end is known."""
        if self.returncode is None:
            os.kill(self.pid, signal.SIGKILL)

    def communicate(self, timeout: float) -> tuple[str, str]:
        """Return what it said and what went wrong once it has ended; it is killed if that takes too long."""
        if self.returncode is None:
            with suppress(BrokenPipeError):
                self.stdin.close()
            too_long = threading.Timer(timeout, self.kill)
            too_long.start()
            said = self.stdout.read()
            too_long.cancel()
            too_long.join()
            self.stdout.close()
            self._asked.send(json.dumps(self.pid).encode())
            self.returncode = int(self._asked.recv(64))
            self._wrong.seek(0)
            self._said = (said, self._wrong.read())
            self._wrong.close()
        return self._said


class Nursery:
    """A process that is awake and forks actors until it is closed."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._asked, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-W", "error", "-c", AWAKE.format(channel=theirs.fileno())],
                env=environment,
                pass_fds=[theirs.fileno()],
            )

    def start(self, work: tuple[str, ...]) -> Actor:
        """Fork an actor that waits to be let go."""
        return Actor(self._asked, work)

    def close(self) -> None:
        """Let the process end."""
        self._asked.close()
        self._process.wait(60)


def serve(channel: int) -> None:
    """Fork an actor for each list of words that comes with files; for a number, say how that one ended."""
    from django.db import connection

    from workshop.ledger import actor

    # Asking for its kind loads the database's driver; nobody is connected before the fork.
    assert connection.vendor
    with socket.socket(fileno=channel) as asked:
        while True:
            message, given, _flags, _address = socket.recv_fds(asked, 65536, 3)
            if not message:
                return
            wanted = json.loads(message)
            if given:
                child = os.fork()
                if not child:
                    asked.close()
                    _become(actor.main, wanted, given)
                for descriptor in given:
                    os.close(descriptor)
                answer = child
            else:
                _pid, status = os.waitpid(wanted, 0)
                answer = os.waitstatus_to_exitcode(status)
            asked.send(str(answer).encode())


def _become(main: Callable[..., None], work: list[str], given: list[int]) -> NoReturn:
    """Be the actor from here to the end of the process."""
    from django.db import connections

    status = 1
    try:
        for number, descriptor in enumerate(given):
            os.dup2(descriptor, number)
            os.close(descriptor)
        main(*work)
        connections.close_all()
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)
