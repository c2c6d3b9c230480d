"""The ranking of a job kept as long as nothing in the database changes; a page then need not read it all.

SQLite tells both halves of that: its data version changes with what others commit, and a connection counts
the rows that it changed itself. Where nothing tells it, and inside a transaction that may yet be rolled back,
nothing is kept.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import connection

_R = TypeVar("_R")
# A bench works on a job or two at a time; every thread of the server keeps its own.
_JOBS_KEPT = 4


class _Kept(threading.local):
    """What one thread keeps: by its connection, as of one state of the database."""

    def __init__(self) -> None:
        self.of: sqlite3.Connection | None = None
        self.state: tuple[int, int] | None = None
        self.rankings: dict[int, Sequence[object]] = {}


_kept = _Kept()


def as_long_as_unchanged(read: Callable[[int], Sequence[_R]]) -> Callable[[int], Sequence[_R]]:
    """Make a function that reads something of a job read it once for each state of the database.

    Parameters
    ----------
    read : callable
        Takes the key of a job; nobody changes what it returns.
    """

    def kept(job_id: int) -> Sequence[_R]:
        if connection.vendor != "sqlite" or connection.in_atomic_block:
            return read(job_id)
        connection.ensure_connection()
        own: sqlite3.Connection = connection.connection
        # Asked for before it is read: what comes between makes another state, and is read again.
        state = (own.execute("PRAGMA data_version").fetchone()[0], own.total_changes)
        if _kept.of is not own or _kept.state != state:
            _kept.of, _kept.state, _kept.rankings = own, state, {}
        found: Sequence[_R] | None = _kept.rankings.get(job_id)  # type: ignore[assignment]
        if found is None:
            while len(_kept.rankings) >= _JOBS_KEPT:
                _kept.rankings.pop(next(iter(_kept.rankings)))
            found = read(job_id)
            _kept.rankings[job_id] = found
        return found

    return kept
