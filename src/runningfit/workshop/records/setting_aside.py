"""Setting the content of the data folder aside whole, and putting it back, whenever the moving is cut off."""

from __future__ import annotations

import json
import os
from pathlib import Path

from django.conf import settings
from django.db import connections
from django.utils import timezone

from runningfit.workshop.records.archive import FOLDERS

# While a restore is under way this file says where the former content lies, and whether all of it lies there.
NOTE = "restore-under-way.json"
DATABASE = ("running-fit.sqlite3", "running-fit.sqlite3-wal", "running-fit.sqlite3-shm")


def set_aside(label: str, *, noted: bool = False) -> Path | None:
    """Move what the data folder holds into a folder inside it.

    Parameters
    ----------
    label : str
        What the inner folder's name begins with.
    noted : bool
        True notes how far it came, so that ``put_back_if_cut_off`` can undo it later; ``settle`` ends that.

    Returns
    -------
    Path or None
        The inner folder; None where nothing was there.
    """
    connections.close_all()
    folder = Path(settings.DATA)
    present = _movable(folder)
    if not present:
        return None
    aside = _fresh_name(folder, label)
    if noted:
        _note(aside, all_aside=False)
    aside.mkdir()
    for path in present:
        path.rename(aside / path.name)
    if noted:
        _note(aside, all_aside=True)
    return aside


def settle() -> None:
    """Say that what was set aside stays there."""
    (Path(settings.DATA) / NOTE).unlink(missing_ok=True)


def put_back(aside: Path) -> None:
    """Put back what was set aside; what took its place meanwhile is kept beside it, under ``unread``."""
    connections.close_all()
    folder = Path(settings.DATA)
    spoilt = aside / "unread"
    spoilt.mkdir(exist_ok=True)
    for path in _movable(folder):
        path.rename(spoilt / path.name)
    # From here on the folder holds nothing of the restore: cut off again, only the way home is left.
    _note(aside, all_aside=False)
    _bring_home(aside)


def under_way() -> bool:
    """Return whether a restore is under way, or was cut off."""
    return (Path(settings.DATA) / NOTE).exists()


def put_back_if_cut_off() -> bool:
    """Put back what a restore that was cut off had set aside; returns whether there was any.

    Only for whoever holds the data folder: a restore that still runs holds it.
    """
    if not under_way():
        return False
    folder = Path(settings.DATA)
    said = json.loads((folder / NOTE).read_text(encoding="utf-8"))
    if said["all_aside"]:
        put_back(folder / said["aside"])
    else:
        connections.close_all()
        _bring_home(folder / said["aside"])
    return True


def _bring_home(aside: Path) -> None:
    for path in _movable(aside):
        path.rename(Path(settings.DATA) / path.name)
    settle()


def _movable(folder: Path) -> list[Path]:
    return [folder / name for name in (*DATABASE, *FOLDERS) if (folder / name).exists()]


def _fresh_name(folder: Path, label: str) -> Path:
    stamp = f"{label}-{timezone.now():%Y%m%d-%H%M%S}"
    number = 1
    while (named := folder / (stamp if number == 1 else f"{stamp}-{number}")).exists():
        number += 1
    return named


def _note(aside: Path, *, all_aside: bool) -> None:
    note = Path(settings.DATA) / NOTE
    half = note.with_name(f"{NOTE}.half")
    with half.open("w", encoding="utf-8") as stream:
        json.dump({"aside": aside.name, "all_aside": all_aside}, stream)
        stream.flush()
        os.fsync(stream.fileno())
    half.replace(note)
