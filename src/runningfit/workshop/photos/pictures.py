"""From a photo as it came to the pictures that are shown of it: upright, small, telling nothing else."""

from __future__ import annotations

import datetime as dt
import hashlib
import threading
from dataclasses import dataclass
from io import BytesIO

from PIL import ExifTags, Image, ImageOps

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.picture_files import (
    DAMAGED,
    LARGEST_PX,
    TAKE_AGAIN,
    formats_of,
    in_plain_colours,
    too_many_pixels,
)

SHOWN_PX = 1600
THUMB_PX = 320

_ENDINGS = {"JPEG": "jpg", "MPO": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
# One photo at a time in a process: the memory that decoding takes stays that of one photo.
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo made ready to be kept: the original untouched, and what is shown of it."""

    original: bytes
    ending: str
    sha256: str
    shown: bytes
    thumb: bytes
    width_px: int
    height_px: int
    taken_at: dt.datetime | None


def read_picture(data: bytes, *, filename: str = "photo") -> Picture:
    """Read a photo and make the pictures that are shown of it.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG, WebP or HEIC file.
    filename : str
        What the person's device calls it, for the error.

    Returns
    -------
    Picture
        What is shown is a JPEG of at most 1,600 px (320 px for the thumb), upright, in plain colours, without
        place, device or any other data; the moment it was taken is kept where the camera said it.

    Raises
    ------
    InvalidInput
        It is no photo of these kinds, is cut short, or is too large.
    """
    formats = formats_of(data, filename)
    with _one_at_a_time:
        try:
            with Image.open(BytesIO(data), formats=formats) as photo:
                return _prepared(photo, data, filename)
        except InvalidInput:
            raise
        except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
            raise too_many_pixels(filename, "many more", LARGEST_PX[formats[0]]) from error
        except DAMAGED as error:
            raise InvalidInput(
                filename,
                needs="a whole photo",
                came="one that is cut short or damaged",
                remedy=TAKE_AGAIN,
            ) from error


def _prepared(photo: Image.Image, data: bytes, filename: str) -> Picture:
    width, height = photo.size
    kind = photo.format or ""
    largest = LARGEST_PX[kind]
    if width * height > largest:
        raise too_many_pixels(filename, f"{width * height / 1e6:.0f} megapixels", largest)
    taken_at = _moment_of(photo)
    turned = photo.getexif().get(ExifTags.Base.Orientation, 1) in (5, 6, 7, 8)
    photo.draft("RGB", (SHOWN_PX, SHOWN_PX))
    shown = _plain(photo)
    thumb = shown.copy()
    thumb.thumbnail((THUMB_PX, THUMB_PX))
    return Picture(
        original=data,
        ending=_ENDINGS[kind],
        sha256=hashlib.sha256(data).hexdigest(),
        shown=_as_jpeg(shown, quality=84),
        thumb=_as_jpeg(thumb, quality=78),
        width_px=height if turned else width,
        height_px=width if turned else height,
        taken_at=taken_at,
    )


def _plain(photo: Image.Image) -> Image.Image:
    """Return the photo small, upright and in plain colours, as a fresh picture that carries nothing else."""
    if photo.mode.startswith("I;16"):
        photo = photo.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    elif photo.mode in ("P", "PA", "LA", "1") or "transparency" in photo.info:
        photo = photo.convert("RGBA")
    photo.thumbnail((SHOWN_PX, SHOWN_PX), reducing_gap=2.0)
    upright = ImageOps.exif_transpose(photo)
    coloured = in_plain_colours(upright)
    fresh = Image.new("RGB", coloured.size, "white")
    fresh.paste(coloured, mask=coloured.getchannel("A") if coloured.mode == "RGBA" else None)
    return fresh


def _as_jpeg(picture: Image.Image, *, quality: int) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def _moment_of(photo: Image.Image) -> dt.datetime | None:
    """Return the moment that the camera's clock wrote into the photo, without a time zone, or None."""
    try:
        written = photo.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal, "")
        return dt.datetime.strptime(str(written).strip("\x00 "), "%Y:%m:%d %H:%M:%S")
    except (ValueError, OSError, SyntaxError, KeyError, TypeError):
        return None
