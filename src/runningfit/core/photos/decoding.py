"""A photo file turned into upright pixels for measuring, with what the camera said of its lens."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from PIL import ExifTags, Image, ImageOps

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.picture_files import (
    DAMAGED,
    LARGEST_PX,
    TAKE_AGAIN,
    formats_of,
    in_plain_colours,
    too_many_pixels,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

# More pixels cost memory and time, and show no more: a JPEG beyond is read at half its size.
_ENOUGH_PX = 30_000_000
# Focal lengths are told for this film, by whose diagonal they are turned into those of other sizes (CIPA
# DCG-001, from memory).
_FILM_DIAGONAL_MM = 43.27


@dataclass(frozen=True, slots=True)
class Photo:
    """A decoded photo.

    Parameters
    ----------
    pixels : array of uint8, height x width x 3
        Upright, sRGB.
    focal_px : float or None
        The focal length as the camera told it [px]; good to some per cent.
    """

    pixels: Pixels
    focal_px: float | None

    @property
    def width_px(self) -> int:
        """How wide it is [px]."""
        return int(self.pixels.shape[1])

    @property
    def height_px(self) -> int:
        """How high it is [px]."""
        return int(self.pixels.shape[0])


def decode(data: bytes, *, filename: str = "photo") -> Photo | CouldNotMeasure:
    """Decode a photo for measuring.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG, WebP or HEIC file.
    filename : str
        What the person's device calls it, for the message.
    """
    try:
        return _decoded(data, filename)
    except InvalidInput as refused:
        said = f"{refused.argument} needs {refused.needs}; {refused.came} came."
        return CouldNotMeasure(Fault.NOT_A_PHOTO, said, refused.remedy or TAKE_AGAIN)


def _decoded(data: bytes, filename: str) -> Photo:
    import numpy

    formats = formats_of(data, filename)
    try:
        with Image.open(BytesIO(data), formats=formats) as photo:
            width, height = photo.size
            largest = LARGEST_PX[photo.format or ""]
            if width * height > largest:
                raise too_many_pixels(filename, f"{width * height / 1e6:.0f} megapixels", largest)
            film_mm = _told_focal_mm(photo)
            if width * height > _ENOUGH_PX:
                photo.draft("RGB", (width // 2, height // 2))
            upright = in_plain_colours(ImageOps.exif_transpose(photo)).convert("RGB")
    except InvalidInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise too_many_pixels(filename, "many more", LARGEST_PX[formats[0]]) from error
    except DAMAGED as error:
        raise InvalidInput(
            filename, needs="a whole photo", came="one that is cut short or damaged", remedy=TAKE_AGAIN
        ) from error
    diagonal_px = (upright.width**2 + upright.height**2) ** 0.5
    focal_px = film_mm / _FILM_DIAGONAL_MM * diagonal_px if film_mm else None
    return Photo(numpy.asarray(upright), focal_px)


def _told_focal_mm(photo: Image.Image) -> float | None:
    """The focal length for 35 mm film that the camera wrote, or None where it wrote none that can be [mm]."""
    try:
        told = photo.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm, 0)
        length = float(told)
    except (ValueError, OSError, SyntaxError, KeyError, TypeError):
        return None
    return length if 10 <= length <= 300 else None
