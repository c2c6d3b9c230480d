"""What two people, a stale page or a hand at the database itself could do to the books, and cannot."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, connection, models, transaction

from runningfit.core.errors import AlreadyDone, Conflict, DataFolderError, InvalidInput
from runningfit.workshop.models import Change, Holding, Job, Lot, Movement, Record
from runningfit.workshop.pieces import ledger, ledger_sql, lots
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.records.archive import carried_models, read_archive, write_archive
from runningfit.workshop.records.queries import newest_record
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand, write

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BEN = Hand(who="Ben", why="a slip")
PAST_THE_LEDGER = {
    "sqlite": [
        "REPLACE INTO workshop_holding(lot_id, account, count) SELECT id, 'bench', 0 FROM workshop_lot",
        "REPLACE INTO workshop_holding(id, lot_id, account, count) "
        "SELECT h.id, h.lot_id, 'store', 0 FROM workshop_holding h WHERE account = 'bench'",
        "REPLACE INTO workshop_movement"
        "(id, from_account, to_account, count, from_lot_id, record_id, to_lot_id) "
        "SELECT id, from_account, to_account, 4, from_lot_id, record_id, to_lot_id FROM workshop_movement",
        "INSERT OR REPLACE INTO workshop_holding(lot_id, account, count) "
        "SELECT id, 'found', 0 FROM workshop_lot",
    ],
    "postgresql": [
        "TRUNCATE workshop_movement CASCADE",
        "TRUNCATE workshop_holding",
        "INSERT INTO workshop_holding(lot_id, account, count) SELECT id, 'bench', 0 FROM workshop_lot "
        "ON CONFLICT (lot_id, account) DO UPDATE SET count = 0",
        "UPDATE workshop_holding SET account = 'store' WHERE account = 'bench'",
    ],
}


@pytest.fixture
def lot(job: Job) -> Lot:
    return lots.keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN)


@pytest.mark.parametrize("number", range(4))
def test_no_statement_writes_counts_past_the_ledger(lot: Lot, number: int) -> None:
    statement = PAST_THE_LEDGER[connection.vendor][number]
    connection.check_constraints()
    with (
        pytest.raises(DatabaseError, match=r"append-only|movements only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert ledger.count_of(lot) == ledger.Counts(bench=9, found=9)


def test_many_movements_of_one_lot_come_in_one_statement(lot: Lot) -> None:
    with write(verb="test", summary="moved", hand=ANN, job=lot.job) as entry:
        legs = [("bench", "store"), ("store", "outside"), ("bench", "store"), ("bench", "missing")]
        Movement.objects.bulk_create(
            Movement(record=entry.record, from_lot=lot, to_lot=lot, from_account=a, to_account=b, count=2)
            for a, b in legs
        )
    assert ledger.count_of(lot) == ledger.Counts(bench=3, store=2, outside=2, missing=2, found=9)


def test_a_move_to_where_the_pieces_are_is_no_move(lot: Lot) -> None:
    with pytest.raises(InvalidInput, match="custody needs another place than where they are; 'bench' came"):
        lots.move_pieces(lot=lot, count=1, from_custody="bench", to_custody="bench", hand=ANN)
    assert Movement.objects.count() == 1


def test_nothing_is_joined_into_a_lot_that_was_joined_away_meanwhile(lot: Lot) -> None:
    other = lots.split_lot(lot=lot, count=4, hand=ANN)
    as_ann_saw_it, as_ben_saw_it = (Lot.objects.get(pk=lot.pk), Lot.objects.get(pk=other.pk)), (lot, other)
    lots.join_lots(into=as_ann_saw_it[0], other=as_ann_saw_it[1], hand=ANN)
    with pytest.raises(Conflict, match="Lot 2 was withdrawn already"):
        lots.join_lots(into=as_ben_saw_it[1], other=as_ben_saw_it[0], hand=BEN)
    assert ledger.count_of(lot).bench == 9


def act_on(what: str, lot: Lot) -> Callable[[], Any]:
    return {
        "recount": lambda: lots.recount(lot=lot, counted=12, hand=ANN),
        "split": lambda: lots.split_lot(lot=lot, count=1, hand=ANN),
        "change": lambda: lots.change_lot(lot=lot, hand=ANN, condition="rusty"),
        "move": lambda: lots.move_pieces(
            lot=lot, count=1, from_custody="bench", to_custody="store", hand=ANN
        ),
    }[what]


@pytest.mark.parametrize("what", ["recount", "split", "change", "move"])
def test_nothing_is_put_into_a_lot_that_was_taken_back_meanwhile(lot: Lot, what: str) -> None:
    take_back(record=Record.objects.latest("pk"), hand=BEN)
    with pytest.raises(Conflict, match="Lot 1 was withdrawn already: taken back, or joined into another"):
        act_on(what, lot)()
    assert ledger.books_balance() == (0, 0)


def test_a_count_made_while_somebody_else_moved_pieces_is_asked_for_again(lot: Lot) -> None:
    """Ann counts nine on the bench; before she sends it Ben puts three away: they are not found anew."""
    shown = Hand(who="Ann", seen=newest_record())
    lots.move_pieces(lot=lot, count=3, from_custody="bench", to_custody="store", hand=BEN)
    with pytest.raises(
        Conflict, match=r"'moved 3 of lot 1: bench to store' \(Ben, .*\) moved pieces of lot 1"
    ):
        lots.recount(lot=lot, counted=9, hand=shown)
    assert ledger.count_of(lot) == ledger.Counts(bench=6, store=3, found=9)
    assert lots.recount(lot=lot, counted=9, hand=Hand(who="Ann", seen=newest_record())) == 3


def test_a_form_for_joining_sent_twice_is_done_once_and_says_so(lot: Lot) -> None:
    other = lots.split_lot(lot=lot, count=4, hand=ANN)
    hand = Hand(who="Ann", token="form-1")
    lots.join_lots(into=lot, other=other, hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        lots.join_lots(into=lot, other=Lot.objects.get(pk=other.pk), hand=hand)
    assert ledger.count_of(lot).bench == 9


def test_the_words_of_a_lot_follow_from_what_is_stored_not_from_a_stale_page(lot: Lot) -> None:
    stale = Lot.objects.get(pk=lot.pk)
    lots.change_lot(lot=lot, hand=BEN, finish_look="black")
    with write(verb="test", summary="test", hand=ANN, job=lot.job) as entry:
        entry.change(stale, condition="rusty")
    stored = Lot.objects.get(pk=lot.pk)
    assert (stored.finish_look, stored.condition) == ("black", "rusty")
    assert stored.words == stored.words_now()
    assert stale.finish_look == "black"


def test_a_row_that_a_change_names_is_noted_once_as_leaned_on(lot: Lot) -> None:
    new = lots.split_lot(lot=lot, count=2, hand=ANN)
    noted = Change.objects.filter(record=Record.objects.latest("pk"), kind=Change.REFERRED)
    assert [(one.model, one.object_id) for one in noted] == [("Lot", lot.pk)]
    assert new.parent_id == lot.pk


def test_the_words_for_a_token_that_no_page_drew(job: Job) -> None:
    with pytest.raises(InvalidInput, match="the form's token needs at most 64 plain characters; "):
        lots.keep_lot(job=job, facts=LotFacts(count=1), hand=Hand(token="t" * 70))
    assert not Lot.objects.exists()


def an_archive(path: Path) -> Path:
    stream = io.BytesIO()
    write_archive(stream, originals=False)
    path.write_bytes(stream.getvalue())
    return path


def tampered(path: Path, table: str, change: Callable[[dict[str, Any]], None]) -> None:
    """Change the rows of a table, and the sum that the archive says of it."""
    with zipfile.ZipFile(path) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    rows = [json.loads(line) for line in entries[f"tables/{table}.jsonl"].splitlines()]
    for row in rows:
        change(row)
    entries[f"tables/{table}.jsonl"] = "".join(json.dumps(row) + "\n" for row in rows).encode()
    manifest = json.loads(entries["running-fit.json"])
    manifest["sha256"][f"tables/{table}.jsonl"] = sha256(entries[f"tables/{table}.jsonl"]).hexdigest()
    entries["running-fit.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in entries.items():
            archive.writestr(name, data)


@pytest.mark.parametrize(
    ("table", "values"),
    [
        ("Lot", {"job_id": 4711}),
        ("Movement", {"from_account": "store"}),
        ("Movement", {"count": -3}),
        ("Movement", {"to_account": "pocket"}),
        ("Job", {"opened_on": "the day before"}),
        ("Record", {"at": "2026-13-45"}),
        ("Lot", {"number": None}),
        ("Lot", {"length_mm": "long"}),
        ("Lot", {"colour": "red"}),
    ],
)
def test_an_archive_that_was_tampered_with_is_refused_whole(
    lot: Lot, data_folder: Path, tmp_path: Path, table: str, values: dict[str, Any]
) -> None:
    file = an_archive(tmp_path / "out.zip")
    tampered(file, table, lambda row: row.update(values))
    empty_the_tables()
    with pytest.raises(DataFolderError, match=r"could not be read back|does not know"), transaction.atomic():
        read_archive(file)
    assert not Record.objects.exists()
    assert not Holding.objects.exists()


def empty_the_tables() -> None:
    ledger_sql.remove(connection)
    tables: list[type[models.Model]] = [Holding, *reversed(carried_models())]
    for model in tables:
        model._default_manager.all()._raw_delete("default")
    ledger_sql.install(connection)
