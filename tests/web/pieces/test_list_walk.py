"""A bench list walked through in the browser: read in, corrected, accepted, edited and read in again."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from bench_list_files import ROWS, as_file, edited
from browsing import no_serious_faults
from runningfit.workshop.models import BenchList, Job, Lot
from runningfit.workshop.pieces import bench_intake, bench_lists
from runningfit.workshop.pieces.ledger import books_balance
from runningfit.workshop.pieces.lots import change_lot
from runningfit.workshop.records.writing import Hand

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("data_folder"),
]
ANN = Hand(who="Ann")
COUNTABLE = 58


@pytest.fixture
def accepted(job: Job) -> BenchList:
    taken = bench_intake.take_in(job=job, name="tins.csv", data=as_file(*ROWS), hand=ANN)
    bench_lists.accept(bench_list=taken.bench_list, hand=ANN)
    return taken.bench_list


def send_file(page: Page, job: Job, folder: Path, data: bytes) -> None:
    file = folder / "tins.csv"
    file.write_bytes(data)
    page.goto(f"/jobs/{job.pk}/lists")
    page.get_by_label("The list").set_input_files(file)
    page.get_by_role("button", name="Read it").click()


def test_a_list_is_read_in_corrected_in_place_and_accepted(any_size: Page, job: Job, tmp_path: Path) -> None:
    page = any_size
    page.goto(f"/jobs/{job.pk}/lists")
    no_serious_faults(page)
    send_file(page, job, tmp_path, as_file(*ROWS))
    expect(page.get_by_role("button", name="Accept 6 rows: 58 pieces")).to_be_visible()
    no_serious_faults(page)

    page.get_by_role("button", name="1/4-20 UNC").click()
    expect(page.locator("#row-5")).to_contain_text("1/4-20 UNC")
    expect(page.locator("#row-5").get_by_role("button", name="1/4-20 BSW")).to_have_count(0)

    page.get_by_role("link", name="Correct row 7").click()
    count = page.locator("#row-7").get_by_label("Count")
    expect(count).to_be_focused()
    no_serious_faults(page)
    count.fill("some")
    page.get_by_role("button", name="Keep this row so").click()
    expect(page.locator("#row-7")).to_contain_text("no number of pieces")
    page.get_by_role("link", name="Correct row 7").click()
    page.locator("#row-7").get_by_label("Count").fill("4")
    page.get_by_role("button", name="Keep this row so").click()
    expect(page.locator("#row-7")).to_contain_text("4 hex bolts")
    expect(page.locator("#row-7")).to_contain_text("corrected: 4")

    page.get_by_role("link", name="Correct row 8").click()
    page.get_by_text("Set it aside instead").click()
    page.get_by_label("Why").fill("not ours")
    page.get_by_role("button", name="Set the row aside").click()
    expect(page.locator("#row-8")).to_contain_text("not ours")

    page.get_by_role("button", name="Accept 6 rows: 57 pieces").click()
    expect(page.get_by_text("Accepted: 6 rows, 57 pieces, kept as 7 lots.")).to_be_visible()
    no_serious_faults(page)
    assert books_balance() == (57, 57)


def test_an_edited_list_is_shown_row_by_row_and_applied(
    any_size: Page, job: Job, accepted: BenchList, tmp_path: Path
) -> None:
    page = any_size
    (by_hand,) = accepted.rows.get(row=6).lots.all()
    change_lot(lot=by_hand, finish_look="black", hand=ANN)
    rows = edited(",12,spring", ",14,spring", edited("1 1/2,yellow", "1 1/2,clear"))
    more = "T9,dynamo,3,hex bolt,M8,35 mm,yellow,ok,"
    send_file(page, job, tmp_path, as_file(*rows[:6], more))

    expect(page.get_by_role("heading", name="What tins.csv changes")).to_be_visible()
    expect(page.get_by_text("2 changed")).to_be_visible()
    expect(page.get_by_text("In the books by hand: black")).to_be_visible()
    no_serious_faults(page)
    page.get_by_label("the books, as changed by hand").check()
    page.get_by_label("They never were: take them out").check()
    page.get_by_role("button", name="Apply what is decided").click()
    expect(
        page.get_by_text("Applied: 1 changed, 1 added, 1 taken out, 1 kept as they stood, 0 left open.")
    ).to_be_visible()
    expect(page.get_by_text("Nothing left to apply.")).to_be_visible()
    no_serious_faults(page)
    assert books_balance() == (COUNTABLE + 2 + 3 - 5,) * 2
    assert Lot.objects.get(pk=by_hand.pk).finish_look == "black"

    send_file(page, job, tmp_path, as_file(*rows[:6], more))
    expect(page.get_by_text("This very file was read in before; nothing was changed.")).to_be_visible()
    assert books_balance() == (COUNTABLE + 2 + 3 - 5,) * 2


def test_columns_are_read_otherwise_by_choosing_above_them(desk: Page, job: Job, tmp_path: Path) -> None:
    head = "Tin,Place,N,Thing,Size,L,Look,Shape,Remarks"
    send_file(desk, job, tmp_path, as_file(*ROWS, head=head))
    columns = desk.get_by_text("The columns, as they were read")
    if not desk.get_by_label("Shape").is_visible():
        columns.click()
    desk.get_by_label("Shape").select_option("condition")
    desk.get_by_label("Place").select_option("area")
    desk.get_by_label("Tin").select_option("bag")
    no_serious_faults(desk)
    desk.get_by_role("button", name="Read the columns so").click()
    expect(desk.get_by_text("with the columns as you chose them")).to_be_visible()
    expect(desk.locator("#row-2")).to_contain_text("gear case")
    expect(desk.locator("#row-2")).to_contain_text("2 pulled threads")
