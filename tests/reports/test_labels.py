"""Labels of bags: what they say, where the QR code leads, and when they carry none."""

from __future__ import annotations

from io import BytesIO

import pytest
import segno

from printed_papers import count_pages, words_of
from runningfit.core.errors import InvalidInput
from runningfit.reports.bag_address import address_fault, bag_address, qr_drawing
from runningfit.reports.labels import SHEETS, labels, lines_of, sheet_called
from runningfit.workshop.pieces.bags import bag_by_code, contents, make_bag
from runningfit.workshop.pieces.models import Bag
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
HAND = Hand(who="Ada")


@pytest.fixture
def job() -> Job:
    return open_job(name="Tern #1 *the first*", engine_name="Pellworth Tern", hand=HAND)


@pytest.fixture
def bag(job: Job) -> Bag:
    for text in (
        "9 hex bolts 5/16-24 UNF x 1 3/8, clear, gear case, bag T1",
        "4 bolts 1/4-20 x 3/4 in, black, gear case, bag T1",
        "6 nuts 5/16-24 UNF brass, 2 with pulled threads, gear case, bag T1",
    ):
        keep_understood(job=job, line=understand_line(job=job, text=text), hand=HAND)
    return bag_by_code(job, "T1")


@pytest.mark.parametrize(
    "address",
    [
        "",
        "  ",
        "http://127.0.0.1:8017",
        "127.0.0.1",
        "http://127.1.2.3",
        "http://localhost:8017",
        "LOCALHOST",
        "http://[::1]:8017/",
        "http://0.0.0.0:8017",
        "http://127.1",
        "ftp://bench.local",
        "http://",
        "http://bench.local:port",
        "bench local",
    ],
)
def test_an_address_that_phones_cannot_reach_is_said_to_be_one(address: str) -> None:
    assert "carry no QR code" in address_fault(address)


@pytest.mark.parametrize(
    "address",
    [
        "http://bench.local:8017",
        "bench.local",
        "192.0.2.7:8017",
        "https://shop.example/fit/",
        "http://[fd00::7]",
    ],
)
def test_an_address_in_the_shops_network_is_good(address: str) -> None:
    assert address_fault(address) == ""


def test_the_code_leads_to_the_bags_own_page(bag: Bag) -> None:
    assert bag_address("bench.local:8017/", bag) == f"http://bench.local:8017/b/{bag.job_id}/T1"
    out = BytesIO()
    segno.make(bag_address("bench.local:8017", bag), error="m", micro=False).save(
        out, kind="svg", border=2, xmldecl=False
    )
    assert qr_drawing(bag_address("bench.local:8017", bag)) == out.getvalue()


def test_a_label_says_code_area_job_and_contents(bag: Bag) -> None:
    words = words_of(labels([bag], sheet=sheet_called("62"), label_address="http://bench.local"))
    for part in (
        "T1",
        "gear case",
        "Tern #1 *the first*",
        "9 hex bolts 5/16-24 UNF x 1 3/8 in, clear",
        "1/4-20 UNC or BSW x 3/4 in, black",
        "2 nuts 5/16-24 UNF, brass, pulled threads",
    ):
        assert part in words


def test_a_label_without_a_reachable_address_has_no_qr_code(bag: Bag) -> None:
    sheet = sheet_called("62")
    with_code = labels([bag], sheet=sheet, label_address="http://bench.local")
    without = labels([bag], sheet=sheet, label_address="http://localhost")
    assert b"QR code of bag" in with_code or len(with_code) > len(without) + 500
    assert len(without) < len(with_code)


def test_what_has_no_room_is_counted_on_the_last_line(bag: Bag) -> None:
    inside = contents(bag)
    assert len(lines_of(inside, 4)) == 4
    lines = lines_of(inside, 3)
    assert lines[2] == {"count": "+6", "words": "in 2 more lots"}


def test_an_empty_bag_can_have_a_label(job: Job) -> None:
    empty = make_bag(job=job, code="K7", hand=HAND)
    assert "K7" in words_of(labels([empty], sheet=SHEETS[0], label_address=""))


def test_labels_go_on_to_the_next_sheet_and_leave_used_ones_free(job: Job) -> None:
    bags = [make_bag(job=job, hand=HAND) for _ in range(23)]
    for used, sheets in ((0, 1), (1, 1), (2, 2), (23, 2)):
        pdf = labels(bags, sheet=SHEETS[0], label_address="bench.local", used=used)
        assert count_pages(pdf) == sheets
        words = words_of(pdf)
        assert all(bag.code in words for bag in bags)


def test_no_bag_too_many_used_labels_and_unknown_sheets_are_refused(bag: Bag) -> None:
    with pytest.raises(InvalidInput, match="bags needs 1 to 600 at a time; 0 came"):
        labels([], sheet=SHEETS[0], label_address="")
    with pytest.raises(InvalidInput, match="used needs a number from 0 to 23; 24 came"):
        labels([bag], sheet=SHEETS[0], label_address="", used=24)
    with pytest.raises(InvalidInput, match="sheet needs one of a4-24, a4-24-gaps, 62"):
        sheet_called("a3")


def test_every_sheet_of_labels_lies_within_its_page() -> None:
    for sheet in SHEETS:
        right = sheet.left_mm + sheet.columns * sheet.label_width_mm + (sheet.columns - 1) * sheet.gap_x_mm
        assert right <= sheet.page_width_mm
        assert sheet.top_mm + sheet.rows * sheet.label_height_mm <= sheet.page_height_mm
