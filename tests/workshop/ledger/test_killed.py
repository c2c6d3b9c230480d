"""kill -9 at any moment: what was acknowledged is there, nothing is half, and the books balance."""

from __future__ import annotations

import random
import time
import zipfile
from itertools import count
from pathlib import Path

import pytest

from workshop.ledger.nursery import Actor
from workshop.ledger.shop_floor import Floor, a_floor, answers, faults, kept, let_go, tokens

LOTS = "SELECT COUNT(*) FROM workshop_lot"


def kill_after(floor: Floor, actor: Actor, seconds: float) -> list[list[str]]:
    """Let an actor work, kill it, let the server end what it was told, and return the whole lines it said."""
    let_go(actor)
    time.sleep(seconds)
    actor.kill()
    said, _wrong = actor.communicate(timeout=60)
    floor.settle()
    return [line.split() for line in said.splitlines(keepends=True) if line.endswith("\n")]


def rounds_of_killing(folder: Path, rounds: int) -> None:
    dice = random.Random("kill -9")
    with a_floor(folder) as floor:
        acknowledged: set[str] = set()
        for number in count():
            # A machine that is busy acknowledges little; then some more are killed.
            if number >= rounds and len(acknowledged) >= rounds:
                break
            said = kill_after(floor, floor.start("work", f"round{number}", "100000"), dice.uniform(0.0, 0.5))
            acknowledged |= set(kept(said))
            there = tokens(floor)
            assert len(there) == len(set(there))
            assert acknowledged <= set(there), f"round {number} lost an acknowledged change"
            # A change may be stored whose answer never arrived: one at most for each killing.
            assert len(set(there) - acknowledged) <= number + 1
        assert faults(floor) == []


def test_three_killings_lose_nothing(tmp_path: Path) -> None:
    rounds_of_killing(tmp_path / "shop", 3)


@pytest.mark.slow
def test_fifty_killings_lose_nothing(tmp_path: Path) -> None:
    rounds_of_killing(tmp_path / "shop", 50)


@pytest.mark.slow
def test_an_import_of_five_thousand_that_is_killed_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    with a_floor(tmp_path / "shop") as floor:
        for seconds in (0.05, 0.3, 0.6, 1.0, 1.5):
            said = kill_after(floor, floor.start("bulk", "5000"), seconds)
            stored = 5000 if "bulk" in tokens(floor) else 0
            assert floor.rows(LOTS) == [(stored,)]
            assert stored or not kept(said)
            assert faults(floor) == []
            if stored:
                break
        else:
            again = floor.start("bulk", "5000")
            let_go(again)
            assert kept(answers(again)) == ["bulk"]
            assert floor.rows(LOTS) == [(5000,)]


@pytest.mark.slow
def test_a_backup_that_is_killed_leaves_no_file_that_looks_whole(tmp_path: Path) -> None:
    target = tmp_path / "backups" / "b.zip"
    with a_floor(tmp_path / "shop") as floor:
        filled(floor)
        for seconds in (0.02, 0.05, 0.1, 0.2):
            kill_after(floor, floor.start("backup", str(target)), seconds)
            if target.exists():
                with zipfile.ZipFile(target) as archive:
                    assert archive.testzip() is None
        last = floor.start("backup", str(target))
        let_go(last)
        answers(last)
        assert [path.name for path in target.parent.iterdir()] == ["b.zip"]
        assert faults(floor) == []


def filled(floor: Floor) -> None:
    for work in (("work", "ann", "30"), ("bulk", "1500")):
        one = floor.start(*work)
        let_go(one)
        answers(one)


@pytest.mark.slow
def test_a_restore_that_is_killed_loses_neither_the_work_before_nor_the_backup(tmp_path: Path) -> None:
    backup = tmp_path / "b.zip"
    with a_floor(tmp_path / "shop") as floor:
        filled(floor)
        saving = floor.start("backup", str(backup))
        let_go(saving)
        answers(saving)
    if floor.url:
        # On PostgreSQL a restore goes into an empty database only, in one transaction.
        with a_floor(tmp_path / "other") as other:
            empty(other)
            for seconds in (0.1, 0.4):
                kill_after(other, other.start("restore", str(backup)), seconds)
                assert other.rows(LOTS) in ([(0,)], floor_count(backup))
            assert faults(other) == []
        return
    with a_floor(tmp_path / "other") as other:
        one = other.start("form", "precious")
        let_go(one)
        answers(one)
        for seconds in (0.02, 0.1, 0.3, 0.6):
            said = kill_after(other, other.start("restore", str(backup)), seconds)
            if kept(said):
                break
            held = other.start("hold")
            let_go(held)
            answers(held)
            assert tokens(other) == ["precious"]
            assert faults(other) == []
        again = other.start("restore", str(backup))
        let_go(again)
        answers(again)
        assert other.rows(LOTS) == floor_count(backup)
        assert faults(other) == []


def floor_count(backup: Path) -> list[tuple[int]]:
    with zipfile.ZipFile(backup) as archive:
        return [(len(archive.read("tables/Lot.jsonl").splitlines()),)]


def empty(floor: Floor) -> None:
    one = floor.start("emptied")
    let_go(one)
    answers(one)
