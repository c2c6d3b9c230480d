"""backup, restore, export, import and passcode as a person calls them: whole processes, from the shell."""

from __future__ import annotations

import json
import os
import signal
import socket
import stat
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

RUN = [sys.executable, "-W", "error", "-m", "runningfit"]
WORK = """
import django; django.setup()
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.records.folder import bring_up_to_date
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand
bring_up_to_date()
job = open_job(name="Launch engine", engine_name="Pellworth Tern", hand=Hand(who="Ann"))
keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=Hand(who="Ann"))
"""


def environment(folder: Path) -> dict[str, str]:
    # The folder's own database, whatever the other tests run on: these commands are about files.
    own = {"RUNNINGFIT_DATA": str(folder), "RUNNINGFIT_DATABASE_URL": "", "RUNNINGFIT_LAN": ""}
    return {**os.environ, **own, "DJANGO_SETTINGS_MODULE": "runningfit.project.settings"}


def call(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*RUN, *words], env=environment(folder), capture_output=True, text=True, timeout=120, check=False
    )


def told(folder: Path, *words: str) -> dict[str, object]:
    done = call(folder, *words, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    answer: dict[str, object] = json.loads(done.stdout)
    return answer


def refused(folder: Path, *words: str) -> str:
    """Return the one line that a refused command says; it ends with status 2 and says nothing else."""
    done = call(folder, *words)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    lines = done.stderr.splitlines()
    assert len(lines) == 1, done.stderr
    return lines[0]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder in which one lot was kept, with a photo that is carried and its original."""
    folder = tmp_path_factory.mktemp("cli") / "shop"
    subprocess.run([sys.executable, "-c", WORK], env=environment(folder), check=True, timeout=120)
    for size in ("shown", "original"):
        (folder / "photos" / size).mkdir(parents=True)
        (folder / "photos" / size / "a.jpg").write_bytes(size.encode())
    return folder


@pytest.fixture(scope="module")
def backup(shop: Path) -> Path:
    """A backup of the shop, with all that the command says of it checked."""
    said = told(shop, "backup")
    file = Path(str(said["file"]))
    assert set(said) == {"file", "rows", "files"}
    assert file.parent == shop / "backups"
    assert said["files"] == 2
    assert isinstance(said["rows"], dict)
    assert (said["rows"]["Lot"], said["rows"]["Job"], said["rows"]["Movement"]) == (1, 2, 1)
    return file


@pytest.mark.slow
def test_an_export_carries_no_originals_and_comes_back_as_it_was(
    shop: Path, backup: Path, tmp_path: Path
) -> None:
    target = tmp_path / "out" / "all.zip"
    said = told(shop, "export", str(target))
    assert (said["file"], said["files"]) == (str(target), 1)
    other = tmp_path / "other"
    read = told(other, "import", str(target))
    assert (read["rows"], read["files"]) == (said["rows"], 1)
    again = tmp_path / "again.zip"
    told(other, "export", str(again))
    with zipfile.ZipFile(target) as first, zipfile.ZipFile(again) as second:
        assert first.namelist() == second.namelist()
        assert all(first.read(name) == second.read(name) for name in first.namelist())
    said_no = refused(other, "import", str(target))
    assert "already holds work" in said_no
    assert "runningfit restore" in said_no


@pytest.mark.slow
def test_a_restore_sets_what_was_there_aside_and_a_spoilt_file_changes_nothing(
    backup: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "shop"
    first = told(folder, "restore", str(backup))
    assert (first["set_aside"], first["files"]) == (None, 2)
    assert (folder / "photos" / "original" / "a.jpg").read_bytes() == b"original"
    second = told(folder, "restore", str(backup))
    aside = Path(str(second["set_aside"]))
    assert (aside / "running-fit.sqlite3").is_file()
    before = (folder / "running-fit.sqlite3").read_bytes()
    spoilt = tmp_path / "spoilt.zip"
    spoilt.write_bytes(backup.read_bytes()[:-200])
    assert "spoilt.zip could not be read back" in refused(folder, "restore", str(spoilt))
    assert (folder / "running-fit.sqlite3").read_bytes() == before
    assert not (folder / "restore-under-way.json").exists()


def test_in_words_the_commands_say_what_they_did(shop: Path, tmp_path: Path) -> None:
    done = call(shop, "backup", str(tmp_path / "b.zip"))
    assert done.stdout.startswith("Wrote ")
    assert done.stdout.rstrip().endswith(f"rows and 2 photos and lists to {tmp_path / 'b.zip'}.")


def test_a_folder_that_is_not_there_is_no_folder_to_back_up(tmp_path: Path) -> None:
    line = refused(tmp_path / "nowhere", "backup")
    assert line.startswith("runningfit: There is no data folder")
    assert not (tmp_path / "nowhere").exists()


def test_a_file_in_the_place_of_the_folder_is_said_in_one_line(backup: Path, tmp_path: Path) -> None:
    (tmp_path / "shop").write_text("not a folder")
    assert "cannot be written" in refused(tmp_path / "shop", "import", str(backup))


def test_a_damaged_database_is_said_in_one_line_with_the_way_out(tmp_path: Path) -> None:
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "running-fit.sqlite3").write_bytes(b"this is no database at all" * 400)
    line = refused(tmp_path / "shop", "backup")
    assert "cannot be opened" in line
    assert "runningfit restore FILE" in line


def test_a_backup_that_cannot_be_written_is_said_in_one_line(shop: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    line = refused(shop, "backup", str(tmp_path / "file" / "b.zip"))
    assert "could not be written" in line
    assert "Nothing was left half done" in line


@pytest.mark.slow
def test_others_are_let_in_by_a_passcode_only(shop: Path) -> None:
    line = refused(shop, "serve", "--lan")
    assert line.startswith("runningfit: --lan needs a passcode")
    assert "runningfit passcode" in line
    assert refused(shop, "--lan") == line
    assert "passcode needs at least 6 characters; '3 characters' came." in refused(
        shop, "passcode", "--set", "abc"
    )
    assert told(shop, "passcode", "--set", "spanner rack") == {"passcode": "set"}
    kept = shop / "passcode"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert "spanner" not in kept.read_text(encoding="utf-8")


@contextmanager
def serving(folder: Path) -> Iterator[int]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    server = subprocess.Popen(
        [*RUN, "serve", "--port", str(port)],
        env=environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert server.stdout is not None
        said = server.stdout.readline() + server.stdout.readline()
        assert f"http://127.0.0.1:{port}/" in said
        yield port
    finally:
        server.send_signal(signal.SIGTERM)
        server.communicate(timeout=30)


@pytest.mark.slow
def test_a_running_server_is_never_pulled_from_under_its_pages(backup: Path, tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    with serving(folder) as port:
        for command in ("restore", "import"):
            line = refused(folder, command, str(backup))
            assert f"is in use by runningfit serving on port {port}" in line
            assert "Stop that first." in line
        assert "--port needs a free port" in refused(folder, "serve", "--port", str(port))
    assert told(folder, "restore", str(backup))["files"] == 2
