"""From the files of a form to pictures; one that cannot be used does not hold up the others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import UploadedFile

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.picture_files import LARGEST_BYTES
from runningfit.workshop.photos.pictures import Picture, read_picture


@dataclass(frozen=True, slots=True)
class Uploads:
    """The photos of a form that can be used, and a sentence for each that cannot."""

    pictures: tuple[Picture, ...]
    refused: tuple[str, ...]


def read_uploads(files: list[UploadedFile[Any]]) -> Uploads:
    """Read the photos of a form one after the other."""
    pictures: list[Picture] = []
    refused: list[str] = []
    for file in files:
        try:
            pictures.append(_read(file))
        except InvalidInput as error:
            refused.append(str(error))
    return Uploads(tuple(pictures), tuple(refused))


def _read(file: UploadedFile[Any]) -> Picture:
    name = file.name or "the photo"
    if (file.size or 0) > LARGEST_BYTES:
        raise InvalidInput(
            name,
            needs=f"at most {LARGEST_BYTES // 2**20} MB",
            came=f"{(file.size or 0) / 2**20:.0f} MB",
            remedy="Choose a smaller size on the camera.",
        )
    return read_picture(file.read(), filename=name)
