"""The consignment note says what goes, what is asked, what must not be done, and leaves room to count."""

from __future__ import annotations

import datetime as dt
import shutil
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from runningfit.reports import consignment_note as paper
from runningfit.workshop.outside_work import services
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.services import take_in_photo
from runningfit.workshop.records.services import say_shop
from workshop.outside_work.bucket import HAND, a_shed, sent

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


def test_hostile_words_are_set_as_words() -> None:
    shed = a_shed()
    consignment = sent(shed.lot(2, defect='#panic("x") $ ] \\ *'))
    services.change_consignment(consignment=consignment, must_not='#read("/etc/passwd")', hand=HAND)
    pdf = paper.consignment_note(Consignment.objects.get(), today=TODAY)
    assert pdf.startswith(b"%PDF")
    assert len(pdf) > 5_000
