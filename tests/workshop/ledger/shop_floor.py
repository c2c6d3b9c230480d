"""A database of the test's own, the actors on it, and the auditor who reads it without the program."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import uuid
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

TESTS = Path(__file__).parents[2]
ACTOR = "import django; django.setup(); from workshop.ledger import actor; actor.main()"
CUSTODIES = ("bench", "store", "outside", "fitted", "scrapped", "missing")
DATABASE = "running-fit.sqlite3"


@dataclass
class Floor:
    """A data folder, and the address of its database where that is PostgreSQL."""

    folder: Path
    url: str = ""
    started: list[subprocess.Popen[str]] = field(default_factory=list)

    def environment(self, **more: str) -> dict[str, str]:
        here = {"RUNNINGFIT_DATA": str(self.folder), "RUNNINGFIT_DATABASE_URL": self.url}
        here |= {"DJANGO_SETTINGS_MODULE": "runningfit.project.settings", "PYTHONPATH": str(TESTS)}
        return {**os.environ, **here, **more}

    def start(self, *work: str, **more: str) -> subprocess.Popen[str]:
        """Start an actor that is awake and waits to be let go."""
        actor = subprocess.Popen(
            [sys.executable, "-W", "error", "-c", ACTOR, *work],
            env=self.environment(**more),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.started.append(actor)
        return actor

    def rows(self, statement: str) -> list[tuple[Any, ...]]:
        """Read from the database past the program."""
        if not self.url:
            with closing(sqlite3.connect(self.folder / DATABASE)) as book:
                return list(book.execute(statement))
        import psycopg

        with psycopg.connect(self.url) as book:
            return list(book.execute(statement))


def let_go(*actors: subprocess.Popen[str]) -> None:
    """Let actors go at the same moment."""
    for actor in actors:
        assert actor.stdout is not None
        line = actor.stdout.readline()
        assert line == "awake\n", line + (actor.stderr.read() if actor.stderr else "")
    for actor in actors:
        assert actor.stdin is not None
        actor.stdin.write("go\n")
        actor.stdin.flush()


def answers(actor: subprocess.Popen[str]) -> list[list[str]]:
    """Return what an actor said until it was done; anything but a clean end is a failure."""
    said, wrong = actor.communicate(timeout=1500)
    assert actor.returncode == 0, wrong
    assert said.endswith("done\n")
    return [line.split() for line in said.splitlines() if line != "done"]


@contextmanager
def a_floor(folder: Path) -> Iterator[Floor]:
    """Make a floor with two jobs, on the kind of database that the tests run on."""
    url = os.environ.get("RUNNINGFIT_DATABASE_URL", "")
    folder.mkdir(parents=True, exist_ok=True)
    if not url:
        floor = Floor(folder)
        yield from _used(floor)
        return
    import psycopg

    name = f"floor_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        try:
            yield from _used(Floor(folder, urlunsplit(urlsplit(url)._replace(path=f"/{name}"))))
        finally:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def _used(floor: Floor) -> Iterator[Floor]:
    made = floor.start("prepare")
    said, wrong = made.communicate(timeout=120)
    assert said == "ready 2\n", wrong
    try:
        yield floor
    finally:
        for actor in floor.started:
            actor.kill()
            actor.communicate()


def faults(floor: Floor) -> list[str]:
    """Audit the books: replay every movement and every change by hand, and compare with what stands there."""
    return [*_wrong_counts(floor), *_wrong_fields(floor), *_wrong_records(floor), *_unsound(floor)]


def _wrong_counts(floor: Floor) -> Iterator[str]:
    held: Counter[tuple[int, str]] = Counter()
    moves = floor.rows(
        "SELECT id, from_lot_id, from_account, to_lot_id, to_account, count "
        "FROM workshop_movement ORDER BY id"
    )
    for number, from_lot, from_account, to_lot, to_account, count in moves:
        held[from_lot, from_account] -= count
        held[to_lot, to_account] += count
        for leg in ((from_lot, from_account), (to_lot, to_account)):
            if (held[leg] < 0) == (leg[1] in CUSTODIES) and held[leg]:
                yield f"movement {number} overdrew {leg}: {held[leg]}"
    stored = {
        (lot, account): count
        for lot, account, count in floor.rows("SELECT lot_id, account, count FROM workshop_holding")
    }
    if {leg: count for leg, count in held.items() if count} != {
        leg: count for leg, count in stored.items() if count
    }:
        yield "the holdings are not what the movements make them"
    here = sum(count for (_lot, account), count in stored.items() if account in CUSTODIES)
    came = -sum(count for (_lot, account), count in stored.items() if account not in CUSTODIES)
    if here != came:
        yield f"{came} came in, {here} are held"
    for lot, withdrawn in floor.rows("SELECT id, withdrawn FROM workshop_lot"):
        if withdrawn and any(stored.get((lot, custody), 0) for custody in CUSTODIES):
            yield f"the withdrawn lot {lot} holds pieces"


def _wrong_fields(floor: Floor) -> Iterator[str]:
    """Replay each field: what a change says was there before is what the change before it left."""
    now: dict[int, dict[str, Any]] = {}
    for number, kind, lot, before, after in floor.rows(
        "SELECT record_id, kind, object_id, before, after FROM workshop_change "
        "WHERE model = 'Lot' AND kind IN ('created', 'changed') ORDER BY record_id, id"
    ):
        was, becomes = _read(before), _read(after)
        if kind == "created":
            now[lot] = becomes
            continue
        for name, value in was.items():
            if now[lot][name] != value:
                yield f"record {number} wrote over the {name} of lot {lot}: {now[lot][name]!r} unseen"
        now[lot] |= becomes
    for lot, withdrawn, condition, look in floor.rows(
        "SELECT id, withdrawn, condition, finish_look FROM workshop_lot"
    ):
        told = now.pop(lot)
        if (told["withdrawn"], told["condition"], told["finish_look"]) != (bool(withdrawn), condition, look):
            yield f"lot {lot} is not what its history says"
    if now:
        yield f"the history tells of lots that are not there: {sorted(now)}"


def _wrong_records(floor: Floor) -> Iterator[str]:
    for (count,) in floor.rows(
        "SELECT COUNT(*) FROM workshop_lot GROUP BY job_id, number HAVING COUNT(*) > 1"
    ):
        yield f"{count} lots have one number"
    for (number,) in floor.rows(
        "SELECT id FROM workshop_record WHERE NOT EXISTS "
        "(SELECT 1 FROM workshop_change WHERE record_id = workshop_record.id) "
        "AND verb NOT IN ('recount', 'change_lot', 'take_back')"
    ):
        yield f"record {number} did nothing"


def _unsound(floor: Floor) -> Iterator[str]:
    if floor.url:
        return
    for (said,) in floor.rows("PRAGMA integrity_check"):
        if said != "ok":
            yield f"integrity_check: {said}"
    for broken in floor.rows("PRAGMA foreign_key_check"):
        yield f"foreign_key_check: {broken}"


def _read(value: Any) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(value) if isinstance(value, str) else value
    return read


def tokens(floor: Floor) -> list[str]:
    """Return the form of every record that came of one, as often as it is there."""
    return [token for (token,) in floor.rows("SELECT token FROM workshop_record WHERE token IS NOT NULL")]


def kept(said: Sequence[Sequence[str]]) -> list[str]:
    """Return the forms that an actor was told were kept."""
    return [line[1] for line in said if line[0] == "kept"]
