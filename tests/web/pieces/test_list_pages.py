"""Pages of bench lists as plain forms: paste, page by page, correct, accept, and every refusal in words."""

from __future__ import annotations

import io
import re
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bench_list_files import HEAD, ROWS, as_file
from runningfit.workshop.models import BenchList, Job, Lot, Record
from runningfit.workshop.pieces import bench_intake
from runningfit.workshop.pieces.ledger import books_balance
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture
def bench_list(job: Job) -> BenchList:
    return bench_intake.take_in(job=job, name="tins.csv", data=as_file(*ROWS), hand=ANN).bench_list


def address(one: BenchList, *more: object) -> str:
    return "/".join((f"/jobs/{one.job_id}/lists/{one.pk}", *map(str, more)))


def zip_bomb() -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 300_000_000)
    return packed.getvalue()


def test_pasted_rows_are_read_like_a_file(client: Client, job: Job) -> None:
    pasted = "\n".join((HEAD, *ROWS)).replace(",", "\t")
    answer = client.post(f"/jobs/{job.pk}/lists", {"pasted": pasted})
    made = BenchList.objects.get()
    assert answer["Location"] == address(made)
    assert made.rows.count() == len(ROWS)


def test_neither_file_nor_text_is_asked_for(client: Client, job: Job) -> None:
    answer = client.post(f"/jobs/{job.pk}/lists", {"pasted": "  "})
    assert "Choose a file, or paste the rows below." in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.csv", b"", "empty"),
        ("blank.csv", b"\n\n\n", "0 rows"),
        ("long.csv", as_file(*(ROWS[0],) * 20_100), "at most 20,000 rows"),
        ("bomb.xlsx", zip_bomb(), "Bench list|bench list"),
        ("photo.xlsx", b"\x89PNG\r\n\x1a\n" + bytes(90), "a picture|no such workbook"),
        ("wide.csv", ",".join("abcdefgh" for _ in range(90)).encode() + b"\n1\n", "at most 60 columns"),
    ],
)
def test_a_bad_file_is_refused_in_words_and_changes_nothing(
    client: Client, job: Job, name: str, data: bytes, said: str
) -> None:
    answer = client.post(f"/jobs/{job.pk}/lists", {"file": SimpleUploadedFile(name, data), "pasted": ""})
    assert answer.status_code == 400
    page = answer.content.decode()
    assert any(words in page for words in said.split("|")), page[-1500:]
    assert not BenchList.objects.exists()


def test_rows_are_shown_page_by_page(client: Client, job: Job) -> None:
    rows = tuple(f"T{at},gear case,{at},hex bolt,M8,{at} mm,clear,ok," for at in range(10, 90))
    one = bench_intake.take_in(job=job, name="many.csv", data=as_file(*rows), hand=ANN).bench_list
    first = client.get(address(one)).content.decode()
    assert first.count("<tr id=") == 60
    assert "?show=all&amp;after=61" in first
    assert client.get(f"{address(one)}?after=61").content.decode().count("<tr id=") == 20


def test_rows_are_narrowed_to_what_needs_a_person(client: Client, bench_list: BenchList) -> None:
    assert client.get(f"{address(bench_list)}?show=problem").content.decode().count("<tr id=") == 2
    assert client.get(f"{address(bench_list)}?show=waiting").content.decode().count("<tr id=") == 1
    assert client.get(f"{address(bench_list)}?show=nonsense").content.decode().count("<tr id=") == len(ROWS)


def test_a_row_is_corrected_on_its_own_page_without_script(client: Client, bench_list: BenchList) -> None:
    page = client.get(address(bench_list, "rows", 8)).content.decode()
    assert 'value="5/17 UNF"' in page
    answer = client.post(
        address(bench_list, "rows", 8), {"count": "5", "kind": "hex bolt", "size": "5/16 UNF", "length": "1"}
    )
    assert answer.status_code == 302
    assert bench_list.rows.get(row=8).reading == "clear"


def test_a_refused_correction_says_why_and_keeps_what_was_typed(
    client: Client, bench_list: BenchList
) -> None:
    client.post(address(bench_list, "accept"))
    page = client.post(
        address(bench_list, "rows", 3), {"count": "13", "kind": "spring washer"}
    ).content.decode()
    assert "Row 3 is counted already" in page
    assert 'value="13"' in page


def test_accepting_says_what_it_did_and_twice_counts_once(client: Client, bench_list: BenchList) -> None:
    for _sending in range(2):
        client.post(address(bench_list, "accept"), {"pieces": "58", "once": "one-form"})
    assert books_balance() == (58, 58)
    assert "Accepted: 6 rows, 58 pieces" in client.get(address(bench_list)).content.decode()


def test_a_list_put_aside_is_not_accepted_and_can_be_taken_back(
    client: Client, bench_list: BenchList
) -> None:
    client.post(address(bench_list, "aside"))
    assert client.post(address(bench_list, "accept")).status_code == 409
    assert not Lot.objects.exists()
    client.post(address(bench_list, "aside"))
    assert client.post(address(bench_list, "accept")).status_code == 302


def test_hostile_cells_are_shown_as_text(client: Client, job: Job) -> None:
    row = 'T1,"<script>alert(1)</script>",2,"<img src=x onerror=alert(1)>",M8,35 mm,clear,ok,'
    one = bench_intake.take_in(job=job, name="<b>x.csv", data=as_file(row), hand=ANN).bench_list
    page = client.get(address(one)).content.decode()
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_looking_writes_nothing(client: Client, bench_list: BenchList) -> None:
    before = Record.objects.count()
    for more in ((), ("rows", 8), ("rows", 3)):
        assert client.get(address(bench_list, *more)).status_code == 200
    assert client.get(address(bench_list, "changes")).status_code == 409
    assert client.get(address(bench_list, "accept")).status_code == 405
    assert Record.objects.count() == before


def test_accepting_says_once_for_the_whole_list_which_engine_it_came_off(
    client: Client, job: Job, bench_list: BenchList
) -> None:
    donor = add_donor(job=job, name="Tern of the barn", hand=ANN)
    page = client.get(address(bench_list)).content.decode()
    chosen = re.search(r"<select[^>]*name=\"origin\".*?</select>", page, re.S)
    assert chosen is not None
    assert re.findall(r"<option[^>]*>(.*?)</option>", chosen[0]) == [
        "not known",
        "Pellworth Tern",
        "Tern of the barn",
    ]
    assert '<option value="" selected>' in chosen[0]
    client.post(address(bench_list, "accept"), {"pieces": "58", "origin": donor.pk})
    assert set(Lot.objects.values_list("origin", flat=True)) == {donor.pk}
    assert "off Tern of the barn" in Record.objects.get(verb="accept_bench_list").summary


def test_unless_somebody_says_so_the_engine_of_a_list_is_not_known(
    client: Client, bench_list: BenchList
) -> None:
    client.post(address(bench_list, "accept"), {"pieces": "58", "origin": ""})
    assert set(Lot.objects.values_list("origin", flat=True)) == {None}


def test_an_engine_of_another_job_is_not_where_a_list_came_off(client: Client, bench_list: BenchList) -> None:
    other = open_job(name="Saw bench", engine_name="Pellworth Wren", hand=ANN).engines.get()
    answer = client.post(address(bench_list, "accept"), {"pieces": "58", "origin": other.pk})
    assert answer.status_code == 400
    assert "an engine of this job, or not known" in answer.content.decode()
    assert not Lot.objects.exists()
