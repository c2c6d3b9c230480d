"""What is made of a photo: small, upright, in plain colours, and telling nothing but what it shows."""

from __future__ import annotations

import datetime as dt
import sys
from io import BytesIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from pictures_for_tests import MAKER, drawn, heic, jpeg, png, webp
from runningfit.core.errors import InvalidInput
from runningfit.core.photos import picture_files
from runningfit.workshop.photos.pictures import Picture, read_picture


def opened(content: bytes) -> Image.Image:
    return Image.open(BytesIO(content))


def is_red(picture: Image.Image, x: float, y: float) -> bool:
    pixel = picture.convert("RGB").getpixel((int(picture.width * x), int(picture.height * y)))
    assert isinstance(pixel, tuple)
    red, green, _blue = pixel
    return red > 150 and green < 90


@pytest.mark.parametrize("data", [jpeg(), jpeg(progressive=True), png(), webp(), heic()], ids=range(5))
def test_every_kind_of_photo_is_shown_as_a_plain_jpeg(data: bytes) -> None:
    picture = read_picture(data)
    for content, longest in ((picture.shown, 1600), (picture.thumb, 320)):
        shown = opened(content)
        assert shown.format == "JPEG"
        assert max(shown.size) <= longest
        assert is_red(shown, 0.25, 0.25)
        assert not is_red(shown, 0.75, 0.75)
    assert picture.original == data


def test_a_large_photo_is_shrunk() -> None:
    picture = read_picture(jpeg(4000, 3000))
    assert opened(picture.shown).size == (1600, 1200)
    assert opened(picture.thumb).size == (320, 240)
    assert (picture.width_px, picture.height_px) == (4000, 3000)


def test_a_small_photo_is_not_blown_up() -> None:
    assert opened(read_picture(jpeg(200, 100)).shown).size == (200, 100)


# The corner of the scene's red quarter after the camera wrote it turned, by the EXIF orientation.
@pytest.mark.parametrize(
    ("orientation", "x", "y", "size"),
    [
        (1, 0.25, 0.25, (640, 480)),
        (2, 0.75, 0.25, (640, 480)),
        (3, 0.75, 0.75, (640, 480)),
        (4, 0.25, 0.75, (640, 480)),
        (5, 0.25, 0.25, (480, 640)),
        (6, 0.75, 0.25, (480, 640)),
        (7, 0.75, 0.75, (480, 640)),
        (8, 0.25, 0.75, (480, 640)),
    ],
)
def test_a_photo_is_turned_upright(orientation: int, x: float, y: float, size: tuple[int, int]) -> None:
    picture = read_picture(jpeg(orientation=orientation))
    assert opened(picture.shown).size == size
    assert (picture.width_px, picture.height_px) == size
    assert is_red(opened(picture.shown), x, y)


def test_place_device_and_every_other_data_are_gone_from_what_is_shown() -> None:
    picture = read_picture(jpeg())
    for content in (picture.shown, picture.thumb):
        shown = opened(content)
        assert not shown.getexif()
        assert not {"exif", "xmp", "comment", "icc_profile", "photoshop"} & set(shown.info)
        assert MAKER.encode() not in content
    assert MAKER.encode() in picture.original


def test_the_moment_it_was_taken_is_kept() -> None:
    assert read_picture(jpeg()).taken_at == dt.datetime(2026, 3, 8, 14, 5, 9)
    assert read_picture(jpeg(taken="0000:00:00 00:00:00")).taken_at is None
    assert read_picture(png()).taken_at is None


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16"])
def test_every_mode_of_picture_can_be_shown(mode: str) -> None:
    shown = opened(read_picture(png(mode=mode)).shown)
    assert shown.mode == "RGB"
    assert shown.size == (200, 100)


def test_what_is_transparent_is_shown_on_white() -> None:
    out = BytesIO()
    Image.new("RGBA", (60, 60), (0, 0, 0, 0)).save(out, "PNG")
    assert opened(read_picture(out.getvalue()).shown).getpixel((30, 30)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("data", "came"),
    [
        (b"", "an empty file"),
        (b"%PDF-1.7 not a photo", "another kind of file"),
        (b"PK\x03\x04" + bytes(200), "another kind of file"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "another kind of file"),
        (b"GIF89a" + bytes(200), "another kind of file"),
        (b"\xff\xd8\xff" + bytes(50), "cut short or damaged"),
        (b"\x89PNG\r\n\x1a\n" + bytes(50), "cut short or damaged"),
    ],
)
def test_what_is_no_photo_is_refused_by_name(data: bytes, came: str) -> None:
    with pytest.raises(InvalidInput, match=came) as refused:
        read_picture(data, filename="bolts.jpg")
    assert refused.value.argument == "bolts.jpg"


@pytest.mark.parametrize(
    "data", [jpeg(1200, 900), png(900, 700), webp(), heic()], ids=["jpeg", "png", "webp", "heic"]
)
@pytest.mark.parametrize("left", [0.4, 0.8])
def test_a_photo_cut_short_is_refused(data: bytes, left: float) -> None:
    with pytest.raises(InvalidInput, match="a whole photo; 'one that is cut short or damaged' came"):
        read_picture(data[: int(len(data) * left)])


def test_a_photo_of_too_many_bytes_is_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture_files, "LARGEST_BYTES", 1000)
    with pytest.raises(InvalidInput, match="needs at most 0 MB"):
        read_picture(jpeg())


def test_a_photo_of_too_many_pixels_is_refused_before_it_is_decoded() -> None:
    # A PNG that says it has 60,000 x 60,000 pixels in a few bytes: the bomb is in the header.
    out = BytesIO()
    Image.new("1", (20_000, 12_000)).save(out, "PNG")
    with pytest.raises(InvalidInput, match="needs at most 50 megapixels"):
        read_picture(out.getvalue())
    header = bytearray(out.getvalue())
    header[16:24] = (60_000).to_bytes(4, "big") * 2
    with pytest.raises(InvalidInput, match=r"cut short or damaged|megapixels"):
        read_picture(bytes(header))


def test_a_jpeg_of_100_megapixels_is_taken_at_a_fraction_of_its_size() -> None:
    out = BytesIO()
    drawn(11_600, 8_700).save(out, "JPEG", quality=60)
    picture = read_picture(out.getvalue())
    assert (picture.width_px, picture.height_px) == (11_600, 8_700)
    assert max(opened(picture.shown).size) == 1600


def test_without_the_heic_reader_the_person_is_told_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    data = heic()
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(InvalidInput, match="HEIC reader, which is not installed here"):
        read_picture(data)


# The reader warns of damaged camera data that it passes over; the photo is shown all the same.
@pytest.mark.filterwarnings("ignore::UserWarning:PIL")
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from([jpeg(80, 60), png(80, 60), webp(80, 60), heic(80, 64)]),
    st.lists(st.tuples(st.floats(0, 1), st.binary(min_size=1, max_size=8)), max_size=4),
)
def test_a_damaged_photo_is_shown_or_refused_and_nothing_else(
    data: bytes, damage: list[tuple[float, bytes]]
) -> None:
    damaged = bytearray(data)
    for where, what in damage:
        start = int(where * (len(damaged) - 1))
        damaged[start : start + len(what)] = what
    try:
        picture: Picture | InvalidInput = read_picture(bytes(damaged))
    except InvalidInput as error:
        picture = error
    assert isinstance(picture, InvalidInput) or max(opened(picture.shown).size) <= 1600
