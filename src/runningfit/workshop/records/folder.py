"""The data folder: made on first need, brought up to date, held by one server, set aside on restore."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from runningfit.core.errors import DataFolderError
from runningfit.workshop.records import setting_aside
from runningfit.workshop.records.archive import Carried, read_archive

LOCK = "in-use"
log = logging.getLogger(__name__)


def bring_up_to_date() -> None:
    """Make the data folder and its tables, or bring older tables up to date.

    Raises
    ------
    DataFolderError
        The folder cannot be written, the database cannot be reached or is damaged, or a restore is under way.
    """
    if setting_aside.under_way():
        raise DataFolderError(
            f"A restore of {settings.DATA} is under way or was cut off. Wait for it; if none is running, "
            "start 'runningfit' once: it puts back what was there before."
        )
    _make_ready()


def _make_ready() -> None:
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

    Whoever holds it first puts back what a restore that was cut off had set aside.

    Raises
    ------
    DataFolderError
        Another running command holds it, or it cannot be written.
    """
    path = Path(settings.DATA) / LOCK
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        stream = path.open("a+", encoding="utf-8")
    except OSError as error:
        raise DataFolderError(
            f"The data folder {settings.DATA} cannot be written ({error.strerror or error}). "
            "Name another with --data, or make room."
        ) from error
    with stream:
        if not _lock(stream.fileno()):
            stream.seek(0)
            holder = stream.read().strip() or "another running command"
            raise DataFolderError(f"The data folder {settings.DATA} is in use by {holder}. Stop that first.")
        stream.truncate(0)
        stream.write(f"{purpose} (process {os.getpid()})")
        stream.flush()
        try:
            if setting_aside.put_back_if_cut_off():
                log.warning("A restore of %s was cut off; what was there before was put back.", settings.DATA)
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
    aside = setting_aside.set_aside("before-restore", noted=True)
    try:
        _make_ready()
        carried = read_archive(archive)
    except BaseException:
        if aside is not None:
            setting_aside.put_back(aside)
        raise
    setting_aside.settle()
    return carried, aside


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
