"""A database of the test's own, the actors on it, and the auditor who reads it without the program."""

from __future__ import annotations

import atexit
import json
import os
import shutil
import sqlite3
import tempfile
import time
import uuid
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

from workshop.ledger.nursery import Actor, Nursery

TESTS = Path(__file__).parents[2]
CUSTODIES = ("bench", "store", "outside", "fitted", "scrapped", "missing")
DATABASE = "running-fit.sqlite3"


@dataclass
class Floor:
    """A data folder, the address of its database where that is PostgreSQL, and where its actors come from."""

    folder: Path
    url: str = ""
    started: list[Actor] = field(default_factory=list)

    def __post_init__(self) -> None:
        here = {"RUNNINGFIT_DATA": str(self.folder), "RUNNINGFIT_DATABASE_URL": self.url}
        here |= {"DJANGO_SETTINGS_MODULE": "runningfit.project.settings", "PYTHONPATH": str(TESTS)}
        self.nursery = Nursery({**os.environ, **here})

    def start(self, *work: str) -> Actor:
        """Start an actor that is awake and waits to be let go."""
        actor = self.nursery.start(work)
        self.started.append(actor)
        return actor

    def close(self) -> None:
        """Send everybody home."""
        for actor in self.started:
            actor.kill()
            actor.communicate(timeout=60)
        self.nursery.close()

    def settle(self) -> None:
        """Wait until the server is through with what a killed actor sent last, such as a commit."""
        if not self.url:
            return
        import psycopg

        name = urlsplit(self.url).path.strip("/")
        others = "SELECT COUNT(*) FROM pg_stat_activity WHERE datname = %s AND pid <> pg_backend_pid()"
        others += " AND backend_type = 'client backend'"
        with psycopg.connect(self.url, autocommit=True) as server:
            for _ in range(6000):
                if server.execute(others, [name]).fetchone() == (0,):
                    return
                time.sleep(0.01)
        raise AssertionError("a killed actor is still connected after a minute")

    def rows(self, statement: str) -> list[tuple[Any, ...]]:
        """Read from the database past the program."""
        if not self.url:
            with closing(sqlite3.connect(self.folder / DATABASE)) as book:
                return list(book.execute(statement))
        import psycopg

        with psycopg.connect(self.url) as book:
            return list(book.execute(statement))


def let_go(*actors: Actor) -> None:
    """Let actors go at the same moment."""
    for actor in actors:
        line = actor.stdout.readline()
        assert line == "awake\n", line + actor.communicate(timeout=60)[1]
    for actor in actors:
        actor.stdin.write("go\n")
        actor.stdin.flush()


def answers(actor: Actor) -> list[list[str]]:
    """Return what an actor said until it was done; anything but a clean end is a failure."""
    said, wrong = actor.communicate(timeout=1500)
    assert actor.returncode == 0, wrong
    assert said.endswith("done\n")
    return [line.split() for line in said.splitlines() if line != "done"]


@contextmanager
def a_floor(folder: Path) -> Iterator[Floor]:
    """Make a floor with two jobs, on the kind of database that the tests run on."""
    url = os.environ.get("RUNNINGFIT_DATABASE_URL", "")
    if url:
        with (
            _a_database(url, template=_prepared_database(url)) as address,
            closing(Floor(folder, address)) as floor,
        ):
            yield floor
    else:
        shutil.copytree(_prepared_folder(), folder, dirs_exist_ok=True)
        with closing(Floor(folder)) as floor:
            yield floor


@cache
def _prepared_folder() -> Path:
    """Return a data folder with two jobs, made once and copied for each floor."""
    folder = Path(tempfile.mkdtemp(prefix="runningfit-floor-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    _prepare(Floor(folder))
    return folder


@cache
def _prepared_database(url: str) -> str:
    """Return the name of a database with two jobs, made once and copied for each floor."""
    folder = Path(tempfile.mkdtemp(prefix="runningfit-floor-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    kept = _a_database(url, template="template1")
    address = kept.__enter__()
    atexit.register(kept.__exit__, None, None, None)
    _prepare(Floor(folder, address))
    return urlsplit(address).path.strip("/")


def _prepare(floor: Floor) -> None:
    with closing(floor):
        said, wrong = floor.start("prepare").communicate(timeout=120)
        assert said == "ready 2\n", wrong


@contextmanager
def _a_database(url: str, *, template: str) -> Iterator[str]:
    """Make a database as a copy of another one, and give its address."""
    import psycopg

    name = f"floor_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    try:
        yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(url, autocommit=True) as server:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


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
