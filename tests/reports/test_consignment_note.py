"""The consignment note says what goes, what is asked, what must not be done, and leaves room to count."""

from __future__ import annotations

import datetime as dt
import shutil
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from printed_papers import words_of
from runningfit.reports import consignment_note as paper
from runningfit.reports import plater_words
from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.outside_work import services, telling, treating
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.services import take_in_photo
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.services import say_shop
from workshop.outside_work.bucket import HAND, a_shed, back, group, sent

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 3, 2)


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What the note hands to the setter, in the place of setting it."""
    caught: dict[str, Any] = {}

    def catch(template: str, data: dict[str, Any], images: dict[str, bytes]) -> bytes:
        caught.update(data, template=template, images=images)
        return b"%PDF"

    monkeypatch.setattr(paper, "render", catch)
    return caught


def a_consignment() -> Consignment:
    shed = a_shed()
    other = a_shed("Other engine")
    lots = [shed.lot(9), shed.nuts(4, bag="T2", treatment="black_oxide"), other.lot(1, defect="bent")]
    consignment = sent(*lots)
    services.change_consignment(
        consignment=consignment, asked="same shade", must_not="No tumbling.", due_on=TODAY, hand=HAND
    )
    line = consignment.lines.order_by("pk")[0]
    services.change_line(line=line, must_not="never blast", hand=HAND)
    return Consignment.objects.get()


def test_every_lot_is_there_with_its_bag_its_count_and_what_is_asked(said: dict[str, Any]) -> None:
    paper.consignment_note(a_consignment(), today=TODAY)
    assert [(line["bag"], line["count"], line["words"], line["treatment"]) for line in said["lines"]] == [
        ("T1", 9, "hex bolts 5/16-24 UNF x 1 3/8 in", "electroplate zinc, clear"),
        ("T2", 4, "nuts 5/16-24 UNF", "black oxide"),
        ("T1", 1, "hex bolt 5/16-24 UNF x 1 3/8 in", "electroplate zinc, clear"),
    ]
    assert said["lines"][0]["said"] == "lot 1, never blast"
    assert said["lines"][2]["said"] == "lot 1, bent"
    assert (said["pieces"], said["lots"]) == (14, 3)
    assert said["job"] == "Launch engine, Other engine"
    assert said["asked"] == [
        "electroplate zinc, clear: 10 pieces of 2 lots",
        "black oxide: 4 pieces of 1 lot",
    ]
    assert said["words"] == "same shade"


def test_what_must_not_be_done_begins_with_the_shops_own_words(said: dict[str, Any]) -> None:
    paper.consignment_note(a_consignment(), today=TODAY)
    assert said["must_not"][:2] == ["No tumbling.", "Lot 1: never blast"]
    assert len(said["must_not"]) == len(set(said["must_not"]))
    assert any("aluminium" in rule for rule in said["must_not"])
    assert any("hydrogen embrittlement" in caution for caution in said["cautions"])


def test_the_qr_code_stands_only_where_a_phone_could_follow_it(said: dict[str, Any]) -> None:
    consignment = a_consignment()
    paper.consignment_note(consignment, today=TODAY)
    assert said["qr"] == ""
    say_shop(label_address="http://bench.local:8017", hand=HAND)
    paper.consignment_note(consignment, today=TODAY)
    assert said["qr"] == "qr.svg"
    assert said["images"]["qr.svg"].startswith(b"<svg")


def test_a_photo_goes_along_and_a_lost_file_does_not_stop_the_note(
    said: dict[str, Any], data_folder: Path
) -> None:
    consignment = a_consignment()
    lot = consignment.lines.order_by("pk")[0].lot
    picture = BytesIO()
    Image.new("RGB", (640, 480), "grey").save(picture, "JPEG")
    photo = take_in_photo(job=lot.job, data=picture.getvalue(), pictured=Pictured(lot=lot), hand=HAND)
    paper.consignment_note(consignment, today=TODAY)
    assert said["photos"] == [{"file": f"photo-{photo.pk}.jpg", "words": "bag T1, lot 1"}]
    assert said["images"][f"photo-{photo.pk}.jpg"].startswith(b"\xff\xd8")
    shutil.rmtree(data_folder / "photos")
    paper.consignment_note(consignment, today=TODAY)
    assert said["photos"] == []


def graded(lot: Lot, grade: str) -> Lot:
    KnownOfLot.objects.create(lot=lot, grade=grade)
    return lot


def made_up(*lots: Lot) -> Consignment:
    return services.make_up(shop_name="The plater", shares=[services.Share(lot) for lot in lots], hand=HAND)


def test_bags_that_are_told_the_same_are_told_once(said: dict[str, Any]) -> None:
    shed = a_shed()
    hard = [graded(shed.lot(6, bag=bag), "SAE J429 8") for bag in ("F1", "F2")]
    soft = graded(shed.lot(9, bag="G1"), "SAE J429 5")
    paper.consignment_note(made_up(*hard, soft), today=TODAY)
    tank = {one["bags"]: one for one in said["tank"]}
    assert set(tank) == {"F1, F2", "G1"}
    assert (tank["F1, F2"]["pieces"], tank["G1"]["pieces"]) == (12, 9)
    assert "190 to 220 °C" in tank["F1, F2"]["bake"]
    assert "within" in tank["F1, F2"]["bake"]
    assert "Order: plate, bake, then passivate." in tank["F1, F2"]["says"]
    assert tank["G1"]["bake"] == ""
    for one in tank.values():
        assert one["says"][0].startswith("Hardness: ")
        assert any(sentence.startswith("Coat at most ") for sentence in one["says"])
        assert len(one["says"]) == len(set(one["says"])) <= 7


def test_a_lot_of_which_nobody_knows_the_grade_is_told_at_its_careful_end(said: dict[str, Any]) -> None:
    paper.consignment_note(made_up(a_shed().lot(6)), today=TODAY)
    (one,) = said["tank"]
    assert "nobody knows: the hardest it may be" in one["says"][0]
    assert "all of them are treated as the hardest" in one["says"][1]
    assert one["bake"]


def test_a_note_that_is_printed_again_says_what_was_told_when_it_went(said: dict[str, Any]) -> None:
    lot = graded(a_shed().lot(6), "SAE J429 8")
    consignment = made_up(lot)
    paper.consignment_note(consignment, today=TODAY)
    first = said["tank"]
    assert "printed again" not in dict(said["facts"])
    consignment = services.send(consignment=consignment, hand=HAND)
    back(consignment, group(lot, 6), baked="yes")
    KnownOfLot.objects.filter(lot=lot).update(grade="SAE J429 2")
    paper.consignment_note(consignment, today=TODAY)
    assert said["tank"] == first
    assert "it says what was told when it went" in dict(said["facts"])["printed again"]
    # Of what went before such things were kept it says plainly that it does not know.
    ConsignmentLine.objects.update(told={})
    paper.consignment_note(consignment, today=TODAY)
    assert "it says what is known today" in dict(said["facts"])["printed again"]


def test_the_coat_that_was_chosen_stands_on_the_note(said: dict[str, Any]) -> None:
    lot = graded(a_shed().lot(6, treatment=""), "SAE J429 5")
    coat = "ASTM F1941 Fe/Zn 5"
    treating.say_treatment(lots=[lot], treatment="zinc_clear", ordered_coat=coat, hand=HAND)
    paper.consignment_note(made_up(lot), today=TODAY)
    (one,) = said["tank"]
    assert f"Coat: {coat}." in one["says"]


def test_what_must_not_be_plated_stops_the_reader_before_anything_else(said: dict[str, Any]) -> None:
    shed = a_shed()
    washers = shed.lot(8, kind="spring_washer", thread="", length="", length_mm=None, bag="E2")
    consignment = made_up(shed.lot(4), washers)
    paper.consignment_note(consignment, today=TODAY)
    (stop,) = said["stops"]
    assert (stop["bags"], stop["asked"], stop["anyway"]) == ("E2", "electroplate zinc, clear", "")
    assert stop["what"].endswith(", 8 spring washers")
    assert "acid-dip or electroplate a spring" in stop["why"]
    assert said["asked"] == ["electroplate zinc, clear: 4 pieces of 1 lot"]
    assert {line["bag"]: line["treatment"] for line in said["lines"]}["E2"] == "nothing: see above"
    assert [one["bags"] for one in said["tank"]] == ["T1"]
    line = consignment.lines.get(lot=washers)
    telling.send_anyway(line=line, why="Trial pieces.", hand=HAND)
    paper.consignment_note(consignment, today=TODAY)
    assert said["stops"][0]["anyway"] == "Trial pieces."
    assert said["asked"] == ["electroplate zinc, clear: 12 pieces of 2 lots"]
    assert "No acid" in str(said["tank"])


def test_lots_that_are_stopped_for_the_same_reason_share_a_box(said: dict[str, Any]) -> None:
    shed = a_shed()
    springs = [
        shed.lot(count, kind="spring_washer", thread="", length="", length_mm=None, bag=bag)
        for count, bag in ((8, "E2"), (3, "E3"))
    ]
    paper.consignment_note(made_up(*springs), today=TODAY)
    (stop,) = said["stops"]
    assert (stop["bags"], stop["what"].count("spring washers")) == ("E2, E3", 2)
    assert (said["asked"], said["tank"]) == ([], [])


def test_the_stop_the_bake_and_the_coat_can_be_read_on_the_paper() -> None:
    shed = a_shed()
    washers = shed.lot(8, kind="spring_washer", thread="", length="", length_mm=None, bag="E2")
    hard = graded(shed.lot(6, bag="F1"), "SAE J429 8")
    pdf = paper.consignment_note(made_up(hard, washers), today=TODAY)
    words = words_of(pdf)
    assert "DO NOT ELECTROPLATE ZINC, CLEAR" in words
    assert words.index("DO NOT ELECTROPLATE") < words.index("Asked") < words.index("At the tank")
    assert "Bake at 190 to 220 °C" in words
    assert "Coat at most" in words


def test_work_without_a_bath_is_told_nothing_about_the_tank(said: dict[str, Any]) -> None:
    paper.consignment_note(made_up(a_shed().lot(6, treatment="crack_test")), today=TODAY)
    assert (said["stops"], said["tank"]) == ([], [])


@pytest.mark.parametrize(
    ("thickest_um", "said_so"),
    [
        (5.16, "Coat at most 5 µm (0.00019 in) on the thread, or it no longer goes together."),
        (7.9, "Coat at most 7.5 µm (0.00029 in) on the thread, or it no longer goes together."),
        (0.4, "There is no room for a coat on the thread: mask it, or do not coat."),
    ],
)
def test_the_thickest_coat_is_rounded_to_the_safe_side(thickest_um: float, said_so: str) -> None:
    assert plater_words.thickest_said(thickest_um) == said_so


def test_hostile_words_are_set_as_words() -> None:
    shed = a_shed()
    consignment = sent(shed.lot(2, defect='#panic("x") $ ] \\ *'))
    services.change_consignment(consignment=consignment, must_not='#read("/etc/passwd")', hand=HAND)
    pdf = paper.consignment_note(Consignment.objects.get(), today=TODAY)
    assert pdf.startswith(b"%PDF")
    assert len(pdf) > 5_000
