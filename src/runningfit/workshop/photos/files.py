"""Where photos lie in the data folder: by their sha256, each written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from django.conf import settings

from runningfit.core.errors import DataFolderError, NotFound
from runningfit.workshop.photos.models import SIZES, Photo
from runningfit.workshop.photos.pictures import Picture


def store(picture: Picture) -> dict[str, str]:
    """Write the original and what is shown of it; the same photo a second time is written once.

    Returns
    -------
    dict of str to str
        The names inside the photo folder, by the field of Photo that holds them.

    Raises
    ------
    DataFolderError
        The disk is full or cannot be written; nothing half stays behind.
    """
    parts = {"original": picture.ending, "shown": "jpg", "thumb": "jpg"}
    names = {size: f"{size}/{picture.sha256[:2]}/{picture.sha256}.{ending}" for size, ending in parts.items()}
    for size, content in (
        ("original", picture.original),
        ("shown", picture.shown),
        ("thumb", picture.thumb),
    ):
        _write_whole(settings.PHOTO_FOLDER / names[size], content)
    return names


def path_of(photo: Photo, size: str) -> Path:
    """Return where a photo lies, or raise NotFound saying what to do."""
    if size not in SIZES:
        raise NotFound(f"A photo is kept as {', '.join(SIZES)}; there is no '{size}'.")
    path: Path = settings.PHOTO_FOLDER / getattr(photo, size)
    if not path.is_file():
        raise NotFound(
            f"The file of photo {photo.pk} is not in the data folder. Restore it from a backup of the folder."
        )
    return path


def read(photo: Photo, size: str = "shown") -> bytes:
    """Return the bytes of a photo, as papers print it."""
    return path_of(photo, size).read_bytes()


def _write_whole(path: Path, content: bytes) -> None:
    if path.exists() and path.stat().st_size == len(content):
        # Asked for anew it counts as stored now, which the sweep of what no row names looks at.
        os.utime(path)
        return
    half: str | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        descriptor, half = tempfile.mkstemp(dir=path.parent, prefix=".half-")
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(half).replace(path)
        half = None
        _sync_folder(path.parent)
    except OSError as error:
        raise DataFolderError(
            f"The photo could not be written to the data folder: {error.strerror or error}. "
            "Make room on the disk and send it again; nothing was kept."
        ) from error
    finally:
        if half is not None:
            Path(half).unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    # Windows cannot open a folder; there the rename is as safe as that system makes it.
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
