"""The data folder: made on first need, brought up to date, held by one server, set aside on restore."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections
from django.utils import timezone

from runningfit.core.errors import DataFolderError
from runningfit.workshop.records.archive import FOLDERS, Carried, read_archive

LOCK = "in-use"


def bring_up_to_date() -> None:
    """Make the data folder and its tables, or bring older tables up to date.

    Raises
    ------
    DataFolderError
        The folder cannot be written, or the database cannot be reached or is damaged.
    """
    folder = Path(settings.DATA)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".write-probe"
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as error:
        raise DataFolderError(
            f"The data folder {folder} cannot be written ({error.strerror or error}). "
            "Name another with --data, or make room."
        ) from error
    try:
        call_command("migrate", verbosity=0, skip_checks=True)
    except Exception as error:
        raise DataFolderError(
            f"The database of {folder} cannot be opened: {error}. If a backup is at hand, "
            "'runningfit restore FILE' sets the present folder aside and reads it back."
        ) from error


@contextmanager
def held(purpose: str) -> Iterator[None]:
    """Hold the data folder, so that a restore never pulls it away from under a server.

    Raises
    ------
    DataFolderError
        Another running command holds it.
    """
    path = Path(settings.DATA) / LOCK
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+", encoding="utf-8") as stream:
        if not _lock(stream.fileno()):
            stream.seek(0)
            holder = stream.read().strip() or "another running command"
            raise DataFolderError(f"The data folder {settings.DATA} is in use by {holder}. Stop that first.")
        stream.truncate(0)
        stream.write(f"{purpose} (process {os.getpid()})")
        stream.flush()
        try:
            yield
        finally:
            stream.truncate(0)


def restore(archive: Path) -> tuple[Carried, Path | None]:
    """Read a backup back; what the folder holds now is set aside whole, never overwritten.

    Parameters
    ----------
    archive : Path
        A file that ``runningfit backup`` or ``export`` wrote.

    Returns
    -------
    (Carried, Path or None)
        What was read, and where the former content lies, if there was any.

    Raises
    ------
    DataFolderError
        The archive cannot be read (the former content is then put back), or the database is not SQLite and
        holds work already.
    """
    if connection.vendor != "sqlite":
        bring_up_to_date()
        return read_archive(archive), None
    aside = _set_aside()
    try:
        bring_up_to_date()
        return read_archive(archive), aside
    except Exception:
        if aside is not None:
            _put_back(aside)
        raise


def _set_aside() -> Path | None:
    connections.close_all()
    folder = Path(settings.DATA)
    present = _movable(folder)
    if not present:
        return None
    aside = folder / f"before-restore-{timezone.now():%Y%m%d-%H%M%S}"
    aside.mkdir()
    for path in present:
        path.rename(aside / path.name)
    return aside


def _put_back(aside: Path) -> None:
    connections.close_all()
    folder = Path(settings.DATA)
    spoilt = aside / "unread"
    spoilt.mkdir()
    for path in _movable(folder):
        path.rename(spoilt / path.name)
    for path in aside.iterdir():
        if path != spoilt:
            path.rename(folder / path.name)


def _movable(folder: Path) -> list[Path]:
    names = ["running-fit.sqlite3", "running-fit.sqlite3-wal", "running-fit.sqlite3-shm", *FOLDERS]
    return [folder / name for name in names if (folder / name).exists()]


def _lock(descriptor: int) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
