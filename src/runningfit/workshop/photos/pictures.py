"""From a photo as it came to the pictures that are shown of it: upright, small, telling nothing else."""

from __future__ import annotations

import datetime as dt
import hashlib
import threading
from dataclasses import dataclass
from io import BytesIO

from PIL import ExifTags, Image, ImageCms, ImageOps

from runningfit.core.errors import InvalidInput

LARGEST_BYTES = 40 * 2**20
# A JPEG is decoded at a fraction of its size (a 100-megapixel one took 320 MB at most); the others have to be
# decoded whole, which took up to 8 bytes a pixel (a HEIC of 49 megapixels 350 MB and 3 s), WebP 16.
LARGEST_PX = {
    "JPEG": 120_000_000,
    "MPO": 120_000_000,
    "HEIF": 50_000_000,
    "PNG": 50_000_000,
    "WEBP": 25_000_000,
}
SHOWN_PX = 1600
THUMB_PX = 320

Image.MAX_IMAGE_PIXELS = max(LARGEST_PX.values())
_ENDINGS = {"JPEG": "jpg", "MPO": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")
_REMEDY = "Take it again, or send it as a JPEG."
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
    if not data:
        raise InvalidInput(filename, needs="a photo", came="an empty file", remedy=_REMEDY)
    if len(data) > LARGEST_BYTES:
        raise InvalidInput(
            filename,
            needs=f"at most {LARGEST_BYTES // 2**20} MB",
            came=f"{len(data) / 2**20:.0f} MB",
            remedy="Choose a smaller size on the camera.",
        )
    formats = _formats_of(data, filename)
    with _one_at_a_time:
        try:
            with Image.open(BytesIO(data), formats=formats) as photo:
                return _prepared(photo, data, filename)
        except InvalidInput:
            raise
        except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
            raise _too_many_pixels(filename, "many more", LARGEST_PX[formats[0]]) from error
        except (OSError, SyntaxError, ValueError, EOFError, RuntimeError, MemoryError) as error:
            raise InvalidInput(
                filename,
                needs="a whole photo",
                came="one that is cut short or damaged",
                remedy=_REMEDY,
            ) from error


def _formats_of(data: bytes, filename: str) -> list[str]:
    if data.startswith(b"\xff\xd8\xff"):
        return ["JPEG"]
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return ["PNG"]
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return ["WEBP"]
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        _heic_reader(filename)
        return ["HEIF"]
    raise InvalidInput(
        filename, needs="a photo: JPEG, PNG, WebP or HEIC", came="another kind of file", remedy=_REMEDY
    )


def _heic_reader(filename: str) -> None:
    try:
        # Optional, since its codec is under another licence; loaded when the first HEIC photo comes.
        import pillow_heif
    except ImportError as error:
        raise InvalidInput(
            filename,
            needs="the HEIC reader, which is not installed here",
            came="a HEIC photo",
            remedy="Install it (pip install 'runningfit[heic]'), or set the phone's camera to JPEG.",
        ) from error
    pillow_heif.register_heif_opener(thumbnails=False)


def _prepared(photo: Image.Image, data: bytes, filename: str) -> Picture:
    width, height = photo.size
    kind = photo.format or ""
    largest = LARGEST_PX[kind]
    if width * height > largest:
        raise _too_many_pixels(filename, f"{width * height / 1e6:.0f} megapixels", largest)
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
    coloured = _in_plain_colours(upright)
    fresh = Image.new("RGB", coloured.size, "white")
    fresh.paste(coloured, mask=coloured.getchannel("A") if coloured.mode == "RGBA" else None)
    return fresh


def _in_plain_colours(photo: Image.Image) -> Image.Image:
    """Return the photo in sRGB; phones write wider colours, in which brass would look like another finish."""
    profile = photo.info.get("icc_profile")
    if profile and photo.mode in ("RGB", "CMYK", "L"):
        try:
            changed = ImageCms.profileToProfile(
                photo,
                ImageCms.ImageCmsProfile(BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                outputMode="RGB",
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            changed = None
        if changed is not None:
            return changed
    return photo if photo.mode in ("RGB", "RGBA") else photo.convert("RGB")


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


def _too_many_pixels(filename: str, came: str, largest: int) -> InvalidInput:
    return InvalidInput(
        filename,
        needs=f"at most {largest // 1_000_000} megapixels",
        came=came,
        remedy="Choose a smaller size on the camera.",
    )
