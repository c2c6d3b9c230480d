"""Everything goes out as open files and comes back into an empty folder with nothing changed."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection
from django.db.models import Model

from runningfit.core.errors import DataFolderError
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.models import Holding, Lot, Movement, Record
from runningfit.workshop.pieces import ledger, ledger_sql
from runningfit.workshop.pieces.lots import LotFacts, change_lot, keep_lot, move_pieces, recount, split_lot
from runningfit.workshop.pieces.places import PlaceFacts, add_area, add_place
from runningfit.workshop.records.archive import (
    carried_models,
    guarded,
    read_archive,
    write_archive,
    write_archive_file,
)
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann", why="as found")


@pytest.fixture
def worked_folder(data_folder: Path) -> Path:
    """A folder in which a job was worked on for a while."""
    job = open_job(name="=cmd|' /C calc'!A0", engine_name="Pellworth Tern", hand=Hand(who="Ann"))
    add_donor(job=job, name="No. 2", hand=ANN)
    lot = keep_lot(
        job=job,
        facts=LotFacts(
            count=9, kind="hex_bolt", end_a=("1/4-20 UNC", "1/4-20 BSW"), remarks="+10 thou, \u00bd\n-dirty"
        ),
        hand=Hand(who="Ann", token="t1"),
    )
    new = split_lot(lot=lot, count=2, hand=ANN, defect="pulled threads")
    move_pieces(lot=lot, count=3, from_custody="bench", to_custody="store", hand=ANN)
    recount(lot=new, counted=1, hand=ANN)
    place = add_place(
        area=add_area(job=job, name="gear case", hand=ANN),
        facts=PlaceFacts(name="case", count=9, basis="holes_counted"),
        hand=ANN,
    )
    say_of_lot(lot=lot, said=SaidOfLot(hardness="28 HRC", stretch="4 thou", looks_sound=True), hand=ANN)
    say_of_place(
        place=place, said=SaidOfPlace(material="LM25-TF", chamfer="1/32 in", scatter="25 %"), hand=ANN
    )
    decide(lot=lot, place=None, choice="use", why="½ as good as new", hand=ANN)
    change_lot(lot=lot, hand=ANN, finish_look="black")
    take_back(record=Record.objects.latest("id"), hand=ANN)
    (data_folder / "photos" / "shown").mkdir(parents=True)
    (data_folder / "photos" / "original").mkdir(parents=True)
    (data_folder / "photos" / "shown" / "a.jpg").write_bytes(b"upright and clean")
    (data_folder / "photos" / "original" / "a.jpg").write_bytes(b"with the place it was taken at")
    return data_folder


def empty_the_tables() -> None:
    ledger_sql.remove(connection)
    models: list[type[Model]] = [Holding, *reversed(carried_models())]
    for model in models:
        model._default_manager.all()._raw_delete("default")
    ledger_sql.install(connection)


def packed(*, originals: bool) -> bytes:
    stream = io.BytesIO()
    write_archive(stream, originals=originals)
    return stream.getvalue()


def test_an_export_read_into_an_empty_folder_gives_the_same_export(
    worked_folder: Path, tmp_path: Path
) -> None:
    counts = {lot.number: ledger.count_of(lot) for lot in Lot.objects.all()}
    before = packed(originals=False)
    (tmp_path / "out.zip").write_bytes(before)
    empty_the_tables()
    (worked_folder / "photos" / "shown" / "a.jpg").unlink()
    (worked_folder / "photos" / "original" / "a.jpg").unlink()

    carried = read_archive(tmp_path / "out.zip")

    assert packed(originals=False) == before
    assert {lot.number: ledger.count_of(lot) for lot in Lot.objects.all()} == counts
    assert dict(carried.rows)["Movement"] == Movement.objects.count() > 0
    joints = ("KnownOfLot", "KnownOfPlace", "JointDecision")
    assert [dict(carried.rows)[table] for table in joints] == [1, 1, 1]
    assert (worked_folder / "photos" / "shown" / "a.jpg").read_bytes() == b"upright and clean"


def test_work_goes_on_behind_what_was_read_back(worked_folder: Path, tmp_path: Path) -> None:
    (tmp_path / "out.zip").write_bytes(packed(originals=False))
    empty_the_tables()
    read_archive(tmp_path / "out.zip")
    lot = Lot.objects.order_by("pk").first()
    assert lot is not None
    new = split_lot(lot=lot, count=1, hand=ANN)
    assert new.number == 3
    assert ledger.books_balance()[0] == ledger.books_balance()[1]


def test_only_a_backup_carries_photos_with_the_place_they_were_taken_at(worked_folder: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(packed(originals=False))) as export:
        assert "photos/original/a.jpg" not in export.namelist()
    with zipfile.ZipFile(io.BytesIO(packed(originals=True))) as backup:
        assert backup.read("photos/original/a.jpg") == b"with the place it was taken at"


def test_no_cell_of_the_sheets_is_taken_for_a_formula(worked_folder: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(packed(originals=False))) as export:
        for name in export.namelist():
            if name.endswith(".csv"):
                for row in csv.reader(io.StringIO(export.read(name).decode("utf-8-sig"), newline="")):
                    for cell in row:
                        assert cell[:1] not in ("=", "+", "@", "\t", "\r") or cell == "", (name, cell)
                        assert not cell.startswith("-") or cell[1:].replace(".", "").isdigit(), (name, cell)
        jobs = [json.loads(line) for line in export.read("tables/Job.jsonl").decode().splitlines()]
    assert "=cmd|' /C calc'!A0" in [job["name"] for job in jobs]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "'x"])
def test_a_guarded_cell_reads_back_by_dropping_one_apostrophe(text: str) -> None:
    assert guarded(text) == "'" + text
    assert guarded("plain") == "plain"
    assert guarded(-4) == "-4"


def test_an_archive_is_read_into_an_empty_folder_only(worked_folder: Path, tmp_path: Path) -> None:
    (tmp_path / "out.zip").write_bytes(packed(originals=False))
    with pytest.raises(DataFolderError, match="already holds work"):
        read_archive(tmp_path / "out.zip")


def flip_a_table(path: Path) -> str:
    with zipfile.ZipFile(path) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    entries["tables/Lot.jsonl"] = entries["tables/Lot.jsonl"].replace(b"hex_bolt", b"hex_nuts")
    write_entries(path, entries)
    return "'tables/Lot.jsonl' in .* is damaged"


def add_a_foreign_file(path: Path) -> str:
    with zipfile.ZipFile(path) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    entries["../outside.txt"] = b"out"
    write_entries(path, entries)
    return "holds '../outside.txt', which does not belong there"


def cut_it_short(path: Path) -> str:
    path.write_bytes(path.read_bytes()[:2000])
    return "could not be read back: File is not a zip file"


def make_it_another_zip(path: Path) -> str:
    write_entries(path, {"hello.txt": b"hello"})
    return "is not an archive of Running Fit"


def write_entries(path: Path, entries: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in entries.items():
            archive.writestr(name, data)


@pytest.mark.parametrize("spoil", [flip_a_table, add_a_foreign_file, cut_it_short, make_it_another_zip])
def test_a_spoilt_archive_is_refused_and_nothing_is_kept(
    worked_folder: Path, tmp_path: Path, spoil: Callable[[Path], str]
) -> None:
    (tmp_path / "out.zip").write_bytes(packed(originals=False))
    empty_the_tables()
    says = spoil(tmp_path / "out.zip")
    with pytest.raises(DataFolderError, match=says):
        read_archive(tmp_path / "out.zip")
    assert not Lot.objects.exists()


def test_a_disk_that_is_full_leaves_no_half_archive(
    worked_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(DataFolderError, match="No space left on device"):
        write_archive_file(worked_folder / "backups" / "b.zip", originals=True)
    assert list((worked_folder / "backups").iterdir()) == []
