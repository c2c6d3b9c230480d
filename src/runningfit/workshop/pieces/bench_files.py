"""The files of bench lists as they came, kept in the data folder under their own checksum."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from pathlib import Path

from django.conf import settings

from runningfit.core.errors import DataFolderError

FOLDER = "lists"


def checksum(data: bytes) -> str:
    """Return the SHA-256 of a file, by which the same file is known again."""
    return hashlib.sha256(data).hexdigest()


def keep_file(data: bytes, *, name: str) -> str:
    """Keep a file for good before any row speaks of it; returns its path inside the data folder.

    Raises
    ------
    DataFolderError
        The disk is full or the folder cannot be written; nothing half is left.
    """
    suffix = Path(name).suffix.lower()
    ending = suffix if re.fullmatch(r"\.[a-z0-9]{1,5}", suffix) else ".txt"
    kept_as = f"{FOLDER}/{checksum(data)}{ending}"
    target = Path(settings.DATA) / kept_as
    if target.exists() and target.stat().st_size == len(data):
        return kept_as
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        descriptor, half = tempfile.mkstemp(dir=target.parent, prefix=".half-")
        try:
            with os.fdopen(descriptor, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(half, target)
        except BaseException:
            Path(half).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise DataFolderError(
            f"The list '{name}' could not be kept in the data folder ({error.strerror or error}). "
            "Nothing was read in; make room on the disk and send it again."
        ) from error
    return kept_as


def kept_bytes(kept_as: str) -> bytes:
    """Return a kept file.

    Raises
    ------
    DataFolderError
        It is no longer there.
    """
    try:
        return (Path(settings.DATA) / kept_as).read_bytes()
    except OSError as error:
        raise DataFolderError(
            f"The file {kept_as} is not in the data folder any more. Bring it back from a backup."
        ) from error
