"""One person at the bench as a process of its own; it says what was kept, line by line. Its work:

    prepare            make the tables and two jobs
    work NAME COUNT    do COUNT random acts
    wanted             keep the lot of twenty that two people want
    splits NAME COUNT  split the same lot COUNT times, as another one does at the same moment
    form TOKEN         send one form: keep a lot of three
    bulk COUNT         keep COUNT lots in one record
    backup FILE        write an archive
    restore FILE       read it back
    hold               hold the data folder for a moment, as a server does when it starts
    limited NAME COUNT do so until the files may grow no more
    emptied            make the tables empty

All but prepare say that they are awake, and wait for a line on standard input.
"""

from __future__ import annotations

import random
import resource
import signal
import sys
from collections.abc import Callable
from pathlib import Path

from django.db import OperationalError, connection, models

from runningfit.core.errors import AlreadyDone, RunningFitError
from runningfit.web.middleware import trouble_with_the_folder
from runningfit.workshop.models import Holding, Job, Lot, Record
from runningfit.workshop.pieces import ledger_sql, lots
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.records import archive, folder
from runningfit.workshop.records.queries import newest_record
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand, write

CUSTODIES = ("bench", "store", "outside", "fitted", "scrapped", "missing")
ACTS = (
    "keep",
    "keep_many",
    "split",
    "move",
    "move",
    "recount",
    "join",
    "change",
    "change",
    "take_back",
    "again",
)


def say(*words: object) -> None:
    print(*words, flush=True)


def prepare() -> None:
    folder.bring_up_to_date()
    for name in ("Launch engine", "Pump engine"):
        open_job(name=name, engine_name="Pellworth Tern", hand=Hand(who="Ann"))
    say("ready", Job.objects.filter(is_stock=False).count())


class Person:
    """Does random acts; sees the shop as the pages do: rows read first, the verb called with them later."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.dice = random.Random(name)
        self.jobs = list(Job.objects.order_by("pk"))
        self.last: tuple[Callable[[Hand], object], Hand] | None = None

    def lot(self, job: Job) -> Lot | None:
        newest = list(Lot.objects.filter(job=job).order_by("-number")[:12])
        return self.dice.choice(newest) if newest else None

    def act(self, token: str) -> Callable[[Hand], object] | None:
        """Choose what to do, and read the rows it needs."""
        dice, job = self.dice, self.dice.choice(self.jobs)
        what, lot, count = dice.choice(ACTS), self.lot(job), dice.randint(1, 9)
        if lot is None or what == "keep":
            return lambda hand: lots.keep_lot(job=job, facts=LotFacts(count=count), hand=hand)
        if what == "keep_many":
            return lambda hand: self.keep_many(job, count, hand)
        if what == "split":
            return lambda hand: lots.split_lot(lot=lot, count=count, hand=hand)
        if what == "move":
            there, to = dice.sample(CUSTODIES, 2)
            return lambda hand: lots.move_pieces(
                lot=lot, count=count, from_custody=there, to_custody=to, hand=hand
            )
        if what == "recount":
            missing, custody = dice.random() < 0.5, dice.choice(CUSTODIES)
            return lambda hand: lots.recount(
                lot=lot, counted=count, hand=hand, custody=custody, missing=missing
            )
        if what == "join" and (other := self.lot(job)) is not None:
            return lambda hand: lots.join_lots(into=lot, other=other, hand=hand)
        if what == "change":
            return lambda hand: lots.change_lot(lot=lot, hand=hand, condition=f"{self.name} saw {token}")
        if what == "take_back":
            record = dice.choice(list(Record.objects.order_by("-pk")[:8]))
            return lambda hand: take_back(record=record, hand=hand)
        return None

    @staticmethod
    def keep_many(job: Job, count: int, hand: Hand) -> None:
        with write(verb="import", summary="took in a list", hand=hand, job=job) as entry:
            lots.keep_lots(entry, job=job, facts=[LotFacts(count=count)] * 5)

    def work(self, count: int) -> None:
        for number in range(count):
            token = f"{self.name}-{number}"
            act = self.act(token)
            if act is None:
                self.send_again()
                continue
            hand = Hand(who=self.name, why="a slip", token=token, seen=newest_record())
            try:
                act(hand)
            except RunningFitError as error:
                say("refused", token, type(error).__name__)
            else:
                say("kept", token)
                self.last = (act, hand)

    def send_again(self) -> None:
        if self.last is None:
            return
        act, hand = self.last
        try:
            act(hand)
        except AlreadyDone:
            say("again", hand.token)


def wanted() -> None:
    job = Job.objects.get(name="Launch engine")
    lots.keep_lot(job=job, facts=LotFacts(count=20, remarks="wanted by two"), hand=Hand(who="Ann"))


def splits(name: str, count: int) -> None:
    # The first: pieces split off carry its remarks, and the other one may have begun.
    lot = Lot.objects.get(remarks="wanted by two", number=1)
    for number in range(count):
        try:
            lots.split_lot(lot=lot, count=1, hand=Hand(who=name, token=f"{name}-{number}"))
        except RunningFitError as error:
            say("refused", f"{name}-{number}", type(error).__name__)
        else:
            say("kept", f"{name}-{number}")


def form(token: str) -> None:
    job = Job.objects.get(name="Launch engine")
    try:
        lots.keep_lot(job=job, facts=LotFacts(count=3), hand=Hand(who="Ann", token=token))
    except AlreadyDone:
        say("again", token)
    else:
        say("kept", token)


def bulk(count: int) -> None:
    job = Job.objects.get(name="Launch engine")
    hand = Hand(who="Ann", token="bulk")
    with write(verb="import", summary="took in a list", hand=hand, job=job) as entry:
        lots.keep_lots(entry, job=job, facts=[LotFacts(count=2)] * count)
    say("kept", "bulk")


def limited(name: str, count: int) -> None:
    """Work until no file may grow any more, as on a disk that is full."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (3 * 2**20, 3 * 2**20))
    try:
        Person(name).work(count)
    except OperationalError as error:
        if trouble_with_the_folder(error) is None:
            raise
        say("full")


def emptied() -> None:
    ledger_sql.remove(connection)
    tables: list[type[models.Model]] = [Holding, *reversed(archive.carried_models())]
    for model in tables:
        model._default_manager.all()._raw_delete("default")
    ledger_sql.install(connection)


def main(what: str, *given: str) -> None:
    if what == "prepare":
        return prepare()
    say("awake")
    sys.stdin.readline()
    if what == "work":
        Person(given[0]).work(int(given[1]))
    elif what == "wanted":
        wanted()
    elif what == "splits":
        splits(given[0], int(given[1]))
    elif what == "form":
        form(given[0])
    elif what == "bulk":
        bulk(int(given[0]))
    elif what == "backup":
        archive.write_archive_file(Path(given[0]), originals=True)
        say("kept", given[0])
    elif what == "hold":
        with folder.held("a test"):
            folder.bring_up_to_date()
    elif what == "limited":
        limited(given[0], int(given[1]))
    elif what == "emptied":
        emptied()
    elif what == "restore":
        with folder.held("a test"):
            folder.restore(Path(given[0]))
        say("kept", given[0])
    else:
        raise SystemExit(f"no such work: {what}")
    return say("done")
