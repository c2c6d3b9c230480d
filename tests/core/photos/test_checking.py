"""Each bad photo gets its sentence, and a good one its plane; photos are simulated from mats alone."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import ExifTags, Image, ImageDraw

from pictures_for_tests import heic, jpeg
from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.mats import mat_text, read_mat
from runningfit.core.photos.own_mats import Paper, own_mat
from simulators.mat_photos import Scene, jpeg_of, mat_record, photographed

pytestmark = pytest.mark.slow

DATA = Path(__file__).resolve().parents[2] / "data" / "photos"
GOOD = Scene(mat_record(mat_text(own_mat(Paper.A4))))
SKIN = (190, 140, 120)


def refused(data: bytes, fault: Fault, **told: float) -> CouldNotMeasure:
    answer = check_photo(data, print_scale=told.get("print_scale"), filename="bolts.jpg")
    assert isinstance(answer, CouldNotMeasure)
    assert answer.fault == fault
    assert answer.reason.endswith(".")
    assert answer.remedy.endswith(".")
    return answer


def measured(data: bytes, **told: float) -> Plane:
    answer = check_photo(data, print_scale=told.get("print_scale"))
    assert isinstance(answer, Plane), answer
    return answer


def seen_as(pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], kind: str, **more: object) -> bytes:
    out = BytesIO()
    Image.fromarray(pixels).save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize("paper", list(Paper))
def test_a_good_photo_of_each_mat_is_measured_and_its_mat_named(paper: Paper) -> None:
    scene = Scene(mat_record(mat_text(own_mat(paper))), distance_mm=370 if paper is Paper.A3 else 330)
    if paper is Paper.A3:
        scene = scene.but(width_px=3200, height_px=2400, focal_px=2300.0, tilt_deg=8.0)
    plane = measured(jpeg_of(scene), print_scale=1.0)
    assert plane.mat == own_mat(paper)
    assert len(plane.found.numbers) == len(plane.mat.markers)
    # Of a pixel at the middle, its size follows from distance over focal length and the tilt.
    tilt = np.cos(np.radians(scene.tilt_deg))
    assert plane.gsd_mm == pytest.approx(scene.distance_mm / scene.focal_px / tilt**0.5, rel=0.03)
    assert plane.residual_mm < 0.03
    assert plane.paper is not None
    assert plane.paper.mean == pytest.approx(1, abs=0.002)


def test_what_the_photo_tells_of_its_blur_is_what_was_put_in() -> None:
    plane = measured(jpeg_of(GOOD.but(blur_px=1.3)))
    assert plane.blur_mm / plane.gsd_mm == pytest.approx(1.3, abs=0.15)


def test_a_scale_that_nobody_measured_is_cautioned_of() -> None:
    data = jpeg_of(GOOD)
    assert any("Nobody has measured" in one for one in measured(data).cautions)
    assert not any("Nobody has measured" in one for one in measured(data, print_scale=1.0).cautions)


def test_a_mat_printed_small_is_found_by_the_edges_of_its_paper_or_taken_as_told() -> None:
    small = jpeg_of(GOOD.but(print_scale=0.97))
    answer = refused(small, Fault.PRINT_SCALE)
    assert "printed at 97.0 % of its size" in answer.reason
    assert "steel rule" in answer.remedy
    plane = measured(small, print_scale=0.97)
    assert plane.pose.print_scale == 0.97
    assert any("the paper's edges say 0.970" in one for one in measured(small, print_scale=1.0).cautions)


def test_a_scale_that_no_printer_makes_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"print scale needs .*0.9 to 1.1; '97' came.*0.970"):
        check_photo(jpeg_of(GOOD), print_scale=97)


def test_no_mat() -> None:
    chance = np.random.default_rng(3)
    table = np.clip(chance.normal(120, 30, (1000, 1400, 3)), 0, 255).astype(np.uint8)
    answer = refused(seen_as(table, "JPEG"), Fault.NO_MAT)
    assert "runningfit photo mat" in answer.remedy


def test_half_a_mat_says_which_side_is_missing() -> None:
    answer = refused(jpeg_of(GOOD.but(look_at_mm=(60.0, 105.0))), Fault.HALF_A_MAT)
    assert "markers lie outside the picture, on the right" in answer.reason
    assert "Take the whole mat" in answer.remedy


def test_a_phone_held_upright_is_asked_to_be_turned_and_a_turned_one_is_measured() -> None:
    upright = GOOD.but(width_px=1540, height_px=2050)
    answer = refused(jpeg_of(upright), Fault.HALF_A_MAT)
    assert answer.remedy.startswith("Turn the phone on its side")
    assert measured(jpeg_of(upright.but(roll_deg=92.0))).mat.name == "A4_violet"


def test_a_photo_that_its_camera_says_to_turn_is_turned() -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    lying = np.rot90(photographed(GOOD))
    plane = measured(seen_as(np.ascontiguousarray(lying), "JPEG", quality=92, exif=exif.tobytes()))
    assert plane.photo.width_px > plane.photo.height_px


def test_two_mats() -> None:
    beside = GOOD.but(second_mat_at_mm=(20.0, 215.0), distance_mm=440.0)
    assert "second mat" in refused(jpeg_of(beside), Fault.TWO_MATS).reason


@pytest.mark.parametrize("curl_mm", [4.0, 10.0])
def test_a_curled_mat(curl_mm: float) -> None:
    answer = refused(jpeg_of(GOOD.but(curl_mm=curl_mm)), Fault.CURLED_MAT)
    assert "not flat" in answer.reason
    assert "Weigh its corners down" in answer.remedy


def test_a_slight_curl_is_cautioned_of() -> None:
    assert any("not quite flat" in one for one in measured(jpeg_of(GOOD.but(curl_mm=2.0))).cautions)


def test_another_mat_than_the_file_says() -> None:
    other = read_mat((DATA / "mat_A3_violet.json").read_text())
    answer = check_photo((DATA / "s7.jpg").read_bytes(), mat=other)
    assert isinstance(answer, CouldNotMeasure)
    assert answer.fault == Fault.CURLED_MAT
    assert "Check that the mat file belongs to this mat" in answer.remedy


@pytest.mark.parametrize("exposure", [0.03, 0.008, 0.0])
def test_a_dark_photo(exposure: float) -> None:
    assert "lamp" in refused(jpeg_of(GOOD.but(exposure=exposure)), Fault.DARK).remedy


@pytest.mark.parametrize("exposure", [1.9, 30.0, 1000.0])
def test_a_burnt_out_photo(exposure: float) -> None:
    assert "exposes for it" in refused(jpeg_of(GOOD.but(exposure=exposure)), Fault.BURNT_OUT).remedy


@pytest.mark.parametrize("blur_px", [2.5, 4.0, 6.0, 12.0])
def test_a_blurred_photo(blur_px: float) -> None:
    assert "Hold still" in refused(jpeg_of(GOOD.but(blur_px=blur_px)), Fault.BLURRED).remedy


@pytest.mark.parametrize("distance_mm", [500.0, 900.0])
def test_a_photo_from_too_far_away(distance_mm: float) -> None:
    answer = refused(jpeg_of(GOOD.but(distance_mm=distance_mm)), Fault.TOO_FAR)
    assert "A pixel covers 0." in answer.reason
    assert answer.remedy.startswith("Go closer")


def test_a_hand_over_the_border_hides_too_much_and_a_thumb_does_not() -> None:
    hand = ((0.0, 0.0, 150.0, 40.0, SKIN), (0.0, 0.0, 40.0, 150.0, SKIN))
    answer = refused(jpeg_of(GOOD.but(paint=hand)), Fault.COVERED_MAT)
    assert "Only 15 of the mat's 22 markers" in answer.reason
    thumb = ((0.0, 0.0, 60.0, 30.0, SKIN),)
    assert len(measured(jpeg_of(GOOD.but(paint=thumb))).found.numbers) == 20


def test_a_screenshot() -> None:
    screen = Image.new("RGB", (1080, 2340), (250, 248, 240))
    draw = ImageDraw.Draw(screen)
    for row in range(12):
        draw.rectangle((40, 150 + 170 * row, 1040, 290 + 170 * row), fill=(225, 230, 238))
        draw.text((80, 200 + 170 * row), "9 hex bolts 5/16-24 UNF", fill=(20, 20, 20))
    answer = refused(seen_as(np.asarray(screen), "PNG"), Fault.SCREENSHOT)
    assert answer.remedy == "Send the photo itself, as the camera kept it."


def test_heic_as_phones_write_it() -> None:
    out = BytesIO()
    pillow_heif.from_pillow(Image.fromarray(photographed(GOOD))).save(
        out, quality=70, enc_params={"preset": "ultrafast"}
    )
    assert measured(out.getvalue()).mat.name == "A4_violet"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "an empty file came"),
        (b"%PDF-1.7 no photo", "another kind of file came"),
        (jpeg()[:4000], "cut short or damaged came"),
        (heic()[:600], "cut short or damaged came"),
    ],
)
def test_what_is_no_photo(data: bytes, said: str) -> None:
    answer = refused(data, Fault.NOT_A_PHOTO)
    assert answer.reason.startswith("bolts.jpg needs ")
    assert said in answer.reason
    assert "JPEG" in answer.remedy


def test_a_bomb_is_refused_by_its_header() -> None:
    out = BytesIO()
    Image.new("1", (20_000, 12_000)).save(out, "PNG")
    answer = refused(out.getvalue(), Fault.NOT_A_PHOTO)
    assert "at most 50 megapixels" in answer.reason


def test_a_preview_is_too_small() -> None:
    answer = refused(seen_as(np.full((3, 5, 3), 128, np.uint8), "PNG"), Fault.TOO_FAR)
    assert answer.reason == "The picture has only 5 x 3 pixels."
