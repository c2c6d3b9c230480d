"""Photos drawn for the tests, as phones write them: with place, device, thumbnails, turned or cut short."""

from __future__ import annotations

from io import BytesIO

import pillow_heif
from PIL import ExifTags, Image

MAKER = "Invented Camera Works"
PLACE = (52.0, 12.0, 30.0)


def drawn(width: int = 640, height: int = 480) -> Image.Image:
    """A picture whose left upper quarter is red, so that turning it can be seen."""
    picture = Image.new("RGB", (width, height), (235, 228, 205))
    picture.paste((190, 20, 20), (0, 0, width // 2, height // 2))
    return picture


def jpeg(
    width: int = 640,
    height: int = 480,
    *,
    orientation: int = 1,
    taken: str = "2026:03:08 14:05:09",
    progressive: bool = False,
) -> bytes:
    """A JPEG with everything in it that must not be shown."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Make] = MAKER
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = taken
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = PLACE
    out = BytesIO()
    drawn(width, height).save(
        out,
        "JPEG",
        quality=85,
        exif=exif.tobytes(),
        comment=MAKER.encode(),
        xmp=f"<x:xmpmeta xmlns:x='adobe:ns:meta/'>{MAKER}</x:xmpmeta>".encode(),
        progressive=progressive,
    )
    return out.getvalue()


def png(width: int = 200, height: int = 100, *, mode: str = "RGB") -> bytes:
    """A PNG of a given mode, with a text chunk."""
    out = BytesIO()
    if mode == "I;16":
        Image.new("I;16", (width, height), 60_000).save(out, "PNG")
    else:
        drawn(width, height).convert(mode).save(out, "PNG")
    return out.getvalue()


def webp(width: int = 320, height: int = 240) -> bytes:
    """A WebP."""
    out = BytesIO()
    drawn(width, height).save(out, "WEBP")
    return out.getvalue()


def heic(width: int = 320, height: int = 240) -> bytes:
    """A HEIC as phones write it."""
    out = BytesIO()
    pillow_heif.from_pillow(drawn(width, height)).save(out, quality=70)
    return out.getvalue()
