"""Sweeping the photo folder: files that no row names are set aside, and thrown away a month later."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.db import transaction

from runningfit.workshop.photos.models import SIZES, Photo
from runningfit.workshop.records.writing import wait_for_other_writers

A_DAY_S = 86_400.0
# As long as this a photo can be found again whose row is in another database, say that of an older backup.
SET_ASIDE_S = 30 * A_DAY_S
# Beside the photo folder, so that no export or backup carries it.
UNNAMED = "photos-unnamed"


def sweep(*, now: float | None = None) -> int:
    """Set aside what was stored for photos whose rows never came to be; returns how many files.

    A photo is written before its row, so that no row names half a file; where the row then fails, the file
    stays. What any row names stays where it is, that of a photo put away too; so does what is younger than
    a day.

    Parameters
    ----------
    now : float or None
        The moment, in seconds since 1970; None is the present one.
    """
    now = time.time() if now is None else now
    _throw_away(before=now - SET_ASIDE_S)
    found = [name for name, path in _files() if _stored_before(path, now - A_DAY_S)]
    if not set(found) - _named():
        return 0
    # With the writers waiting no photo can be given its row between the look and the setting aside.
    with transaction.atomic():
        wait_for_other_writers()
        named = _named()
        return sum(_set_aside(name, now) for name in found if name not in named)


def _files() -> Iterator[tuple[str, Path]]:
    folder = Path(settings.PHOTO_FOLDER)
    for size in SIZES:
        for path in (folder / size).glob("??/*"):
            if path.is_file():
                yield path.relative_to(folder).as_posix(), path


def _aside() -> Path:
    return Path(settings.PHOTO_FOLDER).with_name(UNNAMED)


def _named() -> set[str]:
    return {name for names in Photo.objects.values_list(*SIZES) for name in names}


def _stored_before(path: Path, moment: float) -> bool:
    with suppress(OSError):
        return path.stat().st_mtime < moment
    return False


def _set_aside(name: str, now: float) -> bool:
    path = Path(settings.PHOTO_FOLDER) / name
    if not _stored_before(path, now - A_DAY_S):
        return False
    target = _aside() / name
    with suppress(OSError):
        target.parent.mkdir(parents=True, exist_ok=True)
        path.replace(target)
        os.utime(target, (now, now))
        return True
    return False


def _throw_away(*, before: float) -> None:
    for path in _aside().rglob("*"):
        if path.is_file() and _stored_before(path, before):
            with suppress(OSError):
                path.unlink()
