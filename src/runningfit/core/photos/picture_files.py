"""What kinds of picture files are taken, how large they may be, and how they become plain upright colours."""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageCms

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
TAKE_AGAIN = "Take it again, or send it as a JPEG."
# What Pillow raises for a file that is cut short, damaged or made to mislead.
DAMAGED = (OSError, SyntaxError, ValueError, EOFError, RuntimeError, MemoryError)
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")

Image.MAX_IMAGE_PIXELS = max(LARGEST_PX.values())


def formats_of(data: bytes, filename: str) -> list[str]:
    """Which format a file is, by its first bytes, as Pillow names it.

    Parameters
    ----------
    data : bytes
        The file.
    filename : str
        What the person's device calls it, for the error.

    Raises
    ------
    InvalidInput
        It is empty, too large, none of these kinds, or a HEIC without the reader installed.
    """
    if not data:
        raise InvalidInput(filename, needs="a photo", came="an empty file", remedy=TAKE_AGAIN)
    if len(data) > LARGEST_BYTES:
        raise InvalidInput(
            filename,
            needs=f"at most {LARGEST_BYTES // 2**20} MB",
            came=f"{len(data) / 2**20:.0f} MB",
            remedy="Choose a smaller size on the camera.",
        )
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
        filename, needs="a photo: JPEG, PNG, WebP or HEIC", came="another kind of file", remedy=TAKE_AGAIN
    )


def in_plain_colours(photo: Image.Image) -> Image.Image:
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


def too_many_pixels(filename: str, came: str, largest: int) -> InvalidInput:
    """The error for a picture with more pixels than are decoded."""
    return InvalidInput(
        filename,
        needs=f"at most {largest // 1_000_000} megapixels",
        came=came,
        remedy="Choose a smaller size on the camera.",
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
