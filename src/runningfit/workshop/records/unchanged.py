"""What was read of a job, kept as long as nothing in the database changes; a page then need not read it all.

SQLite tells both halves of that: its data version changes with what others commit, and a connection counts
the rows that it changed itself. PostgreSQL tells which transactions a reader sees: what it saw once it sees
again as long as these are the same. Inside a transaction that may yet be rolled back nothing is kept.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from django.db import connection

_R = TypeVar("_R")
# A bench works on a job or two at a time; every thread of the server keeps its own.
_JOBS_KEPT = 4
_State = tuple[int, int] | str


class _Kept(threading.local):
    """What one thread keeps: by its connection, as of one state of the database."""

    def __init__(self) -> None:
        self.of: object = None
        self.state: _State | None = None
        self.read: dict[Callable[[int], object], dict[int, object]] = {}


_kept = _Kept()
_locks: dict[object, threading.RLock] = {}


def one_thread_at_a_time(key: object) -> threading.RLock:
    """Return the lock of something that is reckoned: who waits for it finds most of it reckoned already.

    Without it, threads that ask for the same at once would each reckon all of it, and all wait for the last.
    """
    return _locks.setdefault(key, threading.RLock())


def as_long_as_unchanged(read: Callable[[int], _R]) -> Callable[[int], _R]:
    """Make a function that reads something of a job read it once for each state of the database.

    Parameters
    ----------
    read : callable
        Takes the key of a job; nobody changes what it returns.

    Returns
    -------
    callable
        The same, reading only where the database is not as it was when this thread read last.
    """

    @wraps(read)
    def kept(job_id: int) -> _R:
        if connection.in_atomic_block:
            return read(job_id)
        # Asked for before it is read: what comes between makes another state, and is read again.
        state = _state()
        if _kept.of is not connection.connection or _kept.state != state:
            _kept.of, _kept.state, _kept.read = connection.connection, state, {}
        jobs = _kept.read.setdefault(read, {})
        if job_id not in jobs:
            while len(jobs) >= _JOBS_KEPT:
                jobs.pop(next(iter(jobs)))
            with one_thread_at_a_time((read, job_id)):
                jobs[job_id] = read(job_id)
        found: _R = jobs[job_id]  # type: ignore[assignment]
        return found

    return kept


def _state() -> _State:
    """Return what is another as soon as anybody commits a change."""
    connection.ensure_connection()
    if connection.vendor == "sqlite":
        own: sqlite3.Connection = connection.connection
        return own.execute("PRAGMA data_version").fetchone()[0], own.total_changes
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_current_snapshot()::text")
        return str(cursor.fetchone()[0])
